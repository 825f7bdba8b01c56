"""Performance index of a size against its limits, with the bounds that its number of parts allows."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE, LOWER, PARTS, UPPER, require_limits, too_few
from offtool.core.values import Caution, Range

MOST_PARTS_WORTH_PLANNING = 1000
EXACT_UP_TO = 1e3
"""Beyond it the exact routine for the noncentral t does not come back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PerformanceIndex:
    """Ppk (ISO 22514-2 sense, normal spread), with a lower and an upper confidence bound, each one-sided.

    The lower bound is exact for one limit and on the safe side for two; the upper bound likewise.
    """

    value: float
    low: float
    high: float
    confidence: float
    mean: float
    sd: float
    parts: int
    degrees_of_freedom: int
    lower: float | None
    upper: float | None
    cautions: tuple[Caution, ...] = ()

    @property
    def potential(self) -> float | None:
        """Pp, what the index would be if the mean stood in the middle; None with one limit only."""
        if self.lower is None or self.upper is None:
            return None
        return (self.upper - self.lower) / (6 * self.sd) if self.sd else inf


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsToShow:
    """How many parts a cavity needs so that an index is shown, if what was observed is the truth."""

    parts: int | None
    observed_index: float
    required_index: float
    cavities: int
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "mean": Range(meaning="mean of the parts", unit="as measured"),
        "sd": Range(
            meaning="standard deviation of the parts",
            unit="as measured",
            above=0,
            remedy="all readings are equal: use a finer gauge",
        ),
        "parts": PARTS,
        "lower": LOWER,
        "upper": UPPER,
        "degrees_of_freedom": Range(
            meaning="behind the standard deviation; parts - 1 unless it is pooled over cavities", at_least=1
        ),
        "confidence": CONFIDENCE,
    },
    example={"mean": 16.0, "sd": 2.0, "parts": 30, "lower": 8.0, "upper": 20.0},
    source="ISO 22514-2 for the index; bounds from the noncentral t distribution "
    "(Kotz and Johnson 1993, Process Capability Indices, ch. 2)",
)
def performance_index(
    mean: float,
    sd: float,
    parts: int,
    *,
    lower: float | None = None,
    upper: float | None = None,
    degrees_of_freedom: int | None = None,
    confidence: float = 0.95,
) -> PerformanceIndex:
    """How many times three standard deviations fit between the mean and the nearer limit.

    Ppk = min((U - mean) / 3s, (mean - L) / 3s). sqrt(n) (U - mean) / s follows a noncentral t with
    noncentrality 3 sqrt(n) C, which gives the bounds; with two limits the bound of the nearer limit is on the
    safe side, because the index is the smaller of the two.

    Returns: PerformanceIndex. Raises: ImpossibleInput for limits that cross, or none; sd not above zero.

    Holds when: parts are alike and normal; `sd` may be pooled over cavities, then `degrees_of_freedom` says
    so.

    Example: limits 8 and 20, mean 16, s 2 give Ppk 0.667 (NIST/SEMATECH e-Handbook 6.1.6).
    """
    require_limits(lower, upper)
    freedom = parts - 1 if degrees_of_freedom is None else degrees_of_freedom
    if freedom < 1:
        raise too_few()
    value = index_values(np.array([mean]), sd, lower, upper)
    low, high = index_bounds(
        value, np.array([parts]), freedom, confidence, two_limits=None not in (lower, upper)
    )
    return PerformanceIndex(
        value=float(value[0]),
        low=float(low[0]),
        high=float(high[0]),
        confidence=confidence,
        mean=mean,
        sd=sd,
        parts=parts,
        degrees_of_freedom=freedom,
        lower=lower,
        upper=upper,
    )


@formula(
    limits={
        "observed_index": Range(meaning="Ppk found so far", above=0),
        "required_index": Range(
            meaning="Ppk to be shown", above=0, usual=(0.67, 2.0), source="common practice, no source"
        ),
        "cavities": Range(meaning="cavities over which the standard deviation is pooled", at_least=1),
        "confidence": CONFIDENCE,
    },
    example={"observed_index": 1.71, "required_index": 1.33},
    source="noncentral t distribution, as for performance_index",
)
def parts_to_show(
    observed_index: float, required_index: float, *, cavities: int = 1, confidence: float = 0.95
) -> PartsToShow:
    """How many parts of each cavity to measure so that an index can be shown.

    The smallest n whose lower bound reaches the required index when Ppk is found again as observed.

    Returns: PartsToShow; `parts` is None where more than 1000 would be needed: then centre the size instead.

    Example: an observed 1.71 shows 1.33 with 32 parts of one cavity (independent bisection in the tests).
    """

    def shown(parts: int) -> bool:
        low, _ = index_bounds(
            np.array([observed_index]), np.array([parts]), cavities * (parts - 1), confidence, two_limits=True
        )
        return bool(low[0] >= required_index)

    count = bisect_left(range(2, MOST_PARTS_WORTH_PLANNING + 1), True, key=shown) + 2
    return PartsToShow(
        parts=count if count <= MOST_PARTS_WORTH_PLANNING else None,
        observed_index=observed_index,
        required_index=required_index,
        cavities=cavities,
        confidence=confidence,
    )


def index_values(
    mean: NDArray[np.float64], sd: float | NDArray[np.float64], lower: float | None, upper: float | None
) -> NDArray[np.float64]:
    """Ppk for arrays of means; the array side of `performance_index`."""
    room = np.full(np.shape(mean), inf)
    if lower is not None:
        room = np.minimum(room, mean - lower)
    if upper is not None:
        room = np.minimum(room, upper - mean)
    return np.asarray(room / (3 * np.asarray(sd)))


def index_bounds(
    index: NDArray[np.float64],
    parts: NDArray[np.int64],
    freedom: int | NDArray[np.int64],
    confidence: float,
    *,
    two_limits: bool,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lower and upper one-sided bounds of indices, for arrays."""
    return (
        index_lows(index, parts, freedom, confidence),
        index_highs(index, parts, freedom, confidence, two_limits=two_limits),
    )


def index_lows(
    index: NDArray[np.float64], parts: NDArray[np.int64], freedom: int | NDArray[np.int64], confidence: float
) -> NDArray[np.float64]:
    """Lower one-sided bounds alone."""
    scale = 3 * np.sqrt(parts)
    return np.asarray(_noncentrality(scale * index, freedom, confidence) / scale)


def index_highs(
    index: NDArray[np.float64],
    parts: NDArray[np.int64],
    freedom: int | NDArray[np.int64],
    confidence: float,
    *,
    two_limits: bool,
) -> NDArray[np.float64]:
    """Upper one-sided bounds alone.

    With two limits the smaller of two estimates falls low more often, so the bound takes half the risk.
    """
    scale = 3 * np.sqrt(parts)
    tail = (1 - confidence) / (2 if two_limits else 1)
    return np.asarray(_noncentrality(scale * index, freedom, tail) / scale)


def _noncentrality(
    t: NDArray[np.float64], freedom: int | NDArray[np.int64], tail: float
) -> NDArray[np.float64]:
    """The noncentrality under which `t` is exceeded with probability 1 - tail."""
    within = np.abs(t) < EXACT_UP_TO
    exact = special.nctdtrinc(freedom, tail, np.where(within, t, 0.0))
    # Beyond the reach of the exact routine: t - nc = z sqrt(1 + t^2 / 2f) (Johnson and Welch 1940).
    rough = t - special.ndtri(tail) * np.sqrt(1 + t**2 / (2 * np.asarray(freedom)))
    return np.where(within & np.isfinite(exact), exact, rough)
