"""What pieces are told apart by is entered by names; what cannot be is refused at its field."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import strategies as st

from offtool.core.values import OfftoolError
from offtool.handbook.measured_colour import USUAL_SPREAD_DE
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from offtool.records.models import DetailInState, Job, PressHolds, StageName, Tool, Trial
from offtool.records.queries.finding import NotInRecord
from offtool.steps.define_ground import (
    BuildSaid,
    ColourSaid,
    DetailSaid,
    JobSaid,
    PressSaid,
    RunSaid,
    keep_build,
    keep_detail,
    keep_job,
    keep_press,
    keep_run,
    keep_shares,
    keep_stage,
    states_with,
)
from offtool.steps.ground_found import GroundFound
from offtool.steps.know_ground import know_ground
from offtool.steps.sizes_given import DefinitionRefused
from tests.core.laws import law
from tests.steps.told_apart import PART, STATES, make_told_apart
from tests.web import otter

SLUG = otter.SLUG
RUN = RunSaid(tool="M2", name="T0", state="a", stage="first shots", shot_on=date(2026, 3, 3), pieces=40)
JOB = JobSaid(press="P6", code="4711", product="wheelbarrow", begins=date(2026, 3, 1), ends=date(2026, 3, 9))
MINT = ColourSaid(lightness=78.0, a=-24.0, b=7.5, spread_de=0.8)
MARK = DetailSaid(
    part=PART,
    code="date-mark",
    name="date mark",
    where="inside the left foot",
    in_states={"M2": {"a": False, "b": None, "c": True}},
)


@pytest.fixture
def tool(db: None) -> Tool:
    """A tool in three states; nothing else is known."""
    return make_told_apart()


@pytest.fixture
def press(tool: Tool) -> None:
    """A press that holds the tool, and a job on it."""
    keep_press(SLUG, PressSaid(code="P6", name="80 t", holds=("M2",)), by="x")
    keep_job(SLUG, replace(JOB, colour="mint", measured=MINT), by="x")


def ground() -> GroundFound:
    return know_ground(SLUG)


def refused(error: pytest.ExceptionInfo[DefinitionRefused]) -> str:
    assert error.value.remedy
    return error.value.field


@law(count=st.integers(1, 8), came=st.integers(0, 7), went=st.integers(0, 8))
def test_a_detail_is_there_from_the_state_it_came_with_to_the_one_before_it_went(
    count: int, came: int, went: int
) -> None:
    labels = [chr(ord("a") + i) for i in range(count)]
    came = min(came, count - 1)
    if not came < went < count:
        went = count
    found = states_with(labels, came=labels[came], went=labels[went] if went < count else "")
    assert [labels.index(one) for one, there in found.items() if there] == list(range(came, went))
    lost = states_with(labels, came=labels[came], lost=[labels[0]])
    assert lost[labels[0]] is None


def test_of_a_detail_that_nobody_dated_the_record_says_nothing() -> None:
    assert states_with(STATES, came="") == dict.fromkeys(STATES)


def test_a_detail_cannot_go_before_it_came() -> None:
    with pytest.raises(DefinitionRefused) as error:
        states_with(STATES, came="b", went="b")
    assert refused(error) == "went"
    with pytest.raises(DefinitionRefused) as error:
        states_with(STATES, came="d")
    assert refused(error) == "came"


def test_there_not_there_and_a_lost_sheet_are_three_things(tool: Tool) -> None:
    keep_detail(SLUG, MARK, by="x")
    known = next(one for one in ground().details if one.part == PART)
    assert known.states == STATES
    assert known.details[0].in_states == (False, None, True)
    assert DetailInState.objects.count() == 2


def test_a_detail_is_changed_state_by_state(tool: Tool) -> None:
    keep_detail(SLUG, MARK, by="x")
    found = replace(MARK, code="mark", in_states={"M2": {"b": True, "c": None}})
    keep_detail(SLUG, found, by="x", now="date-mark")
    row = next(one for one in ground().details if one.part == PART).details[0]
    assert (row.code, row.in_states) == ("mark", (False, True, None))


def test_states_that_no_detail_tells_apart_are_named(tool: Tool) -> None:
    keep_detail(SLUG, replace(MARK, in_states={"M2": {"a": False, "b": False, "c": True}}), by="x")
    found = ground()
    assert next(one for one in found.details if one.part == PART).alike == (("a", "b"),)
    assert any("from state a to b of M2" in one.do for one in found.actions)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        (replace(MARK, code=" "), "code"),
        (replace(MARK, part="HO-99"), "part"),
        (replace(MARK, in_states={"M2": {"z": True}}), "state"),
    ],
)
def test_a_detail_that_cannot_be_is_refused_at_its_field(tool: Tool, said: DetailSaid, field: str) -> None:
    with pytest.raises(DefinitionRefused) as error:
        keep_detail(SLUG, said, by="x")
    assert refused(error) == field
    assert not DetailInState.objects.exists()


def test_a_detail_is_not_said_of_a_tool_that_does_not_make_its_part(tool: Tool) -> None:
    with pytest.raises(OfftoolError, match="does not make the part"):
        keep_detail(SLUG, replace(MARK, in_states={"M3": {"a": True}}), by="x")


def test_a_code_that_is_taken_is_refused_and_its_own_is_not(tool: Tool, press: None) -> None:
    keep_detail(SLUG, MARK, by="x")
    with pytest.raises(DefinitionRefused) as error:
        keep_detail(SLUG, MARK, by="x")
    assert refused(error) == "code"
    assert keep_detail(SLUG, MARK, by="x", now="date-mark") == "date-mark"
    for again in (
        lambda: keep_press(SLUG, PressSaid(code="P6"), by="x"),
        lambda: keep_job(SLUG, JOB, by="x"),
    ):
        with pytest.raises(DefinitionRefused) as error:
            again()
        assert refused(error) == "code"


def test_a_press_holds_what_is_said_now(tool: Tool, press: None) -> None:
    keep_press(SLUG, PressSaid(code="P6", holds=("M3",)), by="x", now="P6")
    assert ground().presses[0].holds == ("M3",)
    assert PressHolds.objects.count() == 1
    with pytest.raises(NotInRecord):
        keep_press(SLUG, PressSaid(code="P7", holds=("M9",)), by="x")


def test_a_job_keeps_its_colour_its_days_and_the_usual_spread(tool: Tool, press: None) -> None:
    job = ground().presses[0].jobs[0]
    assert (job.colour.words, job.colour.lightness, job.colour.spread_de) == ("mint", 78.0, 0.8)
    assert job.colour.on_screen.startswith("#")
    keep_job(SLUG, replace(JOB, code="4712"), by="x")
    assert Job.objects.get(code="4712").spread_de == USUAL_SPREAD_DE
    assert ground().presses[0].jobs[1].colour.on_screen == ""


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"ends": date(2026, 2, 1)}, "ends"),
        ({"measured": ColourSaid(lightness=50.0, b=1.0)}, "a"),
        ({"measured": ColourSaid(spread_de=1.0)}, "lightness"),
        ({"observer": 4}, "observer"),
    ],
)
def test_a_job_that_cannot_be_is_refused_at_its_field(
    tool: Tool, press: None, changed: dict[str, object], field: str
) -> None:
    with pytest.raises(DefinitionRefused) as error:
        keep_job(SLUG, replace(JOB, code="4712", **changed), by="x")  # type: ignore[arg-type]
    assert refused(error) == field


def test_a_run_is_entered_without_readings_and_names_the_job_it_interrupted(tool: Tool, press: None) -> None:
    keep_run(SLUG, replace(RUN, interrupted=("P6", "4711"), press="P6", colour="mint"), by="x")
    run = ground().tools[0].runs[0]
    assert (run.name, run.state, run.stage, run.stage_is_said) == ("T0", "a", Stage.FIRST, True)
    assert (run.interrupted, run.pieces, run.readings) == (("P6", "4711"), 40, 0)


def test_a_run_whose_stage_is_not_said_has_one_by_its_name(tool: Tool) -> None:
    keep_run(SLUG, replace(RUN, stage=""), by="x")
    run = ground().tools[0].runs[0]
    assert (run.stage, run.stage_is_said) == (Stage.FIRST, False)


def test_what_is_said_of_a_run_is_changed_and_its_readings_stay(tool: Tool) -> None:
    otter.read_trial(otter.readings_csv())
    said = replace(RUN, name="T1", state="c", stage="early trial", measured=MINT)
    keep_run(SLUG, said, by="ida", now="T1")
    run = ground().tools[0].runs[0]
    assert (run.stage, run.colour.lightness, run.readings) == (Stage.EARLY, 78.0, 400)
    assert Trial.objects.get().age_h == 31
    assert Trial.history.filter(name="T1").count() == 2


def test_steel_of_a_run_stays_once_its_readings_are_kept(tool: Tool) -> None:
    otter.read_trial(otter.readings_csv())
    latest = Trial.objects.get().state.label
    other = next(one for one in STATES if one != latest)
    with pytest.raises(DefinitionRefused) as error:
        keep_run(SLUG, replace(RUN, name="T1", state=other), by="x", now="T1")
    assert refused(error) == "state"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": ""}, "name"),
        ({"stage": "sometime"}, "stage"),
        ({"state": "z"}, "state"),
        ({"ended_on": date(2026, 3, 1)}, "ended_on"),
        ({"measured": ColourSaid(lightness=50.0)}, "a"),
    ],
)
def test_a_run_that_cannot_be_is_refused_at_its_field(
    tool: Tool, changed: dict[str, object], field: str
) -> None:
    with pytest.raises(DefinitionRefused) as error:
        keep_run(SLUG, replace(RUN, **changed), by="x")  # type: ignore[arg-type]
    assert refused(error) == field
    assert not Trial.objects.exists()


def test_a_build_takes_parts_of_runs(tool: Tool) -> None:
    keep_run(SLUG, RUN, by="x")
    said = BuildSaid(code="EP1", stage="engineering build", pieces=12, runs=(("M2", "T0"),))
    keep_build(SLUG, said, by="x")
    keep_build(SLUG, replace(said, code="EP2", runs=()), by="x", now="EP1")
    build = ground().builds[0]
    assert (build.code, build.stage, build.runs) == ("EP2", Stage.ENGINEERING, ())
    with pytest.raises(DefinitionRefused) as error:
        keep_build(SLUG, replace(said, code="EP3", stage="?"), by="x")
    assert refused(error) == "stage"


def test_a_stage_has_the_programmes_own_words_until_they_are_taken_back(tool: Tool) -> None:
    keep_stage(SLUG, "line pilot", archive="pre-series", kept=0.2, by="x")
    pilot = next(one for one in ground().stages if one.stage is Stage.PILOT)
    assert (pilot.archive, pilot.kept, pilot.is_own) == ("pre-series", 0.2, True)
    assert pilot.engineer == STAGES[Stage.PILOT].engineer
    keep_stage(SLUG, "line pilot", by="x")
    pilot = next(one for one in ground().stages if one.stage is Stage.PILOT)
    assert (pilot.archive, pilot.is_own) == (STAGES[Stage.PILOT].archive, False)
    with pytest.raises(DefinitionRefused) as error:
        keep_stage(SLUG, "line pilot", kept=0.0, by="x")
    assert refused(error) == "kept"
    assert StageName.objects.count() == 1


def test_own_shares_of_a_sign_are_whole_and_can_be_taken_back(tool: Tool) -> None:
    own = {"none": 0.5, "by hand": 0.3, "masks or print": 0.2}
    keep_shares(SLUG, "paint", {"line pilot": own}, by="x")
    paint = next(one for one in ground().signs if one.sign == "paint")
    place = list(Stage).index(Stage.PILOT)
    assert {outcome: shares[place] for outcome, shares in paint.shares} == own
    assert paint.own == (Stage.PILOT,)
    keep_shares(SLUG, "paint", {"line pilot": dict.fromkeys(own)}, by="x")
    paint = next(one for one in ground().signs if one.sign == "paint")
    assert {outcome: shares[place] for outcome, shares in paint.shares} == SIGNS["paint"].at(Stage.PILOT)


@pytest.mark.parametrize(
    "said",
    [
        {"none": 0.5, "by hand": None, "masks or print": 0.5},
        {"none": 0.5, "by hand": 0.5, "masks or print": 0.5},
    ],
)
def test_shares_that_are_no_whole_are_refused_at_their_stage(
    tool: Tool, said: dict[str, float | None]
) -> None:
    with pytest.raises(DefinitionRefused) as error:
        keep_shares(SLUG, "paint", {"production": said}, by="x")
    assert refused(error) == "production"
    assert all(not one.own for one in ground().signs)


def test_an_empty_record_says_what_to_enter_first_and_why(tool: Tool) -> None:
    found = ground()
    assert found.headline == "Nothing but the handbook tells pieces apart: enter the first run of a tool."
    assert [one.leads_to for one in found.actions] == ["run", "detail", "press"]
    assert all(one.because for one in found.actions)
    keep_press(SLUG, PressSaid(code="P6"), by="x")
    keep_run(SLUG, RUN, by="x")
    assert [one.leads_to for one in ground().actions] == ["detail", "job", "build"]
