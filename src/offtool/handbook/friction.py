"""Friction of two materials, dry, at the first move: a range for each pair, never a fact of two parts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionRange:
    """Between which ends the friction of a pair is usually found; `known` is False for the wide fallback."""

    first: str
    second: str
    low: float
    high: float
    source: str
    known: bool = True


SURFACE_FACTOR = (0.5, 2.0)
SURFACE_NOTE = "release agent, paint and oil change friction by half to twofold; a measured torque settles it"
"""Common practice, no source."""

RUNNING_SHARE = (0.6, 0.9)
"""Friction while it turns, over friction at the first move; common practice, no source."""

SOFT = frozenset({"PVC-P", "TPE"})
"""Materials that cling: their friction is above that of hard plastics."""

_PRACTICE = "common practice, no source"
_GUIDE = "resin makers' snap-fit guides, from memory, dry against steel"
_LIKE = "as the nearest known pair; common practice, no source"
_APART = f"sources disagree: {_GUIDE} print 0.2 to 0.5, a public compilation 0.04 to 0.13"
_TABLE = "CRC and ASM handbooks, as compiled in a public table of static friction"

_PAIRS: tuple[tuple[str, str, float, float, str], ...] = (
    ("ABS", "ABS", 0.30, 0.65, f"{_PRACTICE}; snap-fit guides print up to 0.75 for clean dry faces"),
    ("ABS", "PS-HI", 0.30, 0.50, _LIKE),
    ("ABS", "PC", 0.30, 0.50, _LIKE),
    ("ABS", "PMMA", 0.30, 0.55, _LIKE),
    ("ABS", "POM", 0.15, 0.25, _PRACTICE),
    ("ABS", "PA66", 0.20, 0.35, _LIKE),
    ("ABS", "PP", 0.20, 0.35, _LIKE),
    ("ABS", "PVC-P", 0.50, 0.90, _PRACTICE),
    ("ABS", "STEEL", 0.30, 0.60, _GUIDE),
    ("PS-HI", "PS-HI", 0.30, 0.50, _LIKE),
    ("PS-HI", "POM", 0.15, 0.25, _LIKE),
    ("PS-HI", "PVC-P", 0.50, 0.90, _LIKE),
    ("PS-HI", "STEEL", 0.30, 0.50, _GUIDE),
    ("PC", "PC", 0.40, 0.60, f"{_TABLE}: 0.52; the range about it {_PRACTICE}"),
    ("PC", "POM", 0.15, 0.25, _LIKE),
    ("PC", "STEEL", 0.35, 0.55, _GUIDE),
    ("PMMA", "PMMA", 0.40, 0.70, _GUIDE),
    ("POM", "POM", 0.20, 0.35, _PRACTICE),
    ("POM", "PA66", 0.15, 0.25, _LIKE),
    ("POM", "PP", 0.15, 0.30, _LIKE),
    ("POM", "PVC-P", 0.40, 0.80, _LIKE),
    ("POM", "STEEL", 0.10, 0.30, _TABLE),
    ("PP", "PP", 0.25, 0.40, f"{_PRACTICE}: about 0.3"),
    ("PP", "STEEL", 0.20, 0.30, _GUIDE),
    ("PE-HD", "PE-HD", 0.20, 0.50, _GUIDE),
    ("PE-HD", "STEEL", 0.12, 0.25, _GUIDE),
    ("PA66", "PA66", 0.10, 0.50, _APART),
    ("PA66", "STEEL", 0.20, 0.40, _GUIDE),
    ("PVC-P", "PVC-P", 0.60, 1.20, _PRACTICE),
)

FRICTION = tuple(
    FrictionRange(first=first, second=second, low=low, high=high, source=source)
    for first, second, low, high, source in _PAIRS
)
"""Codes as in ISO 1043-1, and STEEL; the order within a pair does not matter."""

_UNKNOWN_HARD = (0.15, 0.60)
_UNKNOWN_SOFT = (0.40, 1.20)


def friction_range(first: str, second: str) -> FrictionRange:
    """The friction of a pair, either way round; a wide range where the pair is not known."""
    pair = {first.strip().upper(), second.strip().upper()}
    found = next((one for one in FRICTION if {one.first, one.second} == pair), None)
    if found is not None:
        return found
    low, high = _UNKNOWN_SOFT if pair & SOFT else _UNKNOWN_HARD
    return FrictionRange(
        first=first,
        second=second,
        low=low,
        high=high,
        source=f"pair not known: a wide range; {_PRACTICE}",
        known=False,
    )
