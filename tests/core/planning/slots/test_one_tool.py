"""Trials of one tool: in their order, one press at a time, against every plan that could be made."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from offtool.core.planning.slots import SlotsGiven
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.planning.slots.every_plan import best_plan
from tests.core.planning.slots.small_shop import small_shop
from tests.core.planning.slots.test_place_trials import SEEDS, made, shop


def in_order(given: SlotsGiven) -> SlotsGiven:
    """All trials of one tool, the first listed first."""
    names = [one.trial for one in given.trials]
    return replace(
        given,
        trials=tuple(replace(one, comes_after=tuple(names[:at])) for at, one in enumerate(given.trials)),
    )


@law(examples=30, seed=SEEDS)
def test_two_trials_of_one_tool_cost_what_the_best_of_all_plans_in_order_costs(seed: int) -> None:
    given = in_order(small_shop(seed, trials=2, hours=18))
    many, cost = best_plan(given)
    plan = made(given)
    assert (len(plan.placed), plan.is_proved) == (many, True)
    assert plan.cost == pytest.approx(cost, abs=1e-6)


@law(examples=6, seed=SEEDS)
def test_three_trials_of_one_tool_cost_what_the_best_of_all_plans_in_order_costs(seed: int) -> None:
    given = in_order(small_shop(seed, trials=3, hours=12))
    many, cost = best_plan(given)
    plan = made(given)
    assert (len(plan.placed), plan.is_proved) == (many, True)
    assert plan.cost == pytest.approx(cost, abs=1e-6)


@law(examples=30, seed=SEEDS)
def test_a_tool_is_on_one_press_at_a_time_and_its_trials_are_in_order(seed: int) -> None:
    plan = made(in_order(small_shop(seed, trials=4, presses=2, hours=30)))
    hung = [(one.begins_h, one.ends_h) for one in sorted(plan.placed, key=lambda one: one.trial)]
    assert all(one[1] <= following[0] for one, following in pairwise(hung))
    assert [one.trial for one in plan.placed] == [f"T{number + 1}" for number in range(len(hung))]


def test_a_later_trial_of_a_tool_waits_for_one_without_a_place() -> None:
    first, second = shop(trials=2).trials
    given = replace(shop(trials=2), trials=(replace(first, presses=()), replace(second, comes_after=("T1",))))
    plan = made(given)
    assert plan.placed == ()
    assert plan.unplaced[1].because == ("it comes after T1, without a place",)


def test_a_trial_that_comes_after_one_that_is_not_listed_before_it_is_refused() -> None:
    first, second = shop(trials=2).trials
    with pytest.raises(ImpossibleInput) as refused:
        made(replace(shop(trials=2), trials=(replace(first, comes_after=("T2",)), second)))
    assert refused.value.argument == "comes_after"
