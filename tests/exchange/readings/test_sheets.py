"""Workbooks: numbers, numbers stored as text, formulas, merged titles, several sheets, damaged archives."""

from __future__ import annotations

import io
import zipfile
import zlib
from datetime import date
from typing import Any

import openpyxl
import pytest

from offtool.exchange.readings import FileRefused, Layout, read_table
from tests.exchange.readings.gauge_room import cells_of, limits, said, taken, values, with_sheet_xml, workbook

PLAIN: list[list[Any]] = [["Cavity", "Shot", "Peg dia [mm]"], [1, 21, 4.01], [2, 21, 4.02]]


def test_numbers_of_a_sheet_are_read_with_their_cells() -> None:
    table = read_table(workbook(PLAIN), "T1.xlsx")
    assert (table.layout, table.encoding, table.delimiter, table.sheet) == (Layout.WIDE, "XLSX", "", "Sheet1")
    assert taken(table) == [("Peg dia [mm]", "1", 21, None, 4.01), ("Peg dia [mm]", "2", 21, None, 4.02)]
    assert cells_of(table) == [(2, 3), (3, 3)]


def test_the_name_of_the_file_does_not_decide_what_it_is() -> None:
    assert values(read_table(workbook(PLAIN), "T1.csv")) == [4.01, 4.02]
    assert values(read_table(b"Cavity,Shot,Peg\n1,1,4.01\n", "T1.xlsx")) == [4.01]


def test_a_table_away_from_the_corner_keeps_its_rows_and_columns() -> None:
    table = read_table(workbook([[], [], *([None, None, *row] for row in PLAIN)]), "T1.xlsx")
    assert cells_of(table) == [(4, 5), (5, 5)]


def test_formulas_give_their_stored_result() -> None:
    table = read_table(workbook([PLAIN[0], [1, 1, ("=4+0.01", 4.01)], [1, 2, ("=C2", 4.01)]]), "T1.xlsx")
    assert values(table) == [4.01, 4.01]


def test_a_formula_without_a_result_is_refused_and_not_taken_for_empty() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in [["Cavity", "Shot", "Peg"], [1, 1, 4.01], [1, 2, "=C2+0.01"]]:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    table = read_table(out.getvalue(), "T1.xlsx")
    assert values(table) == [4.01]
    assert [(c.row, c.column, c.why) for c in table.refused] == [
        (3, 3, "is a formula without a stored result")
    ]
    assert table.missing == 0


def test_errors_dates_truths_and_words_in_number_cells_are_refused() -> None:
    rows = [
        PLAIN[0],
        [1, 1, 4.01],
        [1, 2, ("=1/0", "#DIV/0!")],
        [1, 3, date(2025, 4, 3)],
        [1, 4, True],
        [1, 5, "flash"],
        [1, 6, 1e308],
    ]
    table = read_table(_with_dates(rows), "T1.xlsx")
    assert values(table) == [4.01]
    assert [(cell.row, cell.found) for cell in table.refused] == [
        (3, "#DIV/0!"),
        (4, "2025-04-03"),
        (5, "TRUE"),
        (6, "flash"),
        (7, repr(1e308)),
    ]


def _with_dates(rows: list[list[Any]]) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for r, row in enumerate(rows, 1):
        for c, cell in enumerate(row, 1):
            sheet.cell(r, c, "#DIV/0!" if isinstance(cell, tuple) else cell)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_numbers_stored_as_text_are_read_with_a_repair() -> None:
    table = read_table(workbook([PLAIN[0], ["1", "21", "4,01"], ["2", "21", "4.02*"]]), "T1.xlsx")
    assert values(table) == [4.01, 4.02]
    assert [(r.row, r.column) for r in table.repairs] == [(2, 3), (3, 3)]
    assert all("a number stored as text" in r.why for r in table.repairs)
    assert [t.shot for t in taken(table)] == [21, 21]


def test_a_whole_sheet_of_text_numbers_is_one_note() -> None:
    rows = [PLAIN[0], *([str(i % 4 + 1), str(i), f"4,{i:02d}"] for i in range(150))]
    table = read_table(workbook(rows), "T1.xlsx")
    assert table.decimal == ","
    assert table.repairs == ()
    assert "150 cells, from row 2, column 3 to row 151, column 3: a number stored as text" in said(table)


