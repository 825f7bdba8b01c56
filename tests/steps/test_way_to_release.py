"""The way to the release of a programme in the record, and how many days its steps are said to take."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.handbook.release_steps import RELEASE_STEPS, STEP_BY_CODE
from offtool.records.models import Press, Programme, StepDays, Tool, ToolState, TrialRequest
from offtool.records.queries import find_tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.correct_tool import keep_changes
from offtool.steps.cut_steel import SteelMeasured, record_cut
from offtool.steps.overview import programme_overview
from offtool.steps.programme_standing import programme_standing
from offtool.steps.review_release import review_release
from offtool.steps.sizes_given import DefinitionRefused
from offtool.steps.step_days import ask_release_by, keep_step_days, step_days_known
from offtool.steps.way_found import WayToRelease
from offtool.steps.way_to_release import way_to_release
from offtool.steps.way_tools import tools_ahead
from tests.steps.clip import NOON, SLUG, TOOL, keep, trial_file

ON = date(2026, 3, 23)


def way() -> WayToRelease:
    return way_to_release(SLUG, ON)


def of_tool(found: WayToRelease) -> list[str]:
    return [one.kind for one in found.steps if one.tool == TOOL]


def test_the_way_of_a_tool_follows_it_through_its_loop(clip: Programme) -> None:
    assert of_tool(way()) == ["slot", "trial", "measure"]
    keep(trial_file())
    assert of_tool(way()) == ["decide", "cut", "slot", "trial", "measure"]
    keep_changes(SLUG, TOOL, "T1", chosen=None, made_at=NOON, made_by="engineer")
    assert of_tool(way()) == ["cut", "slot", "trial", "measure"]
    assert way().of(f"cut {TOOL}").because == "4 cuts decided"
    sizes = {"CV1": 4.025, "CV2": 20.2}
    steel = {
        (code, cavity): SteelMeasured(measured_mm=size)
        for code, size in sizes.items()
        for cavity in ("1", "2")
    }
    record_cut(SLUG, TOOL, remeasured=steel)
    assert of_tool(way()) == ["slot", "trial", "measure"]
    keep(trial_file(peg=4.005, length=20.0, seed=2), trial="T2", name="t2.csv")
    assert {"decide", "cut"}.isdisjoint(of_tool(way()))


def test_a_slot_that_is_fixed_is_the_day_of_the_trial(clip: Programme) -> None:
    keep(trial_file())
    keep_changes(SLUG, TOOL, "T1", chosen=None, made_at=NOON, made_by="engineer")
    press = Press.objects.create(programme=clip, code="80 t")
    starts = NOON.replace(month=5, day=4)
    TrialRequest.objects.create(tool=find_tool(clip, TOOL), name="T2", press=press, starts_at=starts)
    found = way()
    assert of_tool(found) == ["cut", "trial", "measure"]
    trial = found.of(f"trial {TOOL}")
    assert (trial.not_before, trial.starts) == (date(2026, 5, 4), date(2026, 5, 4))
    assert found.of(f"cut {TOOL}").float_days > 0


def test_a_review_that_is_there_is_not_made_again(clip: Programme) -> None:
    keep(trial_file())
    review = review_release(SLUG, ON)
    assert way_to_release(SLUG, ON, review) == way()


def test_the_page_of_a_programme_is_its_tools_and_its_way(clip: Programme) -> None:
    keep(trial_file())
    standing, seen = programme_standing(SLUG, ON), programme_overview(SLUG)
    assert (standing.tools, standing.headline, standing.way) == (seen.tools, seen.headline, way())


def test_a_programme_without_a_tool_has_no_way(db: None) -> None:
    Programme.objects.create(slug="a", title="Axle")
    assert programme_standing("a", ON).way is None


def test_an_unknown_programme_is_answered_with_the_nearest(clip: Programme) -> None:
    with pytest.raises(NotInRecord, match="clipp"):
        way_to_release("clipp", ON)


def test_a_tool_without_a_state_or_a_trial_is_told_as_it_is(clip: Programme) -> None:
    other = Tool.objects.create(programme=clip, code="M2")
    (_, told) = tools_ahead(clip)
    assert (told.state, told.last_trial, told.needs_trial) == ("", "", True)
    ToolState.objects.create(tool=other, label="a", ordinal=1)
    assert tools_ahead(clip)[1].state == "a"


def test_days_are_those_of_the_handbook_until_the_shop_says_its_own(clip: Programme) -> None:
    known = step_days_known(SLUG)
    assert [(one.low_days, one.high_days) for one in known.steps] == [
        (one.low_days, one.high_days) for one in RELEASE_STEPS
    ]
    assert known.headline == "The days of all 24 steps are those of the handbook."
    kept = keep_step_days(SLUG, {"laboratory": (20.0, 30.0)}, by="quality")
    said = {one.step: one for one in kept.steps}["laboratory"]
    assert (said.low_days, said.high_days, said.is_own) == (20.0, 30.0, True)
    assert (said.usual_low, said.usual_high) == (
        STEP_BY_CODE["laboratory"].low_days,
        STEP_BY_CODE["laboratory"].high_days,
    )
    assert not any(one.is_own for one in keep_step_days(SLUG, {"laboratory": (None, None)}, by="q").steps)


def test_the_shops_own_days_move_the_end(clip: Programme) -> None:
    before = way()
    keep_step_days(SLUG, {"review": (40.0, 40.0)}, by="quality")
    after = way()
    assert after.of("review").is_own
    assert after.ends > before.ends


def test_the_day_that_is_asked_for_is_kept_and_taken_back(clip: Programme) -> None:
    ask_release_by(SLUG, date(2026, 9, 1), by="product")
    assert (step_days_known(SLUG).due, way().due) == (date(2026, 9, 1), date(2026, 9, 1))
    ask_release_by(SLUG, None, by="product")
    assert way().due is None


@pytest.mark.parametrize(
    ("days", "field"),
    [
        ({"labratory": (1.0, 2.0)}, "step"),
        ({"laboratory": (1.0, None)}, "high_laboratory"),
        ({"laboratory": (None, 2.0)}, "low_laboratory"),
        ({"laboratory": (-1.0, 2.0)}, "low_laboratory"),
        ({"laboratory": (1.0, 999.0)}, "high_laboratory"),
        ({"laboratory": (float("nan"), 2.0)}, "low_laboratory"),
        ({"review": (1.0, 2.0), "laboratory": (5.0, 2.0)}, "high_laboratory"),
    ],
)
def test_days_that_cannot_be_are_refused_at_their_field_and_nothing_is_kept(
    clip: Programme, days: dict[str, tuple[float | None, float | None]], field: str
) -> None:
    with pytest.raises(DefinitionRefused) as refusal:
        keep_step_days(SLUG, days, by="quality")
    assert refusal.value.field == field
    assert not StepDays.objects.exists()
