"""Shares of the variance with their intervals, from the mean squares of a balanced study."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import floor, inf, isfinite, sqrt

from offtool.core.inspection.gauge.design import MEMBERS, Design
from offtool.core.inspection.gauge.results import GAUGE, PART, TOTAL, GaugeShare
from offtool.core.inspection.mean_squares import (
    MeanSquare,
    combination,
    combination_freedom,
    combination_interval,
    ratio_interval,
)
from offtool.core.values import Interval

CATEGORY_FACTOR = 1.41
"""Times part over gauge deviation gives the categories that a gauge tells apart; common practice."""
SPREAD = 6.0
"""Standard deviations that are compared with the tolerance; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """The variance of each single source, none below zero, and the mean squares that its intervals rest on.

    Intervals rest on the full design even where the estimates pool the interaction, so that they hold
    whether the pooling was right or not. `seen`: whether any repeat differs from another; without, no
    interval can be trusted.
    """

    design: Design
    mean_squares: tuple[MeanSquare, ...]
    variances: Mapping[str, float]
    gauge_freedom: float
    confidence: float
    seen: bool

    def variance(self, name: str) -> float:
        """Of a share that may be the sum of several sources."""
        return sum(self.variances.get(one, 0.0) for one in MEMBERS[name])

    def variance_interval(self, name: str) -> Interval | None:
        """Where the variance of a share lies."""
        if not self.seen:
            return None
        found = combination_interval(self._coefficients(name), self.mean_squares, self.confidence)
        members = (surer.variance_interval(member) for surer, member in self._members(name))
        return _holding(found, self.variance(name), members)

    def ratio_interval(self, name: str, over: str) -> Interval | None:
        """Where the ratio of two variances lies; a share of the whole is never more than it."""
        if not self.seen:
            return None
        above, below = self._coefficients(name), self._coefficients(over)
        found = _ratio_interval(above, below, self.mean_squares, self.confidence)
        most = 1.0 if over == TOTAL else inf
        cut = Interval(low=min(found.low, most), high=min(found.high, most), confidence=self.confidence)
        members = (surer.ratio_interval(member, over) for surer, member in self._members(name))
        return _holding(cut, self.variance(name) / self.variance(over), members)

    def _members(self, name: str) -> tuple[tuple[Split, str], ...]:
        """The single sources that a sum is made of, to be asked at half the risk; none of a single source."""
        members = tuple(one for one in MEMBERS[name] if one in self.design.sources)
        surer = replace(self, confidence=(1 + self.confidence) / 2)
        return tuple((surer, one) for one in members) if len(members) > 1 else ()

    def _coefficients(self, name: str) -> tuple[float, ...]:
        return self.design.coefficients(MEMBERS[name])


def estimates(design: Design, squares: tuple[float, ...]) -> dict[str, float]:
    """Variances from the mean squares; those below zero are put to zero."""
    observed = design.mean_squares(squares)
    return {
        source: max(0.0, combination(design.coefficients((source,)), observed)) for source in design.sources
    }


def gauge_freedom(design: Design, squares: tuple[float, ...], variances: Mapping[str, float]) -> float:
    """Degrees of freedom behind the gauge's deviation, after Satterthwaite; 0 where it is zero."""
    members = tuple(one for one in MEMBERS[GAUGE] if variances.get(one, 0.0) > 0)
    if not members:
        return 0.0
    return combination_freedom(design.coefficients(members), design.mean_squares(squares))


def shares(split: Split, tolerance: float | None) -> tuple[GaugeShare, ...]:
    """A share for each source that the design can tell."""
    return tuple(_share(split, name, tolerance) for name in split.design.shown())


def of_tolerance(sd: float, tolerance: float) -> float:
    """Six standard deviations over the tolerance."""
    return SPREAD * sd / tolerance


def categories(split: Split) -> tuple[float | None, Interval | None]:
    """1.41 times part over gauge deviation, and where it lies; None where the gauge shows no spread."""
    if not split.variance(GAUGE) > 0:
        return None, None
    value = CATEGORY_FACTOR * sqrt(split.variance(PART) / split.variance(GAUGE))
    ratio = split.ratio_interval(PART, GAUGE)
    if not isfinite(value):
        return None, None
    return value, ratio and scaled(rooted(ratio), CATEGORY_FACTOR)


def whole(interval: Interval | None) -> Interval | None:
    """Both ends cut to whole numbers."""
    if interval is None:
        return None
    high = float(floor(interval.high)) if isfinite(interval.high) else inf
    return Interval(low=float(floor(interval.low)), high=high, confidence=interval.confidence)


def rooted(interval: Interval) -> Interval:
    """The interval of a deviation from that of a variance."""
    return Interval(low=sqrt(interval.low), high=sqrt(interval.high), confidence=interval.confidence)


def scaled(interval: Interval, factor: float) -> Interval:
    """Both ends times a factor."""
    return Interval(low=factor * interval.low, high=factor * interval.high, confidence=interval.confidence)


def _share(split: Split, name: str, tolerance: float | None) -> GaugeShare:
    variance, whole_variance = split.variance(name), split.variance(TOTAL)
    sd, contribution = sqrt(variance), variance / whole_variance
    interval = split.variance_interval(name)
    sd_interval = interval and rooted(interval)
    part_of = None if name == TOTAL else split.ratio_interval(name, TOTAL)
    return GaugeShare(
        source=name,
        variance=variance,
        sd=sd,
        sd_interval=sd_interval,
        contribution=contribution,
        contribution_interval=part_of,
        of_variation=sqrt(contribution),
        of_variation_interval=part_of and rooted(part_of),
        of_tolerance=None if tolerance is None else of_tolerance(sd, tolerance),
        of_tolerance_interval=None
        if tolerance is None or sd_interval is None
        else scaled(sd_interval, SPREAD / tolerance),
    )


# A share is asked for by the table, by the sums that hold it and by the judgement.
_ratio_interval = lru_cache(maxsize=128)(ratio_interval)


def _holding(interval: Interval, value: float, members: Iterable[Interval | None]) -> Interval:
    """The interval, not lower than what a member alone is known to be, and made to hold the estimate.

    An estimate put to zero pulls the sums it is part of upwards.
    """
    low = max([interval.low, *(one.low for one in members if one is not None)])
    return Interval(low=min(low, value), high=max(interval.high, value), confidence=interval.confidence)
