"""The drawings of a seam: the window stands where its numbers do, runs are told apart by their sign."""

from __future__ import annotations

import re
from dataclasses import replace
from math import log, log1p
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.core.welding.audit import weld_audit
from offtool.core.welding.study import WeldRun, WeldRuns, weld_window
from offtool.core.welding.weibull import fit_weibull
from offtool.reports.contours import contour
from offtool.reports.seam_words import (
    SettingWord,
    audit_in_words,
    bound_in_words,
    design_row_in_words,
    newtons,
    setting_word,
    span_of,
    stand_in_words,
    strength_in_words,
    wanted_of,
    weibull_in_words,
)
from offtool.reports.weibull_drawing import draw_weibull
from offtool.reports.weld_window_drawing import draw_setting_mark, draw_weld_window
from tests.core.laws import law
from tests.labels import independent
from tests.reports import seams
from tests.reports.drawn import drawn
from tests.web.test_look import TOKENS

WINDOW = seams.window()


def titles(svg: str) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(one.itertext()) for one in root.iter() if one.tag.endswith("title")]


def all_drawings() -> dict[str, str]:
    return {
        "window": draw_weld_window(WINDOW),
        "window, nothing holds": draw_weld_window(seams.window(required_n=300.0)),
        "window, third setting held": draw_weld_window(seams.window(third=True)),
        "window of one setting": draw_weld_window(seams.window_of_one()),
        "Weibull": draw_weibull(seams.weibull()),
        "Weibull, three pulls": draw_weibull(fit_weibull([80, 120, 95], required_n=60)),
        "Weibull, nothing asked": draw_weibull(fit_weibull([80, 120, 95, 101])),
        "Weibull, all stopped": draw_weibull(fit_weibull([140] * 5, stopped=[1] * 5, required_n=60)),
        "Weibull, 200 pulls": draw_weibull(
            fit_weibull(np.random.default_rng(1).weibull(8, 200) * 100, required_n=60)
        ),
    } | {str(word): standing(word) for word in SettingWord}


def standing(word: SettingWord) -> str:
    said = f'aria-label="{word}" viewBox="0 0 20 20"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {said}>{draw_setting_mark(word, 10, 10)}</svg>'


DRAWINGS = all_drawings()


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_stands_alone_says_its_numbers_and_stays_in_its_view(name: str) -> None:
    svg = DRAWINGS[name]
    drawing = drawn(svg)
    assert drawing.leaves_its_view() == []
    assert drawing.says
    assert "nan" not in svg
    assert "inf" not in svg
    used = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', svg))
    assert used <= {*TOKENS.values(), "#ffffff"}
    assert "style=" not in svg
    assert "id=" not in svg


def test_where_nothing_was_varied_there_is_no_window_to_draw() -> None:
    same = WeldRuns(runs=tuple(WeldRun(time_s=0.3, strength_n=value) for value in (80.0, 90.0, 85.0)))
    assert draw_weld_window(weld_window(same, required_n=50)) == ""


def test_the_hatched_field_covers_as_many_cells_as_hold() -> None:
    drawing = drawn(DRAWINGS["window"])
    grid = WINDOW.grid
    assert grid is not None
    (tried,) = drawing.named("tried")
    whole = (tried.right - tried.left) * (tried.places[1][1] - tried.places[0][1])
    area = sum(
        (one.right - one.left) * (one.places[1][1] - one.places[0][1]) for one in drawing.named("holds")
    )
    holds = np.array(grid.holds)
    weight = np.ones(25)
    weight[[0, -1]] = 0.5  # the outer places stand at the end of what was tried: half a cell
    expected = float(weight @ holds @ weight) / float(weight.sum()) ** 2
    assert area / whole == independent(expected, way="places that hold over all places", rel=0.01)
    assert 0 < holds.sum() < holds.size


def test_the_place_to_stand_is_marked_and_said() -> None:
    drawing, grid = drawn(DRAWINGS["window"]), WINDOW.grid
    assert grid is not None
    (ring,) = drawing.named("stand")
    (tried,) = drawing.named("tried")
    time, pressure = grid.axes
    assert time.stand_at is not None
    assert pressure.stand_at is not None
    along = (ring.middle - tried.left) / (tried.right - tried.left)
    assert along == independent((time.stand_at - 0.2) / 0.2, way="share of the range tried", rel=0.01)
    y = sum(one for _, one in ring.places) / 2
    up = (tried.places[1][1] - y) / (tried.places[1][1] - tried.places[0][1])
    assert up == independent((pressure.stand_at - 2.0) / 1.0, way="share of the range tried", rel=0.01)
    assert f"stand at weld time {time.stand_at:.3g} s" in drawing.says
    assert stand_in_words(grid) in drawing.says


