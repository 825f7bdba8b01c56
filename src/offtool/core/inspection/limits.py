"""Ranges and checks that the inspection formulas share."""

from __future__ import annotations

from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range

VALUES = Range(meaning="readings, one a part", unit="as measured")
PARTS = Range(meaning="number of parts measured", at_least=1)
LOWER = Range(meaning="lower limit; blank when there is none", unit="as measured")
UPPER = Range(meaning="upper limit; blank when there is none", unit="as measured")
CONFIDENCE = Range(meaning="how sure the bounds are", above=0.5, below=1)
UNCERTAINTY = Range(
    meaning="standard uncertainty of the gauge; blank when there is no gauge study",
    unit="as measured",
    at_least=0,
)

COARSEST_SHARE = 0.1
"""Step of the gauge over the tolerance; common practice."""


def too_few() -> NotEnoughData:
    """The refusal of a spread from one part."""
    return NotEnoughData("one part shows no spread", remedy="measure at least two parts, better ten a cavity")


def require_limits(lower: float | None, upper: float | None) -> None:
    """Refuse a size without any limit, or with a lower limit not below the upper one."""
    if lower is None and upper is None:
        raise ImpossibleInput(
            "limits", None, "", "a size needs at least one limit", "give lower, upper or both"
        )
    if lower is not None and upper is not None and not lower < upper:
        raise ImpossibleInput(
            "lower", lower, "", f"must be below the upper limit {upper:g}", "swap or correct them"
        )


def coarse_step(resolution: float | None, tolerance: float | None) -> tuple[Caution, ...]:
    """A caution where the gauge's step is too coarse for the tolerance; none where either is not known."""
    if resolution is None or tolerance is None or not resolution > COARSEST_SHARE * tolerance * (1 + 1e-9):
        return ()
    said = f"gauge resolution {resolution:g} is coarser than a tenth of the tolerance {tolerance:g}"
    return (Caution(said, "common practice, no source"),)
