"""Conformity with limits when the gauge is uncertain (ISO 14253-1)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UNCERTAINTY, UPPER, require_limits
from offtool.core.values import Caution, Range


class Conformity(StrEnum):
    """The three zones of ISO 14253-1."""

    CONFORMS = "conforms"
    NOT = "does not conform"
    UNSURE = "cannot be said"


@dataclass(frozen=True, slots=True, kw_only=True)
class ConformityFinding:
    """Where a value stands when the guard band is taken off, or added to, the limits."""

    conformity: Conformity
    value: float
    guard_band: float
    uncertainty: float
    lower: float | None
    upper: float | None
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "value": Range(meaning="what was measured", unit="as measured"),
        "uncertainty": UNCERTAINTY,
        "lower": LOWER,
        "upper": UPPER,
        "confidence": CONFIDENCE,
        "degrees_of_freedom": Range(
            meaning="behind the uncertainty; blank when it is well known", at_least=1
        ),
    },
    example={"value": 4.02, "uncertainty": 0.004, "lower": 3.98, "upper": 4.03},
    source="ISO 14253-1:2017 (guard band 1.65 u at 95 %; the factor from memory, the normal quantile)",
)
def judge_conformity(
    value: float,
    *,
    uncertainty: float,
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
    degrees_of_freedom: float | None = None,
) -> ConformityFinding:
    """Whether a value conforms, does not, or cannot be said to, given the gauge's uncertainty.

    Guard band g = k u, k the one-sided Student (or normal) quantile. Inside the limits by g: conforms;
    outside by g: does not; between: cannot be said.

    Returns: ConformityFinding. Raises: ImpossibleInput for crossed or missing limits or a negative
    uncertainty.

    Example: 4.02 with u 0.004 against 3.98 to 4.03 conforms: 4.03 - 1.645 * 0.004 = 4.0234.
    """
    require_limits(lower, upper)
    factor = coverage_factor(confidence, degrees_of_freedom)
    inside, outside = zones(np.array([value]), factor * uncertainty, lower, upper)
    conformity = Conformity.CONFORMS if inside[0] else Conformity.NOT if outside[0] else Conformity.UNSURE
    return ConformityFinding(
        conformity=conformity,
        value=value,
        guard_band=factor * uncertainty,
        uncertainty=uncertainty,
        lower=lower,
        upper=upper,
        confidence=confidence,
    )


def coverage_factor(confidence: float, degrees_of_freedom: float | None = None) -> float:
    """One-sided quantile of the normal, or of Student's t where degrees of freedom are given."""
    if degrees_of_freedom is None:
        return float(special.ndtri(confidence))
    return float(special.stdtrit(degrees_of_freedom, confidence))


def zones(
    value: NDArray[np.float64],
    guard_band: float | NDArray[np.float64],
    lower: float | None,
    upper: float | None,
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which values are proven inside, and which proven outside, for arrays."""
    inside = np.ones(np.shape(value), dtype=bool)
    outside = np.zeros(np.shape(value), dtype=bool)
    if lower is not None:
        inside &= value >= lower + guard_band
        outside |= value < lower - guard_band
    if upper is not None:
        inside &= value <= upper - guard_band
        outside |= value > upper + guard_band
    return inside, outside
