"""The drawings of gauge studies: marks stand where the numbers do, say them, and never leave their view."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from offtool.core.inspection.gauge import GaugeStudy
from offtool.reports.gauge_bias_drawing import READINGS_DRAWN, draw_linearity, draw_reference_run
from offtool.reports.gauge_parts_drawing import PARTS_DRAWN, draw_parts_by_operator
from offtool.reports.gauge_share_bars import draw_shares
from tests.reports import gauge_studies
from tests.reports.drawn import drawn
from tests.web.test_look import TOKENS

STUDIES = {
    "printed": gauge_studies.printed_study(),
    "by variation": gauge_studies.printed_study(None),
    "one person": gauge_studies.crossed(4, 1, 3),
    "eight people": gauge_studies.crossed(3, 8, 2, tolerance=0.001),
    "many parts": gauge_studies.crossed(60, 2, 2, tolerance=0.1),
    "nested": gauge_studies.nested(),
    "single repeats": gauge_studies.crossed(6, 3, 1),
}


def titles(svg: str) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(one.itertext()) for one in root.iter() if one.tag.endswith("title")]


def all_drawings() -> dict[str, str]:
    study, values = gauge_studies.run()
    made = {f"shares {name}": draw_shares(one) for name, one in STUDIES.items()}
    made |= {
        f"parts {name}": draw_parts_by_operator(one, decimals=3, unit="mm") for name, one in STUDIES.items()
    }
    made["line"] = draw_linearity(gauge_studies.line(), decimals=3, unit="mm")
    made["exact line"] = draw_linearity(gauge_studies.line(scatter=0.0), decimals=3)
    made["run"] = draw_reference_run(study, values, decimals=3, unit="mm")
    return made


DRAWINGS = all_drawings()


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_stands_alone_and_stays_in_its_view(name: str) -> None:
    svg = DRAWINGS[name]
    drawing = drawn(svg)
    assert drawing.leaves_its_view() == []
    assert drawing.says
    assert "nan" not in svg
    assert "inf" not in svg.replace("infin", "")
    used = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', svg))
    assert used <= {*TOKENS.values(), "#ffffff"}
    assert "style=" not in svg


def test_every_share_is_as_long_as_its_number_and_says_it() -> None:
    svg = draw_shares(STUDIES["printed"])
    drawing, study = drawn(svg), STUDIES["printed"]
    bars = [mark.right - mark.left for mark in drawing.named("share")]
    shares = [one.of_tolerance for one in study.shares if one.source not in ("reproducibility", "total")]
    full = 356 - 10 - 2
    assert bars == pytest.approx([min(one or 0.0, 1.0) * full for one in shares], abs=0.11)
    borders = {round(mark.middle, 1) for mark in drawing.named("border")}
    assert borders == {round(2 + 0.1 * full, 1), round(2 + 0.3 * full, 1)}
    assert "one person, again: 15.0 % (13.6 to 19.6 %)" in titles(svg)
    assert drawing.says.startswith("share of the tolerance: one person, again: 15.0 %")


def test_without_a_tolerance_the_shares_are_of_the_spread() -> None:
    drawing = drawn(draw_shares(STUDIES["by variation"]))
    assert drawing.says.startswith("share of the spread: one person, again: 18.4 %")


def test_every_cell_has_a_mark_and_a_bar_that_say_its_mean_and_range() -> None:
    study = STUDIES["printed"]
    svg = draw_parts_by_operator(study, decimals=2, unit="")
    drawing = drawn(svg)
    assert len(titles(svg)) == len(study.cells) == 30
    assert len(drawing.named("range")) == 30
    assert titles(svg)[0] == "part 1, A: mean 0.447, 0.278 above the mean of all; repeats within 0.35"
    longest = max(drawing.named("range"), key=lambda mark: mark.places[1][1] - mark.places[0][1])
    widest = max(study.cells, key=lambda cell: cell.range)
    assert drawing.named("range").index(longest) == study.cells.index(widest)
    # the manual's averages of the three: 0.1903, 0.0683 and -0.2543, whose mean is 0.0014
    assert "A reads +0.189 from all" in drawing.says


def test_people_are_told_apart_by_the_form_of_their_mark() -> None:
    svg = draw_parts_by_operator(STUDIES["printed"], decimals=2)
    root = ElementTree.fromstring(svg)
    groups = [one for one in root.iter() if one.get("class") == "says"]
    forms = [
        next(child.tag.rpartition("}")[2] for child in group if child.get("class") == "mark")
        for group in groups
    ]
    assert forms[:3] == ["circle", "circle", "path"]
    assert {"A", "B", "C"} <= set(drawn(svg).texts)


@pytest.mark.parametrize("name", ["one person", "nested"])
def test_where_no_part_was_read_by_several_people_the_means_themselves_are_drawn(name: str) -> None:
    study: GaugeStudy = STUDIES[name]
    svg = draw_parts_by_operator(study, decimals=3, unit="mm")
    assert len(titles(svg)) == len(study.cells)
    assert not any("the mean of all" in title for title in titles(svg))
    assert drawn(svg).named("zero") == []


def test_more_parts_than_can_be_drawn_are_said() -> None:
    svg = draw_parts_by_operator(STUDIES["many parts"], decimals=3)
    assert len(titles(svg)) == 2 * PARTS_DRAWN
    assert f"the first {PARTS_DRAWN} parts are drawn" in drawn(svg).says


def test_names_of_users_cannot_break_a_drawing() -> None:
    study = gauge_studies.crossed(3, 2, 2)
    cells = tuple(replace(cell, part="<b>&", operator='"><script>') for cell in study.cells[:1])
    svg = draw_parts_by_operator(replace(study, cells=cells), decimals=3, unit="<i>")
    assert "<script>" not in svg
    ElementTree.fromstring(svg)


def test_the_line_of_bias_says_each_reference() -> None:
    study = gauge_studies.line()
    svg = draw_linearity(study, decimals=3, unit="mm")
    said = titles(svg)
    assert len(said) == study.references == 5
    assert said[-1].startswith("at 10 mm it reads 0.0")
    heights = [mark.places[0][1] for mark in drawn(svg).named("dot")]
    biases = [point.mean_bias for point in study.points]
    assert sorted(range(5), key=lambda i: -heights[i]) == sorted(range(5), key=lambda i: biases[i])


def test_an_exact_line_has_no_band() -> None:
    assert drawn(DRAWINGS["exact line"]).named("band") == []


def test_the_run_says_every_reading_in_its_order() -> None:
    study, values = gauge_studies.run()
    svg = draw_reference_run(study, values, decimals=3, unit="mm")
    assert titles(svg)[0] == f"reading 1: {values[0]:.3f} mm"
    assert len(titles(svg)) == len(values)
    assert len(drawn(svg).named("room")) == 2
    assert drawn(svg).says.startswith("25 readings of a part of 6.0000 mm: mean 6.00")


def test_a_long_run_is_cut_and_one_without_tolerance_has_no_room() -> None:
    study, values = gauge_studies.run(300, None)
    svg = draw_reference_run(study, values, decimals=3)
    assert len(titles(svg)) == READINGS_DRAWN
    assert drawn(svg).named("room") == []
