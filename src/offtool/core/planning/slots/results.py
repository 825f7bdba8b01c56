"""What a plan of trials says: where each goes, which jobs stand, what it costs, how near to the best."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.planning.slots.given import SlotsGiven
from offtool.core.values import Caution


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """Another press for a trial while all others stay: what it costs more, or which rules forbid it."""

    press: str
    more: float | None
    """None where it has no place there."""
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTrial:
    """A trial with its press and times, in hours from the plan's beginning, and what it costs."""

    trial: str
    tool: str
    press: str
    begins_h: float
    """The press is given up and the change begins."""
    first_shot_h: float
    last_shot_h: float
    ends_h: float
    """The press is given back."""
    stops: str
    """The job that stands meanwhile; empty on a free press."""
    before: str
    """The job or trial it comes after; empty for a press on which nothing ran."""
    after: str
    """The job or trial that comes next; empty where nothing does."""
    stands_h: float
    lost: float
    used: float
    """What the changes use up."""
    late_h: float
    late_cost: float
    stage: int
    """Which job or gap of the press it stands in, counted from the plan's beginning."""
    is_fixed: bool
    elsewhere: tuple[Elsewhere, ...] = ()

    @property
    def cost(self) -> float:
        """All of it."""
        return self.lost + self.used + self.late_cost


@dataclass(frozen=True, slots=True, kw_only=True)
class UnplacedTrial:
    """A trial without a place, why, and what would give it one."""

    trial: str
    tool: str
    because: tuple[str, ...]
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLeft:
    """A job as the plan leaves it; an end is None where it runs past the plan."""

    job: str
    press: str
    told_begins_h: float
    told_ends_h: float | None
    begins_h: float
    ends_h: float | None
    stands_h: float
    may_stop: bool

    @property
    def later_h(self) -> float:
        """Hours on the clock that its end moves."""
        if self.ends_h is None or self.told_ends_h is None:
            return 0.0
        return self.ends_h - self.told_ends_h


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotPlan:
    """A press and a time for each trial at the least cost found, and how far that can be from the best."""

    placed: tuple[PlacedTrial, ...]
    unplaced: tuple[UnplacedTrial, ...]
    jobs: tuple[JobLeft, ...]
    cost: float
    bound: float
    """No plan that places as many trials costs less; -inf where even that is not proved."""
    gap: float
    """Share of the cost by which a better plan could be cheaper."""
    is_proved: bool
    """No plan is better."""
    hurried_cost: float
    """Cost of the plan that gives the cheapest place left to the trial due first."""
    hurried_unplaced: int
    given: SlotsGiven
    cautions: tuple[Caution, ...] = ()

    @property
    def lost(self) -> float:
        """Contribution lost."""
        return sum(one.lost for one in self.placed)

    @property
    def used(self) -> float:
        """What the changes use up."""
        return sum(one.used for one in self.placed)

    @property
    def late_cost(self) -> float:
        """What lateness costs."""
        return sum(one.late_cost for one in self.placed)

    def of(self, trial: str) -> PlacedTrial | None:
        """The place of a trial."""
        return next((one for one in self.placed if one.trial == trial), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A trial that moves when another slips; a place is None where it has none."""

    trial: str
    was: PlacedTrial | None
    now: PlacedTrial | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipFound:
    """What happens when a trial slips: who moves, and what it costs more."""

    trial: str
    by_h: float
    moves: tuple[Move, ...]
    """The others that move."""
    more: float
    was: SlotPlan
    now: SlotPlan
    cautions: tuple[Caution, ...] = ()
