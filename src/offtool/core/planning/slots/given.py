"""What a plan of trials is made from: presses with their jobs and hours, tools that wait, changes, engineers.

All times are hours from the beginning of the plan; money is in whatever currency the caller counts in.
"""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import ImpossibleInput, Range, nearest

NOTHING = ""
"""The name of the state before and after a press on which no job stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of time."""

    begins_h: float
    ends_h: float

    def __post_init__(self) -> None:
        if not self.ends_h > self.begins_h:
            limit = f"must be after the beginning, {self.begins_h:g} h"
            raise ImpossibleInput("ends_h", self.ends_h, "h", limit, "swap the two, or leave the stretch out")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedJob:
    """A job of production on a press; without an end it runs past the plan."""

    job: str
    begins_h: float
    ends_h: float | None
    may_stop: bool
    margin_per_h: float
    """Contribution that is lost for each working hour it stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPress:
    """A press: when it is worked, and its jobs in order."""

    press: str
    open: tuple[Stretch, ...]
    jobs: tuple[PlannedJob, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedSlot:
    """A place that is settled: the change to the trial begins there and then."""

    press: str
    starts_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingTrial:
    """A trial that wants a press."""

    trial: str
    tool: str
    hours: float
    """From the first shot to the last, without changes."""
    presses: tuple[str, ...]
    """Presses that may be offered."""
    earliest_h: float = 0.0
    """The tool is not there before."""
    due_h: float | None = None
    late_per_day: float = 0.0
    needs_engineer: bool = True
    fixed: FixedSlot | None = None
    comes_after: tuple[str, ...] = ()
    """Trials that must have given the tool back before its change begins: the earlier ones of one tool."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What it takes on a press to come from one job or trial to another.

    The hours stop the press; `cost` is what is used up by it, such as purged resin, without the press's time.
    A free press is named by an empty name. Between trials it is left out where one may not follow the other.
    """

    press: str
    before: str
    after: str
    hours: float
    cost: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotsGiven:
    """Everything a plan of trials is made from."""

    presses: tuple[PlannedPress, ...]
    trials: tuple[WaitingTrial, ...]
    changes: tuple[Change, ...]
    engineers: tuple[Stretch, ...]
    """Each stretch is one engineer who is there."""
    ends_h: float
    """Length of the plan."""
    step_min: int = 15
    """Times are counted in steps of so many minutes; what takes part of a step takes it whole."""


LIMITS = {
    "ends_h": Range(meaning="length of the plan", unit="h", above=0, at_most=24 * 92, remedy="plan less"),
    "step_min": Range(meaning="step of time", unit="min", at_least=1, at_most=240),
    "hours": Range(meaning="hours of the trial", unit="h", above=0, at_most=1000, remedy="give its hours"),
    "earliest_h": Range(meaning="when the tool is there", unit="h", at_most=1e6),
    "due_h": Range(meaning="when it is due", unit="h", at_most=1e6),
    "late_per_day": Range(meaning="cost of a day late", at_least=0, at_most=1e12),
    "margin_per_h": Range(
        meaning="contribution lost for each hour", at_least=0, at_most=1e12, remedy="a loss is not negative"
    ),
    "change_hours": Range(meaning="hours of a change", unit="h", at_least=0, at_most=1000),
    "change_cost": Range(meaning="cost of a change", at_least=0, at_most=1e12),
}
MOST_STEPS = 20_000


def refuse_impossible(given: SlotsGiven) -> None:
    """Raise ImpossibleInput for what cannot be: negative hours, unknown presses, names that stand twice."""
    _in_range("ends_h", given.ends_h)
    _in_range("step_min", given.step_min)
    if given.ends_h * 60 / given.step_min > MOST_STEPS:
        limit = f"gives more than {MOST_STEPS:,} steps"
        raise ImpossibleInput("step_min", given.step_min, "min", limit, "take longer steps or plan less")
    presses = [one.press for one in given.presses]
    jobs = [job.job for press in given.presses for job in press.jobs]
    trials = [one.trial for one in given.trials]
    _once("presses", presses)
    _once("jobs and trials", [*jobs, *trials])
    for press in given.presses:
        _refuse_jobs(press)
    for number, trial in enumerate(given.trials):
        _refuse_trial(trial, presses)
        _refuse_order(trial, trials[:number])
    for change in given.changes:
        _in_range("change_hours", change.hours)
        _in_range("change_cost", change.cost)
    _once("changes", [(one.press, one.before, one.after) for one in given.changes])


def _refuse_jobs(press: PlannedPress) -> None:
    for job in press.jobs:
        _in_range("margin_per_h", job.margin_per_h)
        if job.ends_h is not None and not job.ends_h > job.begins_h:
            limit = f"must be after its beginning, {job.begins_h:g} h"
            raise ImpossibleInput(f"end of {job.job}", job.ends_h, "h", limit, "correct its days")
    for one, next_one in zip(press.jobs, press.jobs[1:], strict=False):
        if one.ends_h is None or next_one.begins_h < one.ends_h:
            limit = f"must not begin before {one.job} ends on {press.press}"
            remedy = "correct the days of one of the two"
            raise ImpossibleInput(f"beginning of {next_one.job}", next_one.begins_h, "h", limit, remedy)


def _refuse_trial(trial: WaitingTrial, presses: list[str]) -> None:
    for name in ("hours", "earliest_h", "late_per_day"):
        _in_range(name, getattr(trial, name))
    if trial.due_h is not None:
        _in_range("due_h", trial.due_h)
    offered = [*trial.presses, *([trial.fixed.press] if trial.fixed else [])]
    for press in offered:
        if press not in presses:
            raise ImpossibleInput("press", press, "", "is not in the plan", nearest(press, presses))


def _refuse_order(trial: WaitingTrial, before: list[str]) -> None:
    for one in trial.comes_after:
        if one not in before:
            limit = f"does not stand before {trial.trial} in the list"
            raise ImpossibleInput("comes_after", one, "", limit, nearest(one, before) or "give it first")


def _in_range(name: str, value: float) -> None:
    LIMITS[name].refuse_impossible(name, value)


def _once(what: str, names: list[str] | list[tuple[str, str, str]]) -> None:
    seen: set[object] = set()
    for name in names:
        if name in seen:
            raise ImpossibleInput(what, name, "", "stands twice", "give each once")
        seen.add(name)
