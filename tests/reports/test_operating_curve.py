"""The operating curve: both risks stand where the plan says, and are said."""

from __future__ import annotations

import re

import pytest

from offtool.core.pilot.sampling import (
    AttributePlan,
    VariablesPlan,
    attribute_plan,
    find_variables_plan,
    variables_plan,
)
from offtool.reports.operating_curve import HEIGHT, PHONE_WIDTH, TOP, draw_operating_curve
from tests.labels import independent
from tests.reports.drawn import drawn
from tests.web.test_look import TOKENS

PLAN = attribute_plan(89, 2, good=0.01, bad=0.06)
PLANS: dict[str, AttributePlan | VariablesPlan] = {
    "large lot": PLAN,
    "small lot": attribute_plan(20, 0, good=0.001, bad=0.1, lot=60),
    "flaws": attribute_plan(5, 44, good=6.5, bad=10.8, counted="flaws"),
    "the whole lot": attribute_plan(9, 0, good=0.01, bad=0.3, lot=9),
    "measured": variables_plan(21, 1.75, good=0.01, bad=0.1, spread="unknown"),
    "two limits": find_variables_plan(0.01, 0.1, spread="unknown", limits="two"),
}


@pytest.mark.parametrize("width", [460.0, PHONE_WIDTH])
@pytest.mark.parametrize("name", PLANS)
def test_a_drawing_stands_alone_says_its_numbers_and_stays_in_its_view(name: str, width: float) -> None:
    svg = draw_operating_curve(PLANS[name], width=width)
    drawing = drawn(svg)
    assert drawing.leaves_its_view() == []
    assert drawing.says.startswith("Operating curve.")
    assert "nan" not in svg
    assert "inf" not in svg
    assert set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', svg)) <= {*TOKENS.values(), "#ffffff"}
    assert "style=" not in svg


def test_the_two_risks_are_as_high_as_they_are() -> None:
    drawing = drawn(draw_operating_curve(PLAN))
    (refused,), (passed,) = drawing.named("refused"), drawing.named("passed")
    heights = [abs(one.places[0][1] - one.places[1][1]) / HEIGHT for one in (refused, passed)]
    wanted = [PLAN.refuses_good, PLAN.passes_bad]
    assert heights == independent(wanted, way="the two risks of the plan", within=0.001)
    assert refused.places[0][1] == pytest.approx(TOP)
    assert passed.middle > refused.middle


def test_the_curve_goes_through_both_risks() -> None:
    drawing = drawn(draw_operating_curve(PLAN))
    (line,), (passed,) = drawing.named("line"), drawing.named("passed")
    before = max(place for place in line.places if place[0] <= passed.middle)
    after = min(place for place in line.places if place[0] >= passed.middle)
    foot, top = sorted((passed.places[0][1], passed.places[1][1]), reverse=True)
    assert after[1] >= top >= before[1] - 0.2
    assert foot == pytest.approx(TOP + HEIGHT)


def test_the_risks_are_said_in_words() -> None:
    drawing = drawn(draw_operating_curve(PLAN))
    assert "1 % bad: refused 6.03 times in 100" in drawing.texts
    assert "6 % bad: passes 9.19 times in 100" in drawing.texts
    assert "6 % bad: passes 9.19 times in 100" in drawing.says


def test_two_limits_are_a_band_and_one_is_a_line() -> None:
    assert len(drawn(draw_operating_curve(PLANS["two limits"])).named("between")) == 1
    assert drawn(draw_operating_curve(PLANS["measured"])).named("between") == []


def test_a_small_lot_has_a_dot_for_every_number_of_bad_pieces() -> None:
    plan = PLANS["small lot"]
    assert isinstance(plan, AttributePlan)
    assert len(drawn(draw_operating_curve(plan)).named("share")) == len(plan.curve)


def test_a_plan_that_keeps_no_risks_draws_nothing() -> None:
    none = find_variables_plan(0.0999, 0.1, spread="unknown", producer_risk=0.001, consumer_risk=0.001)
    assert none.pieces is None
    assert draw_operating_curve(none) == ""
