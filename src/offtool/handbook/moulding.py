"""Resins at the press: temperatures, heat, density of the melt, pressure in the cavity, time in the barrel.

Defaults to start from, never facts of a grade: the sheet of the grade decides wherever it says more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

from offtool.handbook.defects import PRACTICE

Three: TypeAlias = tuple[float, float, float]
"""Least, usual, most."""
Points: TypeAlias = tuple[tuple[float, float], ...]
"""Temperature in °C and the value there; straight between, level beyond."""

MPA_PER_T_CM2 = 98.0665
"""One tonne-force on a square centimetre."""
POLYSTYRENE_MELT_G_CM3 = 0.945
"""Density of polystyrene where barrels are rated, at about 220 °C; from memory of published p-v-T curves."""

GUIDES = "usual values of moulders' guides, from memory, inside the ranges that public tables print"
HEAT = "usual values of polymer handbooks, from memory, rounded"
HEAT_PP = (
    "heat capacity to 100 °C: Martienssen and Warlimont, Handbook of Condensed Matter and Materials Data, "
    f"table 3.3-6; the rest: {HEAT}"
)
MELT = "p-v-T curves as polymer handbooks draw them, from memory, without pressure"
PRESSURE = f"tonnes a square centimetre as clamp is reckoned; {PRACTICE}"
RESIDENCE = f"usual limits of moulders' guides, from memory; {PRACTICE}"


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldingResin:
    """A resin family at the press. Threes are least, usual and most."""

    code: str
    name: str
    melt_c: Three
    mould_c: Three
    """Surface of the steel while it runs, not the water."""
    eject_c: Three
    """At which a part can be pushed out without losing its shape."""
    diffusivity_mm2_s: Three
    """What the closed forms of cooling take: a mean from melt to ejection, heat of fusion in it."""
    conductivity_w_mk: Points
    heat_capacity_j_gk: Points
    """Without the heat of fusion."""
    fusion_j_g: float
    crystallises_c: float | None
    """Where the heat of fusion is given off on cooling in a mould; None for an amorphous resin."""
    density_g_cm3: float
    melt_density_g_cm3: float
    cavity_pressure_mpa: tuple[float, float]
    residence_s: tuple[float, float]
    """Least for an even melt, and the most that it bears at usual temperatures."""
    suffers_heat: bool
    """It comes apart in a barrel that is too large or stands still; some give off gas that hurts."""
    temperature_source: str = GUIDES
    heat_source: str = HEAT
    melt_source: str = MELT
    pressure_source: str = PRESSURE
    residence_source: str = RESIDENCE


def _resin(
    code: str,
    name: str,
    *,
    temperatures: tuple[Three, Three, Three],
    diffusivity: Three,
    conductivity: Points,
    heat: Points,
    density: tuple[float, float],
    t_cm2: tuple[float, float],
    residence_s: tuple[float, float],
    fusion: tuple[float, float] | None = None,
    suffers_heat: bool = False,
    heat_source: str = HEAT,
) -> MouldingResin:
    melt, mould, eject = temperatures
    solid, molten = density
    return MouldingResin(
        code=code,
        name=name,
        melt_c=melt,
        mould_c=mould,
        eject_c=eject,
        diffusivity_mm2_s=diffusivity,
        conductivity_w_mk=conductivity,
        heat_capacity_j_gk=heat,
        fusion_j_g=fusion[0] if fusion else 0.0,
        crystallises_c=fusion[1] if fusion else None,
        density_g_cm3=solid,
        melt_density_g_cm3=molten,
        cavity_pressure_mpa=(t_cm2[0] * MPA_PER_T_CM2, t_cm2[1] * MPA_PER_T_CM2),
        residence_s=residence_s,
        suffers_heat=suffers_heat,
        heat_source=heat_source,
    )


MOULDING_RESINS: Mapping[str, MouldingResin] = MappingProxyType(
    {
        one.code: one
        for one in (
            _resin(
                *("ABS", "acrylonitrile butadiene styrene"),
                temperatures=((210, 235, 260), (40, 55, 70), (80, 88, 95)),
                diffusivity=(0.075, 0.085, 0.10),
                conductivity=((20, 0.17), (100, 0.18), (240, 0.18)),
                heat=((20, 1.35), (90, 1.70), (110, 2.05), (240, 2.35)),
                density=(1.05, 0.95),
                t_cm2=(0.30, 0.40),
                residence_s=(60, 600),
            ),
            _resin(
                *("PS", "polystyrene"),
                temperatures=((190, 215, 245), (25, 40, 60), (65, 75, 85)),
                diffusivity=(0.075, 0.085, 0.10),
                conductivity=((20, 0.14), (100, 0.15), (230, 0.16)),
                heat=((20, 1.25), (90, 1.60), (105, 1.85), (230, 2.10)),
                density=(1.05, POLYSTYRENE_MELT_G_CM3),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 720),
            ),
            _resin(
                *("PS-HI", "high-impact polystyrene"),
                temperatures=((205, 220, 245), (25, 40, 60), (65, 75, 85)),
                diffusivity=(0.075, 0.085, 0.10),
                conductivity=((20, 0.15), (100, 0.16), (230, 0.16)),
                heat=((20, 1.25), (90, 1.65), (105, 1.90), (230, 2.15)),
                density=(1.04, 0.94),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 720),
            ),
            _resin(
                *("SAN", "styrene acrylonitrile"),
                temperatures=((205, 225, 255), (40, 55, 70), (75, 83, 90)),
                diffusivity=(0.075, 0.085, 0.10),
                conductivity=((20, 0.16), (110, 0.17), (240, 0.17)),
                heat=((20, 1.30), (100, 1.65), (115, 1.90), (240, 2.15)),
                density=(1.08, 0.97),
                t_cm2=(0.30, 0.40),
                residence_s=(60, 600),
            ),
            _resin(
                *("PC", "polycarbonate"),
                temperatures=((280, 295, 315), (75, 90, 105), (115, 125, 135)),
                diffusivity=(0.10, 0.115, 0.14),
                conductivity=((20, 0.20), (150, 0.24), (300, 0.25)),
                heat=((20, 1.20), (135, 1.65), (150, 1.90), (300, 2.20)),
                density=(1.20, 1.06),
                t_cm2=(0.40, 0.50),
                residence_s=(120, 600),
            ),
            _resin(
                *("PC+ABS", "polycarbonate with ABS"),
                temperatures=((240, 260, 280), (55, 70, 85), (90, 100, 110)),
                diffusivity=(0.085, 0.10, 0.12),
                conductivity=((20, 0.19), (120, 0.21), (270, 0.21)),
                heat=((20, 1.28), (105, 1.65), (135, 2.00), (270, 2.25)),
                density=(1.13, 1.01),
                t_cm2=(0.35, 0.45),
                residence_s=(90, 480),
            ),
            _resin(
                *("PMMA", "acrylic"),
                temperatures=((220, 240, 260), (60, 72, 84), (88, 95, 100)),
                diffusivity=(0.075, 0.085, 0.11),
                conductivity=((20, 0.19), (110, 0.20), (240, 0.20)),
                heat=((20, 1.42), (100, 1.85), (115, 2.10), (240, 2.35)),
                density=(1.18, 1.06),
                t_cm2=(0.35, 0.50),
                residence_s=(60, 480),
            ),
            _resin(
                *("POM", "acetal"),
                temperatures=((195, 205, 215), (82, 90, 100), (105, 115, 130)),
                diffusivity=(0.05, 0.06, 0.08),
                conductivity=((20, 0.31), (140, 0.27), (170, 0.20), (220, 0.19)),
                heat=((20, 1.45), (140, 2.00), (170, 2.20), (220, 2.30)),
                fusion=(150.0, 145.0),
                density=(1.41, 1.18),
                t_cm2=(0.35, 0.45),
                residence_s=(90, 600),
                suffers_heat=True,
            ),
            _resin(
                *("PP", "polypropylene"),
                temperatures=((210, 230, 255), (22, 35, 48), (70, 85, 100)),
                diffusivity=(0.06, 0.07, 0.09),
                conductivity=((20, 0.22), (110, 0.20), (150, 0.17), (250, 0.17)),
                heat=((20, 1.68), (50, 1.92), (100, 2.35), (150, 2.55), (250, 2.90)),
                fusion=(95.0, 115.0),
                density=(0.905, 0.74),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 720),
                heat_source=HEAT_PP,
            ),
            _resin(
                *("PE-HD", "high-density polyethylene"),
                temperatures=((190, 220, 260), (17, 30, 42), (75, 85, 95)),
                diffusivity=(0.075, 0.09, 0.12),
                conductivity=((20, 0.44), (110, 0.36), (135, 0.26), (250, 0.26)),
                heat=((20, 1.90), (100, 2.45), (135, 2.55), (250, 2.80)),
                fusion=(190.0, 115.0),
                density=(0.96, 0.76),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 720),
            ),
            _resin(
                *("PE-LD", "low-density polyethylene"),
                temperatures=((185, 205, 240), (17, 28, 40), (50, 62, 75)),
                diffusivity=(0.075, 0.09, 0.11),
                conductivity=((20, 0.33), (95, 0.28), (120, 0.25), (240, 0.25)),
                heat=((20, 2.20), (90, 2.50), (120, 2.55), (240, 2.80)),
                fusion=(115.0, 95.0),
                density=(0.92, 0.75),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 720),
            ),
            _resin(
                *("PA6", "polyamide 6"),
                temperatures=((240, 255, 280), (72, 80, 95), (100, 115, 130)),
                diffusivity=(0.075, 0.085, 0.11),
                conductivity=((20, 0.25), (180, 0.22), (220, 0.20), (280, 0.19)),
                heat=((20, 1.55), (100, 2.10), (200, 2.50), (280, 2.75)),
                fusion=(60.0, 185.0),
                density=(1.13, 0.97),
                t_cm2=(0.40, 0.50),
                residence_s=(90, 480),
            ),
            _resin(
                *("PA66", "polyamide 66"),
                temperatures=((275, 285, 300), (72, 82, 95), (105, 125, 145)),
                diffusivity=(0.075, 0.085, 0.11),
                conductivity=((20, 0.25), (220, 0.22), (260, 0.19), (300, 0.18)),
                heat=((20, 1.50), (100, 2.05), (230, 2.60), (300, 2.80)),
                fusion=(65.0, 230.0),
                density=(1.14, 0.98),
                t_cm2=(0.40, 0.50),
                residence_s=(90, 480),
            ),
            _resin(
                *("PVC-P", "soft PVC"),
                temperatures=((160, 175, 190), (20, 32, 45), (48, 58, 68)),
                diffusivity=(0.065, 0.08, 0.10),
                conductivity=((20, 0.15), (190, 0.15)),
                heat=((20, 1.40), (100, 1.70), (190, 1.95)),
                density=(1.28, 1.16),
                t_cm2=(0.25, 0.35),
                residence_s=(60, 360),
                suffers_heat=True,
            ),
            _resin(
                *("PVC-U", "rigid PVC"),
                temperatures=((175, 187, 200), (25, 38, 50), (58, 66, 75)),
                diffusivity=(0.075, 0.085, 0.11),
                conductivity=((20, 0.16), (90, 0.17), (200, 0.17)),
                heat=((20, 0.95), (75, 1.15), (90, 1.60), (200, 1.80)),
                density=(1.40, 1.25),
                t_cm2=(0.30, 0.40),
                residence_s=(60, 240),
                suffers_heat=True,
            ),
            _resin(
                *("TPU", "thermoplastic polyurethane"),
                temperatures=((190, 205, 225), (20, 35, 50), (54, 64, 76)),
                diffusivity=(0.075, 0.09, 0.11),
                conductivity=((20, 0.20), (200, 0.20)),
                heat=((20, 1.65), (100, 1.95), (220, 2.25)),
                density=(1.20, 1.08),
                t_cm2=(0.40, 0.50),
                residence_s=(90, 360),
                suffers_heat=True,
            ),
        )
    }
)
"""By code as in ISO 1043-1."""


def moulding_resin(code: str) -> MouldingResin | None:
    """What is known of a resin code at the press, or None."""
    return MOULDING_RESINS.get(code.strip().upper())