def test_without_a_window_nothing_is_hatched_and_it_is_said() -> None:
    drawing = drawn(DRAWINGS["window, nothing holds"])
    assert drawing.named("holds") == []
    assert drawing.named("stand") == []
    assert "no setting shows strength and look at once" in drawing.says


def test_runs_are_told_apart_by_their_sign_and_say_their_numbers() -> None:
    plain = {word: re.sub("#[0-9a-f]{6}", "", draw_setting_mark(word, 10, 10)) for word in SettingWord}
    assert len(set(plain.values())) == len(SettingWord)
    said = [one for one in titles(DRAWINGS["window"]) if "pulls" in one]
    assert len(said) == len(WINDOW.settings) == 9
    words = [setting_word(one) for one in WINDOW.settings]
    assert words[0] is SettingWord.WEAK
    assert words[-1] is SettingWord.BAD_LOOK
    for one, word in zip(said, words, strict=True):
        assert one.endswith(f" {word}")


def test_a_setting_is_called_by_what_fails_first() -> None:
    one = WINDOW.settings[0]
    word = {
        (strength, looks): setting_word(
            replace(one, strength_verdict=strength, looks_verdict=looks, verdict=Verdict.NOT_SHOWN)
        )
        for strength in Verdict
        for looks in Verdict
    }
    assert word[Verdict.FAILS, Verdict.FAILS] is SettingWord.BOTH
    assert word[Verdict.FAILS, Verdict.HOLDS] is SettingWord.WEAK
    assert word[Verdict.NOT_SHOWN, Verdict.FAILS] is SettingWord.BAD_LOOK
    assert word[Verdict.HOLDS, Verdict.NOT_SHOWN] is SettingWord.NOT_SHOWN
    assert (
        setting_word(replace(one, strength_verdict=Verdict.HOLDS, verdict=Verdict.HOLDS)) is SettingWord.HOLDS
    )


def test_settings_beside_the_plane_are_not_drawn_and_counted() -> None:
    drawing = drawn(DRAWINGS["window, third setting held"])
    assert "settings lie beside this plane and are not drawn" in drawing.says
    assert any(one.startswith("at amplitude") for one in drawing.texts)


def test_the_line_of_the_pull_asked_is_where_the_bound_has_it() -> None:
    grid = WINDOW.grid
    assert grid is not None
    (asked,) = drawn(DRAWINGS["window"]).named("asked")
    (tried,) = drawn(DRAWINGS["window"]).named("tried")
    low = np.array(grid.strength_low)
    for x, y in asked.places[::7]:
        column = (x - tried.left) / (tried.right - tried.left) * 24
        row = (tried.places[1][1] - y) / (tried.places[1][1] - tried.places[0][1]) * 24
        near = low[int(np.clip(round(row), 0, 24)), int(np.clip(round(column), 0, 24))]
        assert near == pytest.approx(90.0, abs=6.0)


@law(slope=st.floats(-3, 3), height=st.floats(-2, 2), value=st.floats(-3, 3))
def test_the_contour_of_a_plane_is_straight(slope: float, height: float, value: float) -> None:
    """values = slope x + y + height: the line is where y = value - height - slope x."""
    grid = [[slope * x + y + height for x in range(6)] for y in range(5)]
    for piece in contour(grid, value):
        for x, y in piece:
            assert y == pytest.approx(value - height - slope * x, abs=1e-6)


def test_a_saddle_joins_the_corners_that_its_middle_lies_with() -> None:
    """Corners above at 0,0 and 1,1: with a high middle the pieces cut off the other two."""
    high = [[3.0, -1.0], [-1.0, 3.0]]
    low = [[1.0, -3.0], [-3.0, 1.0]]
    assert {frozenset(one) for one in contour(high, 0.0)} == {
        frozenset({(0.75, 0.0), (1.0, 0.25)}),
        frozenset({(0.25, 1.0), (0.0, 0.75)}),
    }
    assert {frozenset(one) for one in contour(low, 0.0)} == {
        frozenset({(0.25, 0.0), (0.0, 0.25)}),
        frozenset({(0.75, 1.0), (1.0, 0.75)}),
    }


def test_a_contour_leaves_out_what_is_not_known() -> None:
    assert list(contour([[0.0, 2.0], [0.0, float("-inf")]], 1.0)) == []


