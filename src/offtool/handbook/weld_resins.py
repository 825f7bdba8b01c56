"""Resins at the ultrasonic welder: amplitude, how easily they weld, to what, and the heat that melts them.

Defaults to start from, never facts of a grade: makers differ, and filler, impact modifier and moisture move
all of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE

TABLES = "public amplitude tables of welder makers, which differ among themselves"
HEAT = "usual values of polymer handbooks, from memory, widened to take in grades"


class Ease(StrEnum):
    """How willingly a resin takes an ultrasonic weld; common practice."""

    EASY = "easy"
    MEDIUM = "medium"
    HARD = "hard"
    NOT = "not in practice"


class Pairing(StrEnum):
    """Whether two resins weld to each other; common practice."""

    SAME = "the same resin"
    USUAL = "usually weld to each other"
    SOME = "some grades weld to each other"
    NO = "not known to weld to each other"


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldResin:
    """A resin family. Pairs are least and most; amplitude in µm peak-to-peak at 20 kHz, None where it is not
    welded."""

    code: str
    name: str
    semi_crystalline: bool
    ease: Ease
    amplitude_um: tuple[float, float] | None
    wants_sharp_ridge: bool
    """Melts late and sets early: a ridge of 60 degrees, and not a low one."""
    far_field: bool
    """Stiff and clear enough in sound that a seam far from the horn can be reached."""
    takes_up_water: bool
    density_g_cm3: tuple[float, float]
    specific_heat_j_gk: tuple[float, float]
    """Mean from room temperature to the melt."""
    fusion_j_g: tuple[float, float]
    """Heat of fusion of a usual moulding, which is partly crystalline; 0 for amorphous resins."""
    melt_c: tuple[float, float]
    """Where it melts, or for amorphous resins where it flows well enough to weld."""
    amplitude_source: str = TABLES
    heat_source: str = HEAT
    source: str = PRACTICE


def _amorphous(
    code: str,
    name: str,
    ease: Ease,
    amplitude_um: tuple[float, float] | None,
    *,
    heat: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
    sharp: bool = False,
    far: bool = True,
    water: bool = False,
    amplitude_source: str = TABLES,
) -> WeldResin:
    return WeldResin(
        code=code,
        name=name,
        semi_crystalline=False,
        ease=ease,
        amplitude_um=amplitude_um,
        wants_sharp_ridge=sharp,
        far_field=far,
        takes_up_water=water,
        density_g_cm3=heat[0],
        specific_heat_j_gk=heat[1],
        fusion_j_g=(0.0, 0.0),
        melt_c=heat[2],
        amplitude_source=amplitude_source,
    )


def _crystalline(
    code: str,
    name: str,
    ease: Ease,
    amplitude_um: tuple[float, float],
    *,
    heat: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
    fusion: tuple[float, float],
    water: bool = False,
    amplitude_source: str = TABLES,
) -> WeldResin:
    return WeldResin(
        code=code,
        name=name,
        semi_crystalline=True,
        ease=ease,
        amplitude_um=amplitude_um,
        wants_sharp_ridge=True,
        far_field=False,
        takes_up_water=water,
        density_g_cm3=heat[0],
        specific_heat_j_gk=heat[1],
        fusion_j_g=fusion,
        melt_c=heat[2],
        amplitude_source=amplitude_source,
    )


WELD_RESINS: Mapping[str, WeldResin] = MappingProxyType(
    {
        one.code: one
        for one in (
            _amorphous(
                *("PS", "polystyrene", Ease.EASY, (20, 40)),
                heat=((1.04, 1.06), (1.3, 2.0), (150, 220)),
            ),
            _amorphous(
                *("PS-HI", "high-impact polystyrene", Ease.EASY, (20, 70)),
                heat=((1.03, 1.05), (1.3, 2.1), (150, 220)),
                amplitude_source=f"from polystyrene to ABS; {PRACTICE}",
            ),
            _amorphous(
                *("ABS", "acrylonitrile butadiene styrene", Ease.EASY, (30, 70)),
                heat=((1.02, 1.08), (1.3, 2.2), (170, 240)),
            ),
            _amorphous(
                *("SAN", "styrene acrylonitrile", Ease.EASY, (30, 70)),
                heat=((1.06, 1.09), (1.3, 2.0), (170, 240)),
            ),
            _amorphous(
                *("ASA", "acrylonitrile styrene acrylate", Ease.EASY, (30, 70)),
                heat=((1.05, 1.09), (1.3, 2.2), (170, 240)),
            ),
            _amorphous(
                *("PMMA", "acrylic", Ease.MEDIUM, (40, 70)),
                heat=((1.17, 1.20), (1.4, 2.2), (180, 240)),
                water=True,
            ),
            _amorphous(
                *("PVC-U", "rigid PVC", Ease.HARD, (40, 80)),
                heat=((1.35, 1.45), (0.9, 1.7), (160, 200)),
                far=False,
            ),
            _amorphous(
                *("PVC-P", "soft PVC", Ease.NOT, None),
                heat=((1.15, 1.35), (1.2, 2.0), (140, 190)),
                far=False,
                amplitude_source=PRACTICE,
            ),
            _amorphous(
                *("PC", "polycarbonate", Ease.MEDIUM, (50, 90)),
                heat=((1.19, 1.22), (1.2, 2.0), (220, 290)),
                sharp=True,
                water=True,
            ),
            _amorphous(
                *("PPE", "polyphenylene ether with polystyrene", Ease.MEDIUM, (50, 90)),
                heat=((1.06, 1.10), (1.3, 2.1), (220, 290)),
            ),
            _amorphous(
                *("SB", "styrene butadiene block copolymer", Ease.MEDIUM, (50, 90)),
                heat=((1.00, 1.03), (1.4, 2.2), (150, 220)),
            ),
            _amorphous(
                *("PC+ABS", "polycarbonate with ABS", Ease.MEDIUM, (70, 100)),
                heat=((1.10, 1.20), (1.3, 2.1), (200, 270)),
                water=True,
            ),
            _amorphous(
                *("PSU", "polysulfone", Ease.MEDIUM, (70, 100)),
                heat=((1.23, 1.26), (1.1, 1.9), (270, 340)),
                sharp=True,
                water=True,
            ),
            _amorphous(
                *("PEI", "polyetherimide", Ease.MEDIUM, (70, 100)),
                heat=((1.26, 1.29), (1.1, 1.9), (300, 360)),
                sharp=True,
                water=True,
            ),
            _crystalline(
                *("PA6", "polyamide 6", Ease.HARD, (70, 120)),
                heat=((1.12, 1.15), (1.6, 2.8), (215, 260)),
                fusion=(45, 90),
                water=True,
            ),
            _crystalline(
                *("PA66", "polyamide 66", Ease.HARD, (70, 120)),
                heat=((1.12, 1.15), (1.6, 2.8), (250, 290)),
                fusion=(45, 90),
                water=True,
            ),
            _crystalline(
                *("PBT", "polybutylene terephthalate", Ease.HARD, (70, 125)),
                heat=((1.29, 1.32), (1.3, 2.1), (220, 260)),
                fusion=(35, 65),
                water=True,
            ),
            _crystalline(
                *("PET", "polyethylene terephthalate", Ease.HARD, (80, 120)),
                heat=((1.33, 1.40), (1.1, 2.0), (245, 285)),
                fusion=(25, 60),
                water=True,
                amplitude_source=PRACTICE,
            ),
            _crystalline(
                *("PE-HD", "high-density polyethylene", Ease.HARD, (70, 120)),
                heat=((0.94, 0.97), (1.9, 2.9), (125, 180)),
                fusion=(160, 230),
            ),
            _crystalline(
                *("PE-LD", "low-density polyethylene", Ease.HARD, (70, 120)),
                heat=((0.91, 0.93), (2.1, 3.0), (105, 160)),
                fusion=(90, 150),
            ),
            _crystalline(
                *("PP", "polypropylene", Ease.HARD, (90, 120)),
                heat=((0.89, 0.92), (1.7, 2.7), (160, 210)),
                fusion=(70, 120),
                amplitude_source=PRACTICE,
            ),
            _crystalline(
                *("POM", "acetal", Ease.HARD, (75, 125)),
                heat=((1.39, 1.43), (1.4, 2.3), (165, 210)),
                fusion=(130, 200),
                amplitude_source=PRACTICE,
            ),
        )
    }
)
"""By code as in ISO 1043-1."""

PAIRS: Mapping[frozenset[str], Pairing] = MappingProxyType(
    {
        **{
            frozenset(pair): Pairing.USUAL
            for pair in (
                *(("ABS", "PMMA"), ("ABS", "SAN"), ("ABS", "ASA"), ("ABS", "PC+ABS"), ("PC", "PC+ABS")),
                *(("SAN", "PMMA"), ("SAN", "ASA"), ("ASA", "PMMA"), ("PS", "PS-HI"), ("PS", "PPE")),
                ("PS-HI", "PPE"),
            )
        },
        **{
            frozenset(pair): Pairing.SOME
            for pair in (
                *(("ABS", "PC"), ("ABS", "PVC-U"), ("PMMA", "PC"), ("PMMA", "PC+ABS"), ("PMMA", "PPE")),
                *(("SAN", "PS"), ("PS", "SB"), ("PS-HI", "SB"), ("PC", "PSU"), ("PC", "PPE")),
                *(("PA6", "PA66"), ("PE-HD", "PE-LD")),
            )
        },
    }
)
"""Unlike resins that weld to each other; common practice, no source. A trial on the grades decides."""


def weld_resin(code: str) -> WeldResin | None:
    """What is known of a resin code at the welder, or None."""
    return WELD_RESINS.get(code.strip().upper())


def pairing(one: str, other: str) -> Pairing | None:
    """Whether two resins weld to each other; None where either is not on the list or is not welded."""
    found, second = weld_resin(one), weld_resin(other)
    if found is None or second is None or Ease.NOT in (found.ease, second.ease):
        return None
    if found is second:
        return Pairing.SAME
    return PAIRS.get(frozenset((found.code, second.code)), Pairing.NO)
