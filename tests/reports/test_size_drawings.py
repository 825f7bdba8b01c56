"""The drawings of one size: every reading is on them, told by form, and says its value when pointed at."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.inspection import probability_plot
from offtool.core.values import Interval
from offtool.reports.differences_drawing import CavityApart, draw_differences
from offtool.reports.probability_drawing import PlotPoint, draw_probability_plot
from offtool.reports.run_drawing import MOST_MARKS, draw_run
from offtool.reports.shares_drawing import SourceShare, draw_shares_of_variation
from offtool.steps.readings_seen import Counts, ReadingSeen
from tests.core.laws import law
from tests.reports.drawn import Mark, drawn

HOSTILE = '<script>"&amp;\x00'


def reading(shot: int | None, value: float, **fields: object) -> ReadingSeen:
    plain = ReadingSeen(
        reading_id=1,
        size="P1 1",
        cavity="1",
        shot=shot,
        part_no=None,
        value=value,
        counts=Counts.YES,
        pointed_at=False,
        reason="",
        said_by="",
        file="m1.csv",
        row=2,
        column=3,
    )
    return replace(plain, **fields)  # type: ignore[arg-type]


def run(*readings: ReadingSeen, **given: object) -> str:
    asked: dict[str, object] = {
        "lower": 3.98,
        "upper": 4.03,
        "settled_from": None,
        "decimals": 3,
        "unit": "mm",
    }
    return draw_run(readings, **(asked | given))  # type: ignore[arg-type]


def titles(svg: str) -> list[str]:
    return [one.text or "" for one in ElementTree.fromstring(svg).iter() if one.tag.endswith("title")]


def height(mark: Mark) -> float:
    """Middle of a mark from the top."""
    ys = [y for _, y in mark.places]
    return (min(ys) + max(ys)) / 2


def test_each_reading_is_told_by_form_and_says_where_it_was_read() -> None:
    svg = run(
        reading(1, 3.95, counts=Counts.UNSETTLED),
        reading(2, 4.00),
        reading(3, 4.66, counts=Counts.LEFT_OUT, reason="digits crossed"),
        reading(4, 4.02, pointed_at=True),
        settled_from=2,
    )
    found = drawn(svg)
    assert [len(found.named(name)) for name in ("unsettled", "counts", "left-out", "pointed")] == [1, 2, 1, 1]
    assert titles(svg) == [
        "cavity 1: 3.950 mm, shot 1, m1.csv row 2, column 3, not settled",
        "cavity 1: 4.000 mm, shot 2, m1.csv row 2, column 3",
        "cavity 1: 4.660 mm, shot 3, m1.csv row 2, column 3, left out: digits crossed",
        "cavity 1: 4.020 mm, shot 4, m1.csv row 2, column 3, far from its cavity's others",
    ]
    assert "settled from shot 2" in found.texts
    assert found.says == (
        "4 readings in order, limits 3.98 to 4.03 mm; those used lie from 4.000 to 4.020; "
        "settled from shot 2; 1 not settled; 1 left out"
    )
    assert found.leaves_its_view() == []


@law(values=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=40))
def test_larger_readings_stand_higher_and_later_shots_farther_right(values: list[float]) -> None:
    found = drawn(run(*(reading(i, value) for i, value in enumerate(values)), lower=None, upper=None))
    marks = found.named("counts")
    assert len(marks) == len(values)
    order = np.argsort(values, kind="stable")
    heights = [height(marks[i]) for i in order]
    assert all(lower >= higher - 0.11 for lower, higher in pairwise(heights))
    assert [mark.middle for mark in marks] == sorted(mark.middle for mark in marks)
    assert found.leaves_its_view() == []


def test_without_shots_readings_stand_in_the_order_of_the_file() -> None:
    found = drawn(run(*(reading(None, 4.0) for _ in range(3))))
    assert "in the order of the file" in found.texts
    places = [mark.middle for mark in found.named("counts")]
    assert places == sorted(set(places))


def test_very_many_readings_become_a_line_a_shot_and_none_that_matters_is_lost() -> None:
    many = [reading(i // 10, 4.0 + 0.001 * (i % 10)) for i in range(MOST_MARKS + 10)]
    many[5] = replace(many[5], counts=Counts.LEFT_OUT, reason="fell")
    found = drawn(run(*many))
    assert len(found.named("band")) == (MOST_MARKS + 10) // 10
    assert len(found.named("left-out")) == 1


def test_what_people_wrote_cannot_break_a_drawing() -> None:
    svg = run(reading(1, 4.0, cavity=HOSTILE, file=HOSTILE), reading(2, 4.1, cavity="2"))
    assert "<script>" not in svg
    drawn(svg)


def test_the_plot_shows_as_many_points_outside_the_band_as_the_formula_counts() -> None:
    rng = np.random.default_rng(8)
    values = np.concatenate([rng.normal(4, 0.01, 40), [4.2]])
    plot = probability_plot(values, "normal")
    columns = (plot.values, plot.line, plot.band_low, plot.band_high, plot.positions)
    points = [
        PlotPoint(value=v, fitted=f, low=a, high=b, share=p) for v, f, a, b, p in zip(*columns, strict=True)
    ]
    svg = draw_probability_plot(points, [(0.5, 4.0)], family="normal", decimals=3, unit="mm")
    said = titles(svg)
    assert len(said) == 41
    assert sum("outside the band" in one for one in said) == plot.outside_band > 0
    assert drawn(svg).says == f"probability plot of 41 readings, normal: {plot.outside_band} outside the band"
    assert drawn(svg).leaves_its_view() == []


@pytest.mark.parametrize(("low", "high", "apart"), [(0.001, 0.005, True), (-0.001, 0.005, False)])
def test_a_cavity_stands_apart_where_its_interval_leaves_out_zero(
    low: float, high: float, apart: bool
) -> None:
    one = CavityApart(cavity="3", difference=0.003, interval=Interval(low=low, high=high, confidence=0.95))
    found = drawn(draw_differences([one], decimals=3, unit="mm"))
    assert ("stands apart" in found.says) is apart
    (line,), (zero,) = found.named("interval"), found.named("mean-of-all")
    assert (line.left > zero.middle) is apart


def test_bars_of_shares_are_as_long_as_the_shares() -> None:
    shares = [
        SourceShare(source=name, share=share, interval=None, says="")
        for name, share in (("a", 0.2), ("b", 0.8))
    ]
    first, second = drawn(draw_shares_of_variation(shares)).named("share")
    assert (second.right - second.left) / (first.right - first.left) == pytest.approx(4, abs=0.02)
