"""Defects by cost: R's limits and tests, how often equal ones are told apart, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.pilot.yields import DefectRanking, rank_defects
from offtool.core.pilot.yields.ranking import count_limits
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

FOUR = ["overspray", "open seam", "loose arm", "print missing"]


def scrap(counts: list[int], costs: list[float] | None = None, confidence: float = 0.95) -> DefectRanking:
    """Defects that only cost minutes, at 1 a minute."""
    names = [f"defect {place}" for place in range(len(counts))]
    return rank_defects(
        names,
        counts,
        [0] * len(counts),
        costs or [1.0] * len(counts),
        piece_cost=0.0,
        minute_cost=1.0,
        confidence=confidence,
    )


def test_costs_are_scrap_and_minutes() -> None:
    found = rank_defects(
        FOUR, [41, 12, 9, 2], [2, 10, 0, 0], [1.5, 0, 3, 2], piece_cost=2.4, minute_cost=0.35
    )
    costs = {one.defect: one.cost for one in found.defects}
    assert costs["overspray"] == pytest.approx(2 * 2.4 + 39 * 1.5 * 0.35)
    assert costs["open seam"] == pytest.approx(10 * 2.4)
    assert [one.defect for one in found.defects] == FOUR
    assert found.total == pytest.approx(sum(costs.values()))
    assert found.defects[-1].cumulative == pytest.approx(1)


def test_the_limits_of_a_count_are_those_of_r() -> None:
    # R 4.2.2: poisson.test(12)$conf.int; poisson.test(0)$conf.int; poisson.test(41)$conf.int
    low, high = count_limits(np.array([12, 0, 41]), 0.95)
    assert low == independent([6.200575108722, 0.0, 29.42230786846], way="R, poisson.test", rel=1e-11)
    assert high == independent(
        [20.961585048177, 3.688879454114, 55.62112956573], way="R, poisson.test", rel=1e-11
    )


@pytest.mark.parametrize(
    ("counts", "costs", "apart"),
    [
        # R 4.2.2: binom.test(20, 27)$p.value 0.01916; binom.test(18, 27)$p.value 0.1221
        ([20, 7], [1.0, 1.0], True),
        ([18, 9], [1.0, 1.0], False),
        # binom.test(20, 30, p = 2 / 3)$p.value 1: twice the count at half the cost
        ([20, 10], [1.0, 2.0], False),
        # binom.test(20, 30, p = 0.2)$p.value 4e-08
        ([20, 10], [4.0, 1.0], True),
        ([5, 0], [1.0, 1.0], False),  # binom.test(5, 5)$p.value 0.0625
        ([6, 0], [1.0, 1.0], True),  # binom.test(6, 6)$p.value 0.03125
        ([0, 0], [1.0, 3.0], False),
    ],
)
def test_two_defects_are_told_apart_as_by_the_binomial_test(
    counts: list[int], costs: list[float], apart: bool
) -> None:
    found = scrap(counts, costs)
    assert found.dearest_is_sure is apart
    assert (found.defects[0].not_told_from == ()) is apart


def test_what_cannot_be_told_apart_is_named() -> None:
    found = rank_defects(
        FOUR, [41, 12, 9, 2], [2, 10, 0, 0], [1.5, 0, 3, 2], piece_cost=2.4, minute_cost=0.35
    )
    first = found.defects[0]
    assert (first.best_place, first.worst_place, first.not_told_from) == (1, 2, ("open seam",))
    assert found.words == "overspray costs most, 42 % of all, but it cannot be told from open seam"


def test_equal_defects_are_seldom_told_apart() -> None:
    """Four equal ones at a true 20 each: any pair told apart in at most 5 of 100 pilots."""
    drawn = np.random.default_rng(5).poisson(20, (1500, 4)).tolist()
    wrong = [any(len(one.not_told_from) < 3 for one in scrap(counts).defects) for counts in drawn]
    assert np.mean(wrong) <= 0.05 + chance(0.05, 1500)


counts = st.lists(st.integers(0, 80), min_size=1, max_size=7)


@law(found=counts, factor=st.floats(0.01, 100))
def test_the_currency_plays_no_part(found: list[int], factor: float) -> None:
    one, other = scrap(found), scrap(found, [factor] * len(found))
    for left, right in zip(one.defects, other.defects, strict=True):
        assert (left.defect, left.best_place, left.worst_place) == (
            right.defect,
            right.best_place,
            right.worst_place,
        )
        assert right.cost == pytest.approx(left.cost * factor)
        assert right.share == pytest.approx(left.share)


@law(found=counts)
def test_a_place_lies_between_its_best_and_worst_and_shares_add_up(found: list[int]) -> None:
    ranked = scrap(found).defects
    assert all(one.best_place <= one.place <= one.worst_place for one in ranked)
    costs = [one.cost for one in ranked]
    assert costs == sorted(costs, reverse=True)
    assert sum(one.share for one in ranked) == pytest.approx(1 if sum(found) else 0)
    assert all(one.count in one.count_interval for one in ranked)


@law(found=st.lists(st.integers(0, 80), min_size=2, max_size=7))
def test_not_told_apart_goes_both_ways(found: list[int]) -> None:
    near = {one.defect: set(one.not_told_from) for one in scrap(found).defects}
    assert all(one in near[other] for one, others in near.items() for other in others)


def test_nothing_that_costs_anything_is_said() -> None:
    found = scrap([3, 2], [0.0, 0.0])
    assert found.words == "no defect costs anything"
    assert (found.dearest_is_sure, found.total) == (False, 0.0)
    assert found.cautions


@pytest.mark.parametrize(
    ("names", "numbers", "scrapped", "minutes", "argument", "says"),
    [
        (["a", "b"], [3, 2], [1, 3], [1, 1], "scrapped", "at most the 2 found of 'b'"),
        (["a", "b"], [3, 2.5], [0, 0], [1, 1], "counts", "whole, at 'b'"),
        (["a", "b"], [3, 2], [0, 0], [1], "rework_minutes", "must be 2"),
        (["a", "a"], [3, 2], [0, 0], [1, 1], "defects", "stands twice"),
        ([], [], [], [], "defects", "at least one"),
        (["a"], [-1], [0], [1], "counts", "at least 0"),
    ],
)
def test_what_cannot_be_is_refused_by_defect(
    names: list[str],
    numbers: list[float],
    scrapped: list[float],
    minutes: list[float],
    argument: str,
    says: str,
) -> None:
    with pytest.raises(ImpossibleInput, match=says) as refused:
        rank_defects(names, numbers, scrapped, minutes, piece_cost=1.0, minute_cost=1.0)
    assert refused.value.argument == argument
