"""Reading a file into a trial: what is shown, what is kept, and what stands in the way."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from hashlib import sha256

import pytest

from offtool.core.values import OfftoolError
from offtool.exchange.readings import FileRefused, Layout
from offtool.records.models import Programme, Reading, SourceFile, Tool, ToolState, Trial
from offtool.records.operations import AlreadyRead
from offtool.records.queries.finding import NotInRecord
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.read_readings import CannotKeep, TrialAbout, keep_readings, preview_readings
from offtool.steps.reading_preview import ReadingPreview
from tests.steps.clip import NOON, SLUG, TOOL, csv_of, keep, stored, trial_file


def preview(content: bytes, **options: object) -> ReadingPreview:
    return preview_readings(content, "m1.csv", programme=SLUG, tool=TOOL, **options)  # type: ignore[arg-type]


def row_file(*headings: str, value: object = 4.0) -> bytes:
    """One row: a shot, cavity 1, and the same value under each heading."""
    return csv_of(["Shot", "Cavity", *headings], [[1, 1, *([value] * len(headings))]] * 2)


def refused(content: bytes, **options: object) -> OfftoolError:
    """The error for a file that cannot be kept; nothing of it is in the record."""
    before = stored()
    with pytest.raises(OfftoolError) as refusal:
        keep(content, **options)
    assert stored() == before
    return refusal.value


# what is shown


def test_a_preview_shows_how_the_file_is_read_and_keeps_nothing(clip: Programme) -> None:
    before, content = stored(), trial_file()
    shown = preview(content)
    assert (shown.layout, shown.readings, shown.cavities, shown.shots) == ("wide", 48, ("1", "2"), (30, 41))
    assert [(one.part, one.number, one.readings) for one in shown.characteristics] == [
        ("P1", "1", 24),
        ("P1", "2", 24),
    ]
    assert shown.sha256 == sha256(content).hexdigest()
    assert shown.layouts == tuple(layout.value for layout in Layout)
    assert shown.can_be_kept
    assert stored() == before


def test_a_preview_lists_every_problem_and_then_cannot_be_kept(clip: Programme) -> None:
    shown = preview(row_file("P1 1", "Nose", "Tail"))
    assert not shown.can_be_kept
    assert [one.label for one in shown.characteristics if one.problem] == ["Nose", "Tail"]
    assert len(shown.problems) == 2


def test_a_layout_that_is_set_is_used(clip: Programme) -> None:
    with pytest.raises(FileRefused, match="long"):
        preview(trial_file(), layout=Layout.LONG)


# what is kept


def test_every_reading_is_kept_with_its_cell_and_the_trial_is_made(clip: Programme) -> None:
    about = TrialAbout(shot_on=date(2026, 3, 1), press="80 t", colour="red", age_h=20.0, measured_at=NOON)
    kept = keep(trial_file(), about=about)
    trial = Trial.objects.get()
    assert (kept.trial, kept.state, kept.readings, kept.repairs, kept.left_out) == ("T1", "a", 48, 0, 0)
    assert (trial.shot_on, trial.press, trial.age_h, trial.measured_at) == (
        date(2026, 3, 1),
        "80 t",
        20.0,
        NOON,
    )
    assert Reading.objects.count() == 48
    first = Reading.objects.order_by("pk").first()
    assert first is not None
    assert (first.row, first.column, first.shot and first.shot.number, str(first.cavity)) == (2, 3, 30, "1")
    source = SourceFile.objects.get()
    assert bytes(source.content) == trial_file()
    assert (source.read_by, source.read_at, source.layout) == ("tester", NOON, "wide")


def test_a_second_file_goes_into_the_same_trial_and_blanks_leave_what_is_known(clip: Programme) -> None:
    keep(trial_file(), about=TrialAbout(press="80 t", colour="red"))
    keep(row_file("P1 3", value=2.0), name="weights.csv", about=TrialAbout(colour="blue"))
    trial = Trial.objects.get()
    assert (trial.press, trial.colour, trial.source_files.count()) == ("80 t", "blue", 2)


def test_blanks_around_a_trial_name_make_no_second_trial(clip: Programme) -> None:
    keep(trial_file())
    keep(trial_file(seed=2), trial=" T1 ", name="more.csv")
    assert Trial.objects.get().source_files.count() == 2


def test_a_new_trial_is_run_in_the_latest_steel_unless_another_is_named(clip: Programme) -> None:
    ToolState.objects.create(tool=Tool.objects.get(), label="b", ordinal=2)
    assert keep(trial_file()).state == "b"
    assert keep(trial_file(seed=2), trial="T0", about=TrialAbout(state="a")).state == "a"


@pytest.mark.parametrize("heading", ["P1 2", "p1  2", "P1 2 [mm]", "2 Length", "2. Length", "2 Length (mm)"])
def test_a_heading_is_known_by_part_and_number_or_number_and_name(clip: Programme, heading: str) -> None:
    (one,) = preview(row_file(heading, value=20.0)).characteristics
    assert (one.part, one.number, one.problem) == ("P1", "2", "")


def test_a_number_column_with_the_part_in_it_is_enough_beside_a_name_in_another_language(
    clip: Programme,
) -> None:
    rows = [("P1 2", "长度", 1, 20.01), ("P2 1", "长度", 1, 30.01)]
    shown = preview(csv_of(["编号", "名称", "穴号", "实测值"], rows * 2))
    assert [(one.part, one.number, one.problem) for one in shown.characteristics] == [
        ("P1", "2", ""),
        ("P2", "1", ""),
    ]


def test_a_part_with_one_cavity_needs_none_to_be_said(clip: Programme) -> None:
    keep(csv_of(["Shot", "P2 1"], [(1, 30.0), (2, 30.01)]))
    assert {str(one.cavity) for one in Reading.objects.all()} == {"1"}


def test_where_the_cavity_is_not_said_it_stays_open_and_the_findings_warn(clip: Programme) -> None:
    keep(csv_of(["Shot", "P1 1"], [(shot, 4.0 + shot / 1000) for shot in range(8)]))
    assert {one.cavity for one in Reading.objects.all()} == {None}
    assert any("cavity not recorded" in one.text for one in inspect_trial(SLUG, TOOL, "T1").cautions)


def test_limits_that_differ_from_the_record_are_said_and_the_record_counts(clip: Programme) -> None:
    content = csv_of(
        ["Characteristic", "Nominal", "Lower limit", "Upper limit", "Cavity", "Value"],
        [("P1 1", 4.0, 3.95, 4.03, 1, 4.0)] * 2,
    )
    notes = [note for note in preview(content).notes if "drawing on record" in note]
    assert notes == [
        "P1 1: the file gives the lower limit as 3.95, the drawing on record 3.98; the record's counts"
    ]


def test_cells_that_cannot_be_read_are_left_out_when_asked_and_written_down(clip: Programme) -> None:
    content = row_file("P1 1", "P1 2").replace(b"4.0\n", b"OOL\n", 1)
    assert "OOL" in refused(content).what
    kept = keep(content, leave_out=True)
    assert (kept.readings, kept.left_out) == (3, 1)
    (left,) = SourceFile.objects.get().left_out
    assert (left["row"], left["column"], left["found"]) == (2, 4, "OOL")


# what stands in the way


def test_the_same_file_twice_is_refused_with_a_pointer_to_the_first(clip: Programme) -> None:
    keep(trial_file())
    error = refused(trial_file(), trial="T2", name="again.csv")
    assert isinstance(error, AlreadyRead)
    assert "m1.csv in trial T1 of tool M1" in error.what
    assert error.where == "again.csv"


@pytest.mark.parametrize(
    ("programme", "tool", "said"),
    [("clipp", "M1", "did you mean 'clip'"), ("clip", "M7", "known are: M1")],
)
def test_unknown_programmes_and_tools_are_answered_with_the_nearest(
    clip: Programme, programme: str, tool: str, said: str
) -> None:
    for step in (preview_readings, keep_readings):
        options = {} if step is preview_readings else {"trial": "T1", "read_at": NOON, "read_by": ""}
        with pytest.raises(NotInRecord) as refusal:
            step(trial_file(), "m1.csv", programme=programme, tool=tool, **options)  # type: ignore[operator]
        assert said in refusal.value.remedy
    assert stored()["Trial"] == 0


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (row_file("P1 1", "Peg dia"), r"'Peg dia' is not a size of this tool; did you mean '1 Peg diameter'"),
        (
            row_file("Length", value=20),
            r"'Length' could be P1 2, P2 1: put the part's code before the number",
        ),
        (row_file("P1 1 [g]"), r"is in g, and P1 1 is kept in mm"),
        (row_file("P1 1", "1 Peg diameter"), r"'1 Peg diameter' and 'P1 1' both mean P1 1"),
        (row_file("P1 1").replace(b"1,1,", b"1,3,"), r"cavity '3': tool M1 has no such cavity of part P1"),
        (row_file("P2 1", value=30).replace(b"1,1,", b"1,2,"), r"no such cavity of part P2"),
        (row_file("P1 1", "Nose", "Tail"), r"'Nose' .* \(and 1 more\)"),
    ],
)
def test_what_fits_nothing_is_refused_with_the_file_and_what_to_do(
    clip: Programme, content: bytes, said: str
) -> None:
    error = refused(content)
    assert isinstance(error, CannotKeep)
    assert error.where == "m1.csv"
    with pytest.raises(CannotKeep, match=said):
        keep(content)


def test_a_name_that_two_parts_share_with_their_number_is_not_guessed(clip: Programme) -> None:
    Tool.objects.get().cavities.first().part.characteristics.filter(number="2").update(number="1b")  # type: ignore[union-attr]
    clip.parts.get(code="P1").characteristics.filter(number="1").update(name="Length")
    assert "could be P1 1, P2 1" in refused(row_file("1 Length")).what


def test_no_bytes_and_no_table_are_refused(clip: Programme) -> None:
    for content in (b"", b"\x00\x01", b"hello"):
        assert isinstance(refused(content), FileRefused)


@pytest.mark.parametrize(
    ("trial", "about", "said"),
    [
        (" ", TrialAbout(), "the trial has no name"),
        ("T1", TrialAbout(state="z"), "tool M1 has no state 'z'"),
        ("T1", TrialAbout(age_h=-1.0), "age_h must be at least 0"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(clip: Programme, trial: str, about: TrialAbout, said: str) -> None:
    assert said in refused(trial_file(), trial=trial, about=about).what


def test_a_trial_is_not_moved_to_other_steel(clip: Programme) -> None:
    keep(trial_file())
    ToolState.objects.create(tool=Tool.objects.get(), label="b", ordinal=2)
    error = refused(trial_file(seed=2), about=TrialAbout(state="b"))
    assert error.what == "T1 was run in tool state a"


def test_a_tool_without_a_state_cannot_have_a_trial(clip: Programme) -> None:
    tool = Tool.objects.create(programme=clip, code="M2")
    part = clip.parts.get(code="P2")
    tool.cavities.create(part=part, label="1")
    with pytest.raises(CannotKeep, match="tool M2 has no state yet"):
        keep_readings(
            row_file("P2 1"), "m2.csv", programme=SLUG, tool="M2", trial="T1", read_at=NOON, read_by=""
        )


def test_a_failing_store_leaves_no_trial_behind(clip: Programme, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> Callable[..., object]:
        raise OfftoolError("the disk is full")

    monkeypatch.setattr("offtool.steps.read_readings.store_readings", fail)
    assert refused(trial_file()).what == "the disk is full"
    assert not Trial.objects.exists()
