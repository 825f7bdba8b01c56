"""What details say: they bound the state, a lost sheet is filled from its neighbours, what changes back is
soft."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.samples.identify import Weight, detail_finding
from offtool.core.samples.identify.capping import SOFT_CAP
from offtool.core.samples.identify.details import IMAGINED, MISSED, UNSURE, chance_there
from offtool.handbook.terms import DetailKind
from tests.core.laws import law
from tests.core.samples.identify.cases import make, states
from tests.labels import independent

FOUR = states(4)
GOES = DetailKind.COMES_AND_GOES


def test_a_detail_that_is_there_was_cut_before() -> None:
    found = detail_finding("vent", True, [False, False, True, True], FOUR)
    expected = np.log([IMAGINED, IMAGINED, 1 - MISSED, 1 - MISSED, 0.5])
    assert found.log_likelihood == independent(expected, way="by hand")
    assert found.weight is Weight.STAYS
    assert not found.capped


def test_a_detail_that_is_missing_was_not_cut_yet() -> None:
    found = detail_finding("vent", False, [False, False, True, True], FOUR)
    expected = np.log([1 - IMAGINED, 1 - IMAGINED, MISSED, MISSED, 0.5])
    assert found.log_likelihood == independent(expected, way="by hand")


def test_an_unsure_look_says_less() -> None:
    sure, unsure = (
        detail_finding("vent", True, [False, True], FOUR[:2], is_sure=one).log_likelihood
        for one in (True, False)
    )
    assert unsure[1] - unsure[0] == independent(log((1 - UNSURE) / UNSURE), way="by hand")
    assert 0 < unsure[1] - unsure[0] < sure[1] - sure[0]


def test_a_lost_sheet_lies_between_the_last_without_and_the_first_with() -> None:
    six = states(6)
    share = chance_there([False, None, None, True, None, None], six, DetailKind.STAYS)
    assert share == pytest.approx([0, 1 / 3, 2 / 3, 1, 1, 1])


def test_with_no_sheet_left_it_may_have_come_at_any_change_or_not_at_all() -> None:
    share = chance_there([None] * 3, states(3), DetailKind.STAYS)
    histories = [[0, 0, 0], [0, 0, 1], [0, 1, 1], [1, 1, 1]]
    assert share == independent(np.mean(histories, axis=0), way="all histories, each as probable")


@law(lost=st.integers(0, 63), came=st.integers(1, 5))
def test_a_lost_sheet_is_filled_as_all_histories_that_agree_say(lost: int, came: int) -> None:
    """Every change of steel is as probable; the first and the last sheet are kept."""
    six = states(6)
    shows = [None if lost >> k & 1 and 0 < k < 5 else k >= came for k in range(6)]
    agree = [
        [k >= other for k in range(6)]
        for other in range(1, 6)
        if all(one is None or one == (k >= other) for k, one in enumerate(shows))
    ]
    expected = np.mean(agree, axis=0)
    assert chance_there(shows, six, DetailKind.STAYS) == independent(
        expected, way="all histories that agree", within=1e-12
    )


def test_tools_do_not_fill_each_others_sheets() -> None:
    makes = (*states(3, "left"), *states(3, "right"))
    share = chance_there([False, None, True, True, None, True], makes, DetailKind.STAYS)
    assert share == pytest.approx([0, 0.5, 1, 1, 1, 1])


def test_sheets_that_contradict_each_other_leave_the_lost_one_open() -> None:
    share = chance_there([True, None, False], states(3), DetailKind.STAYS)
    assert share == pytest.approx([1, 0.5, 0])


def test_what_comes_and_goes_is_not_filled_in_and_is_soft() -> None:
    assert chance_there([False, None, True], states(3), GOES) == pytest.approx([0, 0.5, 1])
    found = detail_finding("insert", True, [False, True], FOUR[:2], kind=GOES)
    assert found.weight is Weight.SOFT
    assert found.capped
    assert np.ptp(found.log_likelihood) == independent(log(SOFT_CAP), way="the cap")


@law(place=st.integers(0, 3), is_there=st.booleans(), is_sure=st.booleans())
def test_runs_in_one_state_are_told_the_same(place: int, is_there: bool, is_sure: bool) -> None:
    makes = [make("one", place), make("other", place), make("far", 9)]
    found = detail_finding("vent", is_there, [True, True, False], makes, is_sure=is_sure).log_likelihood
    assert found[0] == found[1] != found[2]


@law(shows=st.lists(st.none() | st.booleans(), min_size=4, max_size=4), is_sure=st.booleans())
def test_there_and_missing_are_all_that_can_be_found(shows: list[bool | None], is_sure: bool) -> None:
    """For what stays, which is not capped: both together are certain, in every make."""
    both = sum(
        np.exp(detail_finding("vent", one, shows, FOUR, is_sure=is_sure).log_likelihood)
        for one in (True, False)
    )
    assert both == pytest.approx(np.ones(5))
