"""Files that cannot be read, and the book of what was repaired, refused and noted."""

from __future__ import annotations

import pytest

from offtool.exchange.readings import LIMITS, FileRefused, Layout, read_table
from offtool.exchange.readings.ledger import LISTED_REPAIRS
from tests.exchange.readings.gauge_room import read, said, taken, values, workbook, written


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (b"", "is empty; send the file again"),
        (b" \r\n\t\n", "is empty"),
        (b"\xef\xbb\xbf", "no row of headings"),
        (b"\x00\x01\x02", "is no text"),
        (bytes(range(256)), "is no text"),
        (b"PK\x03\x04 and no more", "is a damaged workbook"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            r"old format or one locked by a password; save it unlocked, as \.xlsx",
        ),
        (b"%PDF-1.7", "is a PDF"),
        (b"<html><table><tr><td>4.01</td></tr></table></html>", "is a web page"),
        (b"<?xml version='1.0'?><a/>", "is an XML file"),
        (b"\xff\xfe\x00\x00C\x00\x00\x00", "is no text: it begins like UTF-32"),
        (b"\xff\xfe\x00\xd8", "is no text: it begins like UTF-16"),
        (b"1,2,3\n4,5,6\n", "no row of headings was found above readings"),
        (b"Measured on Monday\n", "no row of headings"),
        (b"Characteristic,Cavity,Shot,Value\n", "no numbers stand below the headings"),
        (b"Cavity,Shot,Peg\n1,1,OK\n", "no column of numbers is headed by a characteristic"),
        (b'Cavity,Shot,Peg\n1,1,"4.01\n1,2,4.02\n', "quotation mark is opened or closed at the wrong place"),
        (b'Cavity,Shot,Peg\n1,1,"4.01"5\n', "quotation mark"),
    ],
)
def test_what_is_no_table_of_readings_is_refused_with_a_remedy(content: bytes, match: str) -> None:
    with pytest.raises(FileRefused, match=match) as refusal:
        read_table(content, "T1.csv")
    assert refusal.value.where.startswith("T1.csv")
    assert refusal.value.remedy


def test_a_reading_is_never_taken_for_a_heading() -> None:
    for rows in ("Peg,1,1,flash\nPeg,1,2,short\n", "Peg,1,1,n/a\nPeg,1,2,OK\n"):
        with pytest.raises(FileRefused, match="not long, since no numbers stand below the headings"):
            read(f"Characteristic,Cavity,Shot,Value\n{rows}")


def test_a_quotation_mark_that_never_closes_is_refused_by_row() -> None:
    with pytest.raises(FileRefused, match=r"T1\.csv, row 3: a quotation mark"):
        read('Cavity,Shot,Peg\n1,1,4.01\n1,2,"4.02\n')


def test_a_file_of_200_mb_is_refused_by_its_size() -> None:
    with pytest.raises(
        FileRefused, match=r"200,000,000 bytes, at most 100,000,000 are read; send the trial in several"
    ):
        read_table(bytes(200_000_000), "T1.csv")


def test_more_rows_or_columns_than_allowed_are_refused() -> None:
    rows = LIMITS["rows"].at_most
    columns = LIMITS["columns"].at_most
    assert rows
    assert columns
    with pytest.raises(FileRefused, match=r"rows of a file: 2,\d{3},\d{3}, at most 2,000,000"):
        read_table(b"Peg\n" + b"1\n" * int(rows), "T1.csv")
    with pytest.raises(FileRefused, match=r"columns of a file: 4,001, at most 4,000"):
        read_table(b"Cavity" + b",Peg" * int(columns) + b",Seat\n", "T1.csv")
    with pytest.raises(FileRefused, match=r"columns of a file: 50,000,000, at most 4,000"):
        read_table(b"," * 50_000_000, "T1.csv")


def test_a_column_of_names_that_never_repeat_is_no_column_of_characteristics() -> None:
    rows = "".join(f"Peg {i},1,1,4.01\n" for i in range(5_001))
    with pytest.raises(FileRefused, match="characteristics of a file: 5,001, at most 5,000"):
        read(f"Characteristic,Cavity,Shot,Value\n{rows}")


def test_so_many_cells_that_cannot_be_read_refuse_the_file() -> None:
    rows = "".join(f"1,{i},<0.01\n" for i in range(10_001))
    with pytest.raises(
        FileRefused, match=r"more than 10,000 cells cannot be read, the first in row 2, column 3"
    ):
        read(f"Cavity,Shot,Peg\n1,0,4.01\n{rows}".replace("1,0,4.01\n", "") + "1,0,4.01\n")


def test_a_table_of_which_no_cell_can_be_read_is_refused_with_the_first_reasons() -> None:
    with pytest.raises(
        FileRefused, match=r"holds no reading that can be read: row 2, column 3: '<0.01' is a bound"
    ):
        read("Cavity,Shot,Peg\n1,1,<0.01\n1,2,OOL\n")


def test_sizes_beyond_measure_are_refused_and_the_others_stand() -> None:
    table = read("Cavity,Shot,Peg\n1,1,NaN\n1,2,inf\n1,3,1e308\n1,4,1000001\n1,5,1000000\n1,6,4.01\n")
    assert values(table) == [1_000_000.0, 4.01]
    assert [cell.row for cell in table.refused] == [2, 3, 4, 5]
    assert all(cell.remedy for cell in table.refused)


def test_the_bound_holds_after_conversion_too() -> None:
    table = read("Cavity,Shot,Peg [inch]\n1,1,40000\n1,2,0.158\n")
    assert values(table) == [4.0132]
    assert [(cell.row, cell.found) for cell in table.refused] == [(2, "40000")]


