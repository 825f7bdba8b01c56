"""How many working days each step to the release takes in this shop: as said here, else the handbook's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import isfinite

from django.db import transaction

from offtool.core.values import nearest
from offtool.handbook.release_steps import LONGEST_DAYS, RELEASE_STEPS, STEP_BY_CODE
from offtool.records.operations import define_market, define_step_days, drop_step_days
from offtool.records.queries import find_programme, step_days_of
from offtool.steps.overview import is_invented
from offtool.steps.sizes_given import DefinitionRefused

Days = tuple[float | None, float | None]
"""Low and high; both None where the handbook's hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepKnown:
    """One kind of step with its days; `low_days` and `high_days` are those that count."""

    step: str
    title: str
    does: str
    low_days: float
    high_days: float
    usual_low: float
    usual_high: float
    is_own: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDaysKnown:
    """All kinds of step, in the order in which they are usually done."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    due: date | None
    steps: tuple[StepKnown, ...]


def step_days_known(programme: str) -> StepDaysKnown:
    """The days of every kind of step. Raises NotInRecord."""
    kept = find_programme(programme)
    said = {name: (one.low_days, one.high_days) for name, one in step_days_of(kept).items()}
    steps = tuple(
        StepKnown(
            step=one.code,
            title=one.title,
            does=one.does,
            low_days=said.get(one.code, (one.low_days, one.high_days))[0],
            high_days=said.get(one.code, (one.low_days, one.high_days))[1],
            usual_low=one.low_days,
            usual_high=one.high_days,
            is_own=one.code in said,
            source=one.source,
        )
        for one in RELEASE_STEPS
    )
    own = sum(one.is_own for one in steps)
    return StepDaysKnown(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        headline=_headline(own, len(steps)),
        due=kept.release_due,
        steps=steps,
    )


def _headline(own: int, steps: int) -> str:
    if not own:
        return f"The days of all {steps} steps are those of the handbook."
    return f"The days of {own} of {steps} steps are this shop's own; the others are the handbook's."


def ask_release_by(programme: str, due: date | None, *, by: str) -> None:
    """Say by which day release is asked for; None for no such day. Raises NotInRecord."""
    define_market(find_programme(programme), {"release_due": due}, made_by=by)


def keep_step_days(programme: str, days: Mapping[str, Days], *, by: str) -> StepDaysKnown:
    """Say the days of steps, by code; what is not named stays, and a pair of None takes the handbook's again.

    Raises DefinitionRefused, naming the field, for days that cannot be; nothing is kept then.
    """
    kept = find_programme(programme)
    for step, pair in days.items():
        _refuse_impossible(step, pair)
    said = step_days_of(kept)
    with transaction.atomic():
        for step, (low, high) in days.items():
            if low is not None and high is not None:
                define_step_days(kept, step, low, high, made_by=by)
        back = [said[one] for one, pair in days.items() if pair == (None, None) and one in said]
        drop_step_days(back, made_by=by)
    return step_days_known(programme)


def _refuse_impossible(step: str, pair: Days) -> None:
    if step not in STEP_BY_CODE:
        raise DefinitionRefused("step", f"no step is called {step!r}", nearest(step, STEP_BY_CODE))
    low, high = pair
    if (low is None) != (high is None):
        side = "low" if low is None else "high"
        raise DefinitionRefused(f"{side}_{step}", "only one of the two is given", "give both, or none")
    if low is None or high is None:
        return
    for side, one in (("low", low), ("high", high)):
        if not isfinite(one) or not 0 <= one <= LONGEST_DAYS:
            remedy = f"give 0 to {LONGEST_DAYS:g} working days"
            raise DefinitionRefused(f"{side}_{step}", f"{one:g} days for {step}", remedy)
    if high < low:
        what = f"{high:g} is below the low {low:g}"
        raise DefinitionRefused(f"high_{step}", what, "correct one of the two")
