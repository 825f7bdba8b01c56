"""Which tests a toy must stand, and what the pieces that were tried show of them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.safety import judge_toy_drops, judge_toy_load, toy_tests
from offtool.core.values import ImpossibleInput, Verdict
from offtool.handbook.toy_law import LAW_DECIDES, NOTHING_KNOWN, TRY_WITH_CARE, Market
from tests.core.laws import law
from tests.labels import independent, remembered

YOUNG: dict[str, Any] = {"market": "US", "from_months": 36, "to_months": 96}
IN_LBF = 0.0254 * 4.4482216152605


def numbers(
    market: Market, from_months: float, to_months: float | None, mass_kg: float | None = 0.1
) -> dict[str, Any]:
    """Value and times of each test asked."""
    found = toy_tests(market, from_months=from_months, to_months=to_months, mass_kg=mass_kg)
    return {one.title: (one.value, one.times) for one in found.tests}


def test_one_age_group_has_the_values_of_its_section() -> None:
    found = toy_tests("US", from_months=36, to_months=96, mass_kg=0.12)
    torque = next(one for one in found.tests if one.test == "torque")
    assert torque.value == independent(4 * IN_LBF, way="inch and pound by definition")
    assert torque.section == "16 CFR 1500.53(e)"
    assert not found.small_parts
    assert LAW_DECIDES in found.cautions


@pytest.mark.parametrize(("to_months", "torque"), [(18, 2), (36, 3), (96, 4), (None, 4)])
def test_a_toy_for_several_groups_stands_the_most_stringent(to_months: float | None, torque: float) -> None:
    asked = numbers("US", 12, to_months)
    assert asked["torque test"][0] == independent(torque * IN_LBF, way="inch and pound by definition")
    assert asked["drop test"] == (independent(4.5 * 0.3048, way="foot by definition"), 10)


def test_a_heavy_toy_falls_as_the_groups_that_reach_its_mass() -> None:
    """3.5 lb is above the limit of the youngest, 3.0 lb, and below the next, 4.0 lb."""
    asked = numbers("US", 12, 96, mass_kg=3.5 * 0.45359237)
    assert asked["drop test"] == (independent(3 * 0.3048, way="foot by definition"), 4)
    assert "drop test" not in numbers("US", 12, 96, mass_kg=10 * 0.45359237)


def test_from_three_years_on_small_parts_are_no_question() -> None:
    assert toy_tests("US", from_months=35.9).small_parts
    assert not toy_tests("US", from_months=36).small_parts
    assert toy_tests("EU", from_months=0, to_months=36).small_parts


def test_another_market_is_said_to_be_unknown() -> None:
    found = toy_tests("other", from_months=24)
    assert found.tests == ()
    assert NOTHING_KNOWN in found.cautions
    assert "ask the laboratory" in found.words
    judged = judge_toy_load([100.0], test="tension", market="other", from_months=24, share=0.9)
    assert (judged.verdict, judged.required) == (Verdict.NOT_SHOWN, None)
    assert NOTHING_KNOWN in judged.cautions


@pytest.mark.parametrize(("market", "from_months"), [("US", 96), ("EU", 36)])
def test_ages_beyond_the_rows_are_not_made_up(market: Market, from_months: float) -> None:
    assert toy_tests(market, from_months=from_months).tests == ()


def test_an_age_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="above the youngest age") as refused:
        toy_tests("US", from_months=36, to_months=18)
    assert refused.value.argument == "to_months"


@law(
    market=st.sampled_from(["US", "EU"]),
    ages=st.lists(st.integers(0, 96), min_size=4, max_size=4, unique=True).map(sorted),
)
def test_more_ages_are_never_asked_less(market: Market, ages: list[int]) -> None:
    narrow, wide = numbers(market, ages[1], ages[2]), numbers(market, ages[0], ages[3])
    for title, value in narrow.items():
        assert wide[title] >= value


@pytest.mark.parametrize(("pieces", "printed"), [(5, "0.549"), (12, "0.779"), (29, "0.902"), (59, "0.950")])
def test_pieces_that_all_stand_show_what_the_binomial_gives(pieces: int, printed: str) -> None:
    """0.05^(1/n), as in every table of tests without failure."""
    found = judge_toy_load([1.0] * pieces, test="torque", share=0.9, **YOUNG)
    assert found.least_share == remembered(printed, source="tables of tests without failure")
    assert found.least_share == independent(0.05 ** (1 / pieces), way="by hand")
    assert found.verdict is (Verdict.HOLDS if pieces >= 29 else Verdict.NOT_SHOWN)
    assert found.pieces_needed == remembered("29", source="tables of tests without failure")
    assert {LAW_DECIDES, TRY_WITH_CARE} <= set(found.cautions)


def test_one_piece_that_comes_apart_below_the_law_fails_the_toy() -> None:
    found = judge_toy_load([1.0] * 400 + [0.44], test="torque", share=0.9, **YOUNG)
    assert (found.verdict, found.stood, found.failed, found.lowest) == (Verdict.FAILS, 400, 1, 0.44)
    assert "lets none fail" in found.words


def test_a_piece_stopped_short_is_neither_good_nor_bad() -> None:
    found = judge_toy_load([1.0, 0.2, 0.2], test="torque", stopped=[0, 1, 0], share=0.9, **YOUNG)
    assert (found.stood, found.unfinished, found.failed) == (1, 1, 1)
    alone = judge_toy_load([0.2], test="torque", stopped=[1], share=0.9, **YOUNG)
    assert (alone.verdict, alone.least_share) == (Verdict.NOT_SHOWN, 0.0)
    assert "no piece was tried" in alone.words


def test_a_piece_that_reaches_the_load_of_the_law_stood_it() -> None:
    assert judge_toy_load([4 * IN_LBF], test="torque", share=0.9, **YOUNG).stood == 1


@pytest.mark.parametrize(("part_mm", "stood"), [(6.0, 1), (6.1, 0), (None, 0)])
def test_in_europe_the_size_of_the_part_sets_the_pull(part_mm: float | None, stood: int) -> None:
    """60 N lie between the 50 N of a part of 6 mm and the 90 N of a larger one; unknown counts as larger."""
    found = judge_toy_load(
        [60.0], test="tension", market="EU", from_months=0, to_months=36, part_mm=part_mm, share=0.5
    )
    assert found.stood == stood
    assert any("size of the part is not known" in str(one) for one in found.cautions) is (part_mm is None)


@pytest.mark.parametrize(
    ("drops", "height_m", "survived", "verdict", "counts"),
    [
        (4, 0.92, 30, Verdict.HOLDS, (30, 0, 0)),
        (4, 0.92, 29, Verdict.FAILS, (29, 1, 0)),
        (3, 0.92, 30, Verdict.NOT_SHOWN, (0, 0, 30)),
        (4, 0.80, 30, Verdict.NOT_SHOWN, (0, 0, 30)),
        (3, 0.80, 29, Verdict.FAILS, (0, 1, 29)),
        (10, 1.40, 30, Verdict.HOLDS, (30, 0, 0)),
        (10, 1.40, 29, Verdict.NOT_SHOWN, (29, 0, 1)),
    ],
)
def test_falls_count_for_what_they_were(
    drops: int, height_m: float, survived: int, verdict: Verdict, counts: tuple[int, int, int]
) -> None:
    share = 0.9 if survived == 30 else 0.95
    found = judge_toy_drops(survived, 30, drops=drops, height_m=height_m, mass_kg=0.1, share=share, **YOUNG)
    assert found.verdict is verdict
    assert (found.stood, found.failed, found.unfinished) == counts


def test_more_survivors_than_pieces_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="at most the pieces dropped"):
        judge_toy_drops(13, 12, drops=4, height_m=0.92, share=0.9, **YOUNG)


@pytest.mark.parametrize(("stopped", "limit"), [([1], "must be 2 marks"), ([0, 0.5], "must be 0 or 1")])
def test_marks_that_do_not_fit_are_refused(stopped: list[float], limit: str) -> None:
    with pytest.raises(ImpossibleInput, match=limit) as refused:
        judge_toy_load([1.0, 1.0], test="torque", stopped=stopped, share=0.9, **YOUNG)
    assert refused.value.argument == "stopped"


def test_no_pieces_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="at least one piece"):
        judge_toy_load([], test="torque", share=0.9, **YOUNG)


@law(stood=st.integers(1, 80), failed=st.integers(0, 5))
def test_one_more_that_stands_shows_more(stood: int, failed: int) -> None:
    one, more = (
        judge_toy_load([1.0] * many + [0.1] * failed, test="torque", share=0.9, **YOUNG)
        for many in (stood, stood + 1)
    )
    assert more.least_share > one.least_share
