"""Where the trials go, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.values import Caution
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class PressElsewhere:
    """Another press for a trial: what it would cost more, or why it has no place there."""

    press: str
    more: float | None
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FullPurge:
    """The barrel is purged empty between two resins that must never meet: a change of its own, by itself."""

    when: str
    """Before the trial, or after it."""
    old: str
    new: str
    hours: float
    cost: float | None
    """None where the new resin has no price."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialSlot:
    """A trial with its press and its times, what it costs, and why it is there."""

    trial: str
    tool: str
    name: str
    press: str
    begins: datetime
    """The press is given up and the change begins."""
    first_shot: datetime
    last_shot: datetime
    ends: datetime
    """The press is given back; where another trial follows, the last shot."""
    followed_by: str
    """The trial that comes next on that press, before the press is given back; empty where none does."""
    stops: str
    """The job that stands meanwhile, in words; empty on a free press."""
    comes_after: str
    colour: str
    stands_h: float
    lost: float
    used: float
    late_h: float
    late_cost: float
    cost: float
    is_fixed: bool
    elsewhere: tuple[PressElsewhere, ...]
    never: tuple[Caution, ...]
    """Rules on resins that must never meet, of what is before it and what follows; they stand first."""
    purges: tuple[FullPurge, ...]
    """In the hours and the cost of the slot too."""
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialWithout:
    """A trial without a place, why, and what would give it one."""

    trial: str
    tool: str
    name: str
    because: tuple[str, ...]
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOnPress:
    """A job as the plan leaves it."""

    job: str
    press: str
    says: str
    colour: str
    on_screen: str
    """Its colour as a screen shows it; empty where it is not measured."""
    begins: datetime
    ends: datetime | None
    stands_h: float
    later_h: float
    """Its end, after the end that was said."""
    begins_later_h: float
    """Its beginning, after the beginning that was said: a job or trial before it takes longer."""
    may_stop: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressHours:
    """A press and the stretches in which it is worked."""

    press: str
    open: tuple[tuple[datetime, datetime], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialMoved:
    """A trial that moves when another slips; nothing for no place."""

    trial: str
    was_press: str
    was: datetime | None
    now_press: str
    now: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipSeen:
    """What happens when a trial slips."""

    trial: str
    by_h: float
    headline: str
    now_press: str
    now: datetime | None
    moves: tuple[TrialMoved, ...]
    more: float
    is_proved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotsFound:
    """All trials that wait, each with its press and time."""

    programme: str
    programme_title: str
    invented: bool
    from_day: date
    days: int
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    placed: tuple[TrialSlot, ...]
    unplaced: tuple[TrialWithout, ...]
    presses: tuple[PressHours, ...]
    jobs: tuple[JobOnPress, ...]
    currency: str
    cost: float
    lost: float
    used: float
    late_cost: float
    bound: float
    """No plan for as many trials costs less; below 0 where nothing is proved."""
    gap: float
    is_proved: bool
    hurried_cost: float
    hurried_unplaced: int
    slip: SlipSeen | None
    missing: tuple[str, ...]
    method: str
    never: tuple[Caution, ...] = ()
    """Rules on resins that must never meet, where a slot comes near to one."""
    cautions: tuple[Caution, ...] = ()
