"""Materials of joints: stiffness, strain they bear, strength, and what time leaves of a torque. Defaults to
start from, never facts of a grade."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialDefault:
    """A material as joints need it, at 23 °C and within minutes of loading.

    Strains are shares (0.02 for 2 %): `strain_once` for one assembly, `strain_repeated` for many or for a
    joint that stays pressed. `yield_mpa` is in tension; of the soft ones, which do not yield, the stress at
    `strain_once`. `remains_1000h` is the share of a fresh torque that is left after 1000 h, low and high.
    """

    code: str
    name: str
    modulus_mpa: float
    poisson: float
    strain_once: float
    strain_repeated: float
    yield_mpa: float
    remains_1000h: tuple[float, float]
    source: str

    def strain_allowed(self, *, repeated: bool) -> float:
        """The strain it may bear, once or again and again."""
        return self.strain_repeated if repeated else self.strain_once


REPEATED_SHARE = 0.6
"""Strain allowed again and again, over that allowed once: resin makers' snap-fit guides, which differ."""

_PRACTICE = "common practice, no source; resin makers differ, the grade's sheet decides"
_TABLES = "modulus and yield within the ranges of textbook tables (Dowling; Callister, appendix B)"

JOINT_MATERIALS = (
    MaterialDefault(
        code="ABS",
        name="acrylonitrile butadiene styrene",
        modulus_mpa=2300.0,
        poisson=0.39,
        strain_once=0.020,
        strain_repeated=0.012,
        yield_mpa=40.0,
        remains_1000h=(0.6, 0.7),
        source=f"{_TABLES}; strain and time: {_PRACTICE}",
    ),
    MaterialDefault(
        code="PS-HI",
        name="high-impact polystyrene",
        modulus_mpa=2000.0,
        poisson=0.40,
        strain_once=0.018,
        strain_repeated=0.011,
        yield_mpa=25.0,
        remains_1000h=(0.5, 0.7),
        source=f"{_PRACTICE}; time taken as that of ABS, wider",
    ),
    MaterialDefault(
        code="PC",
        name="polycarbonate",
        modulus_mpa=2400.0,
        poisson=0.38,
        strain_once=0.040,
        strain_repeated=0.024,
        yield_mpa=62.0,
        remains_1000h=(0.75, 0.85),
        source=f"{_PRACTICE}; time: a maker's curve at 1.9 % strain falls by 17 % in 1000 h",
    ),
    MaterialDefault(
        code="PMMA",
        name="acrylic",
        modulus_mpa=3100.0,
        poisson=0.37,
        strain_once=0.015,
        strain_repeated=0.009,
        yield_mpa=65.0,
        remains_1000h=(0.6, 0.8),
        source=f"{_TABLES}; strain: from memory, brittle and crazes early; time: {_PRACTICE}",
    ),
    MaterialDefault(
        code="POM",
        name="acetal",
        modulus_mpa=2800.0,
        poisson=0.37,
        strain_once=0.060,
        strain_repeated=0.036,
        yield_mpa=65.0,
        remains_1000h=(0.5, 0.6),
        source=_PRACTICE,
    ),
    MaterialDefault(
        code="PP",
        name="polypropylene",
        modulus_mpa=1400.0,
        poisson=0.42,
        strain_once=0.070,
        strain_repeated=0.042,
        yield_mpa=33.0,
        remains_1000h=(0.4, 0.5),
        source=f"{_TABLES}; strain and time: {_PRACTICE}",
    ),
    MaterialDefault(
        code="PE-HD",
        name="high-density polyethylene",
        modulus_mpa=1080.0,
        poisson=0.44,
        strain_once=0.070,
        strain_repeated=0.042,
        yield_mpa=26.0,
        remains_1000h=(0.35, 0.5),
        source=f"modulus: Callister, appendix B; the rest: {_PRACTICE}; time taken as that of PP, wider",
    ),
    MaterialDefault(
        code="PA66",
        name="polyamide 66, with the moisture of the room",
        modulus_mpa=1600.0,
        poisson=0.40,
        strain_once=0.060,
        strain_repeated=0.036,
        yield_mpa=55.0,
        remains_1000h=(0.5, 0.65),
        source=f"{_PRACTICE}; dry as moulded it is about twice as stiff and bears half the strain",
    ),
    MaterialDefault(
        code="PVC-P",
        name="soft PVC",
        modulus_mpa=20.0,
        poisson=0.47,
        strain_once=0.25,
        strain_repeated=0.15,
        yield_mpa=5.0,
        remains_1000h=(0.3, 0.5),
        source=f"{_PRACTICE}; stiffness goes with the softener, five-fold either way",
    ),
    MaterialDefault(
        code="TPE",
        name="thermoplastic elastomer, styrenic",
        modulus_mpa=10.0,
        poisson=0.48,
        strain_once=0.30,
        strain_repeated=0.18,
        yield_mpa=3.0,
        remains_1000h=(0.3, 0.6),
        source=f"{_PRACTICE}; stiffness goes with the hardness, five-fold either way",
    ),
    MaterialDefault(
        code="STEEL",
        name="steel of pins and screws",
        modulus_mpa=207_000.0,
        poisson=0.30,
        strain_once=0.0012,
        strain_repeated=0.0012,
        yield_mpa=250.0,
        remains_1000h=(1.0, 1.0),
        source="textbook values of plain carbon steel; the strain is that at yield",
    ),
)
"""Codes as in ISO 1043-1, and STEEL."""


def joint_material(code: str) -> MaterialDefault | None:
    """What is usual of a material, or None where the code is not known."""
    return next((one for one in JOINT_MATERIALS if one.code == code.strip().upper()), None)
