"""The switching rules, one by one; the rules themselves are from memory and say so."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.sampling import Switching, follow_switching
from offtool.core.values import ImpossibleInput
from tests.core.laws import law

GOOD, BAD = 0, 30
"""Found in a sample of 125 or 50: passes every plan used here, and none."""


def after(found: list[int], *, aql: float = 1.5, reduced_allowed: bool = False) -> Switching:
    return follow_switching([2000] * len(found), found, level="II", aql=aql, reduced_allowed=reduced_allowed)


@pytest.mark.parametrize(
    ("found", "severity"),
    [
        ([], "normal"),
        ([BAD], "normal"),
        ([BAD, BAD], "tightened"),
        ([BAD, GOOD, GOOD, GOOD, BAD], "tightened"),
        ([BAD, GOOD, GOOD, GOOD, GOOD, BAD], "normal"),
    ],
)
def test_two_of_five_refused_tighten(found: list[int], severity: str) -> None:
    assert after(found).severity == severity


def test_five_accepted_in_a_row_relax_tightened_and_four_do_not() -> None:
    assert after([BAD, BAD, *[GOOD] * 4]).severity == "tightened"
    assert after([BAD, BAD, *[GOOD] * 5]).severity == "normal"
    assert after([BAD, BAD, *[GOOD] * 4, BAD, *[GOOD] * 4]).severity == "tightened"


def test_what_was_refused_before_a_switch_counts_no_more() -> None:
    assert after([BAD, BAD, *[GOOD] * 5, BAD]).severity == "normal"


def test_five_refused_under_tightened_stop_acceptance() -> None:
    four = after([BAD, BAD, BAD, GOOD, BAD, BAD, GOOD, BAD])
    assert (four.stopped, four.severity) == (False, "tightened")
    five = after([BAD, BAD, BAD, GOOD, BAD, BAD, GOOD, BAD, BAD])
    assert five.stopped
    assert five.words.startswith("stop: 5 lots")
    assert five.lots[-1].words.endswith("acceptance by sample stops")
    with pytest.raises(ImpossibleInput, match="inspection had to stop before lot 8"):
        after([BAD] * 8)


def test_thirty_points_reduce_where_it_is_allowed() -> None:
    """K at 1.5: 125, accept 5; one level stricter, 1.0, accepts 3: a lot with up to 3 scores 3."""
    assert after([3] * 9, reduced_allowed=True).severity == "normal"
    assert after([3] * 10, reduced_allowed=True).severity == "reduced"
    assert after([3] * 10, reduced_allowed=False).severity == "normal"
    assert [after([3, found], reduced_allowed=True).score for found in (3, 4)] == [6, 0]


def test_small_acceptance_numbers_score_two() -> None:
    """K at 0.1: 125, accept 0; so a clean lot scores 2, and fifteen are needed."""
    assert after([GOOD] * 14, aql=0.1, reduced_allowed=True).severity == "normal"
    assert after([GOOD] * 15, aql=0.1, reduced_allowed=True).severity == "reduced"


def test_reduced_ends_with_a_lot_refused_or_between_the_numbers() -> None:
    """K at 1.5 reduced: 50, accept 2, refuse 5."""
    ten = [GOOD] * 10
    assert after([*ten, 2], reduced_allowed=True).severity == "reduced"
    between = after([*ten, 3], reduced_allowed=True)
    assert (between.severity, between.lots[-1].accepted) == ("normal", True)
    refused = after([*ten, 5], reduced_allowed=True)
    assert (refused.severity, refused.lots[-1].accepted) == ("normal", False)


def test_each_lot_meets_the_plan_in_force() -> None:
    found = follow_switching([2000, 400, 2000], [3, 2, 1], level="II", aql=0.65, reduced_allowed=False)
    assert [(lot.pieces, lot.accept, lot.severity) for lot in found.lots] == [
        (125, 2, "normal"),
        (80, 1, "normal"),  # letter H has an arrow at 0.65, down to J
        (125, 1, "tightened"),
    ]


@pytest.mark.parametrize(
    ("lots", "found", "argument", "says"),
    [
        ([2000, 2000], [1], "found", "each of 2 lots"),
        ([2000, 2000], [1, 1.5], "found", "must be whole, in lot 2"),
        ([2000.5], [1], "lots", "must be whole, in lot 1"),
        ([2000, 2000], [1, 126], "found", "at most the 125 looked at under normal inspection, in lot 2"),
        ([2000, 0], [1, 1], "lots", "at least 2"),
    ],
)
def test_a_lot_that_cannot_be_is_named(
    lots: list[float], found: list[float], argument: str, says: str
) -> None:
    with pytest.raises(ImpossibleInput, match=says) as refused:
        follow_switching(lots, found, level="II", aql=1.5, reduced_allowed=False)
    assert refused.value.argument == argument


@law(examples=100, accepted=st.lists(st.booleans(), max_size=12))
def test_normal_ends_at_the_first_window_of_five_with_two_refused(accepted: list[bool]) -> None:
    found = (
        follow_switching(
            [2000] * len(accepted) or [2000],
            [GOOD if one else BAD for one in accepted] or [GOOD],
            level="II",
            aql=1.5,
            reduced_allowed=False,
        )
        if accepted.count(False) < 5
        else None
    )
    if found is None:
        return
    windows = [end for end in range(len(accepted)) if accepted[max(0, end - 4) : end + 1].count(False) >= 2]
    tightened = [place for place, lot in enumerate(found.lots) if lot.severity == "tightened"]
    first = windows[0] + 1 if windows and windows[0] + 1 < len(accepted) else None
    assert (tightened[0] if tightened else None) == first


@law(examples=60, lots=st.lists(st.integers(0, 10), min_size=1, max_size=30))
def test_what_came_before_is_judged_the_same_whatever_comes_after(lots: list[int]) -> None:
    try:
        whole = after(lots, reduced_allowed=True)
    except ImpossibleInput:
        return
    half = after(lots[: len(lots) // 2], reduced_allowed=True)
    assert whole.lots[: len(half.lots)] == half.lots
