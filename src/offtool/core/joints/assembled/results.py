"""What is said of an assembled joint: shares by grade, pair by pair and in the mix, and what moves them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, Interval
from offtool.handbook.terms import JointKind


class Grade(StrEnum):
    """How an assembled joint is; overstrained goes before all others."""

    LOOSE = "loose"
    GOOD = "good"
    TIGHT = "tight"
    OVERSTRAINED = "overstrained"


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeShare:
    """The share of joints of one grade, and where it can lie with what is not known."""

    share: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class AssembledShares:
    """What comes of putting pieces together: shares by grade, and the measure as pieces vary.

    Mean, sd and the two ends of the middle 95 % are of pieces at the best estimates, with friction in its
    middle. Pieces that lock for good (`locked`, a share) are above every limit and counted in the grades
    only; where all lock, mean and ends are infinite (null in JSON) and sd is 0.
    """

    loose: GradeShare
    good: GradeShare
    tight: GradeShare
    overstrained: GradeShare
    mean: float
    sd: float
    middle_low: float
    middle_high: float
    combinations: int
    locked: float = 0.0

    def of(self, grade: Grade) -> GradeShare:
        """The share of a grade."""
        found: GradeShare = getattr(self, grade.name.lower())
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class AssembledPair:
    """One cavity of each part (in the order of `AssembledJoint.parts`), put together."""

    cavities: tuple[str, ...]
    shares: AssembledShares


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeUsed:
    """One size as it went into the pieces: `sd` without the gauge, of `freedom` degrees (None: given).

    `part` and `cavity` are empty for a size that was given. `pooled` says that the spread is that of all
    cavities together.
    """

    role: str
    part: str
    cavity: str
    mean: float
    sd: float
    observed_sd: float
    gauge_sd: float
    parts: int
    freedom: float | None
    pooled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """Joints of the mix whose measure lies between two edges, as shares of all, by grade."""

    low: float
    high: float
    loose: float
    good: float
    tight: float
    overstrained: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """What one size adds to the variance of the measure in the mix.

    `slope` is d measure / d size where the sizes stand on average, 0 where the joint locks there. The shares
    are of the whole variance: between the means of cavities, and within a cavity; each may be below nothing
    where sizes go together.
    """

    role: str
    part: str
    unit: str
    slope: float
    share: float
    between: float
    within: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionEffect:
    """What is not known of friction does to the mean of the mix; it does not vary from piece to piece here.

    `beside_variance` is the variance of the mean over the range of friction, over that of the pieces. Means
    are of the pieces that do not lock; infinite where all do, and then without a slope (0).
    """

    friction: Span
    mean_at_low: float
    mean_at_high: float
    slope: float
    beside_variance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PairFlow:
    """How many of all joints are to be made of these two cavities."""

    first: str
    second: str
    share: float
    good: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """What keeping cavities apart and pairing them on purpose would gain in good joints.

    `gain` is against the random mix; its interval holds for these very pairs, which were chosen because they
    look best.
    """

    flows: tuple[PairFlow, ...]
    good: float
    good_at_random: float
    gain: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class AssembledJoint:
    """A joint as assembly will see it. `pairs` has one entry a combination of cavities, in natural order.

    `rest_of_variance` is what the sizes' straight lines do not explain: bends, and sizes acting together.
    `histogram` is of the pieces that do not lock, as shares of all; empty where all lock.
    `draws` is how many sets of plausible means, spreads and frictions stand behind the intervals.
    """

    kind: JointKind
    measure: str
    unit: str
    lower: float | None
    upper: float | None
    friction: Span | None
    parts: tuple[str, ...]
    pairs: tuple[AssembledPair, ...]
    mix: AssembledShares
    histogram: tuple[Bar, ...]
    sizes: tuple[SizeUsed, ...]
    contributions: tuple[Contribution, ...]
    rest_of_variance: float
    friction_effect: FrictionEffect | None
    pairing: Pairing | None
    combinations: int
    draws: int
    seed: int
    confidence: float
    cautions: tuple[Caution, ...] = ()

    def pair(self, *cavities: str) -> AssembledPair:
        """The combination of these cavities."""
        return next(one for one in self.pairs if one.cavities == cavities)
