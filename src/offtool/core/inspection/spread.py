"""Mean and spread of a size, cavity by cavity, the spread pooled over cavities where they are alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import count as count_up

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range

# A cavity is given a spread of its own only on strong evidence: pooling a few unlike spreads costs less than
# judging by four degrees of freedom. Common practice, no source.
UNLIKE_BELOW = 0.01
STANDS_OUT_BELOW = 0.05
TWICE_AS_WIDE = 2.0
NINE_OUT_OF_TEN = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanFinding:
    """A mean, and where the true mean lies with the stated confidence."""

    mean: float
    sd: float
    parts: int
    interval: Interval
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitySpreads:
    """Mean, spread and count of each cavity; `freedom` is what stands behind each `sd`."""

    cavities: tuple[str, ...]
    parts: NDArray[np.int64]
    mean: NDArray[np.float64]
    own_sd: NDArray[np.float64]
    sd: NDArray[np.float64]
    freedom: NDArray[np.int64]
    alike_p: float | None
    pooled: bool
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"values": VALUES, "confidence": CONFIDENCE},
    example={"values": [9.262, 9.273, 9.256, 9.261, 9.268]},
    source="NIST/SEMATECH e-Handbook 1.3.5.2, confidence limits for the mean",
)
def mean_interval(values: Numbers, *, confidence: float = 0.95) -> MeanFinding:
    """Where the true mean of these parts lies.

    mean +- t(1 - a/2, n - 1) s / sqrt(n).

    Returns: MeanFinding. Raises: NotEnoughData for fewer than two readings.

    Example: 195 readings, mean 9.261460, s 0.022789 give 9.258242 to 9.264679 (e-Handbook 1.3.5.2).
    """
    array = np.asarray(values, dtype=float)
    if array.size < 2:
        raise NotEnoughData("one reading has no interval", remedy="measure at least two parts")
    mean, sd = mean_and_sd(array)
    reach = float(
        mean_reach(np.array([sd]), np.array([array.size]), np.array([array.size - 1]), confidence)[0]
    )
    return MeanFinding(
        mean=mean,
        sd=sd,
        parts=array.size,
        interval=Interval(low=mean - reach, high=mean + reach, confidence=confidence),
    )


def mean_and_sd(readings: NDArray[np.float64]) -> tuple[float, float]:
    """Mean and standard deviation (n - 1) of readings; one reading has none, which is told as 0.

    Counted from the first reading: equal readings then differ by nothing, and a large size loses no digit.
    """
    apart = readings - readings[0]
    sd = float(apart.std(ddof=1)) if readings.size > 1 else 0.0
    return float(readings[0] + apart.mean()), sd


@formula(
    limits={"values": VALUES, "cavities": Range(meaning="cavity of each reading")},
    example={"values": [4.01, 4.02, 4.01, 3.99, 3.98, 4.00], "cavities": ["1", "1", "1", "2", "2", "2"]},
    source="Bartlett 1937; NIST/SEMATECH e-Handbook 1.3.5.7",
)
def cavity_spreads(values: Numbers, cavities: Texts) -> CavitySpreads:
    """Mean and standard deviation of each cavity, pooled where the cavities spread alike.

    Cavities of one shot share melt, pressure and time, so their spreads are usually alike, and the pooled one
    rests on more parts. They are kept apart where Bartlett's test says so (p below 0.01) or one cavity
    stands out of the rest.

    Returns: CavitySpreads; `sd` is NaN for a single part with nothing to pool.
    Raises: ImpossibleInput when the two lists differ in length or are empty.
    """
    array = np.asarray(values, dtype=float)
    if array.size == 0 or array.size != len(cavities):
        raise ImpossibleInput(
            "cavities", len(cavities), "", f"must name the cavity of each of {array.size} readings"
        )
    labels, codes = np.unique(np.asarray(cavities), return_inverse=True)
    return spreads_by_code(array, codes, tuple(str(label) for label in labels))


def spreads_by_code(
    values: NDArray[np.float64], codes: NDArray[np.integer], labels: tuple[str, ...]
) -> CavitySpreads:
    """`cavity_spreads` for readings whose cavities are already numbered 0, 1, ... as in `labels`."""
    count = np.bincount(codes, minlength=len(labels))
    # From each cavity's first reading: equal readings then differ by nothing, a large size loses no digit.
    first = np.zeros(len(labels))
    first[codes[::-1]] = values[::-1]
    apart = values - first[codes]
    mean_apart = np.bincount(codes, weights=apart, minlength=len(labels)) / count
    squares = np.zeros(len(labels))
    np.add.at(squares, codes, (apart - mean_apart[codes]) ** 2)
    mean = first + mean_apart
    freedom = count - 1
    own_sd = np.sqrt(np.divide(squares, freedom, out=np.full(len(labels), np.nan), where=freedom > 0))
    alike_p = _alike_p(squares, freedom)
    pooled = alike_p is not None and alike_p >= UNLIKE_BELOW and not _one_stands_out(squares, freedom)
    sd = own_sd
    if pooled:
        sd = np.full(len(labels), float(np.sqrt(squares.sum() / freedom.sum())))
        freedom = np.full(len(labels), freedom.sum())
    return CavitySpreads(
        cavities=labels,
        parts=count,
        mean=mean,
        own_sd=own_sd,
        sd=sd,
        freedom=freedom,
        alike_p=alike_p,
        pooled=pooled,
    )


def mean_reach(
    sd: NDArray[np.float64], parts: NDArray[np.int64], freedom: NDArray[np.int64], confidence: float
) -> NDArray[np.float64]:
    """Half the width of the interval of each mean; infinite where there is no spread to go by."""
    quantile = special.stdtrit(np.maximum(freedom, 1), (1 + confidence) / 2)
    return np.where((freedom > 0) & np.isfinite(sd), quantile * sd / np.sqrt(parts), np.inf)


@cache
def chance_to_see_wide(parts: int, cavities: int) -> float:
    """How often one cavity that spreads twice as wide as the others is kept apart from them by its F test."""
    own, rest = parts - 1, (cavities - 1) * (parts - 1)
    limit = special.fdtri(own, rest, 1 - STANDS_OUT_BELOW / cavities)
    return float(special.fdtrc(own, rest, limit / TWICE_AS_WIDE**2))


@cache
def parts_to_see_wide(cavities: int) -> int:
    """Parts of each cavity that see it nine times out of ten."""
    return next(n for n in count_up(2) if chance_to_see_wide(n, cavities) >= NINE_OUT_OF_TEN)


def _one_stands_out(squares: NDArray[np.float64], freedom: NDArray[np.integer]) -> bool:
    """Whether one cavity spreads wider than all the others together, or reads all equal where others do not.

    Bartlett's test looks at all cavities at once and overlooks one wild one among many calm ones; this looks
    at each against the rest (F, one-sided, 0.05 over all of them).
    """
    several = freedom > 0
    if (squares[several] == 0).any():
        return bool((squares[several] > 0).any())
    rest, rest_freedom = squares[several].sum() - squares[several], freedom[several].sum() - freedom[several]
    compared = rest_freedom > 0
    if not compared.any():
        return False
    ratio = (squares[several] / freedom[several])[compared] / (rest / np.maximum(rest_freedom, 1))[compared]
    p = special.fdtrc(freedom[several][compared], rest_freedom[compared], ratio)
    return bool((p < STANDS_OUT_BELOW / several.sum()).any())


def _alike_p(squares: NDArray[np.float64], freedom: NDArray[np.integer]) -> float | None:
    """p of Bartlett's test; 1 where it cannot be run but pooling is all there is; None with one cavity."""
    if len(freedom) < 2 or freedom.sum() < 1:
        return None
    tested = (freedom > 0) & (squares > 0)
    f, groups = freedom[tested], int(tested.sum())
    if groups < 2 or groups < (freedom > 0).sum():
        return 1.0
    variances = squares[tested] / f
    total = f.sum()
    statistic = total * np.log((f * variances).sum() / total) - (f * np.log(variances)).sum()
    statistic /= 1 + ((1 / f).sum() - 1 / total) / (3 * (groups - 1))
    return float(special.chdtrc(groups - 1, statistic))
