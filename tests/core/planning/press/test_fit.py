"""Tools against presses: each length by hand, what is missing, and the order of presses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.planning.press import (
    FitCheck,
    FitQuestion,
    PressFacts,
    ToolFacts,
    compare_presses,
    fit_press,
)
from offtool.core.planning.press.barrel import GASES
from offtool.core.planning.press.check import margin_between, verdict_between
from offtool.core.planning.press.compare import WOULD
from offtool.core.planning.press.room import check_tie_bars, opening_needed
from offtool.core.values import ImpossibleInput, Verdict
from tests.core.laws import law

PRESS = PressFacts(
    code="P2", name="80 t", clamp_kn=800.0, barrel_g=120.0, tie_bars_wide_mm=360.0, tie_bars_high_mm=360.0,
    mould_least_mm=150.0, mould_most_mm=380.0, opening_mm=320.0, daylight_mm=700.0, ejector_mm=100.0,
    dry_cycle_s=2.0,
)  # fmt: skip
TOOL = ToolFacts(
    code="M1", resin="ABS", cavities=4, projected_cm2=45.0, runner_cm2=8.0, parts_g=28.0, runner_g=6.0,
    wide_mm=246.0, high_mm=296.0, thick_mm=240.0, opening_mm=180.0, ejector_mm=40.0, wall_mm=2.0,
)  # fmt: skip


def checked(question: FitQuestion, press: dict[str, Any] | None = None, **tool: Any) -> FitCheck:
    return fit_press(replace(PRESS, **(press or {})), replace(TOOL, **tool)).check(question)


def test_a_tool_that_fits_holds_in_every_question() -> None:
    found = fit_press(PRESS, TOOL)
    assert found.verdict is Verdict.HOLDS
    assert [one.question for one in found.checks] == list(FitQuestion)
    assert found.missing == ()


@pytest.mark.parametrize(
    ("question", "press", "tool"),
    [
        (FitQuestion.CLAMP, {"clamp_kn": 150.0}, {}),
        (FitQuestion.SHOT, {"barrel_g": 30.0}, {}),
        (FitQuestion.RESIDENCE, {"barrel_g": 5_000.0}, {}),
        (FitQuestion.TIE_BARS, {"tie_bars_wide_mm": 250.0}, {}),
        (FitQuestion.MOULD_HEIGHT, {}, {"thick_mm": 381.0}),
        (FitQuestion.MOULD_HEIGHT, {}, {"thick_mm": 149.0}),
        (FitQuestion.OPENING, {}, {"opening_mm": 321.0}),
        (FitQuestion.DAYLIGHT, {"daylight_mm": 419.0}, {}),
        (FitQuestion.EJECTOR, {}, {"ejector_mm": 101.0}),
    ],
)
def test_each_question_can_fail_alone_with_something_to_do(
    question: FitQuestion, press: dict[str, Any], tool: dict[str, Any]
) -> None:
    found = fit_press(replace(PRESS, **press), replace(TOOL, **tool))
    check = found.check(question)
    assert check.verdict is Verdict.FAILS
    assert found.verdict is Verdict.FAILS
    assert check.margin is not None
    assert check.margin < 0
    assert check.advice
    assert question in WOULD


def test_margins_are_the_room_that_is_left() -> None:
    assert checked(FitQuestion.OPENING).margin == pytest.approx((320 - 180) / 320)
    assert checked(FitQuestion.DAYLIGHT).margin == pytest.approx((700 - 420) / 700)
    assert checked(FitQuestion.MOULD_HEIGHT).margin == pytest.approx((240 - 150) / 380)
    assert checked(FitQuestion.EJECTOR).margin == pytest.approx(0.6)


@law(low=st.floats(0, 50), span=st.floats(0, 50), floor=st.floats(0, 40), room=st.floats(1, 100))
def test_the_three_answers_and_the_margin_agree(low: float, span: float, floor: float, room: float) -> None:
    needed, can = (low, low + span), (floor, floor + room)
    verdict, margin = verdict_between(needed, can), margin_between(needed, can)
    assert margin is not None
    assert (verdict is Verdict.HOLDS) == (margin >= 0)


@pytest.mark.parametrize(
    ("wide", "high", "verdict"),
    [
        (340, 340, Verdict.HOLDS),
        (300, 400, Verdict.NOT_SHOWN),
        (400, 300, Verdict.NOT_SHOWN),
        (400, 400, Verdict.FAILS),
        (351, 351, Verdict.FAILS),
    ],
)
def test_a_mould_passes_between_the_bars_or_stands_behind_them(
    wide: float, high: float, verdict: Verdict
) -> None:
    """360 between the bars both ways; 5 mm stay free on each side."""
    assert checked(FitQuestion.TIE_BARS, wide_mm=float(wide), high_mm=float(high)).verdict is verdict


def test_of_two_pairs_of_bars_the_tighter_is_shown_with_its_own_numbers() -> None:
    found = checked(FitQuestion.TIE_BARS, wide_mm=300.0, high_mm=340.0)
    assert (found.needed, found.can) == ((350.0, 350.0), (0.0, 360.0))
    assert found.margin == pytest.approx(10 / 360)
    assert "5 mm on each side taken off" in found.words


@law(wide=st.floats(100, 350), high=st.floats(100, 350))
def test_where_it_passes_the_margin_is_that_of_the_numbers_beside_it(wide: float, high: float) -> None:
    found = checked(FitQuestion.TIE_BARS, wide_mm=wide, high_mm=high)
    assert found.needed is not None
    assert found.can is not None
    assert found.margin == pytest.approx(margin_between(found.needed, found.can))


def test_a_mould_may_be_turned_by_a_quarter() -> None:
    oblong = {"tie_bars_wide_mm": 420.0, "tie_bars_high_mm": 300.0}
    found = checked(FitQuestion.TIE_BARS, oblong, wide_mm=280.0, high_mm=400.0)
    assert found.verdict is Verdict.HOLDS
    assert "turned by a quarter" in found.words


@law(
    wide=st.floats(100, 500),
    high=st.floats(100, 500),
    across=st.floats(150, 500),
    upright=st.floats(150, 500),
)
def test_which_side_of_a_mould_is_called_its_width_does_not_matter(
    wide: float, high: float, across: float, upright: float
) -> None:
    press = PressFacts(code="P", tie_bars_wide_mm=across, tie_bars_high_mm=upright)
    one = check_tie_bars(press, ToolFacts(code="M", wide_mm=wide, high_mm=high))
    other = check_tie_bars(press, ToolFacts(code="M", wide_mm=high, high_mm=wide))
    assert (one.verdict, one.margin) == (other.verdict, other.margin)


def test_an_opening_that_is_not_given_comes_from_the_depth_and_says_so() -> None:
    needed = opening_needed(ToolFacts(code="M1", depth_mm=40.0))
    assert needed is not None
    assert needed[0] == 2 * 40 + 50
    assert "common practice" in needed[1]
    assert opening_needed(ToolFacts(code="M1")) is None


def test_nothing_known_shows_nothing_and_names_everything() -> None:
    found = fit_press(PressFacts(code="P9"), ToolFacts(code="M9"))
    assert {one.verdict for one in found.checks} == {Verdict.NOT_SHOWN}
    assert all(one.missing and one.advice for one in found.checks)
    assert len({one.what for one in found.missing}) > 12


@pytest.mark.parametrize("name", ["clamp_kn", "barrel_g", "tie_bars_wide_mm", "mould_most_mm", "opening_mm"])
def test_one_number_missing_leaves_only_its_questions_open(name: str) -> None:
    found = fit_press(replace(PRESS, **{name: None}), TOOL)
    assert found.verdict is Verdict.NOT_SHOWN
    assert 1 <= len(found.not_shown) <= 2
    assert {one.who for one in found.missing} == {"the sheet of the press"}


def test_a_mould_too_thick_fails_even_where_the_other_end_is_not_known() -> None:
    assert (
        checked(FitQuestion.MOULD_HEIGHT, {"mould_least_mm": None}, thick_mm=400.0).verdict is Verdict.FAILS
    )
    assert checked(FitQuestion.MOULD_HEIGHT, {"mould_least_mm": None}).verdict is Verdict.NOT_SHOWN


def test_a_cycle_that_is_known_goes_before_the_estimate() -> None:
    assert fit_press(PRESS, replace(TOOL, cycle_s=35.0)).cycle_s.usual == 35.0  # type: ignore[union-attr]
    guessed = fit_press(PRESS, TOOL).cycle_s
    assert guessed is not None
    assert guessed.low < guessed.usual < guessed.high
    assert fit_press(PRESS, replace(TOOL, wall_mm=None)).cycle_s is None


def test_a_resin_that_suffers_heat_fails_in_a_barrel_far_too_large() -> None:
    found = checked(FitQuestion.RESIDENCE, {"barrel_g": 2_000.0}, resin="PVC-U")
    assert found.verdict is Verdict.FAILS
    assert any("what it gives off" in str(one) for one in found.cautions)


def test_presses_that_hold_come_first_then_the_smaller_clamp() -> None:
    presses = [
        replace(PRESS, code="small", clamp_kn=150.0),
        replace(PRESS, code="unknown", clamp_kn=None),
        replace(PRESS, code="large", clamp_kn=1_000.0),
        PRESS,
    ]
    found = compare_presses(TOOL, presses)
    assert [one.fit.press.code for one in found.presses] == ["P2", "large", "unknown", "small"]
    assert found.best is not None
    assert found.words.startswith("M1 goes on P2 (80 t) with 70 % clamp to spare")
    assert "small (80 t) would flash" in found.words


def test_of_two_that_hold_the_cheaper_hour_is_taken_where_it_is_known() -> None:
    dear, cheap = replace(PRESS, code="a", per_hour=60.0), replace(PRESS, code="b", per_hour=35.0)
    assert compare_presses(TOOL, [dear, cheap]).presses[0].fit.press.code == "b"


def test_of_those_that_hold_a_press_that_somebody_named_comes_first() -> None:
    presses = [
        PRESS,
        replace(PRESS, code="named", clamp_kn=1_000.0),
        replace(PRESS, code="bad", clamp_kn=90.0),
    ]
    found = compare_presses(TOOL, presses, said_to_hold=("named", "bad"))
    assert [one.fit.press.code for one in found.presses] == ["named", "P2", "bad"]


@law(examples=20, order=st.permutations(range(4)))
def test_the_order_in_which_presses_are_told_does_not_matter(order: list[int]) -> None:
    presses = [replace(PRESS, code=f"p{i}", clamp_kn=100.0 + 150 * i) for i in range(4)]
    found = compare_presses(TOOL, [presses[i] for i in order])
    assert [one.fit.press.code for one in found.presses] == ["p1", "p2", "p3", "p0"]


def test_no_press_at_all_is_said() -> None:
    found = compare_presses(TOOL, [])
    assert found.best is None
    assert "no press is written down" in found.words


def test_two_presses_of_one_code_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="two presses have it"):
        compare_presses(TOOL, [PRESS, PRESS])


@pytest.mark.parametrize(
    ("press", "tool", "argument"),
    [
        ({"clamp_kn": 0.0}, {}, "clamp_kn"),
        ({"clamp_kn": float("nan")}, {}, "clamp_kn"),
        ({"clamp_kn": "800"}, {}, "clamp_kn"),
        ({"mould_least_mm": 400.0}, {}, "mould_least_mm"),
        ({}, {"projected_cm2": -1.0}, "projected_cm2"),
        ({}, {"cavities": 0}, "cavities"),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    press: dict[str, Any], tool: dict[str, Any], argument: str
) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        fit_press(replace(PRESS, **press), replace(TOOL, **tool))
    assert refused.value.argument == argument


def test_a_mould_on_a_crane_and_at_the_press_is_cautioned_and_defers_to_the_shop() -> None:
    said = " ".join(str(one) for one in fit_press(PRESS, TOOL).cautions)
    assert "nobody beneath" in said
    assert "rules of the shop" in said
    assert "not compared here" in said


def test_gas_of_a_resin_is_said_though_the_time_in_the_barrel_cannot_be() -> None:
    found = checked(FitQuestion.RESIDENCE, resin="POM", wall_mm=None, cycle_s=None)
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.cautions == (GASES,)
    assert checked(FitQuestion.RESIDENCE, resin="ABS", wall_mm=None, cycle_s=None).cautions == ()