def test_a_report_with_merged_titles_and_two_rows_of_headings_is_read() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in [
        ["首件检验报告 First article report"],
        [],
        ["No.", "Characteristic", "Nominal", "Tolerance", None, "Cavity 1", None, "Cavity 2", None],
        [None, None, None, "+", "-", 1, 2, 1, 2],
        [12, "Peg dia", 4, 0.05, 0.02, 4.01, 4.02, 4.03, 4.04],
        [13, "Seat", 12.5, 0.1, 0.1, 12.51, None, 12.53, "OOL"],
    ]:
        sheet.append(row)
    for merged in ("A1:I1", "A3:A4", "B3:B4", "C3:C4", "D3:E3", "F3:G3", "H3:I3"):
        sheet.merge_cells(merged)
    out = io.BytesIO()
    book.save(out)
    table = read_table(out.getvalue(), "T1.xlsx")
    assert table.layout is Layout.REPORT
    assert [(t.characteristic, t.cavity, t.part, t.value) for t in taken(table)] == [
        ("Peg dia", "1", 1, 4.01),
        ("Peg dia", "1", 2, 4.02),
        ("Peg dia", "2", 1, 4.03),
        ("Peg dia", "2", 2, 4.04),
        ("Seat", "1", 1, 12.51),
        ("Seat", "2", 1, 12.53),
    ]
    assert [each.number for each in table.characteristics] == ["12", "13"]
    assert limits(table) == [(4.0, 3.98, 4.05), (12.5, 12.4, 12.6)]
    assert [(c.row, c.column) for c in table.refused] == [(6, 9)]
    assert table.missing == 1


def test_a_cavity_merged_over_several_rows_stands_for_each_of_them() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in [PLAIN[0], [1, 1, 4.01], [None, 2, 4.02], [None, 3, 4.03], [2, 1, 4.04], [None, 2, None]]:
        sheet.append(row)
    for merged in ("A2:A4", "A5:A6", "C5:C6"):
        sheet.merge_cells(merged)
    out = io.BytesIO()
    book.save(out)
    table = read_table(out.getvalue(), "T1.xlsx")
    assert [(t.cavity, t.shot, t.value) for t in taken(table)] == [
        ("1", 1, 4.01),
        ("1", 2, 4.02),
        ("1", 3, 4.03),
        ("2", 1, 4.04),
    ]
    assert "Merged cells stand for each row they cover." in said(table)


def test_the_first_visible_sheet_with_readings_is_read_and_the_others_are_named() -> None:
    cover: list[list[Any]] = [["Cover sheet"], ["Otter torso"]]
    other = [PLAIN[0], [1, 1, 9.99]]
    content = workbook(cover, other, PLAIN, PLAIN, hidden=1)
    table = read_table(content, "T1.xlsx")
    assert (table.sheet, values(table)) == ("Sheet3", [4.01, 4.02])
    assert "Other sheets hold readings too and are not read: 'Sheet4'." in said(table)
    assert read_table(content, "T1.xlsx", sheet="Sheet4").sheet == "Sheet4"


def test_an_unknown_sheet_is_refused_and_the_sheets_are_named() -> None:
    with pytest.raises(FileRefused, match=r"has no sheet 'T2'; it has 'Sheet1'"):
        read_table(workbook(PLAIN), "T1.xlsx", sheet="T2")
    with pytest.raises(FileRefused, match="is no workbook"):
        read_table(b"Cavity,Peg\n1,4.01\n", "T1.csv", sheet="T2")


def test_no_sheet_with_a_table_is_refused_with_the_reason_for_each() -> None:
    with pytest.raises(FileRefused, match=r"sheet 'Sheet1': no row of headings.*sheet 'Sheet2': no row"):
        read_table(workbook([["a", "b"], ["c", "d"]], [[4.01]]), "T1.xlsx")


def test_side_notes_right_of_the_table_do_not_spoil_its_rows() -> None:
    rows = [[*PLAIN[0], None, "See drawing"], [1, 1, 4.01], [1, 2, 4.02, None, "flash at gate"]]
    assert values(read_table(workbook(rows), "T1.xlsx")) == [4.01, 4.02]


CELL = (
    '<row r="1"><c r="A1" t="inlineStr"><is><t>Cavity</t></is></c>'
    '<c r="B1" t="inlineStr"><is><t>Peg</t></is></c></row>'
)


