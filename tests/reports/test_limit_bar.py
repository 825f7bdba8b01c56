"""The limit bar: laws of the drawing, what it says in words, and what it does with numbers far off."""

from __future__ import annotations

import re
from dataclasses import replace
from math import inf, nan
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Interval, Verdict
from offtool.reports.limit_bar import WIDTH, draw_key_bar, draw_limit_bar, draw_verdict_mark, key_words
from tests.reports.drawn import drawn
from tests.reports.factories import (
    all_sizes,
    arm_torque,
    cavity_finding,
    ear_spacing,
    neck_ring,
    part_weight,
    size_finding,
)

ANY = st.floats(allow_nan=False, allow_infinity=False)
SPREADS = st.one_of(st.floats(min_value=0, allow_infinity=False, allow_nan=False), st.just(nan))
LOWER_AT, UPPER_AT = 110.0, 310.0
"""Where the limits of the drawn example stand on a bar of 420."""
A_PIXEL = 0.11
"""Places are written to a tenth of a pixel."""

cavities = st.builds(
    lambda mean, sd, low, high, verdict, label: cavity_finding(
        mean, sd=sd, interval=Interval(low=low, high=high, confidence=0.95), verdict=verdict, cavity=label
    ),
    ANY,
    SPREADS,
    st.one_of(ANY, st.just(-inf)),
    st.one_of(ANY, st.just(inf)),
    st.sampled_from(Verdict),
    st.text(max_size=8),
)
ordered = st.tuples(ANY, ANY).filter(lambda two: two[0] != two[1]).map(sorted)
limits = st.one_of(ordered, st.tuples(ANY, st.none()), st.tuples(st.none(), ANY), st.just((None, None)))


def moved(finding: SizeFinding, factor: float) -> SizeFinding:
    """The same finding in another unit; a negative factor mirrors it."""

    def turned(low: float | None, high: float | None) -> tuple[float | None, float | None]:
        ends = [None if end is None else end * factor for end in (low, high)]
        return (ends[0], ends[1]) if factor > 0 else (ends[1], ends[0])

    def cavity(one: CavityFinding) -> CavityFinding:
        low, high = turned(one.interval.low, one.interval.high)
        assert low is not None
        assert high is not None
        interval = Interval(low=low, high=high, confidence=0.95)
        return replace(one, mean=one.mean * factor, sd=one.sd * abs(factor), interval=interval)

    lower, upper = turned(finding.lower, finding.upper)
    return replace(
        finding,
        lower=lower,
        upper=upper,
        target=finding.target * factor,
        cavities=tuple(cavity(one) for one in finding.cavities),
    )


def geometry(svg: str) -> str:
    """The drawing without its words."""
    return re.sub(r'aria-label="[^"]*"|<title>[^<]*</title>', "", svg)


def without_colour(svg: str) -> str:
    return re.sub(r'#[0-9a-f]{6}|class="[^"]*"', "", geometry(svg))


@given(limits=limits, target=ANY, found=st.lists(cavities, max_size=9), width=st.floats(120, 1200))
def test_nothing_leaves_the_drawing_whatever_was_measured(
    limits: tuple[float | None, float | None], target: float, found: list[CavityFinding], width: float
) -> None:
    finding = size_finding(*found, lower=limits[0], upper=limits[1], target=target)
    drawing = drawn(draw_limit_bar(finding, width=width))
    assert drawing.leaves_its_view() == []
    assert len(drawing.means) == len(found)


@given(limits=ordered, means=st.lists(ANY, min_size=2, max_size=9))
def test_a_larger_mean_never_stands_left_of_a_smaller_one(limits: list[float], means: list[float]) -> None:
    found = [cavity_finding(mean, sd=nan) for mean in sorted(means)]
    finding = size_finding(*found, lower=limits[0], upper=limits[1], target=limits[0])
    places = drawn(draw_limit_bar(finding)).means
    assert places == sorted(places)


