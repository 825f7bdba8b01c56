"""The drawings of a joint: marks stand where the numbers do, say them, and are told apart without colour."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from math import inf
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import strategies as st

from offtool.core.joints.assembled import AssembledShares, Grade, GradeShare
from offtool.core.joints.friction import learn_friction
from offtool.core.joints.relaxation import fit_relaxation
from offtool.core.values import Interval
from offtool.reports.friction_drawing import draw_friction
from offtool.reports.hatch import hatch
from offtool.reports.joint_histogram import draw_measure_histogram
from offtool.reports.joint_shares_bar import draw_grade_bar, draw_grade_key
from offtool.reports.joint_sources_drawing import draw_contributions
from offtool.reports.joint_words import (
    GRADES,
    LETTERS,
    grades_in_words,
    limits_in_words,
    pair_matrix,
    relaxation_in_words,
    share_in_words,
    slope_in_words,
)
from offtool.reports.relaxation_drawing import draw_relaxation
from tests.core.laws import law
from tests.labels import independent
from tests.reports import joints
from tests.reports.drawn import Drawing, drawn
from tests.web.test_look import TOKENS

MIX = joints.assembled()


def titles(svg: str) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(one.itertext()) for one in root.iter() if one.tag.endswith("title")]


def shares(loose: float, good: float, tight: float, overstrained: float) -> AssembledShares:
    """Shares of any size."""

    def of(share: float) -> GradeShare:
        return GradeShare(share=share, interval=Interval(low=share / 2, high=share, confidence=0.95))

    return AssembledShares(
        loose=of(loose),
        good=of(good),
        tight=of(tight),
        overstrained=of(overstrained),
        mean=0.1,
        sd=0.01,
        middle_low=0.08,
        middle_high=0.12,
        combinations=100,
    )


def fields(svg: str) -> list[tuple[str, float, float]]:
    """Grade, left and right of each field of a bar."""
    return [(mark.name, mark.left, mark.right) for mark in drawn(svg).marks if mark.name in set(GRADES)]


def histogram(**changed: Any) -> str:
    return draw_measure_histogram(joints.assembled(**changed), decimals=3, unit="N·m")


def all_drawings() -> dict[str, str]:
    one_reading = learn_friction([0.2], [0.08], ["1 with 1"])
    many_clear = learn_friction([0.2, 0.3, 0.0], [0.08, 0.13, 0.01], ["a", "b", "c"])
    exact_line = fit_relaxation([0.1, 0.09], [1, 24], ["", ""])
    return {
        "bar": draw_grade_bar(MIX.mix),
        "narrow bar": draw_grade_bar(MIX.mix, width=30, height=8),
        "keys": draw_grade_key(Grade.OVERSTRAINED),
        "histogram": histogram(),
        "histogram, no limits": histogram(lower=None, upper=None),
        "histogram, tight": histogram(lower=None, upper=0.05),
        "histogram, all loose": histogram(pegs=(3.9, 3.91)),
        "histogram, overstrained": histogram(pegs=(4.2, 4.21)),
        "sources": draw_contributions(MIX),
        "sources, friction of ten times": draw_contributions(
            replace(MIX, friction_effect=replace(effect(), beside_variance=40.0))
        ),
        "sources, no spread": draw_contributions(
            replace(MIX, contributions=(), friction_effect=replace(effect(), beside_variance=inf))
        ),
        "sources, bent": draw_contributions(replace(MIX, rest_of_variance=-0.2)),
        "sources, nothing": draw_contributions(replace(MIX, contributions=(), friction_effect=None)),
        "friction": draw_friction(joints.learned(), decimals=3),
        "friction, one reading": draw_friction(one_reading, decimals=3),
        "friction, wide": draw_friction(many_clear, decimals=3),
        "relaxation": draw_relaxation(joints.relaxation(), joints.relaxed(), lower=0.06, decimals=3),
        "relaxation, handbook": draw_relaxation(None, joints.relaxed(), lower=None, decimals=3),
        "relaxation, two readings": draw_relaxation(exact_line, None, lower=0.2, decimals=3),
    }


def effect() -> Any:
    assert MIX.friction_effect is not None
    return MIX.friction_effect


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


@law(
    parts=st.tuples(*[st.floats(0.0, 1.0) for _ in GRADES]).filter(lambda one: sum(one) > 0.01),
    width=st.integers(20, 400),
)
def test_the_fields_of_a_bar_fill_its_width_in_the_order_of_the_grades(
    parts: tuple[float, float, float, float], width: int
) -> None:
    found = fields(draw_grade_bar(shares(*(one / sum(parts) for one in parts)), width=width))
    assert found[0][1] == 0
    assert found[-1][2] == pytest.approx(width, abs=0.051)
    assert sum(right - left for _, left, right in found) == pytest.approx(width, abs=0.051)
    for (_, _, right), (_, left, _) in pairwise(found):
        assert left == pytest.approx(right, abs=1e-9)
    order = [str(grade) for grade in GRADES]
    places = [order.index(name) for name, _, _ in found]
    assert places == sorted(places)


@law(loose=st.floats(0.0, 0.99), width=st.integers(20, 400))
def test_a_field_is_as_wide_as_its_share(loose: float, width: int) -> None:
    found = fields(draw_grade_bar(shares(loose, 1 - loose, 0, 0), width=width))
    wide = {name: right - left for name, left, right in found}
    assert wide.get("loose", 0.0) == pytest.approx(loose * width, abs=0.051)


def test_grades_are_told_apart_by_hatching_and_letter_not_by_colour() -> None:
    plain = {grade: re.sub("#[0-9a-f]{6}", "", draw_grade_key(grade)) for grade in GRADES}
    assert len(set(plain.values())) == 4
    assert [drawn(draw_grade_key(grade)).texts for grade in GRADES] == [(LETTERS[one],) for one in GRADES]
    hatched = [len(drawn(draw_grade_key(grade)).named("hatch")) for grade in GRADES]
    assert hatched == [1, 0, 1, 2]


def test_the_bar_of_a_pair_says_good_first_and_leaves_out_what_there_is_none_of() -> None:
    assert grades_in_words(shares(0.05, 0.94, 0.0, 0.01)) == "94 % good, 5 % loose, 1.0 % overstrained"
    assert grades_in_words(shares(0.0, 1.0, 0.0, 0.0)) == "over 99.9 % good"
    assert drawn(draw_grade_bar(shares(0.05, 0.94, 0, 0.01))).says.startswith("94 % good, 5 % loose")
    assert titles(draw_grade_bar(shares(0.2, 0.8, 0, 0))) == [
        "loose: 20 % (10 to 20 %)",
        "good: 80 % (40 to 80 %)",
    ]


def test_every_grade_of_the_mix_is_worded_with_its_interval() -> None:
    good = MIX.mix.good
    low, high = round(100 * good.interval.low), round(100 * good.interval.high)
    assert share_in_words(good).startswith(f"{100 * good.share:.0f} % ({low} to {high}")


def test_the_matrix_has_a_row_a_cavity_of_the_first_part_and_a_column_a_cavity_of_the_second() -> None:
    matrix = pair_matrix(MIX)
    assert matrix is not None
    assert (matrix.rows_are, matrix.columns_are) == MIX.parts
    assert [row for row, _ in matrix.rows] == ["1", "2", "3", "4"]
    assert matrix.columns == ("1", "2")
    for row, pairs in matrix.rows:
        assert [one.cavities for one in pairs] == [(row, column) for column in matrix.columns]
    assert pair_matrix(replace(MIX, parts=("HO-04",))) is None


def heights(drawing: Drawing) -> float:
    """The area of all bars, from their rims."""
    return sum((one.right - one.left) * (one.places[1][1] - one.places[0][1]) for one in drawing.named("rim"))


def test_the_bars_of_the_histogram_hold_all_joints() -> None:
    said = titles(DRAWINGS["histogram"])
    bars = [one for one in MIX.histogram if one.loose + one.good + one.tight + one.overstrained > 0]
    assert sum(one.loose + one.good + one.tight + one.overstrained for one in bars) == pytest.approx(1)
    filled = [one for one in said if "of joints" in one]
    assert len(filled) >= len(bars)
    assert filled[0].startswith("0.0000 to ")
    assert filled[0].endswith("of joints, loose")
    # 1.0 is the sum of all shares: the tallest bar fills 1 / 1.06 of the height
    tallest = max(one.loose + one.good + one.tight + one.overstrained for one in bars)
    drawing = drawn(DRAWINGS["histogram"])
    most = max(one.places[1][1] - one.places[0][1] for one in drawing.named("rim"))
    area_of_one = (bars[0].high - bars[0].low) * most / tallest
    wide = drawing.named("rim")[0].right - drawing.named("rim")[0].left
    expected = area_of_one * wide / (bars[0].high - bars[0].low)
    assert heights(drawing) == independent(expected, way="one bar scaled to all joints", rel=0.03)


def test_what_lies_outside_the_limits_is_shaded_and_holds_no_good_joint() -> None:
    drawing = drawn(DRAWINGS["histogram"])
    below, above = drawing.named("outside")
    lower, upper = (one.middle for one in drawing.named("limit"))
    assert below.right == pytest.approx(lower, abs=0.11)
    assert above.left == pytest.approx(upper, abs=0.11)
    wide = drawing.named("rim")[0].right - drawing.named("rim")[0].left
    for good in drawing.named("good"):
        assert lower - wide - 0.2 <= good.left
        assert good.right <= upper + wide + 0.2
    assert {"0.060", "0.350"} <= set(drawing.texts)
    assert "asked 0.06 to 0.35 N·m" in drawing.says


def test_joints_that_all_turn_freely_are_still_seen_as_a_bar() -> None:
    free = joints.assembled(pegs=(3.9, 3.91), upper=10.0)
    drawing = drawn(draw_measure_histogram(free, decimals=3, unit="N·m"))
    assert free.mix.loose.share > 0.999
    assert max(one.right - one.left for one in drawing.named("rim")) >= 2


def test_a_limit_is_written_as_given_and_one_that_was_worked_out_is_rounded() -> None:
    assert limits_in_words(0.01, 0.08, decimals=3) == "0.01 to 0.08"
    assert limits_in_words(0.000824131, 0.235793847, decimals=3) == "0.0008 to 0.2358"
    assert limits_in_words(None, 0.2, decimals=3) == "at most 0.2"
    assert limits_in_words(0.1, None, decimals=3) == "at least 0.1"
    assert limits_in_words(None, None, decimals=3) == "no limits"


def test_a_slope_keeps_two_digits_and_its_sign() -> None:
    assert [slope_in_words(one) for one in (8.04, -0.0321, 0.0)] == ["+8", "−0.032", "0"]


def test_without_limits_nothing_is_shaded() -> None:
    assert drawn(DRAWINGS["histogram, no limits"]).named("outside") == []


def test_each_size_is_as_long_as_its_share_and_cavities_stand_apart_from_pieces() -> None:
    drawing = drawn(DRAWINGS["sources"])
    full = (520 - 60) - 168
    between = [one.right - one.left for one in drawing.named("between")]
    within = [one.right - one.left for one in drawing.named("within")]
    assert between == pytest.approx([abs(one.between) * full for one in MIX.contributions], abs=0.11)
    assert within == pytest.approx([abs(one.within) * full for one in MIX.contributions], abs=0.11)
    shares_of_all = sum(one.between + one.within for one in MIX.contributions) + MIX.rest_of_variance
    assert shares_of_all == pytest.approx(1, abs=1e-6)


def test_friction_is_named_as_not_known_and_cut_where_it_leaves_the_drawing() -> None:
    assert "friction: not known" in drawn(DRAWINGS["sources"]).texts
    assert len(drawn(DRAWINGS["sources"]).named("not-known")) == 1
    cut = drawn(DRAWINGS["sources, friction of ten times"])
    assert "over 10×" in cut.texts
    assert "friction 0.30 to 0.50, not known: moves the mean from" in cut.says


def test_the_line_of_friction_starts_at_zero_and_is_as_steep_as_the_friction() -> None:
    learned = joints.learned()
    drawing = drawn(draw_friction(learned, decimals=3))
    (line,) = drawing.named("line")
    (x0, y0), (x1, y1) = line.places
    dots = [one for one in drawing.marks if one.name in ("fits", "misfit", "unsure")]
    by_pair = {one.pair: one for one in learned.pairs}
    assert len(dots) == len(by_pair)
    # a mark's height over the foot of the line, against the line's own at the same place
    for dot, pair in zip(dots, learned.pairs, strict=True):
        height = (y0 - sum(y for _, y in dot.places) / len(dot.places)) / (dot.middle - x0)
        assert height / ((y0 - y1) / (x1 - x0)) == independent(
            pair.measured_nm / pair.at_friction_one_nm / learned.friction,
            way="slopes of the numbers",
            rel=0.03,
        )


def test_pairs_that_do_not_fit_are_named_with_a_cross() -> None:
    learned = joints.learned()
    drawing = drawn(draw_friction(learned, decimals=3))
    off = [one.pair for one in learned.pairs if one.fits is False]
    assert "4 with 2" in off
    assert set(off) <= set(drawing.texts)
    assert len(drawing.named("misfit")) == len(off)
    assert "4 with 2: measured" in drawing.says
    assert "does not fit" in drawing.says
    fair = joints.learned(misfit=False)
    assert all(one.fits for one in fair.pairs)
    assert drawn(draw_friction(fair, decimals=3)).named("misfit") == []


def test_the_usual_friction_is_a_fan_and_without_one_there_is_none() -> None:
    assert len(drawn(DRAWINGS["friction"]).named("usual")) == 1
    assert drawn(DRAWINGS["friction, one reading"]).named("usual") == []
    assert "predicted loose: c" in drawn(DRAWINGS["friction, wide"]).says


def test_relaxation_shows_a_day_and_a_thousand_hours_with_their_intervals() -> None:
    drawing = drawn(DRAWINGS["relaxation"])
    assert len(drawing.named("after")) == len(drawing.named("interval")) == 2
    assert len(drawing.named("piece")) == 4
    assert len(drawing.named("least")) == 1
    day, later = drawing.named("after")
    assert day.middle < later.middle
    assert day.places[0][1] < later.places[0][1]
    # 24 h lies 1.380 of 3 powers of ten along
    line, beyond = drawing.named("line")[0], drawing.named("beyond")[0]
    whole = beyond.right - line.left
    assert (day.middle - line.left) / whole == independent(1.3802112 / 3, way="log10 24 over 3", rel=0.003)
    assert "after 1,000 h" in drawing.says
    assert "beyond what was read" in drawing.says
    assert "at least 0.060 N·m is asked" in drawing.says


def test_without_readings_the_handbook_alone_is_drawn_and_without_both_nothing() -> None:
    drawing = drawn(DRAWINGS["relaxation, handbook"])
    assert len(drawing.named("handbook")) == 1
    assert drawing.named("line") == []
    assert "handbook" in drawing.says
    assert draw_relaxation(None, None, lower=0.1, decimals=3) == ""
    assert list(relaxation_in_words(None, None, decimals=3)) == []


def test_names_of_users_cannot_break_a_drawing() -> None:
    hostile = '"><script>&'
    first = replace(joints.learned().pairs[-1], pair=hostile)
    fit = joints.relaxation()
    contribution = replace(MIX.contributions[0], part=hostile, role=hostile)
    for svg in (
        draw_friction(replace(joints.learned(), pairs=(first,)), decimals=3),
        draw_relaxation(replace(fit, piece_levels_nm=((hostile, 0.1),)), None, lower=None, decimals=3),
        draw_contributions(replace(MIX, contributions=(contribution,))),
        draw_measure_histogram(replace(MIX, measure=hostile), decimals=3, unit=hostile),
    ):
        assert "<script>" not in svg
        ElementTree.fromstring(svg)


@law(
    left=st.floats(0, 50),
    top=st.floats(0, 50),
    width=st.floats(0, 80),
    height=st.floats(0, 40),
    way=st.sampled_from([1, -1]),
)
def test_hatching_stays_in_its_field(left: float, top: float, width: float, height: float, way: int) -> None:
    strokes = hatch(left, top, width, height, "#22211f", way=way)
    places = [
        (float(x), float(y))
        for path in re.findall(r' d="([^"]*)"', strokes)
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)
    ]
    for x, y in places:
        assert left - 0.06 <= x <= left + width + 0.06
        assert top - 0.06 <= y <= top + height + 0.06
    if min(width, height) > 6:
        assert places
