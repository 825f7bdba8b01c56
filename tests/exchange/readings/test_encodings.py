"""Encodings, separators and decimal marks, found from what the file shows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.exchange.readings import FileRefused, read_table
from offtool.exchange.readings.decode import find_encoding
from tests.exchange.readings.gauge_room import read, said, values, written

ENGLISH = "Cavity,Shot,Peg dia [mm]\n1,1,4.01\n"
GERMAN = "Kavität;Schuss;Größe Ø [µm]\n1;1;4010\n"
CHINESE = "穴号,模次,外径（mm）\n1,1,4.01\n"


@pytest.mark.parametrize("text", [ENGLISH, GERMAN, CHINESE])
@pytest.mark.parametrize(
    ("codec", "encoding"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16 LE"),
        ("utf-16-le", "UTF-16 LE"),
        ("utf-16-be", "UTF-16 BE"),
    ],
)
def test_unicode_is_recognised_with_and_without_byte_order_mark(text: str, codec: str, encoding: str) -> None:
    table = read(text, codec)
    assert table.encoding == encoding
    assert values(table) == [4.01]
    assert (table.row[0], table.column[0]) == (2, 3)


def test_utf_16_be_with_byte_order_mark_is_recognised() -> None:
    table = read_table(b"\xfe\xff" + CHINESE.encode("utf-16-be"), "T1.csv")
    assert (table.encoding, values(table)) == ("UTF-16 BE", [4.01])


def test_chinese_in_gb18030_and_german_in_windows_1252_are_told_apart() -> None:
    assert read(CHINESE, "gb18030").encoding == "GB18030"
    assert read(GERMAN, "cp1252").encoding == "Windows-1252"
    assert read(GERMAN, "cp1252").characteristics[0].name == "Größe Ø"


@pytest.mark.parametrize(
    "word",
    [
        "Größe",
        "Kavität",
        "Maß",
        "Prüfer",
        "Ø 4 ±0,05°",
        "µm",
        "Höhe über Süß",
        "pièce n° 3",
        "Übermaß größer",
    ],
)
def test_western_words_are_not_taken_for_chinese(word: str) -> None:
    assert find_encoding(f"{word};1\n".encode("cp1252"), "T1.csv").name == "Windows-1252"


@pytest.mark.parametrize(
    "word", ["穴", "序号", "型腔", "尺寸 ⌀4.00 µm", "标准值±公差", "１２３", "备注：毛边"]
)
def test_chinese_words_are_not_taken_for_western(word: str) -> None:
    assert find_encoding(f"{word};1\n".encode("gb18030"), "T1.csv").name == "GB18030"


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn")), max_size=200))
def test_any_text_in_utf_8_is_utf_8(text: str) -> None:
    if not text.lstrip().lower().startswith(("<", "%pdf", "{\\rtf")):
        assert find_encoding(text.encode(), "T1.csv").name == "UTF-8"


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("mark", [".", ","])
def test_separator_and_decimal_mark_are_found_together(separator: str, mark: str) -> None:
    rows: list[list[object]] = [
        ["Cavity", "Shot", "Peg dia", "Seat"],
        [1, 21, f"4{mark}012", f"12{mark}5"],
        [2, 21, f"4{mark}02", f"12{mark}6"],
    ]
    table = read(written(rows, separator))
    assert (table.delimiter, table.decimal) == (separator, mark)
    assert values(table) == [4.012, 12.5, 4.02, 12.6]


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_lines_end_in_any_way(newline: str) -> None:
    table = read(ENGLISH.replace("\n", newline))
    assert [(int(table.row[0]), int(table.column[0]), values(table))] == [(2, 3, [4.01])]


def test_a_first_line_that_names_the_separator_does_no_harm() -> None:
    assert values(read("sep=;\nKavität;Schuss;Zapfen\n1;1;4,01\n")) == [4.01]


def test_a_quoted_cell_over_two_lines_is_one_row() -> None:
    table = read('"Cavity\nno.",Shot,"Peg dia\n[mm]"\n1,1,4.01\n1,2,4.02\n')
    assert table.row.tolist() == [2, 3]
    assert table.characteristics[0].unit == "mm"


def test_the_decimal_mark_is_decided_by_the_readings_and_not_by_dates_or_numbers() -> None:
    table = read("Nr.;Datum;Nest;Zapfen\n1.1;03.11.2025;1;4,01\n1.2;03.11.2025;2;4,02\n")
    assert table.decimal == ","
    assert values(table) == [4.01, 4.02]
    assert "The decimal mark is the comma: 2 numbers are written so, such as 4,01; 0 have a point." in said(
        table
    )


def test_numbers_against_the_mark_of_the_file_are_repaired_or_refused() -> None:
    table = read("Nest;Schuss;Zapfen\n1;1;4,01\n1;2;4,02\n1;3;4.03\n1;4;4.031\n")
    assert values(table) == [4.01, 4.02, 4.03]
    assert [(r.row, r.found, r.read_as, r.why) for r in table.repairs] == [
        (4, "4.03", "4.03", "a decimal point in a file of decimal commas")
    ]
    assert [(cell.row, cell.found) for cell in table.refused] == [(5, "4.031")]
    assert "4,031 or 4031" in table.refused[0].why


def test_three_decimals_everywhere_are_decimals_where_the_separator_is_no_comma() -> None:
    table = read("Nest;Schuss;Zapfen;Nr.\n1;1;4,012;1.1\n1;2;4,013;1.2\n")
    assert values(table) == [4.012, 4.013]


def test_quoted_three_digits_between_commas_may_be_thousands_and_are_refused() -> None:
    with pytest.raises(FileRefused, match=r"may be 4\.012 or 4012"):
        read('Cavity,Shot,Peg\n1,1,"4,012"\n')


def test_quoted_decimal_commas_between_commas_are_read() -> None:
    assert values(read('Cavity,Shot,Peg\n1,1,"4,01"\n1,2,"4,012"\n')) == [4.01, 4.012]
