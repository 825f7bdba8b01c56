"""What moves when a trial slips: plan again with it later, at least cost, then with the fewest moves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.core.planning.slots.given import SlotsGiven
from offtool.core.planning.slots.results import Move, SlipFound, SlotPlan
from offtool.core.planning.slots.solve import SECONDS, SEED, place_again, place_trials
from offtool.core.values import ImpossibleInput, Range, nearest

BY = Range(meaning="how much later", unit="h", above=0, at_most=24 * 92, remedy="give the hours it slips")


def slip_trial(
    given: SlotsGiven,
    trial: str,
    *,
    by_h: float,
    was: SlotPlan | None = None,
    seconds: float = SECONDS,
    workers: int = 2,
    seed: int = SEED,
) -> SlipFound:
    """Who moves when one trial slips by so many hours, and what it costs more.

    The slipped trial may not begin before its old beginning + the hours, its own fixed slot is released, and
    the slots that are fixed for others stay. Cost is made least first; among plans of that cost the one with
    the fewest other moves is taken.

    Returns: SlipFound with both plans. Raises: ImpossibleInput for a trial that has no place in the plan.

    Holds when: as `place_trials`.
    """
    BY.refuse_impossible("by_h", by_h)
    before = was if was is not None else place_trials(given, seconds=seconds, workers=workers, seed=seed)
    old = before.of(trial)
    if old is None:
        placed = [one.trial for one in before.placed]
        raise ImpossibleInput(
            "trial", trial, "", "has no place that it could slip from", nearest(trial, placed)
        )
    later = tuple(
        replace(one, earliest_h=old.begins_h + by_h, fixed=None) if one.trial == trial else one
        for one in given.trials
    )
    now = place_again(
        replace(given, trials=later), before, trial, seconds=seconds, workers=workers, seed=seed
    )
    moves = tuple(_moves(before, now, trial))
    return SlipFound(trial=trial, by_h=by_h, moves=moves, more=now.cost - before.cost, was=before, now=now)


def _moves(before: SlotPlan, now: SlotPlan, slipped: str) -> Iterator[Move]:
    for trial in before.given.trials:
        was, is_now = before.of(trial.trial), now.of(trial.trial)
        if trial.trial == slipped:
            continue
        if (was and (was.press, was.begins_h)) != (is_now and (is_now.press, is_now.begins_h)):
            yield Move(trial=trial.trial, was=was, now=is_now)