@pytest.mark.parametrize("size", all_sizes(), ids=lambda size: size.number)
@pytest.mark.parametrize("factor", [0.25, 1024.0, 2.0**-40])
def test_the_unit_makes_no_difference(size: Any, factor: float) -> None:
    assert geometry(draw_limit_bar(moved(size.finding, factor))) == geometry(draw_limit_bar(size.finding))


@pytest.mark.parametrize("size", all_sizes(), ids=lambda size: size.number)
def test_mirrored_limits_give_the_mirrored_drawing(size: Any) -> None:
    plain, mirrored = (drawn(draw_limit_bar(one)) for one in (size.finding, moved(size.finding, -1.0)))
    assert mirrored.means == pytest.approx([WIDTH - x for x in plain.means], abs=A_PIXEL)
    for name in ("spread", "mean", "limit", "outside", "target"):
        turned = sorted(WIDTH - mark.middle for mark in mirrored.named(name))
        assert turned == pytest.approx(sorted(mark.middle for mark in plain.named(name)), abs=A_PIXEL)


@pytest.mark.parametrize(
    "size", [one for one in all_sizes() if None not in (one.finding.lower, one.finding.upper)],
    ids=lambda size: size.number,
)  # fmt: skip
def test_two_limits_stand_at_the_same_places_for_every_size(size: Any) -> None:
    drawing = drawn(draw_limit_bar(size.finding))
    assert [mark.left for mark in drawing.named("limit")] == [LOWER_AT, UPPER_AT]
    assert [(mark.left, mark.right) for mark in drawing.named("outside")] == [(20.0, 110.0), (310.0, 400.0)]


def test_a_mean_stands_where_it_lies_between_the_limits() -> None:
    quarter = drawn(draw_limit_bar(size_finding(cavity_finding(3.98 + 0.05 / 4))))
    assert quarter.means == pytest.approx([LOWER_AT + (UPPER_AT - LOWER_AT) / 4], abs=A_PIXEL)
    assert [mark.left for mark in quarter.named("target")] == [210.0]


def test_the_heavy_line_is_the_interval_and_the_thin_line_three_standard_deviations() -> None:
    interval = Interval(low=4.0, high=4.01, confidence=0.95)
    drawing = drawn(draw_limit_bar(size_finding(cavity_finding(4.005, sd=0.005, interval=interval))))
    heavy, thin = drawing.named("mean")[0], drawing.named("spread")[0]
    assert (heavy.left, heavy.right) == pytest.approx((190.0, 230.0), abs=A_PIXEL)
    assert (thin.left, thin.right) == pytest.approx((150.0, 270.0), abs=A_PIXEL)


@pytest.mark.parametrize(("mean", "edge", "back"), [(-50.0, 20.0, 28.0), (50.0, 400.0, 392.0)])
def test_a_mean_far_off_is_an_arrow_at_the_edge(mean: float, edge: float, back: float) -> None:
    drawing = drawn(draw_limit_bar(size_finding(cavity_finding(mean))))
    assert [[x for x, _ in mark.places] for mark in drawing.named("beyond")] == [[back, edge, back]]
    assert drawing.named("dot") == []


def test_a_mean_that_can_be_drawn_is_no_arrow() -> None:
    assert drawn(draw_limit_bar(size_finding(cavity_finding(4.05)))).named("beyond") == []


def test_one_part_has_a_dotted_line_and_no_spread() -> None:
    drawing = drawn(draw_limit_bar(part_weight().finding))
    assert [(mark.left, mark.right) for mark in drawing.named("mean unknown")] == [(20.0, 400.0)] * 2
    assert drawing.named("spread") == []
    assert drawing.named("mean") == []
    assert "no interval" in drawing.says


