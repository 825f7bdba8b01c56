"""Several files into one trial: one preview over all, then every file kept byte for byte, all or none."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from offtool.core.values import OfftoolError
from offtool.exchange.readings import FileRefused, SentFile
from offtool.records.models import Programme, Reading, SourceFile, Trial
from offtool.records.operations import AlreadyRead
from offtool.steps.read_bundle import is_bundle, keep_bundle, preview_bundle
from offtool.steps.read_readings import CannotKeep, TrialAbout, keep_readings
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.start_from_report import preview_start_of_files, start_from_files
from tests.exchange.readings.gauge_room import workbook
from tests.exchange.readings.test_bundle import packed, sent
from tests.steps.clip import NOON, SLUG, TOOL, csv_of, stored

WHERE = {"programme": SLUG, "tool": TOOL, "trial": "T1"}


def part_file(peg: object, length: object = 20.0) -> bytes:
    """A part of the clip that its file does not name."""
    return csv_of(["Characteristic", "Value"], [["P1 1", peg], ["P1 2", length]])


SIX = {f"clip_T1_C{c}_S{s}.csv": part_file(4 + c / 1000 + s / 100) for c in (1, 2) for s in (1, 2, 3)}


def preview(files: Mapping[str, bytes]) -> ReadingPreview:
    return preview_bundle(sent(files), "six", programme=SLUG, tool=TOOL)


def keep(files: Mapping[str, bytes], **options: object) -> ReadingsKept:
    return keep_bundle(sent(files), "six", **(WHERE | {"read_at": NOON, "read_by": "tester"} | options))  # type: ignore[arg-type]


def refused(files: Mapping[str, bytes], **options: object) -> OfftoolError:
    before = stored()
    with pytest.raises(OfftoolError) as refusal:
        keep(files, **options)
    assert stored() == before
    return refusal.value


def test_only_one_plain_file_is_no_bundle() -> None:
    assert not is_bundle([SentFile("a.csv", b"1")])
    assert is_bundle([SentFile("a.csv", b"1"), SentFile("b.csv", b"2")])
    assert is_bundle([SentFile("a.zip", packed({"a.csv": b"1"}))])


def test_one_preview_is_over_all_files_and_keeps_nothing(clip: Programme) -> None:
    before = stored()
    shown = preview(SIX | {"notes.txt": b"Monday"})
    assert (shown.readings, shown.cavities, len(shown.files)) == (12, ("1", "2"), 6)
    assert [(one.number, one.readings) for one in shown.characteristics] == [("1", 6), ("2", 6)]
    assert [(one.cavity, one.part) for one in shown.files][:4] == [("1", 1), ("1", 2), ("1", 3), ("2", 1)]
    assert [(one.name, one.is_missed) for one in shown.left_out] == [("notes.txt", False)]
    assert shown.can_be_kept
    assert stored() == before


def test_every_file_is_kept_byte_for_byte_with_its_own_readings(clip: Programme) -> None:
    kept = keep({"six.zip": packed(SIX)}, about=TrialAbout(press="80 t"))
    assert (kept.readings, len(kept.files), kept.trial, kept.file) == (12, 6, "T1", "six")
    assert {one.name: bytes(one.content) for one in SourceFile.objects.all()} == SIX
    assert Trial.objects.get().press == "80 t"
    for source in SourceFile.objects.all():
        readings = list(Reading.objects.filter(source=source).order_by("row"))
        assert [(one.row, one.column) for one in readings] == [(2, 2), (3, 2)]
        assert {(str(one.cavity), one.part_no) for one in readings} == {
            (source.name[9], int(source.name[12]))
        }


def test_one_problem_keeps_all_files_out_and_names_the_file(clip: Programme) -> None:
    odd = csv_of(["Characteristic", "Value"], [["Nose", 1.0], ["P1 2", 20.0]])
    error = refused(SIX | {"clip_T1_C2_S4.csv": odd})
    assert isinstance(error, CannotKeep)
    assert "clip_T1_C2_S4.csv: 'Nose' is not a size of this tool" in str(error)
    assert "clip_T1_C9_S1.csv: cavity '9': tool M1 has no such cavity" in str(
        refused(SIX | {"clip_T1_C9_S1.csv": part_file(4.2)})
    )


def test_a_fault_while_storing_leaves_none_of_the_files(
    clip: Programme, monkeypatch: pytest.MonkeyPatch
) -> None:
    from offtool.steps import read_bundle

    whole, calls = read_bundle.store_readings, []

    def breaks_at_the_fourth(*given: object, **named: object) -> object:
        calls.append(given)
        if len(calls) == 4:
            raise CannotKeep("the disk is full")
        return whole(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(read_bundle, "store_readings", breaks_at_the_fourth)
    assert "disk is full" in str(refused(SIX))
    assert len(calls) == 4


def test_refused_cells_name_their_file_and_are_left_out_when_asked(clip: Programme) -> None:
    files = SIX | {"clip_T1_C1_S4.csv": part_file("OOL")}
    assert "clip_T1_C1_S4.csv, row 2, column 2: 'OOL'" in str(refused(files))
    assert (keep(files, leave_out=True).left_out, SourceFile.objects.count()) == (1, 7)


def test_a_table_that_cannot_be_read_stands_in_the_way_until_it_is_left_out(clip: Programme) -> None:
    files = SIX | {"clip_T1_C1_S4.csv": b"", "notes.txt": b"Monday"}
    assert "1 file cannot be read, the first: clip_T1_C1_S4.csv: is empty" in str(refused(files))
    kept = keep(files, leave_out=True)
    assert (len(kept.files), kept.files_left_out) == (6, ("clip_T1_C1_S4.csv", "notes.txt"))


def test_files_read_before_are_said_and_passed_over_and_the_rest_is_kept(clip: Programme) -> None:
    keep(dict(list(SIX.items())[:2]))
    shown = preview(SIX)
    assert [str(one) for one in shown.left_out] == [
        f"{name}: was read before as {name} in trial T1" for name in list(SIX)[:2]
    ]
    assert shown.can_be_kept
    assert keep(SIX).readings == 8
    assert SourceFile.objects.count() == 6
    assert isinstance(refused(SIX), AlreadyRead)


def test_another_sheet_of_a_workbook_read_before_can_still_be_read(clip: Programme) -> None:
    rows = [["Shot", "Cavity", "P1 1"], [1, 1, 4.0], [2, 1, 4.01]]
    book = workbook(rows, [[*rows[0]], [3, 1, 4.02], [4, 1, 4.03]])
    for sheet in (None, "Sheet2"):
        keep_readings(book, "two.xlsx", **WHERE, sheet=sheet, read_at=NOON, read_by="tester")
    assert sorted(one.sheet for one in SourceFile.objects.all()) == ["Sheet1", "Sheet2"]
    assert Reading.objects.count() == 4
    with pytest.raises(AlreadyRead, match="sheet Sheet2"):
        keep_readings(book, "two.xlsx", **WHERE, sheet="Sheet2", read_at=NOON, read_by="tester")


def test_when_none_can_be_read_the_bundle_is_refused(clip: Programme) -> None:
    assert isinstance(refused({"a.pdf": b"%PDF-1.7", "b.jpg": b"\xff\xd8\xff"}), FileRefused)


def test_notes_that_all_files_share_stand_once_and_others_name_their_file(clip: Programme) -> None:
    shown = preview(SIX | {"clip_T1_C1_S4.csv": part_file("3,991")})
    assert sum("Layout long" in note for note in shown.notes) == 1
    twice = preview(SIX | {"more_T1_C1_S1.csv": part_file(4.5)})
    assert any("as one in another file" in note for note in twice.notes)


def limited(peg: object, upper: str = "4.03") -> bytes:
    return csv_of(
        ["No.", "Characteristic", "Lower limit", "Upper limit", "Actual"], [["1", "Peg", 3.98, upper, peg]]
    )


def test_a_programme_is_made_from_files_of_single_parts(db: None) -> None:
    files = {f"C{c}_S{s}.csv": limited(4 + s / 1000 + c / 100) for c in (1, 2) for s in (1, 2, 3)}
    assert preview_start_of_files(sent(files), "parts").readings == 6
    kept = start_from_files(sent(files), "parts", title="Crab", read_at=NOON, read_by="tester")
    assert (kept.programme, kept.readings, len(kept.files)) == ("crab", 6, 6)
    assert {str(one.cavity) for one in Reading.objects.all()} == {"1", "2"}


def test_files_that_contradict_each_other_start_nothing(db: None) -> None:
    files = {"C1_S1.csv": limited(4.0), "C1_S2.csv": limited(4.01, "4.05")}
    with pytest.raises(CannotKeep, match=r"C1_S1\.csv gives the upper limit as 4\.03, C1_S2\.csv as 4\.05"):
        start_from_files(sent(files), "parts", title="Crab", read_at=NOON, read_by="tester")
    assert not Programme.objects.exists()
