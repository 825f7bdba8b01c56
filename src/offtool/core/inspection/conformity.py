"""Conformity with limits when the gauge is uncertain (ISO 14253-1)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UNCERTAINTY, UPPER, VALUES, require_limits
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.values import Caution, NotEnoughData, Range

WELL_KNOWN = 1e9
"""Degrees of freedom beyond which Student's t is the normal."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsJudged:
    """How many readings are proven inside and outside; `outside_at` and `unsure_at` count from 0."""

    inside: int
    outside: int
    unsure: int
    outside_at: NDArray[np.int64]
    unsure_at: NDArray[np.int64]
    guard_band: float
    uncertainty: float
    lower: float | None
    upper: float | None
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanConformity:
    """Where the true mean stands; `combined` is its standard uncertainty from gauge and sampling together."""

    conformity: Conformity
    mean: float
    sd: float
    parts: int
    combined: float
    degrees_of_freedom: float
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


@formula(
    limits={
        "values": VALUES,
        "uncertainty": UNCERTAINTY,
        "lower": LOWER,
        "upper": UPPER,
        "confidence": CONFIDENCE,
    },
    example={"values": [4.02, 4.028, 4.041], "uncertainty": 0.004, "lower": 3.98, "upper": 4.03},
    source="ISO 14253-1:2017, as for judge_conformity",
)
def judge_readings(
    values: Numbers,
    *,
    uncertainty: float,
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
) -> ReadingsJudged:
    """How many of many readings conform, do not, or cannot be said to, and which.

    `judge_conformity` of every reading, each with the stated confidence of its own.

    Returns: ReadingsJudged. Raises: ImpossibleInput for crossed or missing limits.
    """
    require_limits(lower, upper)
    array = np.asarray(values, dtype=float)
    guard_band = coverage_factor(confidence) * uncertainty
    inside, outside = zones(array, guard_band, lower, upper)
    unsure = ~(inside | outside)
    return ReadingsJudged(
        inside=int(inside.sum()),
        outside=int(outside.sum()),
        unsure=int(unsure.sum()),
        outside_at=np.flatnonzero(outside),
        unsure_at=np.flatnonzero(unsure),
        guard_band=guard_band,
        uncertainty=uncertainty,
        lower=lower,
        upper=upper,
        confidence=confidence,
        cautions=() if array.size else (Caution("no readings: nothing is judged"),),
    )


@formula(
    limits={
        "values": VALUES,
        "uncertainty": Range(
            meaning="standard uncertainty of the gauge that all readings share, such as its calibration",
            unit="as measured",
            at_least=0,
        ),
        "lower": LOWER,
        "upper": UPPER,
        "confidence": CONFIDENCE,
        "degrees_of_freedom": Range(
            meaning="behind the uncertainty; blank when it is well known", at_least=1
        ),
    },
    example={"values": [4.012, 4.018, 4.015, 4.021, 4.014], "uncertainty": 0.004, "upper": 4.03},
    source="ISO 14253-1:2017; JCGM 100:2008 (GUM), G.4.1 for the degrees of freedom",
)
def judge_mean(
    values: Numbers,
    *,
    uncertainty: float,
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
    degrees_of_freedom: float | None = None,
) -> MeanConformity:
    """Whether the true mean of these parts conforms, does not, or cannot be said to.

    u^2 = s^2 / n + u_gauge^2, guard band t u with the degrees of freedom
    u^4 / ((s^2 / n)^2 / (n - 1) + u_gauge^4 / f_gauge) (Welch and Satterthwaite).

    Returns: MeanConformity. Raises: NotEnoughData under two readings; ImpossibleInput for crossed or missing
    limits.

    Holds when: parts are alike; what the gauge scatters from reading to reading is in their spread already.
    """
    require_limits(lower, upper)
    array = np.asarray(values, dtype=float)
    if array.size < 2:
        raise NotEnoughData(
            f"{array.size} reading{'s' * (array.size != 1)} cannot say how surely the mean is known",
            remedy="measure at least two parts, or judge the one reading with judge_conformity",
        )
    mean, sd = mean_and_sd(array)
    combined = float(np.hypot(sd / np.sqrt(array.size), uncertainty))
    freedom = _freedom(sd / float(np.sqrt(array.size)), combined, array.size - 1, degrees_of_freedom)
    guard_band = coverage_factor(confidence, freedom) * combined
    inside, outside = zones(np.array([mean]), guard_band, lower, upper)
    equal = Caution("all values are equal: the gauge is too coarse to see the spread")
    return MeanConformity(
        conformity=Conformity.CONFORMS if inside[0] else Conformity.NOT if outside[0] else Conformity.UNSURE,
        mean=mean,
        sd=sd,
        parts=array.size,
        combined=combined,
        degrees_of_freedom=freedom,
        guard_band=guard_band,
        uncertainty=uncertainty,
        lower=lower,
        upper=upper,
        confidence=confidence,
        cautions=() if sd else (equal,),
    )


def _freedom(sampling: float, combined: float, freedom: int, gauge_freedom: float | None) -> float:
    """Welch and Satterthwaite's degrees of freedom of a sum of two uncertainties."""
    share = (sampling / combined) ** 2 if combined else 0.0
    lost = share**2 / freedom + ((1 - share) ** 2 / gauge_freedom if gauge_freedom else 0.0)
    return min(1 / lost, WELL_KNOWN) if lost else WELL_KNOWN


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
