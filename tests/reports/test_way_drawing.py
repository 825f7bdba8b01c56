"""The drawing of the way: every step named, what decides marked in words, and nothing outside of it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date

import pytest

from offtool.reports.way_drawing import DECIDES, LEAST, draw_way
from offtool.steps.way_found import WayToRelease
from tests.reports import reviews
from tests.reports.ways import way

SVG = "{http://www.w3.org/2000/svg}"


def drawn(found: WayToRelease) -> ET.Element:
    return ET.fromstring(draw_way(found))


def of_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [one for one in root.iter() if one.attrib.get("class") == name]


def words(root: ET.Element) -> list[str]:
    return [one.text or "" for one in root.iter(f"{SVG}text")]


def test_each_step_has_a_row_in_the_order_in_which_they_begin() -> None:
    found = way()
    shown = [one for one in words(drawn(found)) if one in {step.title for step in found.steps}]
    ordered = sorted(found.steps, key=lambda one: (one.starts, one.ends, one.title))
    assert shown == [one.title for one in ordered]


def test_what_decides_is_said_in_words_and_what_does_not_shows_how_long_it_may_wait() -> None:
    found = way()
    root = drawn(found)
    deciding = [one for one in found.steps if one.decides]
    assert words(root).count(DECIDES) == len(deciding) == len(of_class(root, "decides"))
    floats = of_class(root, "float")
    assert len(floats) == len(found.steps) - len(deciding) + 1  # one in the key


def test_bars_follow_one_another_as_the_days_do() -> None:
    found = way()
    bars = {
        (group.find(f"{SVG}title").text or "").split(":")[0]: group.find(f"{SVG}rect").attrib  # type: ignore[union-attr]
        for group in of_class(drawn(found), "says")
    }
    for step in found.steps:
        for before in step.after:
            one, next_ = bars[found.of(before).title], bars[step.title]
            assert float(next_["x"]) >= float(one["x"])
            shares_a_day = found.of(before).ends == step.starts
            ends = float(one["x"]) + float(one["width"])
            assert float(next_["x"]) >= ends - LEAST or shares_a_day


@pytest.mark.parametrize("due", [None, date(2026, 4, 1), date(2026, 6, 15), date(2029, 1, 1)])
def test_nothing_is_outside_and_the_day_that_is_asked_for_is_marked_where_it_fits(due: date | None) -> None:
    root = drawn(way(due=due))
    width, height = (float(one) for one in root.attrib["viewBox"].split()[2:])
    for one in root.iter(f"{SVG}rect"):
        assert float(one.attrib["x"]) >= 0
        assert float(one.attrib["x"]) + float(one.attrib["width"]) <= width
        assert float(one.attrib["y"]) + float(one.attrib["height"]) <= height
    assert len(of_class(root, "due")) == (1 if due and due.year == 2026 else 0)


def test_the_weeks_begin_on_mondays() -> None:
    days = [one for one in words(drawn(way())) if re.fullmatch(r"\d+ [A-Z][a-z]{2}", one)]
    assert days[0] == "23 Mar"
    assert len(days) >= 4


def test_it_says_what_decides_to_those_who_do_not_see_it() -> None:
    found = way()
    said = drawn(found).attrib["aria-label"]
    assert all(found.of(one).title in said for one in found.path)


def test_a_title_that_is_no_word_of_xml_is_written_as_text() -> None:
    found = way(reviews.review(programme_title="<otter> & \x07 clam"))
    ET.fromstring(draw_way(found))
