"""What a line is found to make, as one object: page, command, sheet and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.pilot.balance import LineBalance, TimedRate
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.line_known import LineKnown


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsked:
    """What was asked of a line; all None: what is planned."""

    rate_per_h: float | None = None
    stations: int | None = None
    people: int | None = None
    seconds: float = 3.0

    @property
    def is_a_question(self) -> bool:
        """Whether somebody asked for something else than the plan."""
        return any(one is not None for one in (self.rate_per_h, self.stations, self.people))


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskMoved:
    """A task that the proposal does at another station than the line as adopted."""

    task: str
    was: int | None
    now: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PeopleMoved:
    """A station where a proposal has other people than the line says."""

    station: int
    was: int
    now: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFound:
    """One line: what it makes, what to do, why."""

    programme: str
    programme_title: str
    invented: bool
    line: str
    asked: LineAsked
    known: LineKnown
    needed_per_h: float | None
    """Pieces that must enter in an hour, so that the plan of good pieces is kept."""
    headline: str
    verdict: Verdict
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    adopted: LineBalance | None
    """The line with each task at its adopted place; None where one has none, or a place breaks a rule."""
    adopted_timed: TimedRate | None
    why_not_adopted: str
    proposal: LineBalance | None
    """What the balance proposes for what is asked; None where it cannot be, or nothing is asked."""
    proposal_timed: TimedRate | None
    why_no_proposal: str
    means: str
    """How the question was taken, in a sentence; empty where it needs no word."""
    with_people_at_hand: LineBalance | None
    """The best rate of the people at hand, where the plan needs more of them."""
    moved: tuple[TaskMoved, ...]
    """From the adopted places to the proposed ones."""
    manned: tuple[PeopleMoved, ...]
    """Stations with other people than the line says; where people are shared out."""
    method: str
    cautions: tuple[Caution, ...] = ()

    @property
    def shown(self) -> LineBalance | None:
        """The line that the verdict is about: what was asked for, else the adopted one, else the proposal."""
        if self.asked.is_a_question:
            return self.proposal
        return self.adopted or self.proposal

    @property
    def shown_timed(self) -> TimedRate | None:
        """Between which rates that lies."""
        return self.adopted_timed if self.shown is self.adopted else self.proposal_timed

    @property
    def is_adopted(self) -> bool:
        """Whether the verdict is about the line as it was adopted."""
        return self.adopted is not None and self.shown is self.adopted

    @property
    def differs(self) -> bool:
        """Whether the proposal has some task or person elsewhere than the adopted line."""
        moved = self.moved or self.manned
        return self.adopted is not None and self.proposal is not None and bool(moved)
