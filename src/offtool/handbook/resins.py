"""Resins: what shrinkage to allow for before any is measured. Defaults to start from, never facts of a
grade."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ResinDefault:
    """A resin family: shrinkage usually allowed, and the range that public tables give, in per cent."""

    code: str
    name: str
    shrinkage_pct: float
    range_pct: tuple[float, float]
    semi_crystalline: bool
    density_g_cm3: float | None
    source: str


_RANGES = "public shrinkage tables (resin suppliers' processing guides), which differ among themselves"
_TYPICAL = "single typical values as moulders' public tables print them"

RESINS = (
    ResinDefault(
        code="ABS",
        name="acrylonitrile butadiene styrene",
        shrinkage_pct=0.6,
        range_pct=(0.4, 0.9),
        semi_crystalline=False,
        density_g_cm3=1.05,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PS-HI",
        name="high-impact polystyrene",
        shrinkage_pct=0.5,
        range_pct=(0.4, 0.7),
        semi_crystalline=False,
        density_g_cm3=1.04,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PC",
        name="polycarbonate",
        shrinkage_pct=0.6,
        range_pct=(0.5, 0.8),
        semi_crystalline=False,
        density_g_cm3=1.20,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PMMA",
        name="acrylic",
        shrinkage_pct=0.6,
        range_pct=(0.1, 0.8),
        semi_crystalline=False,
        density_g_cm3=1.18,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="POM",
        name="acetal",
        shrinkage_pct=1.8,
        range_pct=(1.8, 2.5),
        semi_crystalline=True,
        density_g_cm3=1.41,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PP",
        name="polypropylene",
        shrinkage_pct=1.5,
        range_pct=(1.0, 2.5),
        semi_crystalline=True,
        density_g_cm3=0.905,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PE-HD",
        name="high-density polyethylene",
        shrinkage_pct=3.0,
        range_pct=(1.5, 4.0),
        semi_crystalline=True,
        density_g_cm3=0.96,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PA66",
        name="polyamide 66",
        shrinkage_pct=1.5,
        range_pct=(0.8, 2.5),
        semi_crystalline=True,
        density_g_cm3=1.14,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
    ResinDefault(
        code="PVC-P",
        name="soft PVC",
        shrinkage_pct=1.5,
        range_pct=(1.5, 3.0),
        semi_crystalline=False,
        density_g_cm3=1.28,
        source=f"{_TYPICAL}; range: {_RANGES}",
    ),
)
"""Codes as in ISO 1043-1."""


def resin_default(code: str) -> ResinDefault | None:
    """The defaults of a resin code, or None."""
    return next((one for one in RESINS if one.code == code.upper()), None)
