"""The way to an end: printed networks, every path walked, closed distributions, laws, and what is refused."""

from __future__ import annotations

from math import sqrt
from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.way import way_to_end
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.pilot.way.networks import (
    ARROWS_20,
    ARROWS_38,
    PROTOTYPE,
    Steps,
    find,
    longest_by_all_paths,
    of_arrows,
)
from tests.labels import independent, published, remembered

TAYLOR = "Taylor, Introduction to Management Science, solutions to chapter 8"
COURSE = "course example, studylib document 8378728, table 2"
BOOK = "the construction project of Hillier and Lieberman, Introduction to Operations Research"

BUILDING: Steps = {
    "A": (2, ""),
    "B": (4, "A"),
    "C": (10, "B"),
    "D": (6, "C"),
    "E": (4, "C"),
    "F": (5, "E"),
    "G": (7, "D"),
    "H": (9, "EG"),
    "I": (7, "C"),
    "J": (8, "FI"),
    "K": (4, "J"),
    "L": (5, "J"),
    "M": (2, "H"),
    "N": (6, "KL"),
}


@pytest.mark.parametrize("network", [ARROWS_20, ARROWS_38])
def test_printed_networks_are_met_in_every_number(network: Any) -> None:
    way = find(of_arrows(network))
    for (begins, ends), one in network.items():
        step = way.of(f"{begins}-{ends}")
        found = (step.starts, step.ends, step.latest_start, step.latest_end, step.float_days)
        for value, printed in zip(found, one.row, strict=True):
            assert value == published(printed, source=TAYLOR)


def test_the_path_that_decides_is_the_printed_one() -> None:
    assert find(of_arrows(ARROWS_20)).path == ("1-3", "3-4", "4-5", "5-6")
    way = find(PROTOTYPE)
    assert way.end_days == published("16", source=COURSE)
    assert way.path == tuple("ABDEG")
    assert [way.of(one).float_days for one in "CF"] == [published("1", source=COURSE)] * 2


def test_a_network_of_fourteen_steps_from_a_book() -> None:
    way = find(BUILDING)
    assert way.end_days == remembered("44", source=BOOK)
    assert way.path == tuple("ABCEFJLN")
    floats = {one.step: one.float_days for one in way.steps if not one.decides}
    assert floats == {"D": 4, "G": 4, "H": 4, "I": 2, "K": 1, "M": 4}


DAYS = st.floats(0, 30).map(lambda days: round(days, 3))


@st.composite
def networks(draw: Any) -> Steps:
    """Up to eight steps; each may wait for any named after it, so that the order is the program's."""
    many = draw(st.integers(1, 8))
    names = [f"s{number}" for number in range(many)]
    return {
        name: (draw(DAYS), [one for one in names[at + 1 :] if draw(st.booleans())])
        for at, name in enumerate(names)
    }


@law(steps=networks())
def test_the_end_is_the_longest_of_all_paths(steps: Steps) -> None:
    way = find(steps)
    assert way.end_days == independent(longest_by_all_paths(steps), way="every path walked", within=1e-9)
    on_path = sum(steps[one][0] for one in way.path)
    assert on_path == independent(way.end_days, way="the days of its own path added up", within=1e-9)


@law(steps=networks())
def test_what_a_step_gives_is_the_way_without_it(steps: Steps) -> None:
    way = find(steps)
    for name, (_, waits) in steps.items():
        without = longest_by_all_paths({**steps, name: (0.0, waits)})
        gain = longest_by_all_paths(steps) - without
        assert way.of(name).sooner_days == independent(gain, way="every path walked", within=1e-9)


@law(steps=networks(), later=DAYS)
def test_a_step_that_uses_up_its_float_does_not_move_the_end_and_one_that_uses_more_does(
    steps: Steps, later: float
) -> None:
    way = find(steps)
    for name, (days, waits) in steps.items():
        free = way.of(name).float_days
        kept = longest_by_all_paths({**steps, name: (days + free, waits)})
        assert kept == independent(way.end_days, way="every path walked", within=1e-9)
        moved = longest_by_all_paths({**steps, name: (days + free + later, waits)})
        assert moved - way.end_days == independent(later, way="every path walked", within=1e-9)


@law(steps=networks(), days=DAYS)
def test_one_more_step_never_makes_it_sooner(steps: Steps, days: float) -> None:
    more = {**steps, "more": (days, [*steps][:1])}
    assert find(more).end_days >= find(steps).end_days


@law(steps=networks(), factor=st.floats(0.1, 10))
def test_days_of_another_length_only_scale(steps: Steps, factor: float) -> None:
    scaled = find({name: (days * factor, waits) for name, (days, waits) in steps.items()})
    whole = find(steps).end_days * factor
    assert scaled.end_days == independent(whole, way="the first times the factor", within=1e-9)


