"""How a line of a review stands: the heaviest of its facts, and what a change may and may not do to it."""

from __future__ import annotations

from itertools import permutations

from hypothesis import strategies as st

from offtool.core.pilot.release import Standing, standing_of, worst
from offtool.core.values import Verdict
from tests.core.laws import law

STANDINGS = st.lists(st.sampled_from(Standing), max_size=6)


def test_a_line_without_a_single_fact_is_missing() -> None:
    assert worst([]) is Standing.MISSING


def test_a_change_makes_stale_only_what_held() -> None:
    assert standing_of(Verdict.HOLDS) is Standing.HOLDS
    assert standing_of(Verdict.HOLDS, is_stale=True) is Standing.STALE


def test_a_change_alone_repairs_nothing_that_failed() -> None:
    assert standing_of(Verdict.FAILS, is_stale=True) is Standing.FAILS


def test_what_was_not_shown_is_missing_old_or_not() -> None:
    for verdict in (None, Verdict.NOT_SHOWN):
        for is_stale in (False, True):
            assert standing_of(verdict, is_stale=is_stale) is Standing.MISSING


def test_only_holding_and_conceded_lines_let_production_start() -> None:
    assert [one for one in Standing if one.is_met] == [Standing.CONCESSION, Standing.HOLDS]


@law(standings=STANDINGS)
def test_the_order_of_the_facts_does_not_count(standings: list[Standing]) -> None:
    assert {worst(one) for one in permutations(standings[:4])} == {worst(standings[:4])}


@law(standings=STANDINGS.filter(bool), more=st.sampled_from(Standing))
def test_a_further_fact_never_makes_a_line_better(standings: list[Standing], more: Standing) -> None:
    order = list(Standing)
    assert order.index(worst([*standings, more])) <= order.index(worst(standings))


@law(standings=STANDINGS.filter(bool))
def test_a_line_is_met_exactly_when_every_fact_is(standings: list[Standing]) -> None:
    assert worst(standings).is_met == all(one.is_met for one in standings)
