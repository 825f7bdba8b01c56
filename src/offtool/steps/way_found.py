"""The way to the release as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.release import Standing
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class WayStep:
    """One step that is still to be done: why, how long, when, and whether it decides the end.

    `starts` and `ends` are its days where every step takes the middle of its range; it may end on `must_end`
    without moving the release. `ends_first` and `ends_last` are the band of its end.
    """

    step: str
    """Its name, once on the way: the kind, and the tool where it is of one."""
    kind: str
    title: str
    does: str
    tool: str
    because: str
    lines: tuple[str, ...]
    """Codes of the lines of the list that it answers."""
    after: tuple[str, ...]
    low_days: float
    high_days: float
    is_own: bool
    """Whether its days were said for this programme, and are not those of the handbook."""
    not_before: date | None
    starts: date
    ends: date
    ends_first: date
    ends_last: date
    must_end: date
    float_days: float
    decides: bool
    chance_to_decide: float
    sooner_days: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WayAction:
    """Something to do next, and why; the order is the order of effect."""

    do: str
    because: str
    step: str
    lines: tuple[str, ...]
    tool: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolOnWay:
    """How one tool stands against the release."""

    tool: str
    standing: Standing
    words: str
    next_step: str
    trials: tuple[str, ...]
    """Trials that are asked for and have not run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneStale:
    """A change, the lines of the list that it made stale, and those that were open before it already."""

    change: str
    on: date | None
    words: str
    lines: tuple[tuple[str, str], ...]
    """Code and title of each."""
    older: tuple[tuple[str, str], ...] = ()
    """Lines that did not hold or were not shown: what stands of them is older than the change as well."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WayToRelease:
    """What is still to be done until the release, what decides its day, and which day that is."""

    programme: str
    programme_title: str
    invented: bool
    on: date
    due: date | None
    headline: str
    verdict: Verdict | None
    """Whether the day that was asked is kept; None where none was."""
    chance_in_time: float | None
    ends: date
    ends_first: date
    ends_last: date
    even_chance: date
    """As likely before as after; steps side by side make it later than `ends`."""
    weeks: float
    confidence: float
    steps: tuple[WayStep, ...]
    path: tuple[str, ...]
    """One chain of steps that decides the end, first step first."""
    actions: tuple[WayAction, ...]
    tools: tuple[ToolOnWay, ...]
    gone_stale: tuple[GoneStale, ...]
    line_titles: tuple[tuple[str, str], ...]
    """Code and title of every line that is asked."""
    lines_met: int
    lines_asked: int
    rests_on: tuple[Fact, ...]
    missing: tuple[str, ...]
    method: str
    cautions: tuple[Caution, ...] = ()

    def of(self, step: str) -> WayStep:
        """The step of that name. Raises KeyError."""
        return {one.step: one for one in self.steps}[step]
