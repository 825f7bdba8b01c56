"""The words of a seam's numbers: how sure, bounds that say nothing, where to stand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.core.values import Verdict
from offtool.core.welding.study import WindowSetting
from offtool.reports.seam_words import (
    bound_in_newtons,
    bound_in_words,
    setting_finding_in_words,
    stand_in_words,
    strength_in_words,
    sure_in_words,
)
from offtool.reports.seams_report import seams_report
from offtool.steps.seam_sentences import stand_of_axis, without_strength
from tests.reports import seams
from tests.reports.test_layout_report import text_of


@pytest.mark.parametrize(
    ("confidence", "said"), [(0.95, "95 %"), (0.99, "99 %"), (0.998, "99.8 %"), (0.99999, "over 99.9 %")]
)
def test_how_sure_is_never_rounded_to_100_per_cent(confidence: float, said: str) -> None:
    assert sure_in_words(confidence) == said
    assert f"({said} sure" in strength_in_words(replace(seams.strength(), confidence=confidence))


def test_a_bound_at_or_below_0_is_no_pull_and_never_a_number() -> None:
    assert [bound_in_newtons(one) for one in (-12.0, 0.0, 84.2, None)] == ["none", "none", "84.2 N", "–"]
    below = replace(seams.strength(), low_n=-12.0)
    assert strength_in_words(below).startswith("no pull at all is shown of 99.0 % of seams (")
    bound = replace(below.bounds[0], low_n=-12.0)
    assert "no pull at all" in bound_in_words(bound)
    setting = replace(seams.window().settings[0], strength_low_n=-12.0)
    for said in (strength_in_words(below), bound_in_words(bound), setting_finding_in_words(setting)):
        assert "-12" not in said
        assert "−12" not in said


def test_a_setting_says_what_is_shown_what_is_asked_and_which_of_the_two_is_open() -> None:
    one = replace(
        seams.window().settings[0],
        strength_low_n=234.0,
        strength_verdict=Verdict.HOLDS,
        looks_verdict=Verdict.NOT_SHOWN,
        verdict=Verdict.NOT_SHOWN,
    )
    said = setting_finding_in_words(one, required_n=220.0)
    assert "at least 234 N is shown (220 N asked)" in said
    assert said.endswith(": look not shown")


def test_a_report_says_why_nothing_is_known_of_the_strength(tmp_path: Path) -> None:
    found = seams.not_pulled(required_n=None)
    assert without_strength(found).startswith("say what pull")
    assert "say what pull it must hold" in text_of(seams_report(seams.all_seams(found)), tmp_path)


def axis(unit: str, at: float | None, low: float, high: float) -> WindowSetting:
    return WindowSetting(name="setting", unit=unit, stand_at=at, low=low, high=high, values=())


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (axis("bar", 1.78, 1.5, 2.1), "1.8 bar"),
        (axis("bar", 2.66, 2.2, 2.9), "2.65 bar"),
        (axis("s", 0.2534, 0.2, 0.3), "0.25 s"),
        (axis("µm", 57.7, 50.0, 60.0), "58 µm"),
        (axis("µm", 104.6, 90.0, 110.0), "105 µm"),
        # narrower than the step of a regulator: the step would leave the window
        (axis("bar", 1.78, 1.77, 1.79), "1.78 bar"),
        (axis("bar", None, 1.0, 2.0), ""),
    ],
)
def test_where_to_stand_is_said_to_the_step_of_a_regulator_inside_the_window(
    one: WindowSetting, said: str
) -> None:
    assert stand_of_axis(one) == said


def test_the_window_says_the_steps_and_keeps_its_numbers() -> None:
    grid = seams.window().grid
    assert grid is not None
    before = [one.stand_at for one in grid.axes]
    said = stand_in_words(grid)
    assert all(stand_of_axis(one) in said for one in grid.axes)
    assert [one.stand_at for one in grid.axes] == before