@pytest.mark.parametrize(
    ("what", "sheet", "match"),
    [
        (
            "a stray cell in the last corner",
            '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
            "columns of a file",
        ),
        (
            "a rectangle too large",
            '<row r="1048570"><c r="AA1048570"><v>1</v></c></row>',
            "rectangle a sheet uses",
        ),
        ("a column that cannot be", '<row r="2"><c r="ZZZZZ2"><v>1</v></c></row>', "is a damaged workbook"),
        (
            "a row that cannot be",
            '<row r="99999999"><c r="A99999999"><v>1</v></c></row>',
            "is a damaged workbook",
        ),
        ("rows out of order", '<row r="3"><c r="A3"><v>1</v></c></row><row r="2"/>', "is a damaged workbook"),
        (
            "a cell twice",
            '<row r="2"><c r="A2"><v>1</v></c><c r="A2"><v>2</v></c></row>',
            "is a damaged workbook",
        ),
        ("a cell in the wrong row", '<row r="2"><c r="A7"><v>1</v></c></row>', "is a damaged workbook"),
        (
            "an address hidden behind a sign",
            '<row r="2"><c n=">" r="XFD1048576"><v>1</v></c></row>',
            "is a damaged workbook",
        ),
        ("a text that is not there", '<row r="2"><c r="A2" t="s"><v>77</v></c></row>', "cannot be read"),
        ("an entity", '<row r="2"><c r="A2" t="str"><v>&bomb;</v></c></row>', "cannot be read"),
    ],
)
def test_sheets_that_contradict_themselves_or_are_too_large_are_refused(
    what: str, sheet: str, match: str
) -> None:
    with pytest.raises(FileRefused, match=match):
        read_table(with_sheet_xml(CELL + sheet, workbook(PLAIN)), "T1.xlsx")


def test_cells_without_addresses_are_counted() -> None:
    sheet = (
        CELL
        + '<row><c><v>1</v></c><c><v>4.01</v></c></row><row r="5"><c><v>2</v></c><c><v>4.02</v></c></row>'
    )
    table = read_table(with_sheet_xml(sheet, workbook(PLAIN)), "T1.xlsx")
    assert list(zip(cells_of(table), values(table), strict=True)) == [((2, 2), 4.01), ((5, 2), 4.02)]


def test_a_failed_formula_in_the_last_row_is_seen() -> None:
    good = '<row r="2"><c r="A2"><v>1</v></c><c r="B2"><v>4.01</v></c></row>'
    failed = '<row r="3"><c r="B3" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>'
    table = read_table(with_sheet_xml(CELL + good + failed, workbook(PLAIN)), "T1.xlsx")
    assert [(cell.row, cell.column, cell.found) for cell in table.refused] == [(3, 2, "#DIV/0!")]


def test_a_zip_bomb_is_refused_by_its_declared_size() -> None:
    out = io.BytesIO(workbook(PLAIN))
    with (
        zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/media/image1.png", "w", force_zip64=True) as bomb,
    ):
        piece = bytes(1 << 24)
        for _ in range(30):
            bomb.write(piece)
    assert len(out.getvalue()) < 1_000_000
    with pytest.raises(FileRefused, match=r"once unpacked: 503,\d{3},\d{3} bytes, at most 400,000,000"):
        read_table(out.getvalue(), "T1.xlsx")


def test_an_archive_that_understates_a_size_is_refused() -> None:
    content = bytearray(workbook(PLAIN))
    with zipfile.ZipFile(io.BytesIO(bytes(content))) as archive:
        size = archive.getinfo("xl/worksheets/sheet1.xml").file_size
    declared, understated = size.to_bytes(4, "little"), (10).to_bytes(4, "little")
    crc = zlib.crc32(b"")
    assert crc == 0
    assert bytes(content).count(declared) >= 2
    with pytest.raises(FileRefused, match="damaged workbook"):
        read_table(bytes(content).replace(declared, understated), "T1.xlsx")


@pytest.mark.parametrize("kept", [4, 100, 2000, -30])
def test_a_workbook_cut_short_is_refused(kept: int) -> None:
    with pytest.raises(FileRefused, match="damaged workbook"):
        read_table(workbook(PLAIN)[:kept], "T1.xlsx")


def test_an_archive_that_is_no_workbook_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    with pytest.raises(
        FileRefused, match=r"no \.xlsx workbook; open it in a spreadsheet and save it as \.xlsx"
    ):
        read_table(out.getvalue(), "T1.ods")
