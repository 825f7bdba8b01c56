"""The request for a trial: one page, whatever stands on it; steps to tick, lines to fill in."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from offtool.core.planning.shots import shots_to_run
from offtool.core.values import Caution
from offtool.handbook.colour_changes import NEVER_TOGETHER
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import SETTINGS_TO_WRITE
from offtool.reports.trial_request import MOST_CAUTIONS, MOST_STEPS, trial_request
from offtool.reports.trial_words import shots_in_words, unbroken
from offtool.steps.plan_found import RunStep, ToConfirm, TrialPlanned
from tests.reports import plans
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of


def pages(pdf: bytes, tmp_path: Path) -> int:
    file = tmp_path / "request.pdf"
    file.write_bytes(pdf)
    said = subprocess.run(["pdfinfo", str(file)], capture_output=True, text=True, check=True).stdout
    return int(dict(line.split(":", 1) for line in said.splitlines())["Pages"])


def read(found: TrialPlanned, tmp_path: Path) -> str:
    return text_of(trial_request(found), tmp_path)


def test_it_says_where_what_and_how_many_in_the_order_of_the_press(tmp_path: Path) -> None:
    found = plans.planned()
    said = read(found, tmp_path)
    for words in ("M3 arms, steel state d", "80 t, no. 9", "Tuesday 24 March 2026, 8:30", "rescue orange",
                  "20 parts measured", "3 whole shots", "must be there", "1.7 kg"):  # fmt: skip
        assert words in said
    assert "by 3 April" not in said
    places = [said.index(f"Shots {one.first} to {one.last}") for one in found.steps if one.first is not None]
    assert places == sorted(places)
    assert said.index("Run in this order") < said.index("Keep") < said.index("Write down")


def test_without_a_slot_it_says_between_which_days(tmp_path: Path) -> None:
    press = replace(plans.PRESS, starts_at=None, fixed=False)
    asked = replace(plans.planned().asked, earliest=date(2026, 3, 25))
    said = read(plans.planned(press=press, asked=asked), tmp_path)
    assert "not before 25 March 2026, by 3 April 2026" in said


def test_every_setting_has_its_line_and_nobody_has_signed(tmp_path: Path) -> None:
    said = read(plans.planned(), tmp_path)
    for name, _ in SETTINGS_TO_WRITE:
        assert name in said
    for line in ("asked for by, day", "agreed with the shop, day", "run by, day"):
        assert line in said
    named = replace(plans.planned().asked, asked_by="A. Example")
    assert "asked for by A. Example, day" in read(plans.planned(asked=named), tmp_path)


def test_hot_melt_and_moving_platens_are_always_on_it(tmp_path: Path) -> None:
    for found in (plans.planned(), plans.planned(press=None, colour=None), plans.planned(purposes=("keep",))):
        assert AT_THE_PRESS.text in read(found, tmp_path)


def test_resins_that_must_never_meet_stand_on_it_in_full(tmp_path: Path) -> None:
    for one in NEVER_TOGETHER:
        never = Caution(f"{one.why}. {one.do}", one.source)
        said = read(plans.planned(cautions=(never, AT_THE_PRESS)), tmp_path)
        assert never.text in said
        assert AT_THE_PRESS.text in said


def test_what_the_colour_spoils_is_said_beside_it(tmp_path: Path) -> None:
    wrong = replace(plans.ORANGE, wrong_for=("colour",))
    said = read(plans.planned(purposes=("colour", "sizes"), colour=wrong), tmp_path)
    assert said.count("not in this colour") == 1


@pytest.mark.parametrize("cavities", [1, 64])
def test_it_stays_on_one_page_with_all_that_can_stand_on_it(cavities: int, tmp_path: Path) -> None:
    long = "a long sentence of a plan " * 12
    found = plans.planned(
        purposes=[one.value for one in TrialPurpose],
        cavities=[("HO-04", "arm", str(one)) for one in range(cavities)],
    )
    step = RunStep(do=long, because=long, first=100_000, last=100_001)
    full = replace(
        found,
        headline=long,
        steps=tuple([replace(step, do=one.do) for one in found.steps] * 3),
        confirm=tuple(ToConfirm(about=long, says=long, kind="foretold") for _ in range(40)),
        missing=tuple([found.missing[0]] * 20),
        bring=(long,) * 20,
        cautions=(AT_THE_PRESS, *(Caution(f"{i} {long * 3}", long) for i in range(20))),
        asked=replace(found.asked, note=long * 3, asked_by=long, resin_name=long),
    )
    assert pages(trial_request(full), tmp_path) == 1
    said = read(full, tmp_path)
    assert f"and {3 * len(found.steps) - MOST_STEPS + 1} more, on the page of the plan" in said
    assert AT_THE_PRESS.text in said
    assert f"{MOST_CAUTIONS - 2} a long sentence" in said


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "试模", "x" * 300])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    found = plans.planned(
        tool=name, tool_name=name, programme_title=name, asked=replace(plans.planned().asked, note=name)
    )
    assert pages(trial_request(found), tmp_path) == 1
    assert "Write down, as measured" in read(found, tmp_path)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert trial_request(plans.planned()) == trial_request(plans.planned())


def test_a_slot_that_is_open_has_lines_for_day_hour_and_press(tmp_path: Path) -> None:
    open_ = replace(plans.PRESS, starts_at=None, fixed=False)
    assert "Agreed for" in read(plans.planned(press=open_), tmp_path)
    assert "Agreed for" in read(plans.planned(press=None, colour=None), tmp_path)
    assert "Agreed for" not in read(plans.planned(), tmp_path)


def test_a_tool_without_name_and_steel_leaves_no_gap(tmp_path: Path) -> None:
    said = read(plans.planned(tool_name="", state=""), tmp_path)
    assert "M3, steel: state not recorded" in said
    assert "M3 ," not in said


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    assert unbroken("5 h 51 min (3 h to 9 h 2 min), 2.1 kg") == (
        "5\u00a0h\u00a051\u00a0min (3\u00a0h to 9\u00a0h\u00a02\u00a0min), 2.1\u00a0kg"
    )


def test_what_makes_the_number_of_shots_wide_is_said() -> None:
    wide = shots_to_run(["sizes"], cycle_s=7.5, quickest_cycle_s=3.0)
    assert shots_in_words(wide).endswith(": 10 to 600 until it has settled, weigh them)")
    learned = shots_to_run(["sizes", "assembly"], cycle_s=25.0, settles_after=12)
    assert "until it has settled" not in shots_in_words(learned)


def test_the_last_steps_are_never_left_out(tmp_path: Path) -> None:
    found = plans.planned()
    first, last = found.steps[0], RunStep(do="STOP: empty it before the job comes back", because="")
    said = read(replace(found, steps=(*[first] * 30, last, first, first)), tmp_path)
    assert last.do in said
