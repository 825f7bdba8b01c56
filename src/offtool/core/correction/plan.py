"""What a correction plan says: where sizes stand, what is cut, what is left alone, what to expect."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.correction.choice import Bound
from offtool.core.correction.cutting import Cutting
from offtool.core.correction.pooled import PooledShrinkage
from offtool.core.correction.shrinkage import Split
from offtool.core.values import Caution, Interval, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where one size in one cavity stands, why, and how sure that is."""

    size: str
    cavity: str
    mean_mm: float
    sd_mm: float
    setup_sd_mm: float
    spread_mm: float | None
    parts: int
    steel_mm: float | None
    shrinkage: float | None
    split: Split | None
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanExpected:
    """What the next trial's mean should be."""

    size: str
    cavity: str
    mean: float
    sd: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCut:
    """One cut: how much, what it leaves, why, and what to expect of every size it moves."""

    feature: str
    cavity: str
    amount_mm: float
    centring_mm: float
    size_before_mm: float
    size_after_mm: float
    allowance_left_mm: float
    cause: str
    bound: Bound
    holds_now: float
    holds_after: float
    overshoot: float
    expected: tuple[MeanExpected, ...]


class WhyLeft(StrEnum):
    """Why a size that does not hold yet is not cut."""

    NO_FEATURE = "no steel feature is recorded that moves it"
    NO_STEEL = "its steel was never measured: steel and shrinkage cannot be told apart"
    NEEDS_STEEL = Bound.NEEDS_STEEL.value
    ALLOWANCE = Bound.ALLOWANCE.value
    FAR_LIMIT = Bound.FAR_LIMIT.value
    SPREAD = Bound.SPREAD.value
    FEW_PARTS = "it stands well, too few parts show it"
    NO_GAIN = "no cut makes it more likely to hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone:
    """A size that does not hold yet and is not cut, with the reason and what to do instead."""

    size: str
    cavity: str
    why: WhyLeft
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionPlan:
    """The cuts, what is left alone and why, and what both rest on."""

    cuts: tuple[PlannedCut, ...]
    left_alone: tuple[LeftAlone, ...]
    standing: tuple[Standing, ...]
    directions: dict[str, PooledShrinkage]
    setup_sd: float
    cutting: Cutting
    state: str
    cautions: tuple[Caution, ...] = ()