def test_the_weibull_plot_is_straight_and_its_slope_is_the_shape() -> None:
    fit = seams.weibull()
    (line,) = drawn(draw_weibull(fit)).named("line")
    (x0, y0), (x1, y1) = line.places[0], line.places[-1]
    for x, y in line.places:
        assert y == pytest.approx(y0 + (y1 - y0) * (x - x0) / (x1 - x0), abs=0.2)
    dots = drawn(draw_weibull(fit)).named("dot")
    # the same scales by two points of the plot: rank over pull, in pixels
    first, last = fit.points[0], fit.points[-1]
    across = (dots[-1].middle - dots[0].middle) / (log(last.strength_n) - log(first.strength_n))
    heights = [sum(y for _, y in one.places) / 2 for one in (dots[0], dots[-1])]
    straight = [log(-log1p(-one.position)) for one in (first, last)]
    up = (heights[0] - heights[1]) / (straight[1] - straight[0])
    slope = (y0 - y1) / (x1 - x0) * across / up
    assert slope == independent(fit.shape, way="slope of the line in the plot's own scales", rel=0.03)


def test_stopped_pulls_are_marked_apart_from_those_that_came_apart() -> None:
    svg = DRAWINGS["Weibull"]
    drawing = drawn(svg)
    assert len(drawing.named("dot")) == 10
    assert "2 stopped at 140 N: held at least so much" in titles(svg)
    assert "×2" in drawing.texts
    assert "2 stopped" in drawing.says
    assert "stopped at 140 N, 140 N" in drawing.says


def test_the_requirement_is_a_line_with_the_share_below_it() -> None:
    drawing = drawn(DRAWINGS["Weibull"])
    (asked,) = drawing.named("asked")
    assert asked.middle < min(one.left for one in drawing.named("dot"))
    assert "asked 60 N" in drawing.texts
    assert drawn(DRAWINGS["Weibull, nothing asked"]).named("asked") == []


def test_where_no_pull_came_apart_there_is_no_line() -> None:
    drawing = drawn(DRAWINGS["Weibull, all stopped"])
    assert drawing.named("line") == []
    assert drawing.named("dot") == []
    assert "no pull of 5 came apart" in drawing.says


def test_pulls_are_worded_to_three_digits() -> None:
    assert [newtons(one) for one in (384.4, 84.24, 9.876, 0.0, None)] == [
        "384 N",
        "84.2 N",
        "9.88 N",
        "0 N",
        "–",
    ]


def test_spans_are_worded_once_where_both_ends_are_alike() -> None:
    assert span_of(Span(low=0.38, high=0.42), "mm") == "0.38 to 0.42 mm"
    assert span_of(Span(low=0.5, high=0.5), "mm") == "0.5 mm"
    assert span_of(Span(low=0.5, high=float("inf")), "mm") == "at least 0.5 mm"
    assert span_of(Span(low=0.35, high=0.38), "1") == "35 to 38 %"
    assert span_of(Span(low=90.0, high=90.0), "deg") == "90°"
    assert wanted_of(Span(low=0.0, high=1.0), "1") == "at most 100 %"
    assert wanted_of(Span(low=1e-3, high=float("inf")), "mm") == "above 0 mm"


def test_strength_says_share_bound_confidence_and_what_is_asked() -> None:
    strength = seams.torso().strength
    assert strength is not None
    said = strength_in_words(strength)
    assert said.startswith("99.0 % of seams hold at least ")
    assert "95 % sure, by 12 pulls" in said
    assert said.endswith(f"60 N are asked: {strength.verdict}")
    assert [bound_in_words(one).split(":")[0] for one in strength.bounds] == [
        "normal",
        "Weibull",
        "distribution-free",
    ]


def test_a_rule_says_what_was_found_and_what_is_wanted() -> None:
    design = seams.torso().design
    assert design is not None
    for row in design.rows:
        said = design_row_in_words(row)
        assert said.startswith(f"{row.what}: ")
        assert said.endswith(f": {row.verdict}")
        assert ", wanted " in said


def test_a_plan_says_how_many_to_pull_and_when_to_stop() -> None:
    audit = weld_audit(110.0, 12.0, 60.0, drop_n=30.0)
    for plan in audit.plans:
        assert f"pull {plan.pulls} at each audit, alarm below" in audit_in_words(plan)
    none = replace(audit.plans[0], pulls=None)
    assert "no number of pulls in reach" in audit_in_words(none)


def test_the_fit_says_what_nine_of_ten_seams_hold_and_what_few_pulls_leave_open() -> None:
    fit = seams.weibull()
    said = weibull_in_words(fit)
    assert f"shape {fit.shape:.1f} (" in said
    assert "90 % of seams hold" in said
    assert "are weaker than 60 N (95 % sure)" in said
