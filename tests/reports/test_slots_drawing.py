"""The drawing of the plan: no name stands on another, none is out of the drawing, changes are marked."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import combinations
from zoneinfo import ZoneInfo

import pytest

from offtool.reports.slots_drawing import LETTER, draw_slots
from offtool.steps.slots_found import PressHours, SlotsFound, TrialSlot

SVG = "{http://www.w3.org/2000/svg}"
DAY = datetime(2026, 3, 23, tzinfo=ZoneInfo("UTC"))
NAMED = re.compile(r"T\d+ \d+:\d\d")


def trial(name: str, hour: float) -> TrialSlot:
    begins = DAY + timedelta(hours=hour)
    return TrialSlot(
        trial=f"M9 {name}",
        tool="M9",
        name=name,
        press="P1",
        begins=begins,
        first_shot=begins + timedelta(hours=1),
        last_shot=begins + timedelta(hours=2),
        ends=begins + timedelta(hours=3),
        followed_by="",
        stops="",
        comes_after="",
        colour="orange",
        stands_h=0.0,
        lost=0.0,
        used=0.0,
        late_h=0.0,
        late_cost=0.0,
        cost=0.0,
        is_fixed=False,
        elsewhere=(),
        never=(),
        purges=(),
        cautions=(),
    )


def plan(*hours: float) -> SlotsFound:
    return SlotsFound(
        programme="fish",
        programme_title="Fish",
        invented=True,
        from_day=date(2026, 3, 23),
        days=3,
        headline="",
        actions=(),
        rests_on=(),
        placed=tuple(trial(f"T{number}", hour) for number, hour in enumerate(hours, start=2)),
        unplaced=(),
        presses=(PressHours(press="P1", open=((DAY, DAY + timedelta(days=3)),)),),
        jobs=(),
        currency="EUR",
        cost=0.0,
        lost=0.0,
        used=0.0,
        late_cost=0.0,
        bound=0.0,
        gap=0.0,
        is_proved=True,
        hurried_cost=0.0,
        hurried_unplaced=0,
        slip=None,
        missing=(),
        method="",
    )


def names(found: SlotsFound) -> list[tuple[float, float, float, str]]:
    """From where to where each trial's name reaches, its height, and the name."""
    root = ET.fromstring(draw_slots(found))
    shown = [one for one in root.iter(f"{SVG}text") if NAMED.search(one.text or "")]
    told = [(float(one.attrib["x"]), float(one.attrib["y"]), one.text or "") for one in shown]
    return [(x, x + LETTER * len(word), y, word) for x, y, word in told]


@pytest.mark.parametrize(
    "hours", [(8, 11), (8, 11, 14), (8, 9, 10, 11), (0, 30, 60), (66, 68), (60, 64, 68), (8, 24, 40, 56)]
)
def test_no_name_stands_on_another_or_outside(hours: tuple[float, ...]) -> None:
    found = plan(*hours)
    told = names(found)
    assert len(told) >= 2
    for (left, right, y, _), (other_left, other_right, other_y, _) in combinations(told, 2):
        assert y != other_y or right <= other_left or other_right <= left
    width = float(ET.fromstring(draw_slots(found)).attrib["viewBox"].split()[2])
    assert all(left >= 0 and right <= width for left, right, _, _ in told)


def test_a_name_without_room_is_in_the_title_of_its_bar() -> None:
    found = plan(8, 9, 10, 11)
    assert len(names(found)) < 4
    titles = " ".join(one.text or "" for one in ET.fromstring(draw_slots(found)).iter(f"{SVG}title"))
    assert all(one.trial in titles for one in found.placed)


def test_a_fixed_trial_says_so_beside_its_name() -> None:
    found = plan(8)
    fixed = replace(found, placed=(replace(found.placed[0], is_fixed=True),))
    assert [word for *_, word in names(fixed)] == ["M9 T2 8:00, fixed"]
