"""Why a trial has no place: which rule alone forbids it, and what would give it one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.core.planning.slots.given import PlannedPress, SlotsGiven, Stretch, WaitingTrial
from offtool.core.planning.slots.greedy import Standing
from offtool.core.planning.slots.results import UnplacedTrial
from offtool.core.planning.slots.ways import Shop


def why_unplaced(shop: Shop, standing: Standing, number: int) -> UnplacedTrial:
    """What stands against a trial: rules that, lifted alone, would give it a place."""
    trial = shop.trials[number]
    told = [*_told(shop, standing, number)]
    return UnplacedTrial(
        trial=trial.trial,
        tool=trial.tool,
        because=tuple(because for because, _ in told),
        remedies=tuple(remedy for _, remedy in told),
    )


def _told(shop: Shop, standing: Standing, number: int) -> Iterator[tuple[str, str]]:
    given, trial = shop.given, shop.trials[number]
    presses = (trial.fixed.press,) if trial.fixed is not None else trial.presses
    if not presses:
        yield "no press can be offered to it", "say which press holds the tool, or give the sizes of the tool"
        return
    if (waits := _waits_for(shop, standing, number)) is not None:
        yield waits
        return
    if _has_place(_alone(given, trial)):
        others = sorted(
            shop.trials[block.slot.trial].trial
            for press in presses
            for block in standing.ledgers[press].blocks
        )
        yield (
            f"other trials have its press or the engineers then ({', '.join(others) or 'on other presses'})",
            "give it another press, plan more days, or bring another engineer",
        )
        return
    lifted = list(_lifted(given, trial))
    yield from lifted
    if not lifted:
        yield (
            "more than one rule stands against it: hours, engineers and jobs together",
            "plan more days, shorten the trial, or let a job be stopped",
        )


def _waits_for(shop: Shop, standing: Standing, number: int) -> tuple[str, str] | None:
    """The earlier trials of its tool that have no place themselves."""
    placed = {one.slot.trial for one in standing.blocks()}
    missing = [shop.trials[one].trial for one in shop.comes_after[number] if one not in placed]
    if not missing or shop.trials[number].fixed is not None:
        return None
    return f"it comes after {', '.join(missing)}, without a place", f"find a place for {missing[0]} first"


def _lifted(given: SlotsGiven, trial: WaitingTrial) -> Iterator[tuple[str, str]]:
    """Each rule that alone forbids it, with what would lift it."""
    alone = _alone(given, trial)
    if trial.fixed is not None and _has_place(_only(alone, replace(trial, fixed=None))):
        yield (
            f"it is fixed on {trial.fixed.press} where it cannot stand",
            "release the slot, or fix it at another time",
        )
        return
    stoppable = replace(alone, presses=tuple(_all_may_stop(one) for one in alone.presses))
    if _has_place(stoppable):
        jobs = "; ".join(job for press in _presses(given, trial) for job in _firm(press))
        yield jobs, "agree that the job may be stopped for a trial, or say when it ends"
    if trial.needs_engineer and _has_place(_only(alone, replace(trial, needs_engineer=False))):
        yield (
            f"no engineer is there for {hours_in_words(trial.hours)} at a stretch while a press can be had",
            "say when an engineer is there, or shorten the trial",
        )
    always = replace(alone, presses=tuple(_always_open(one, given.ends_h) for one in alone.presses))
    if _has_place(always):
        yield (
            f"no press is worked long enough at a stretch for {hours_in_words(trial.hours)} and the changes",
            "work a press longer that day, or split the trial",
        )
    if trial.earliest_h > 0 and _has_place(_only(alone, replace(trial, earliest_h=0.0))):
        yield (
            "too little of these days is left from when it may begin",
            "plan more days, or have its tool earlier",
        )


def hours_in_words(hours: float) -> str:
    """43 min; 3 h; 1 h 7 min."""
    whole, minutes = divmod(round(hours * 60), 60)
    told = [f"{whole} h"] * (whole > 0) + [f"{minutes} min"] * (minutes > 0 or whole == 0)
    return " ".join(told)


def _alone(given: SlotsGiven, trial: WaitingTrial) -> SlotsGiven:
    """The shop with this trial only."""
    return _only(given, replace(trial, comes_after=()))


def _only(given: SlotsGiven, trial: WaitingTrial) -> SlotsGiven:
    return replace(given, trials=(replace(trial, comes_after=()),))


def _has_place(given: SlotsGiven) -> bool:
    shop = Shop(given)
    standing, trial = Standing(shop), given.trials[0]
    presses = (trial.fixed.press,) if trial.fixed is not None else trial.presses
    return any(standing.best_place(0, press) is not None for press in presses)


def _presses(given: SlotsGiven, trial: WaitingTrial) -> list[PlannedPress]:
    names = {trial.fixed.press} if trial.fixed is not None else set(trial.presses)
    return [one for one in given.presses if one.press in names]


def _firm(press: PlannedPress) -> Iterator[str]:
    for job in press.jobs:
        if not job.may_stop:
            ends = "" if job.ends_h is not None else "runs without an end and "
            yield f"{job.job} {ends}may not be stopped"


def _all_may_stop(press: PlannedPress) -> PlannedPress:
    return replace(press, jobs=tuple(replace(job, may_stop=True) for job in press.jobs))


def _always_open(press: PlannedPress, ends_h: float) -> PlannedPress:
    return replace(press, open=(Stretch(begins_h=0, ends_h=ends_h),))
