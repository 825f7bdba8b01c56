"""What is known of a press and of a tool; None where nobody has written it down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any

from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import PRACTICE

KN_PER_T = 9.80665
"""One tonne-force."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFacts:
    """One press as its sheet describes it."""

    code: str
    name: str = ""
    clamp_kn: float | None = None
    barrel_g: float | None = None
    """Largest shot in polystyrene."""
    screw_mm: float | None = None
    tie_bars_wide_mm: float | None = None
    """Clear distance between the tie bars, across and upright."""
    tie_bars_high_mm: float | None = None
    mould_least_mm: float | None = None
    mould_most_mm: float | None = None
    opening_mm: float | None = None
    """Largest stroke of the moving platen."""
    daylight_mm: float | None = None
    """Largest distance between the platens."""
    ejector_mm: float | None = None
    dry_cycle_s: float | None = None
    per_hour: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolFacts:
    """One tool with all its cavities, and the resin it is filled with."""

    code: str
    resin: str = ""
    cavities: int | None = None
    projected_cm2: float | None = None
    """Silhouette of all parts of a shot along the opening, without the runner."""
    runner_cm2: float | None = None
    """Of the runner, where it is not over the parts."""
    parts_g: float | None = None
    """All parts of a shot."""
    runner_g: float | None = None
    has_runner: bool = True
    """False where parts are fed hot or directly: nothing comes out beside them."""
    wide_mm: float | None = None
    high_mm: float | None = None
    thick_mm: float | None = None
    """From plate to plate, closed."""
    opening_mm: float | None = None
    """What the parts need to come out."""
    ejector_mm: float | None = None
    depth_mm: float | None = None
    """Of the deepest part along the opening."""
    cavity_pressure_mpa: float | None = None
    wall_mm: float | None = None
    """The thickest wall."""
    cycle_s: float | None = None


def _length(meaning: str, usual: tuple[float, float], most: float = 20_000) -> Range:
    return Range(
        meaning=meaning,
        unit="mm",
        above=0,
        at_most=most,
        usual=usual,
        source=PRACTICE,
        remedy="give it in mm",
    )


PRESS_LIMITS: Mapping[str, Range] = MappingProxyType(
    {
        "clamp_kn": Range(
            meaning="clamp",
            unit="kN",
            above=0,
            at_most=200_000,
            usual=(50, 40_000),
            source=PRACTICE,
            remedy="one tonne is 9.81 kN",
        ),
        "barrel_g": Range(
            meaning="largest shot in polystyrene",
            unit="g",
            above=0,
            at_most=100_000,
            usual=(3, 20_000),
            source=PRACTICE,
            remedy="one ounce is 28.35 g",
        ),
        "screw_mm": _length("diameter of the screw", (12, 200), 1_000),
        "tie_bars_wide_mm": _length("between the tie bars, across", (100, 3_000)),
        "tie_bars_high_mm": _length("between the tie bars, upright", (100, 3_000)),
        "mould_least_mm": _length("thinnest mould", (50, 1_500)),
        "mould_most_mm": _length("thickest mould", (100, 3_000)),
        "opening_mm": _length("opening stroke", (50, 3_000)),
        "daylight_mm": _length("largest distance between the platens", (200, 6_000)),
        "ejector_mm": _length("stroke of the ejector", (20, 600)),
        "dry_cycle_s": Range(
            meaning="dry cycle", unit="s", above=0, at_most=120, usual=(0.8, 15), source=PRACTICE
        ),
        "per_hour": Range(meaning="what an hour costs", at_least=0, at_most=1e6),
    }
)
TOOL_LIMITS: Mapping[str, Range] = MappingProxyType(
    {
        "cavities": Range(meaning="cavities", at_least=1, at_most=512),
        "projected_cm2": Range(
            meaning="silhouette of all parts of a shot",
            unit="cm²",
            above=0,
            at_most=100_000,
            usual=(0.5, 10_000),
            source=PRACTICE,
            remedy="100 mm² are 1 cm²",
        ),
        "runner_cm2": Range(
            meaning="silhouette of the runner",
            unit="cm²",
            at_least=0,
            at_most=10_000,
            usual=(0, 500),
            source=PRACTICE,
        ),
        "parts_g": Range(
            meaning="weight of all parts of a shot",
            unit="g",
            above=0,
            at_most=100_000,
            usual=(0.1, 10_000),
            source=PRACTICE,
        ),
        "runner_g": Range(
            meaning="weight of the runner",
            unit="g",
            at_least=0,
            at_most=10_000,
            usual=(0, 500),
            source=PRACTICE,
        ),
        "wide_mm": _length("width of the mould", (80, 2_500)),
        "high_mm": _length("height of the mould as it hangs", (80, 2_500)),
        "thick_mm": _length("thickness of the closed mould", (80, 2_000)),
        "opening_mm": _length("opening that the parts need", (10, 2_500)),
        "ejector_mm": _length("stroke that pushes the parts out", (2, 500)),
        "depth_mm": _length("depth of the deepest part", (0.5, 1_500)),
        "cavity_pressure_mpa": Range(
            meaning="mean pressure in the cavity",
            unit="MPa",
            above=0,
            at_most=300,
            usual=(10, 100),
            source=PRACTICE,
            remedy="0.35 t/cm² are 34 MPa; one bar is 0.1 MPa",
        ),
        "wall_mm": _length("thickest wall", (0.4, 8), 100),
        "cycle_s": Range(meaning="cycle", unit="s", above=0, at_most=3_600, usual=(2, 180), source=PRACTICE),
    }
)


def refuse_impossible(facts: PressFacts | ToolFacts, limits: Mapping[str, Range]) -> None:
    """Raise ImpossibleInput for a number of a press or a tool that cannot be."""
    for name, value in _numbers(facts, limits):
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise ImpossibleInput(name, value, limits[name].unit, "must be a number")
        limits[name].refuse_impossible(name, value)


def refuse_crossed_press(press: PressFacts) -> None:
    """The thinnest mould must not be thicker than the thickest. Raises: ImpossibleInput."""
    least, most = press.mould_least_mm, press.mould_most_mm
    if least is not None and most is not None and least > most:
        limit = f"must not be above the thickest mould, {most:g} mm"
        raise ImpossibleInput("mould_least_mm", least, "mm", limit, "swap them")


def unusual(facts: PressFacts | ToolFacts, limits: Mapping[str, Range]) -> tuple[Caution, ...]:
    """A caution for each number that presses or tools do not usually have."""
    found = (limits[name].caution(name, value) for name, value in _numbers(facts, limits))
    return tuple(one for one in found if one is not None)


def _numbers(facts: PressFacts | ToolFacts, limits: Mapping[str, Range]) -> Iterator[tuple[str, Any]]:
    for field in fields(facts):
        value = getattr(facts, field.name)
        if field.name in limits and value is not None:
            yield field.name, value