def test_rows_longer_than_the_headings_are_refused_as_rows() -> None:
    table = read("Cavity,Shot,Peg,Seat\n1,1,4.01,12.5\n1,2,4,02,12,6\n1,3,4.03,12.7\n")
    assert values(table) == [4.01, 12.5, 4.03, 12.7]
    assert [(cell.row, cell.column, cell.found) for cell in table.refused] == [(3, 5, "12")]
    assert "decimal comma inside a value" in table.refused[0].why


def test_a_number_cut_in_two_by_a_comma_is_noticed_by_its_leading_zero() -> None:
    table = read("Cavity,Peg,Seat,Remark,Operator\n1,4.01,12.50,,\n2,4,02,12,50\n")
    assert (3, 3, "02") in [(cell.row, cell.column, cell.found) for cell in table.refused]


def test_short_rows_and_trailing_separators_are_harmless() -> None:
    table = read("Cavity,Shot,Peg,Seat\n1,1,4.01\n1,2,4.02,12.5,,,\n")
    assert values(table) == [4.01, 4.02, 12.5]
    assert table.missing == 1


def test_a_refused_cell_leaves_its_neighbours_readable() -> None:
    table = read("Cavity,Shot,Peg,Seat\n1,1,OOL,12.5\n1,2,4.02,<12\n")
    assert [(t.characteristic, t.shot, t.value) for t in taken(table)] == [
        ("Seat", 1, 12.5),
        ("Peg", 2, 4.02),
    ]
    assert str(table.refused[0]) == (
        "row 2, column 3: 'OOL' says that the gauge could not measure;"
        " measure again, or leave the cell empty and say why"
    )
    assert str(table.refused[1]) == (
        "row 3, column 4: '<12' is a bound, not a value;"
        " enter what was measured, or leave the cell empty and say why"
    )
    assert table.missing == 0


def test_an_unreadable_shot_is_refused_and_its_reading_stands_without_one() -> None:
    table = read("Cavity,Shot,Peg\n1,first,4.01\n1,2,4.02\n")
    assert [(t.shot, t.value) for t in taken(table)] == [(None, 4.01), (2, 4.02)]
    assert [(cell.row, cell.column, cell.found) for cell in table.refused] == [(2, 2, "first")]


def test_a_cell_in_another_unit_is_converted_and_one_in_another_kind_refused() -> None:
    table = read("Cavity,Shot,Peg [mm],Seat\n1,1,4012 µm,12.5\n1,2,4.02 g,12.5 mm\n1,3,4.03,12.6\n")
    assert values(table) == [4.012, 12.5, 4.03, 12.6]
    assert [(cell.row, cell.column, cell.why) for cell in table.refused] == [
        (3, 3, "is in g, its characteristic in mm"),
        (3, 4, "has a unit, and the file states none for its characteristic"),
    ]


def test_few_repairs_are_listed_and_many_of_one_kind_are_one_note() -> None:
    few = read("Cavity,Shot,Peg\n" + "".join(f"1,{i},4.0{i % 10}*\n" for i in range(LISTED_REPAIRS)))
    assert len(few.repairs) == LISTED_REPAIRS
    many = read("Cavity,Shot,Peg\n" + "".join(f"1,{i},4.0{i % 10}*\n" for i in range(LISTED_REPAIRS + 1)))
    assert many.repairs == ()
    assert len(many.value) == LISTED_REPAIRS + 1
    assert (
        "101 cells, from row 2, column 3 to row 102, column 3: a mark behind the number is left out;"
        " '4.00*' is read as 4." in said(many)
    )


def test_the_decimal_comma_is_one_note_however_many_cells_have_it() -> None:
    table = read("Nest;Schuss;Zapfen\n" + "".join(f"1;{i};4,{i:04d}\n" for i in range(2_000)))
    assert table.repairs == ()
    assert [note for note in table.notes if "comma" in note] == [
        "The decimal mark is the comma: the file holds no point."
    ]


def test_the_layout_can_be_set_and_is_refused_with_the_reason_where_it_does_not_fit() -> None:
    text = "No.,Value\n1,4.01\n2,4.02\n"
    assert read(text).layout is Layout.WIDE
    assert read(text, layout=Layout.WIDE).layout is Layout.WIDE
    with pytest.raises(FileRefused, match="not long, since no column says which characteristic was measured"):
        read(text, layout=Layout.LONG)
    with pytest.raises(FileRefused, match="not report, since no columns are headed by cavity or part"):
        read(text, layout=Layout.REPORT)


def test_what_was_understood_is_said_first() -> None:
    assert read("Cavity,Shot,Peg,Seat\n1,1,4,5\n").notes[0] == (
        "Layout wide: headings in row 1; columns 3 to 4 hold readings."
    )


def test_arrays_cannot_be_changed() -> None:
    table = read_table(workbook([["Cavity", "Peg"], [1, 4.01]]), "T1.xlsx")
    with pytest.raises(ValueError, match="read-only"):
        table.value[0] = 5.0


def test_a_judgement_column_is_compared_in_every_language() -> None:
    for good, bad in (("OK", "NG"), ("i.O.", "n.i.O."), ("合格", "不合格"), ("pass", "fail")):
        rows: list[list[object]] = [
            ["Cavity", "Shot", "Peg", "Result"],
            ["Nominal", "", "4±0.1", ""],
            [1, 1, 4.2, good],
            [1, 2, 4.0, bad],
        ]
        notes = said(read(written(rows)))
        assert "Judged good, yet a reading lies outside its limits: row 3." in notes
        assert "Judged bad, yet each reading lies inside its limits: row 4." in notes
