"""Labels of bags: one for each, with what is in it, places for a pen, and a code that says the same."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from offtool.reports.bag_labels import BLANK, bag_labels, bag_lines, code_of_bag
from offtool.reports.square_code import draw_square_code
from tests.reports import plans
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of
from tests.reports.test_sample_labels import words_on


def test_every_cavity_of_every_run_of_shots_has_a_bag_and_whole_shots_share_one() -> None:
    found = plans.planned(purposes=("short shots", "sizes", "assembly", "welding", "keep"))
    kept = [one for one in found.bags if one.cavity]
    assert {one.cavity for one in kept} == {"1", "2", "3", "4"}
    assert [one.purpose for one in kept][::4] == ["sizes and assembly", "assembly", "welding"]
    assert [one.purpose for one in found.bags if not one.cavity] == ["short shots", "keep"]


def test_what_is_in_the_bags_is_what_is_kept() -> None:
    found = plans.planned(purposes=("sizes", "assembly", "welding"))
    assert found.shots is not None
    assert sum(one.pieces for one in found.bags) == found.shots.parts_kept
    of_one = [one for one in found.bags if one.cavity == "1"]
    assert all(after.first == before.last + 1 for before, after in pairwise(of_one))


def test_a_label_says_steel_trial_shots_and_leaves_count_and_day_blank() -> None:
    found = plans.planned()
    lines = list(bag_lines(found, found.bags[0]))
    assert lines[0] == "M3 state d, T4: shots 42 to 46"
    assert lines[1:] == ["for sizes and assembly", f"planned 5, in the bag {BLANK}", f"shot on {BLANK}"]


def test_the_code_says_which_bag_and_no_two_are_alike() -> None:
    found = plans.planned()
    codes = [code_of_bag(found, one) for one in found.bags]
    assert codes[0] == "harbour-otter M3 T4 HO-04 cavity 1 shots 42-46"
    assert codes[-1] == "harbour-otter M3 T4 whole shots 82-84"
    assert len(set(codes)) == len(codes)
    assert len({draw_square_code(one) for one in codes}) == len(codes)


def test_all_labels_are_on_the_sheet(tmp_path: Path) -> None:
    found = plans.planned()
    words = [word for _, word, _, _ in words_on(bag_labels(found), tmp_path)]
    assert words.count("T4") == len(found.bags)
    assert "HO-04" in words


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "手臂", "x" * 200])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    found = plans.planned(tool=name, programme_title=name, cavities=[(name, name, name)])
    assert "planned" in text_of(bag_labels(found), tmp_path)


def test_the_same_plan_gives_the_same_bytes() -> None:
    pdf = bag_labels(plans.planned())
    assert pdf == bag_labels(plans.planned())
    assert b"CreationDate" not in pdf
