"""Planning in the record: trials are asked for, fixed, withdrawn; shapes and colour changes are kept once."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from offtool.handbook.terms import LengthUnit, MeshKind, TrialPurpose
from offtool.records.models import ColourChange, PartMesh, Press, Tool, TrialRequest, TrialWant
from offtool.records.operations import (
    AlreadyKept,
    FileOfTest,
    MeshNew,
    NewColourChange,
    NewColourShot,
    ask_trial,
    define_press,
    define_tool_size,
    fix_slot,
    keep_colour_change,
    keep_measured,
    keep_mesh,
    say_engineers,
    say_press_off,
    set_colour_change_aside,
    take_time_back,
    withdraw_request,
)
from offtool.records.queries import (
    colour_changes_of,
    colour_shots,
    engineers_of,
    find_colour_change,
    find_request,
    has_run,
    jobs_between,
    newest_mesh,
    press_off_of,
    presses_of,
    presses_that_hold,
    requests_of,
    running_jobs,
    waiting_requests,
)
from offtool.records.queries.finding import NotInRecord
from tests.records.example import NOON, Example
from tests.records.planned import request_of
from tests.records.sampled import holds_of, job_of, press_of

CUBE = MeshNew(file_name="cube.stl", content=b"solid cube", kind=MeshKind.STL, unit=LengthUnit.MM)


def asked(e: Example, **columns: Any) -> TrialRequest:
    wants = {TrialPurpose.SIZES: None, TrialPurpose.ASSEMBLY: 40}
    return ask_trial(e.tool, {"name": "T4", **columns}, wants, made_by="Ada")


def test_a_trial_is_asked_for_with_its_purposes_and_found_again(example: Example) -> None:
    asked(example, due=date(2026, 4, 3), late_per_day=250.0)
    found = find_request(example.programme.slug, "M1", "T4")
    assert {one.purpose: one.pieces for one in found.wants.all()} == {"sizes": None, "assembly": 40}
    assert (found.due, found.needs_engineer, found.is_fixed) == (date(2026, 4, 3), True, False)
    assert requests_of(example.programme) == (found,)
    with pytest.raises(NotInRecord, match="no trial 'T5' of tool M1 is asked for"):
        find_request(example.programme.slug, "M1", "T5")


def test_purposes_are_changed_added_and_taken_out_with_their_history(example: Example) -> None:
    request = asked(example)
    wants = {TrialPurpose.ASSEMBLY: 50, TrialPurpose.KEEP: None}
    ask_trial(example.tool, {"due": date(2026, 4, 3)}, wants, made_by="Bo", request=request)
    assert {one.purpose: one.pieces for one in request.wants.all()} == {"assembly": 50, "keep": None}
    gone = TrialWant.history.filter(purpose="sizes").first()
    assert (gone.history_type, gone.history_user_id) == ("-", "Bo")
    assert TrialRequest.objects.get().name == "T4"


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"name": ""}, "name must not be empty"),
        ({"lightness": 40.0}, "give all of them or none"),
        ({"earliest": date(2026, 4, 3), "due": date(2026, 4, 1)}, "due must not be before earliest"),
        ({"hours": 0.0}, "hours must be above 0"),
    ],
)
def test_what_cannot_be_asked_for_is_said_and_nothing_is_kept(
    columns: dict[str, Any], said: str, example: Example
) -> None:
    with pytest.raises(OfftoolError, match=said):
        asked(example, **columns)
    assert not TrialRequest.objects.exists()


def test_a_trial_without_a_purpose_or_asked_for_twice_is_refused(example: Example) -> None:
    with pytest.raises(NotEnoughData, match="no purpose is given"):
        ask_trial(example.tool, {"name": "T4"}, {}, made_by="Ada")
    asked(example)
    with pytest.raises(OfftoolError, match="this trial of the tool is asked for already"):
        asked(example)


def test_a_slot_is_fixed_and_left_open_again(example: Example) -> None:
    request, press = asked(example), press_of(example)
    fixed = fix_slot(request, press, NOON, made_by="Ada")
    assert (fixed.is_fixed, fixed.starts_at) == (True, NOON)
    assert not fix_slot(fixed, None, None, made_by="Ada").is_fixed
    for half in ((press, None), (None, NOON)):
        with pytest.raises(OfftoolError, match="give both or neither"):
            fix_slot(request, *half, made_by="Ada")
    with pytest.raises(OfftoolError, match="the press belongs to another programme"):
        fix_slot(request, press_of(example, programme=example.other), NOON, made_by="Ada")


def test_a_withdrawn_trial_is_gone_and_its_history_says_why(example: Example) -> None:
    request = asked(example)
    with pytest.raises(OfftoolError, match="no reason is given"):
        withdraw_request(request, because=" ", made_by="Ada")
    withdraw_request(request, because="the launch is called off", made_by="Ada")
    assert requests_of(example.programme) == ()
    for model in (TrialRequest, TrialWant):
        last = model.history.first()
        assert (last.history_type, last.history_change_reason) == ("-", "the launch is called off")


def test_a_request_has_run_once_its_trial_has_readings_or_looks(example: Example) -> None:
    read, seen = request_of(example, name="T1"), request_of(example, tool=example.tool_2, name="T1")
    waiting = request_of(example, name="T9")
    assert waiting_requests(example.programme) == (read, waiting, seen)
    example.stored()
    example.look(trial=example.trial_2, cavity=None)
    assert waiting_requests(example.programme) == (waiting,)
    assert [has_run(one) for one in (read, seen, waiting)] == [True, True, False]


def test_days_of_work_are_written_one_way_and_a_word_that_is_no_day_is_named(example: Example) -> None:
    press = define_press(example.programme, {"code": "P1", "workdays": "friday, Mon tue"}, made_by="Ada")
    assert press.workdays == "Mon Tue Fri"
    with pytest.raises(ImpossibleInput, match="Someday"):
        define_press(example.programme, {"workdays": "Someday"}, made_by="Ada", press=press)
    assert Press.objects.get().workdays == "Mon Tue Fri"


def test_numbers_of_a_tool_are_written_and_those_not_named_stay(example: Example) -> None:
    define_tool_size(example.tool, {"wide_mm": 296.0, "feed": "hot runner"}, made_by="Ada")
    define_tool_size(example.tool, {"setup_h": 1.5}, made_by="Bo")
    tool = Tool.objects.get(pk=example.tool.pk)
    assert (tool.wide_mm, tool.feed, tool.setup_h) == (296.0, "hot runner", 1.5)
    with pytest.raises(OfftoolError, match="wide_mm must be above 0"):
        define_tool_size(example.tool, {"wide_mm": 0.0}, made_by="Ada")
    with pytest.raises(KeyError, match="step_mm"):
        define_tool_size(example.tool, {"step_mm": 0.02}, made_by="Ada")


def test_the_newest_shape_counts_and_the_same_again_is_refused(example: Example) -> None:
    body = example.body
    first = keep_mesh(body, CUBE, read_at=NOON, read_by="Ada")
    assert (first.size, first.axis_z, newest_mesh(body)) == (10, 1.0, first)
    with pytest.raises(AlreadyKept, match="the same file is the shape of part body already"):
        keep_mesh(body, CUBE, read_at=NOON + timedelta(hours=1), read_by="Ada")
    inches = MeshNew(
        file_name="cube.stl", content=CUBE.content, kind=CUBE.kind, unit=LengthUnit.INCH, axis=(0, 3, 4)
    )
    second = keep_mesh(body, inches, read_at=NOON + timedelta(hours=1), read_by="Bo")
    assert newest_mesh(body) == second
    assert (second.axis_y, second.axis_z) == pytest.approx((0.6, 0.8))
    assert (PartMesh.objects.count(), newest_mesh(example.limb)) == (2, None)


def test_a_shape_needs_bytes_and_a_direction(example: Example) -> None:
    for axis in ((0.0, 0.0, 0.0), (0.0, float("nan"), 1.0)):
        bad = MeshNew(file_name="x.stl", content=b"x", kind=MeshKind.STL, unit=LengthUnit.MM, axis=axis)
        with pytest.raises(ImpossibleInput, match="must be a direction"):
            keep_mesh(example.body, bad, read_at=NOON, read_by="Ada")
    empty = MeshNew(file_name="x.stl", content=b"", kind=MeshKind.STL, unit=LengthUnit.MM)
    with pytest.raises(NotEnoughData, match="the file is empty"):
        keep_mesh(example.body, empty, read_at=NOON, read_by="Ada")


def test_what_is_computed_from_a_shape_may_be_computed_again(example: Example) -> None:
    mesh = keep_mesh(example.body, CUBE, read_at=NOON, read_by="Ada")
    keep_measured(mesh, {"volume_mm3": 1.0}, b"one")
    keep_measured(mesh, {"volume_mm3": 2.0}, b"two")
    kept = PartMesh.objects.get()
    assert (kept.measured, bytes(kept.picture or b""), bytes(kept.content)) == (
        {"volume_mm3": 2.0},
        b"two",
        CUBE.content,
    )


def change(name: str, content: bytes = b"1,2,3") -> NewColourChange:
    file = FileOfTest(name=name, done_on=NOON.date(), note="", file_name="shots.csv", content=content)
    lab = (24.0, 0.0, 0.0), (80.0, -2.0, 9.0)
    return NewColourChange(file=file, from_lab=lab[0], to_lab=lab[1], shot_g=25.0, from_name="black")


SHOTS = [
    NewColourShot(number=3, lab=(60.0, 1.0, 2.0), row=3),
    NewColourShot(number=1, lab=(30.0, 0, 0), row=2),
]


def test_a_colour_change_is_kept_once_found_and_set_aside(example: Example) -> None:
    press = press_of(example)
    kept = keep_colour_change(press, change("A"), SHOTS, read_at=NOON, read_by="Ada")
    shots = colour_shots(find_colour_change(press, "A"))
    assert (shots.number.tolist(), shots.lab[:, 0].tolist(), len(shots)) == ([1, 3], [30.0, 60.0], 2)
    assert (kept.to_lightness, kept.from_b, kept.changed_on) == (80.0, 0.0, NOON.date())
    with pytest.raises(AlreadyKept, match="the same file is colour change A of press"):
        keep_colour_change(press, change("B"), SHOTS, read_at=NOON, read_by="Ada")
    set_colour_change_aside(kept, "the lamp was off", made_by="Bo")
    keep_colour_change(press, change("B"), SHOTS, read_at=NOON, read_by="Ada")
    assert [one.name for one in colour_changes_of(press)] == ["B", "A"]
    assert [one.name for one in colour_changes_of(press, counting=True)] == ["B"]


def test_a_colour_change_without_shots_or_of_an_impossible_colour_is_refused_whole(example: Example) -> None:
    press = press_of(example)
    with pytest.raises(NotEnoughData, match="no shots in it"):
        keep_colour_change(press, change("A"), [], read_at=NOON, read_by="Ada")
    wild = [NewColourShot(number=1, lab=(500.0, 0.0, 0.0), row=2)]
    with pytest.raises(OfftoolError, match="lightness must be at least 0 and at most 120"):
        keep_colour_change(press, change("A"), wild, read_at=NOON, read_by="Ada")
    assert not ColourChange.objects.exists()


def test_times_are_said_and_taken_back(example: Example) -> None:
    press, four = press_of(example), NOON + timedelta(hours=4)
    there = say_engineers(example.programme, NOON, four, who="Ada", made_by="Ada")
    off = say_press_off(press, NOON, four, why="new check ring", made_by="Ada")
    assert (engineers_of(example.programme), press_off_of(example.programme)) == ((there,), (off,))
    with pytest.raises(OfftoolError, match="ends_at must be after begins_at"):
        say_engineers(example.programme, four, NOON, made_by="Ada")
    for row in (there, off):
        take_time_back(row, made_by="Ada")
    assert (engineers_of(example.programme), press_off_of(example.programme)) == ((), ())


def test_jobs_run_from_their_first_day_to_their_last(example: Example) -> None:
    press = press_of(example)
    days = (date(2026, 3, 2), date(2026, 3, 6)), (date(2026, 3, 9), None)
    first, second = (
        job_of(example, press=press, code=code, begins=begins, ends=ends)
        for code, (begins, ends) in zip("AB", days, strict=True)
    )
    assert running_jobs(example.programme, date(2026, 3, 6)) == (first,)
    assert running_jobs(example.programme, date(2026, 3, 7)) == ()
    assert running_jobs(example.programme, date(2030, 1, 1)) == (second,)
    assert jobs_between(example.programme, date(2026, 3, 6), date(2026, 3, 9)) == (first, second)


def test_a_tool_goes_on_the_presses_that_are_said_to_hold_it(example: Example) -> None:
    other = press_of(example, code="A0")
    press = holds_of(example).press
    assert presses_of(example.programme) == (other, press)
    assert presses_that_hold(example.tool) == (press,)
    assert presses_that_hold(example.tool_2) == ()
