"""What the gauge studies answer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.values import Caution, Interval

REPEATABILITY = "repeatability"
OPERATOR = "operator"
INTERACTION = "operator × part"
REPRODUCIBILITY = "reproducibility"
GAUGE = "gauge"
PART = "part"
TOTAL = "total"


class GaugeJudgement(StrEnum):
    """What a gauge may be used for."""

    FIT = "fit"
    FIT_FOR_SOME = "fit for some uses"
    NOT_FIT = "not fit"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeReason:
    """The ratio that decided a judgement, in words, and what would settle what is open."""

    ratio: str
    value: float | None
    interval: Interval | None
    sentence: str
    settle: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeShare:
    """One source of variation: `contribution` is of the variance, `of_variation` of the deviation,
    `of_tolerance` six deviations over the tolerance.
    """

    source: str
    variance: float
    sd: float
    sd_interval: Interval | None
    contribution: float
    contribution_interval: Interval | None
    of_variation: float
    of_variation_interval: Interval | None
    of_tolerance: float | None
    of_tolerance_interval: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeGap:
    """A source that the study cannot tell, and why."""

    source: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnovaRow:
    """A line of the analysis of variance."""

    source: str
    sum_of_squares: float
    freedom: int
    mean_square: float | None
    f: float | None = None
    p: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeCell:
    """Repeated readings of one part by one operator."""

    part: str
    operator: str
    mean: float
    range: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStudy:
    """Where the variation of repeated readings comes from, and what the gauge may be used for.

    `not_separated` names sources without a share. `categories` is 1.41 part sd / gauge sd before it is cut to
    the whole number `distinct_categories`; both None where the gauge shows no spread of its own.
    """

    method: str
    shares: tuple[GaugeShare, ...]
    not_separated: tuple[GaugeGap, ...]
    anova: tuple[AnovaRow, ...]
    interaction_pooled: bool
    interaction_p: float | None
    pooling_rule: str
    categories: float | None
    distinct_categories: int | None
    distinct_categories_interval: Interval | None
    gauge_sd: float
    gauge_sd_interval: Interval | None
    gauge_freedom: float
    cells: tuple[GaugeCell, ...]
    judgement: GaugeJudgement
    reason: GaugeReason
    parts: int
    operators: int
    repeats: int
    confidence: float
    tolerance: float | None
    cautions: tuple[Caution, ...] = ()

    def share(self, source: str) -> GaugeShare | None:
        """The share of a source by name; None where the study cannot tell it."""
        return next((one for one in self.shares if one.source == source), None)
