"""Sheets of a pilot: shown, then kept in whole or not at all; the name of a station is looked up."""

from __future__ import annotations

from typing import Any

import pytest

from offtool.handbook.terms import PilotFileKind
from offtool.records.models import PilotAudit, PilotCount, PilotFile
from offtool.records.operations.tested import AlreadyKept
from offtool.steps.keep_pilot_file import (
    SheetAbout,
    begins_at,
    keep_pilot_file,
    preview_pilot_file,
    set_sheet_aside,
)
from offtool.steps.pilot_file_preview import PilotFilePreview
from offtool.steps.read_readings import CannotKeep
from tests.steps import piloted
from tests.web import jointed, otter, welded

pytestmark = pytest.mark.django_db
SLUG = "harbour-otter"


@pytest.fixture(autouse=True)
def pilot() -> None:
    """The pilot, and a seam and a joint to be audited."""
    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())
    welded.make_welded(tool)
    welded.define()
    jointed.make_arm()
    jointed.a_joint(lower=0.15, upper=0.6)
    piloted.make_line()
    piloted.make_pilot()


def preview(kind: PilotFileKind, text: str, **about: str) -> PilotFilePreview:
    return preview_pilot_file(
        text.encode(), "sheet.csv", programme=SLUG, pilot=piloted.PILOT, kind=kind, about=SheetAbout(**about)
    )


def keep(kind: PilotFileKind, text: str, **more: Any) -> str:
    kept = keep_pilot_file(
        text.encode(), "sheet.csv", programme=SLUG, pilot=piloted.PILOT, kind=kind, about=SheetAbout(),
        read_at=piloted.NOW, read_by="production", **more,
    )  # fmt: skip
    return kept.name


def test_a_preview_keeps_nothing_and_says_what_is_in_it() -> None:
    seen = preview(PilotFileKind.COUNTS, piloted.COUNTS)
    assert seen.can_be_kept
    assert (seen.rows, [one.name for one in seen.seen]) == (12, ["weld", "paint", "pack"])
    assert seen.seen[1].says == "107 of 125 good the first time, 15 after rework"
    assert seen.seen[1].hours == (1, 2, 3, 4)
    assert not PilotFile.objects.exists()


def test_the_file_is_kept_byte_for_byte_with_the_cell_of_each_row() -> None:
    keep(PilotFileKind.COUNTS, piloted.COUNTS)
    kept = PilotFile.objects.get()
    assert bytes(kept.content).decode() == piloted.COUNTS
    assert (kept.name, kept.file_name, kept.read_by) == ("1", "sheet.csv", "production")
    last = PilotCount.objects.order_by("row").last()
    assert last is not None
    assert (last.row, last.column, last.tried, last.hour) == (13, 3, 33, 4)


@pytest.mark.parametrize("called", ["paint", "Paint", "2", "02", "station 2", "Station 02"])
def test_a_station_is_known_by_its_name_or_its_number(called: str) -> None:
    seen = preview(PilotFileKind.COUNTS, f"station,tried,good\n{called},30,29\n")
    assert [one.name for one in seen.seen] == ["paint"]


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (PilotFileKind.COUNTS, "station,tried,good\npaint,3,3\nplating,30,29\n",
         "row 3, column 1: 'plating' is no station of line otter line"),
        (PilotFileKind.DEFECTS, "station,defect,count\npaint,run,1\n9,run,1\n",
         "row 3, column 1: '9' is no station of line otter line"),
        (PilotFileKind.COUNTS, "station,tried,good\npaint,3,3\nStation 9,30,29\n",
         "row 3, column 1: 'Station 9' is no station of line otter line; known are: weld, paint, pack"),
        (PilotFileKind.TIMES, "station,task,time [s]\npaint,mask,80\npaint,masc,81\n",
         "row 3, column 2: 'masc' is no task of line otter line; did you mean 'mask'?"),
        (PilotFileKind.AUDITS, "hour,joint,value,unit\n1,shoulder,0.2,N·m\n1,hip,0.2,N·m\n",
         "row 3, column 2: 'hip' is no seam and no joint of the programme"),
    ],
)  # fmt: skip
def test_what_the_record_does_not_have_is_refused_with_its_row(
    kind: PilotFileKind, text: str, said: str
) -> None:
    seen = preview(kind, text)
    assert seen.rows == 1
    assert str(seen.refused[0]).startswith(said)
    with pytest.raises(CannotKeep):
        keep(kind, text)
    assert not PilotFile.objects.exists()
    keep(kind, text, leave_out=True)
    assert "1 cell left out" in PilotFile.objects.get().note


def test_a_row_with_two_faults_names_both_at_once() -> None:
    text = 'station,tried,good\npaint,3,3\nplating,30,"98,0%"\n'
    seen = preview(PilotFileKind.COUNTS, text)
    said = [str(one) for one in seen.refused]
    assert [one.split(": ")[0] for one in said] == ["row 3, column 1", "row 3, column 3"]
    assert "'plating' is no station" in said[0]
    assert "is a share" in said[1]
    with pytest.raises(CannotKeep):
        keep(PilotFileKind.COUNTS, text)


def test_seams_and_joints_are_kept_in_their_own_units() -> None:
    keep(PilotFileKind.AUDITS, "hour,seam or joint,value,unit\n1,torso,118,N\n2,shoulder,21,N·cm\n")
    pull, torque = PilotAudit.objects.order_by("row")
    assert pull.seam is not None
    assert torque.joint is not None
    assert (pull.seam.code, pull.value, pull.unit) == ("torso", 118.0, "N")
    assert (torque.joint.code, torque.value, torque.unit) == ("shoulder", 0.21, "N·m")


def test_a_sheet_of_no_station_of_the_line_cannot_be_kept() -> None:
    seen = preview(PilotFileKind.COUNTS, "station,tried,good\nplating,30,29\n")
    assert not seen.can_be_kept
    assert seen.problems == ("no count is of a station of this line",)


def test_the_same_bytes_are_kept_once_and_a_second_sheet_is_asked_about() -> None:
    assert keep(PilotFileKind.COUNTS, piloted.COUNTS) == "1"
    with pytest.raises(AlreadyKept, match="the same file is sheet of counts 1"):
        keep(PilotFileKind.COUNTS, piloted.COUNTS)
    other = "station,tried,good\npaint,30,29\n"
    assert "sheet 1 of counts counts too" in preview(PilotFileKind.COUNTS, other).cautions[0].text
    assert keep(PilotFileKind.COUNTS, other) == "2"
    set_sheet_aside(SLUG, piloted.PILOT, "counts", "1", reason="wrong shift", made_by="production")
    assert keep(PilotFileKind.COUNTS, piloted.COUNTS) == "3"


def test_the_beginning_of_hour_one_is_told_beside() -> None:
    text = "station,hour,tried,good\npaint,10:15,30,29\n"
    assert preview(PilotFileKind.COUNTS, text).seen[0].hours == (1,)
    assert preview(PilotFileKind.COUNTS, text, begins="8:00").seen[0].hours == (3,)
    assert begins_at("") is None
    with pytest.raises(CannotKeep, match="'soon' is no time"):
        preview(PilotFileKind.COUNTS, text, begins="soon")


def test_a_sheet_of_which_every_row_is_refused_does_not_blame_its_stations() -> None:
    table = 'station,tried,good\npaint,30,"98,0%"\npaint,30,29\n'
    assert preview(PilotFileKind.COUNTS, table).problems == ()
    (said,) = preview(PilotFileKind.COUNTS, 'station,tried,good\npaint,30,"98,0%"\nplating,30,29\n').problems
    assert said == "no count can be taken: each row has a cell that is refused"
