"""What is repaired or refused in a gauge study, cell by cell; and no bytes raise anything but FileRefused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.gauge_readings import StudyTable, read_study
from offtool.exchange.gauge_readings.headings import STUDY_WORDS
from offtool.exchange.gauge_readings.table import MAX_READINGS
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.words import ROLE_OF
from tests.exchange.gauge_readings.test_layouts import IN_ONE_ROW, IN_TWO_ROWS, LONG, PARTS_BESIDE
from tests.exchange.readings.gauge_room import workbook


def read(*rows: str) -> StudyTable:
    return read_study("\n".join(["Part,Operator,Trial,Value", *rows]).encode(), "s.csv")


def test_repairs_are_listed() -> None:
    table = read("1,A,1,4.01*", "1,a,2,4.02")
    assert [one.value for one in table.readings] == [4.01, 4.02]
    assert list(map(str, table.repairs)) == [
        "row 2, column 4: '4.01*' is read as 4.01; a mark behind the number is left out",
        "row 3, column 2: 'a' is read as A; the same name in other letters",
    ]


@pytest.mark.parametrize(
    ("row", "column", "why"),
    [
        ("1,A,2,OOL", 4, "says that the gauge could not measure"),
        ("1,A,2,<4", 4, "is a bound, not a value"),
        ("1,A,0,4.02", 3, "is no number of a repeat"),
        ("1,A,first,4.02", 3, "is no number of a shot or a part"),
        ("1,A,1,4.02", 4, "is a second reading of part 1 by A, repeat 1: the first is in row 2"),
        (f"{'x' * 101},A,1,4.02", 1, "is longer than the 100 signs that a name may have"),
    ],
)
def test_a_cell_is_refused_by_row_and_column_with_a_remedy(row: str, column: int, why: str) -> None:
    table = read("1,A,1,4.01", row)
    (cell,) = table.refused
    assert (cell.row, cell.column, cell.why) == (3, column, why)
    assert cell.remedy
    assert len(table.readings) == 1


def test_a_name_that_is_missing_goes_on_from_above_or_is_refused() -> None:
    table = read_study(b"Part,Value\n,4.00\n1,4.01\n,4.02\n", "s.csv")
    assert [(one.part, one.repeat) for one in table.readings] == [("1", 1), ("1", 2)]
    assert [cell.why for cell in table.refused] == ["names no part, and no row above does"]
    assert "1 row goes on with the part named above." in table.notes


def test_a_column_of_numbers_that_says_nothing_is_named() -> None:
    table = read_study(b"Part,A 1,A 2,Temperature\n1,4.01,4.02,21\n2,4.11,4.12,22\n", "s.csv")
    assert len(table.readings) == 4
    (cell,) = table.refused
    assert (cell.row, cell.column, cell.found) == (1, 4, "Temperature")


def test_two_units_in_one_study_are_refused() -> None:
    with pytest.raises(FileRefused, match="states more than one unit: mm, µm"):
        read_study("Part,Value,Unit\n1,4.01,mm\n1,4010,µm\n".encode(), "s.csv")


def test_a_file_that_is_no_study_any_more_is_refused() -> None:
    rows = "".join(f"{i},4.01\n" for i in range(MAX_READINGS + 1))
    with pytest.raises(FileRefused, match="more than 20,000"):
        read_study(b"Part,Value\n" + rows.encode(), "s.csv")


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is empty"),
        (b"hello\nworld\n", "no row of headings"),
        (b"Part,Operator,Value\n1,A,OOL\n", "holds no reading that can be read"),
        (b"%PDF-1.7", "is a PDF"),
        (b"PK\x03\x04nothing", "workbook"),
        (workbook([["Peg", "Seat"], [1, 2]]), "no row of headings"),
    ],
)
def test_a_file_that_gives_nothing_is_refused_with_a_remedy(content: bytes, what: str) -> None:
    with pytest.raises(FileRefused, match=what) as refused:
        read_study(content, "s.csv")
    assert refused.value.remedy


TEXTS = [
    text.encode() for text in (LONG, IN_ONE_ROW, IN_TWO_ROWS, PARTS_BESIDE, "Part,Reference,1,2\n1,2,2,2\n")
]
BOOK = workbook([["Part", "Operator", "Trial", "Value"], ["1", "A", 1, 4.01], ["1", "A", 2, "4,02"]])
PIECES = st.one_of(
    st.sampled_from("\n,;\t\"'|-+/()12\r\ufeff\x1a"),
    st.sampled_from(["A 1", "B-2", "Part 3", "4,05", "4.05", "12.345", "1e308", "NaN", "=1", "Average"]),
    st.sampled_from(sorted(ROLE_OF)),
    st.sampled_from(sorted(STUDY_WORDS)),
)


def read_or_refused(content: bytes) -> None:
    refusals: list[FileRefused] = []
    try:
        table = read_study(content, "s")
    except FileRefused as refusal:
        refusals.append(refusal)
    if refusals:
        assert refusals[0].what
        assert refusals[0].remedy
        return
    assert table.readings
    assert all(np.isfinite(one.value) and abs(one.value) <= MAX_SIZE for one in table.readings)
    assert all(one.part and one.repeat >= 1 for one in table.readings)
    cells = {(one.row, one.column) for one in table.readings}
    assert len(cells) == len(table.readings)
    assert not cells & {(cell.row, cell.column) for cell in table.refused}
    named = {(one.part, one.operator, one.repeat) for one in table.readings}
    assert len(named) == len(table.readings)


@given(st.binary(max_size=400))
@settings(max_examples=150, deadline=None)
def test_no_bytes_raise_anything_else(content: bytes) -> None:
    read_or_refused(content)


@given(st.lists(PIECES, max_size=60).map("".join))
@settings(max_examples=200, deadline=None)
def test_no_text_of_the_trade_raises_anything_else(text: str) -> None:
    read_or_refused(text.encode("utf-8", "replace"))


@given(st.sampled_from([*TEXTS, BOOK]), st.integers(0, 10_000), st.binary(max_size=6), st.integers(0, 6))
@settings(max_examples=200, deadline=None)
def test_no_damage_to_a_study_raises_anything_else(content: bytes, at: int, piece: bytes, gone: int) -> None:
    at %= len(content)
    read_or_refused(content[:at] + piece + content[at + gone :])
