"""Tests that a piece stands or does not: none may fail, and few show little."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.safety import judge_toy_held
from offtool.core.values import ImpossibleInput, Verdict
from offtool.handbook.toy_law import NOTHING_KNOWN
from tests.core.laws import law
from tests.labels import independent, remembered


def test_all_of_twelve_show_what_the_binomial_allows() -> None:
    found = judge_toy_held(12, 12, test="bite", market="US", from_months=36, share=0.9)
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.least_share == independent(0.05 ** (1 / 12), way="(1 - C)^(1/n)")
    assert found.pieces_needed == remembered("29", source="tables of success runs, 90/95")
    assert found.in_law == "100 lbf"


def test_twenty_nine_show_nine_tenths_and_one_failure_ends_it() -> None:
    assert (
        judge_toy_held(29, 29, test="bite", market="US", from_months=36, share=0.9).verdict is Verdict.HOLDS
    )
    failed = judge_toy_held(99, 100, test="bite", market="US", from_months=36, share=0.9)
    assert failed.verdict is Verdict.FAILS
    assert failed.failed == 1


def test_the_blow_is_of_the_european_union_and_for_the_young() -> None:
    found = judge_toy_held(5, 5, test="impact", market="EU", from_months=12, share=0.9)
    assert found.in_law == "100 mm"
    older = judge_toy_held(5, 5, test="impact", market="EU", from_months=36, share=0.9)
    assert older.verdict is Verdict.NOT_SHOWN
    assert older.required is None
    other = judge_toy_held(5, 5, test="bite", market="other", from_months=12, share=0.9)
    assert NOTHING_KNOWN in other.cautions


@law(tried=st.integers(1, 200), share=st.floats(0.5, 0.99))
def test_more_pieces_that_stand_never_show_less(tried: int, share: float) -> None:
    one, more = (
        judge_toy_held(n, n, test="bite", market="US", from_months=36, share=share)
        for n in (tried, tried + 1)
    )
    assert one.least_share < more.least_share
    assert (one.verdict is Verdict.HOLDS) <= (more.verdict is Verdict.HOLDS)
    assert (one.verdict is Verdict.HOLDS) == (one.least_share >= share * (1 - 1e-9))


def test_more_survivors_than_pieces_are_refused_by_name() -> None:
    with pytest.raises(ImpossibleInput) as refused:
        judge_toy_held(6, 5, test="bite", market="US", from_months=36, share=0.9)
    assert refused.value.argument == "survived"
