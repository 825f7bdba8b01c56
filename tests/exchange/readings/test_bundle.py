"""Several files as one trial: what is unpacked, what is refused, how files are placed and put together."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.core.values import Range
from offtool.exchange.readings import (
    FileRefused,
    FilesRead,
    SentFile,
    doubled,
    is_archive,
    merge,
    read_files,
    read_table,
)
from offtool.exchange.readings.bundle import natural, safe_path, unpack_files
from offtool.exchange.readings.limits import LIMITS, MAX_PACKED
from offtool.exchange.readings.name_places import places_in_names
from tests.exchange.readings.gauge_room import Taken, taken, values, workbook
from tests.exchange.readings.qif_writer import Part, Size, write

SIZES = "No.,Characteristic,Lower limit,Upper limit,Unit,Actual\n"


def one_part(peg: float = 4.01, seat: float = 12.5) -> bytes:
    """A file of one part that says nothing of where it was taken."""
    return f"{SIZES}1,Peg,3.9,4.1,mm,{peg}\n2,Seat,12.4,12.6,mm,{seat}\n".encode()


def packed(files: Mapping[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return out.getvalue()


def sent(files: Mapping[str, bytes]) -> list[SentFile]:
    return [SentFile(path.rpartition("/")[2], content, path) for path, content in files.items()]


def read(files: Mapping[str, bytes]) -> FilesRead:
    return read_files(sent(files), "six files")


def together(files: Mapping[str, bytes]) -> list[Taken]:
    return taken(merge(read(files), "six files").table)


def refused(files: Mapping[str, bytes]) -> str:
    with pytest.raises(FileRefused) as refusal:
        read(files)
    return str(refusal.value)


# archives


def test_an_archive_is_known_by_its_content_and_a_workbook_is_none() -> None:
    assert is_archive(packed({"a.csv": b"1"}))
    assert is_archive(packed({}))
    assert not is_archive(workbook([["Cavity", "Peg"], [1, 4.01]]))
    assert not is_archive(packed({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}))
    assert not is_archive(b"PK\x03\x04 broken")
    assert not is_archive(b"Cavity,Peg\n1,4.01\n")


def test_the_files_of_an_archive_are_read_as_if_they_had_been_sent() -> None:
    files = {"T1/peg_C1_S1.csv": one_part(4.01), "T1/peg_C2_S1.csv": one_part(4.02)}
    assert together({"T1.zip": packed(files)}) == together(files)


def test_files_come_in_the_natural_order_of_their_names_and_keep_their_bytes() -> None:
    files = {f"part {number}.csv": one_part(4 + number / 1000) for number in (10, 9, 2, 1)}
    found, _ = unpack_files(sent({"a.zip": packed(files)}))
    assert [one.name for one in found] == ["part 1.csv", "part 2.csv", "part 9.csv", "part 10.csv"]
    assert {one.name: one.content for one in found} == files
    assert natural("Part 2") < natural("part 10")


def test_files_of_computers_are_left_out_and_folders_are_fine() -> None:
    files = {"t1/": b"", "t1/part 1.csv": one_part(), "__MACOSX/t1/._part 1.csv": b"\0", ".DS_Store": b"\0",
             "t1/~$part 1.xlsx": b"\0", "t1/Thumbs.db": b"\0"}  # fmt: skip
    result = read({"a.zip": packed(files)})
    assert [one.sent.name for one in result.files] == ["part 1.csv"]
    assert len(result.left_out) == 4
    assert not any(one.is_missed for one in result.left_out)


def test_links_are_passed_over() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        link = zipfile.ZipInfo("passwd.csv")
        link.external_attr = 0o120777 << 16
        archive.writestr(link, "/etc/passwd")
        archive.writestr("part 1.csv", one_part())
    assert [one.sent.name for one in read({"a.zip": out.getvalue()}).files] == ["part 1.csv"]


@pytest.mark.parametrize(
    ("path", "safe"),
    [
        ("../../etc/passwd.csv", "passwd.csv"),
        ("/etc/passwd.csv", "passwd.csv"),
        ("C:\\trials\\a.csv", "a.csv"),
        ("..\\..\\a.csv", "a.csv"),
        ("T1/./a.csv", "T1/a.csv"),
        ("..", "file"),
    ],
)
def test_a_path_that_leads_out_is_reduced_to_its_last_name(path: str, safe: str) -> None:
    assert safe_path(path) == safe


def test_an_archive_in_an_archive_is_refused_by_name() -> None:
    inner = packed({"part 1.csv": one_part()})
    assert "holds an archive in the archive: deep/in.zip" in refused(
        {"a.zip": packed({"deep/in.zip": inner})}
    )


def test_a_locked_archive_is_refused() -> None:
    content = bytearray(packed({"part 1.csv": one_part()}))
    for at in (content.find(b"PK\x03\x04") + 6, content.find(b"PK\x01\x02") + 8):
        content[at] |= 1
    assert "is locked by a password" in refused({"a.zip": bytes(content)})


def test_a_file_packed_too_tightly_is_refused_before_it_is_unpacked() -> None:
    assert "times" in LIMITS["packing"].meaning
    bomb = packed({"part 1.csv": bytes(50_000_000)})
    assert f"at most {MAX_PACKED} are read" in refused({"a.zip": bomb})


def test_what_an_archive_declares_is_summed_before_a_byte_is_unpacked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(LIMITS, "bytes together", Range(meaning="size of the files together", at_most=150))
    assert "size of the files together" in refused(
        {"a.zip": packed({"1.csv": one_part(), "2.csv": one_part()})}
    )


def test_too_many_files_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(LIMITS, "files", Range(meaning="files of one trial", at_most=2))
    files = {f"part {i}.csv": one_part() for i in range(3)}
    assert "files of one trial: 3, at most 2" in refused({"a.zip": packed(files)})
    assert "files of one trial: 3, at most 2" in refused(files)


def test_a_damaged_and_an_empty_archive_are_refused() -> None:
    content = bytearray(packed({"part 1.csv": one_part()}))
    content[45:60] = bytes(15)
    assert "is a damaged archive" in refused({"a.zip": bytes(content)})
    assert "is an archive without files" in refused({"a.zip": packed({})})


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_archives_with_bytes_changed_are_read_or_refused(data: st.DataObject) -> None:
    content = bytearray(packed({"T1/C1_S1.csv": one_part(), "x.qif": write(), "notes.txt": b"notes"}))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content)))
        content[at : at + data.draw(st.integers(0, 6))] = data.draw(st.binary(max_size=6))
    refusals = []
    try:
        result = read({"a.zip": bytes(content)})
    except FileRefused as refusal:
        refusals.append(refusal)
    else:
        merge(result, "a.zip")
    assert all(refusal.what and refusal.remedy for refusal in refusals)


# what is left out


def test_notes_and_pictures_are_left_out_and_a_table_that_cannot_be_read_is_missed() -> None:
    result = read({
        "part 1.csv": one_part(), "notes.txt": b"measured on Monday", "a.pdf": b"%PDF-1.7",
        "photo.jpg": b"\xff\xd8\xff", "part 2.csv": b"%PDF-1.7", "part 3.csv": b"",
    })  # fmt: skip
    assert {one.name: one.is_missed for one in result.left_out} == {
        "notes.txt": False, "a.pdf": False, "photo.jpg": False, "part 2.csv": True, "part 3.csv": True,
    }  # fmt: skip


def test_when_none_can_be_read_the_first_reasons_are_said() -> None:
    said = refused(
        {"a.pdf": b"%PDF-1.7", "part 1.csv": b"", "b.jpg": b"\xff\xd8\xff", "c.jpg": b"\xff\xd8\xff"}
    )
    assert "none of its files can be read: part 1.csv: is empty" in said
    assert "and 1 more" in said


def test_the_same_bytes_twice_are_read_once_and_said() -> None:
    result = read({"part 1.csv": one_part(), "part 2.csv": one_part()})
    assert [str(one) for one in result.left_out] == [
        "part 2.csv: has the same bytes as part 1.csv; a part of its own has a file of its own"
    ]
    assert result.left_out[0].is_missed


def test_files_of_one_name_in_two_folders_are_told_apart() -> None:
    files = {"cav 1/part 1.csv": one_part(4.01), "cav 2/part 1.csv": one_part(4.02)}
    result = read({"a.zip": packed(files)})
    assert [one.sent.name for one in result.files] == ["cav 1 - part 1.csv", "cav 2 - part 1.csv"]
    assert [(t.cavity, t.part) for t in together(files)] == [("1", 1), ("1", 1), ("2", 1), ("2", 1)]


# where a file belongs


@pytest.mark.parametrize(
    ("names", "places"),
    [
        (["otter_T3_C2_S15.csv", "otter_T3_C1_S15.csv"], [("2", None, 15), ("1", None, 15)]),
        (["cav3 shot 12.csv", "cav3 shot 13.csv"], [("3", 12, None), ("3", 13, None)]),
        (["part 007.csv"], [(None, None, 7)]),
        (["T3/Kavität 2/Schuss 12.csv"], [("2", 12, None)]),
        (["穴1 #2.csv"], [("1", None, 2)]),
        (["C1-3.qif", "C2-3.qif"], [("1", None, 3), ("2", None, 3)]),
        (["C1 2026-03-14.csv", "C2 2026-03-14.csv"], [("1", None, None), ("2", None, None)]),
        (["fish 1.csv", "fish 2.csv"], [(None, None, 1), (None, None, 2)]),
        (["fish 2026-03-14.csv", "fish 2026-03-15.csv"], [None, None]),
        (["fish 2026.csv", "crab 2026.csv"], [None, None]),
        (["M2_T3_readings.csv", "M2_T3_more.csv"], [None, None]),
        (["C2_S15_measured_final.csv"], [("2", None, 15)]),
    ],
)
def test_a_name_says_cavity_shot_and_part_as_a_heading_does(
    names: list[str], places: list[tuple[str | None, int | None, int | None] | None]
) -> None:
    found = places_in_names(names)
    assert [one and (one.cavity, one.shot, one.part) for one in found] == places


def test_what_a_file_says_itself_goes_before_its_name() -> None:
    inside = b"Cavity,Shot,Peg\n1,20,4.01\n1,21,4.02\n"
    files = {"C3 shot 7.csv": inside, "C4 shot 8.csv": inside + b"1,22,4.03\n"}
    assert [t[1:4] for t in together(files)] == [
        ("1", 20, None), ("1", 21, None), ("1", 20, None), ("1", 21, None), ("1", 22, None),
    ]  # fmt: skip


def test_a_name_may_say_the_shot_of_a_file_with_a_column_for_each_cavity() -> None:
    rows = "No.,Name,Nominal,C1,C2\n1,Peg,4,{},{}\n"
    files = {f"shot {shot}.csv": rows.format(4 + shot / 100, 4.01).encode() for shot in (5, 6)}
    assert [(t.cavity, t.shot) for t in together(files)] == [("1", 5), ("2", 5), ("1", 6), ("2", 6)]


def test_where_nothing_can_be_told_parts_are_numbered_in_the_order_of_the_names_and_it_is_said() -> None:
    files = {f"{name}.csv": one_part(4 + at / 100) for at, name in enumerate(("red", "blue", "green"))}
    result = read(files)
    assert [(one.sent.name, int(one.table.part[0])) for one in result.files] == [
        ("blue.csv", 1), ("green.csv", 2), ("red.csv", 3),
    ]  # fmt: skip
    assert any(
        "3 files are of; parts are numbered in the order of the names" in note for note in result.notes
    )


def test_a_file_of_many_parts_is_not_taken_for_one() -> None:
    rows = b"Peg,Seat\n4.01,12.5\n4.02,12.6\n"
    result = read({"blue.csv": rows, "red.csv": rows + b"4.03,12.7\n"})
    assert all((one.table.part == -1).all() for one in result.files)


def test_what_a_name_says_is_no_longer_said_to_be_missing() -> None:
    result = read({"C1 shot 3.csv": one_part(4.01), "C1 shot 4.csv": one_part(4.02)})
    assert not any("is recorded for any reading" in note for one in result.files for note in one.table.notes)
    assert result.notes == ("Names of files say where they were taken: 'C1 shot 3.csv' is cavity 1 shot 3.",)


# together


def test_layouts_may_differ_and_characteristics_are_one_by_number_and_name() -> None:
    qif = write([Size("1", "Peg", limits=("3.9", "4.1"))], [Part(["4.03"], "Cav 1 part 9")])
    book = workbook([["No.", "Name", "Lower limit", "Upper limit", "C2-9"], [1, "Peg", 3.9, 4.1, 4.04]])
    merged = merge(read({"C1_S1.csv": one_part(4.01), "b.qif": qif, "c.xlsx": book}), "three")
    assert [one.label for one in merged.table.characteristics] == ["Peg", "Seat"]
    assert sorted(values(merged.table)) == [4.01, 4.03, 4.04, 12.5]
    assert merged.files_of == (("b.qif", "C1_S1.csv", "c.xlsx"), ("C1_S1.csv",))
    assert merged.starts == (0, 1, 3, 4)


def test_files_that_ask_different_things_of_a_characteristic_are_named() -> None:
    other = one_part(4.02).replace(b"1,Peg,3.9,4.1", b"1,Peg,3.9,4.2")
    merged = merge(read({"C1_S1.csv": one_part(), "C1_S2.csv": other}), "two")
    assert merged.contradictions == ("'Peg': C1_S1.csv gives the upper limit as 4.1, C1_S2.csv as 4.2",)


def test_readings_that_two_files_claim_for_one_part_are_said_and_kept() -> None:
    files = {"a C1_S1.csv": one_part(4.01), "b C1_S1.csv": one_part(4.02), "b C1_S2.csv": one_part(4.03)}
    merged = merge(read(files), "three")
    names = [one.sent.name for one in read(files).files]
    assert "2 readings stand for the same characteristic, cavity, shot and part" in doubled(merged, names)
    assert "b C1_S1.csv, row 2" in doubled(merged, names)
    assert len(merged.table.value) == 6
    apart = merge(read({"C1_S1.csv": one_part(4.01), "C1_S2.csv": one_part(4.02)}), "two")
    assert doubled(apart, ["C1_S1.csv", "C1_S2.csv"]) == ""


def test_the_readings_of_many_files_are_those_of_each_file_by_itself() -> None:
    files = {f"C{i % 4 + 1}_S{i // 4}.csv": one_part(4 + i / 1000, 12.5 - i / 1000) for i in range(40)}
    alone = [t for one in read(files).files for t in taken(one.table)]
    assert together(files) == alone
    assert len({t[1:4] for t in alone}) == 40


def test_files_of_one_first_line_are_read_as_each_would_be_alone() -> None:
    rows = ["1;4,01", "2;4,02", "3;<4", "4;4,1 mm"]
    files = {f"C1_S{i}.csv": f"Shot;Peg [mm]\n{row}\n5;4,05\n".encode() for i, row in enumerate(rows)}
    files["C2_S9.csv"] = b"Shot;Peg [mm]\n1,4.01\n"  # the same line over another table
    files["C2_S8.csv"] = b"Shot;Peg [mm]\nno readings\n"
    result = read(files)
    for one in result.files:
        alone = read_table(one.sent.content, one.sent.name)
        assert (values(one.table), one.table.delimiter) == (values(alone), alone.delimiter)
        assert (one.table.refused, one.table.repairs) == (alone.refused, alone.repairs)
    for left in result.left_out:
        with pytest.raises(FileRefused) as refusal:
            read_table(files[left.name], left.name)
        assert refusal.value.what in left.why
    assert len(result.files) + len(result.left_out) == 6