@pytest.mark.parametrize(
    ("size", "limit", "open_at"), [(arm_torque(), LOWER_AT, 400.0), (part_weight(), UPPER_AT, 20.0)]
)
def test_a_side_without_limit_stays_open(size: Any, limit: float, open_at: float) -> None:
    drawing = drawn(draw_limit_bar(size.finding))
    assert [mark.left for mark in drawing.named("limit")] == [limit]
    assert len(drawing.named("outside")) == 1
    (arrow,) = (mark for mark in drawing.marks if mark.group == "open")
    assert open_at in (arrow.left, arrow.right)


def test_with_one_limit_everything_inside_can_be_seen() -> None:
    drawing = drawn(draw_limit_bar(arm_torque().finding))
    assert drawing.named("beyond") == []
    assert max(mark.right for mark in drawing.named("spread")) == UPPER_AT


def test_each_cavity_has_its_line_and_its_label() -> None:
    drawing = drawn(draw_limit_bar(neck_ring().finding))
    assert drawing.texts == tuple("12345678")
    heights = [mark.places[0][1] for mark in drawing.named("mean")]
    assert heights == [11.0 + 11 * i for i in range(8)]
    assert drawing.height == 98


def test_a_cavity_that_was_not_recorded_has_no_label() -> None:
    drawing = drawn(draw_limit_bar(ear_spacing().finding))
    assert drawing.texts == ()
    assert "cavity not recorded: mean 24.590" in drawing.says


@pytest.mark.parametrize(
    ("label", "shown"), [("12", "12"), ("A-1", "A-1"), ("left", "le…"), ("左上", "左…"), ("左1", "左1")]
)
def test_a_long_label_is_cut_beside_the_bar_and_whole_in_the_words(label: str, shown: str) -> None:
    drawing = drawn(draw_limit_bar(size_finding(cavity_finding(4.0, cavity=label))))
    assert drawing.texts == (shown,)
    assert f"cavity {label}:" in drawing.says


def test_the_words_say_the_numbers() -> None:
    interval = Interval(low=3.968, high=3.972, confidence=0.95)
    one = cavity_finding(3.97, sd=0.004, interval=interval, verdict=Verdict.FAILS)
    assert drawn(draw_limit_bar(size_finding(one), unit="mm")).says == (
        "limits 3.98 to 4.03 mm, target 4.005; cavity 1: mean 3.970 ± 0.002, 0.010 below the lower limit, "
        "parts 3.958 to 3.982, does not hold"
    )


def test_verdicts_differ_by_form_where_colour_is_lost() -> None:
    forms = {
        without_colour(draw_limit_bar(size_finding(cavity_finding(4.0, verdict=verdict))))
        for verdict in Verdict
    }
    assert len(forms) == len(Verdict)
    assert len({without_colour(draw_verdict_mark(verdict)) for verdict in Verdict}) == len(Verdict)


@pytest.mark.parametrize("label", ['<script>alert("x")</script>', "a&b", "'\"", "]]>", "\x00\x07", "\ud800"])
def test_user_text_is_escaped(label: str) -> None:
    svg = draw_limit_bar(size_finding(cavity_finding(4.0, cavity=label)), unit=label)
    assert "<script" not in svg
    kept = "".join(sign for sign in label if sign.isprintable())
    assert kept in drawn(svg).says


@pytest.mark.parametrize("size", all_sizes(), ids=lambda size: size.number)
def test_the_drawing_needs_no_style_sheet(size: Any) -> None:
    svg = draw_limit_bar(size.finding)
    assert "style" not in svg
    shapes = [
        one for one in ElementTree.fromstring(svg).iter() if one.tag.endswith(("path", "rect", "circle"))
    ]
    assert shapes
    assert all(one.get("stroke", one.get("fill", "")).startswith("#") for one in shapes)


def test_the_key_shows_the_signs_and_names_them() -> None:
    drawing = drawn(draw_key_bar())
    assert [mark.left for mark in drawing.named("limit")] == [65.0, 165.0]
    assert (len(drawing.named("dot")), len(drawing.named("mean")), len(drawing.named("spread"))) == (1, 1, 1)
    assert "95 % interval" in key_words()
    assert "90 % interval" in key_words(0.9)
