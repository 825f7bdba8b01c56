"""The index that an exact gauge would show: the gauge's own repeatability taken out of the spread."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.mean_squares import MeanSquare, ratio_interval
from offtool.core.values import Caution, ImpossibleInput, Interval, Range


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactIndex:
    """The index that an exact gauge would show; `value` is None where the gauge explains all spread.

    `interval` has the bounds of the observed index, each with the least or the most that the gauge can take
    of the spread; each end is on the safe side (`python -m tests.coverage exact gauge`).
    """

    value: float | None
    interval: Interval
    share: float
    share_interval: Interval
    observed: float
    sd: float
    degrees_of_freedom: int
    repeatability: float
    repeatability_freedom: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "index": Range(meaning="index as observed, Ppk"),
        "low": Range(meaning="lower bound of that index", may_be_infinite=True),
        "high": Range(meaning="upper bound of that index", may_be_infinite=True),
        "sd": Range(meaning="standard deviation of the parts as observed", unit="as measured", above=0),
        "degrees_of_freedom": Range(meaning="behind that standard deviation", at_least=1),
        "repeatability": Range(
            meaning="standard deviation of one person reading one part again", unit="as measured", at_least=0
        ),
        "repeatability_freedom": Range(meaning="degrees of freedom behind the repeatability", at_least=1),
        "confidence": CONFIDENCE,
    },
    example={
        "index": 1.20,
        "low": 0.87,
        "high": 1.58,
        "sd": 0.005,
        "degrees_of_freedom": 19,
        "repeatability": 0.003,
        "repeatability_freedom": 30,
    },
    source="variances of independent causes add; the gauge's share by the F distribution, each bound on the "
    "safe side, put together by offtool",
)
def exact_index(
    index: float,
    low: float,
    high: float,
    sd: float,
    degrees_of_freedom: int,
    *,
    repeatability: float,
    repeatability_freedom: float,
    confidence: float = 0.95,
) -> ExactIndex:
    """The index of a cavity with the gauge's repeatability taken out of its spread.

    sd_exact^2 = s^2 - r^2, s observed and r of the study: index_exact = index / sqrt(1 - r^2/s^2). The way
    from the mean to the nearer limit stays as observed. r^2/s^2 has an interval from F.

    Returns: ExactIndex. Raises: ImpossibleInput for bounds that cross.

    Holds when: each part was read once, with the gauge of the study, as the study read it.

    Example: index 1.20 with s 0.005 and r 0.003 would be 1.50: 1.20 / sqrt(1 - 0.36) (by hand).
    """
    if low > high:
        raise ImpossibleInput("low", low, "", f"must not be above the upper bound {high:g}", "swap them")
    share = (repeatability / sd) ** 2
    pair = (MeanSquare(1.0, degrees_of_freedom), MeanSquare(share, repeatability_freedom))
    ends = ratio_interval((0.0, 1.0), (1.0, 0.0), pair, confidence)
    least, most = min(ends.low, 1.0), min(ends.high, 1.0)
    return ExactIndex(
        value=_without(index, share) if share < 1 else None,
        interval=Interval(
            low=_without(low, least if low > 0 else most),
            high=_without(high, most if high > 0 else least),
            confidence=confidence,
        ),
        share=min(share, 1.0),
        share_interval=Interval(low=least, high=most, confidence=confidence),
        observed=index,
        sd=sd,
        degrees_of_freedom=degrees_of_freedom,
        repeatability=repeatability,
        repeatability_freedom=repeatability_freedom,
        confidence=confidence,
        cautions=() if share < 1 else (Caution("the gauge scatters as much as the parts: no index is left"),),
    )


def _without(index: float, share: float) -> float:
    """An index with this share of its variance taken away."""
    if share < 1:
        return index / sqrt(1 - share)
    return inf if index > 0 else -inf if index < 0 else 0.0