@law(steps=networks(), day=DAYS)
def test_a_day_before_which_it_cannot_begin_is_a_step_of_its_own(steps: Steps, day: float) -> None:
    name = next(iter(steps))
    waits = [day if one == name else 0.0 for one in steps]
    days, before = steps[name]
    as_step = {**steps, "wait": (day, ()), name: (days, [*before, "wait"])}
    found = find(steps, not_before=waits).end_days
    assert found == independent(longest_by_all_paths(as_step), way="every path walked", within=1e-9)


def spread(low: list[float], high: list[float], after: list[str], **asked: Any) -> Any:
    return way_to_end([f"s{at}" for at in range(len(low))], low, high, after=after, **asked)


def test_two_steps_in_a_row_end_as_the_sum_of_two_even_draws() -> None:
    way = spread([0.0, 0.0], [1.0, 1.0], ["", "s0"], confidence=0.9)
    end = sqrt(2 * 0.05)
    drawn = 0.015  # three standard errors of a 5 % quantile of 4000 draws of this distribution
    assert way.end_between.low == independent(end, way="triangular distribution", within=drawn)
    assert way.end_between.high == independent(2 - end, way="triangular distribution", within=drawn)


def test_steps_side_by_side_end_with_the_last_of_them() -> None:
    way = spread([0.0] * 4, [1.0] * 4, [""] * 4)
    end = 0.5**0.25
    assert way.middle_days == independent(end, way="largest of four even draws", within=0.02)
    assert way.end_days == independent(0.5, way="the middle of each")
    for one in way.steps:  # three standard errors of a share of a quarter in 4000 draws
        assert one.chance_to_decide == independent(0.25, way="all four are alike", within=0.021)
    assert sum(one.chance_to_decide for one in way.steps) == independent(1.0, way="one is the last")


def test_the_chance_to_be_in_time_is_that_of_the_end() -> None:
    chances = [spread([0.0, 0.0], [1.0, 1.0], ["", "s0"], due=due).chance_in_time for due in (0.0, 0.5, 1, 2)]
    exact = [0.0, 0.125, 0.5, 1.0]
    for found, chance in zip(chances, exact, strict=True):
        assert found == independent(chance, way="triangular distribution", within=0.024)


def test_the_same_seed_gives_the_same_and_another_nearly_the_same() -> None:
    given = ([1.0, 2.0, 0.5], [4.0, 6.0, 9.0], ["", "s0", "s0"])
    assert spread(*given, seed=3) == spread(*given, seed=3)
    one, other = spread(*given, seed=3), spread(*given, seed=4)
    assert one.end_between != other.end_between
    assert one.end_between.high == independent(other.end_between.high, way="another seed", rel=0.02)


def test_a_step_that_waits_for_its_day_says_so() -> None:
    way = find({"cut": (3, ()), "trial": (1, ["cut"])}, not_before=[0.0, 8.0])
    assert way.of("trial").waits_for_its_day
    assert not way.of("cut").waits_for_its_day
    assert (
        not find({"cut": (9, ()), "trial": (1, ["cut"])}, not_before=[0.0, 8.0]).of("trial").waits_for_its_day
    )
    assert way.of("cut").float_days == independent(5.0, way="day 8 less its 3 days")


@pytest.mark.parametrize(
    ("asked", "argument", "said"),
    [
        ({"steps": ["a", "a"]}, "steps", "stands twice"),
        ({"steps": ["a", " "]}, "steps", "must be named, in row 2"),
        ({"steps": ["a", "b | c"]}, "steps", "must not have '|' in it"),
        ({"high_days": [2.0, 1.0]}, "high_days", "must be at least the low 2 of 'b'"),
        ({"low_days": [1.0]}, "low_days", "must be 2 numbers, one for each step"),
        ({"low_days": [1.0, -1.0]}, "low_days", "must be at least 0"),
        ({"after": ["b", "a"]}, "after", "each would wait for its own end"),
        ({"after": ["", "b"]}, "after", "is the step itself"),
        ({"after": ["", "c"]}, "after", "is no step; 'b' waits for it"),
        ({"after": [""]}, "after", "must be 2 lists, one for each step"),
        ({"not_before": [1.0]}, "not_before", "must be 2 numbers, one for each step"),
        ({"steps": [f"s{at}" for at in range(301)]}, "steps", "must be at most 300"),
    ],
)
def test_what_cannot_be_is_named_with_its_step(asked: dict[str, Any], argument: str, said: str) -> None:
    given = {
        "steps": ["a", "b"],
        "low_days": [1.0, 2.0],
        "high_days": [2.0, 3.0],
        "after": ["", "a"],
        **asked,
    }
    with pytest.raises(ImpossibleInput) as refusal:
        way_to_end(**given)
    assert refusal.value.argument == argument
    assert said in refusal.value.limit


def test_the_ring_is_named_step_by_step() -> None:
    with pytest.raises(ImpossibleInput) as refusal:
        find({"cut": (1, ["trial"]), "trial": (1, ["measure"]), "measure": (1, ["cut"]), "pilot": (1, ())})
    assert {"cut", "trial", "measure"} == set(str(refusal.value.value).split(" → "))


def test_without_a_step_there_is_no_way() -> None:
    with pytest.raises(NotEnoughData):
        way_to_end([], [], [], after=[])
