"""Where every programme and every tool stands, and what to do next."""

from __future__ import annotations

import pytest

from offtool.records.models import Programme, SteelFeature, Tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.correct_tool import keep_changes
from offtool.steps.cut_steel import SteelMeasured, record_cut
from offtool.steps.overview import ToolStanding, list_programmes, programme_overview
from tests.steps.clip import NOON, SLUG, TOOL, keep, trial_file


def standing() -> ToolStanding:
    (tool,) = programme_overview(SLUG).tools
    return tool


def test_an_empty_record_lists_nothing(db: None) -> None:
    assert list_programmes() == ()


def test_programmes_are_listed_by_title_with_what_they_have(clip: Programme) -> None:
    Programme.objects.create(slug="a", title="Axle", note="Invented for a test.")
    keep(trial_file())
    axle, listed = list_programmes()
    assert (axle.title, axle.invented, axle.last_trial) == ("Axle", True, "")
    assert (listed.slug, listed.parts, listed.tools, listed.trials) == ("clip", 2, 1, 1)
    assert (listed.last_trial, listed.invented) == ("T1 of M1", False)


def test_a_programme_without_a_tool_says_so(db: None) -> None:
    Programme.objects.create(slug="a", title="Axle")
    assert programme_overview("a").headline.startswith("No tool is recorded yet")


def test_the_next_step_follows_the_tool_through_its_loop(clip: Programme) -> None:
    assert standing().next_step == "Read the first trial."
    keep(trial_file())
    assert standing().next_step == "See what T1 asks for."
    assert standing().trials[0].headline.startswith("Not ready: 2 of 2 sizes do not hold")
    keep_changes(SLUG, TOOL, "T1", chosen=None, made_at=NOON, made_by="engineer")
    assert standing().proposed == 4
    assert "4 cuts are decided" in standing().next_step
    sizes = {"CV1": 4.025, "CV2": 20.2}
    record_cut(
        SLUG,
        TOOL,
        remeasured={
            (code, cavity): SteelMeasured(measured_mm=size)
            for code, size in sizes.items()
            for cavity in ("1", "2")
        },
    )
    assert (standing().state, standing().proposed) == ("b", 0)
    assert standing().next_step == "Run the next trial: the steel has changed to state b since T1."
    keep(trial_file(peg=4.005, length=20.0, seed=2), trial="T2", name="t2.csv")
    assert standing().next_step == "All sizes hold."
    assert [trial.ready for trial in standing().trials] == [False, True]
    assert programme_overview(SLUG).headline == "The tool holds its sizes."


def test_a_tool_without_a_state_asks_for_one(clip: Programme) -> None:
    Tool.objects.create(programme=clip, code="M2")
    assert programme_overview(SLUG).tools[1].next_step.startswith("Add the tool's first state")


def test_a_tool_whose_steel_changed_since_does_not_count_as_holding(clip: Programme) -> None:
    keep(trial_file(peg=4.005, length=20.0))
    assert programme_overview(SLUG).headline == "The tool holds its sizes."
    feature = SteelFeature.objects.get(code="CV1")
    record_cut(SLUG, TOOL, remeasured={(feature.code, "1"): SteelMeasured(measured_mm=4.1)})
    assert programme_overview(SLUG).headline == "0 of 1 tools hold all sizes."


def test_an_unknown_programme_is_answered_with_the_nearest(clip: Programme) -> None:
    with pytest.raises(NotInRecord) as refusal:
        programme_overview("clipp")
    assert refusal.value.remedy == "did you mean 'clip'?"
