"""The table of a lot: three findings in shop words, grades, and every cell that cannot be read named."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import strategies as st
from openpyxl import Workbook

from offtool.core.samples.order import ColumnKind, Lot
from offtool.exchange.lot_table import (
    KINDS,
    NOT_LOOKED,
    NOT_THERE,
    THERE,
    LotTable,
    read_lot,
)
from offtool.exchange.readings import FileRefused
from tests.core.laws import law


def read(*lines: str) -> LotTable:
    return read_lot("\n".join(lines).encode(), "lot.csv")


def test_a_thing_seen_a_thing_missing_and_a_thing_not_looked_at_are_three_findings() -> None:
    table = read(
        "sample,vent,date mark,peg hole",
        "A,x,no,?",
        "B,there,missing,",
        "C,1,0,not looked",
    )
    assert table.samples == ("A", "B", "C")
    assert table.details == ("vent", "date mark", "peg hole")
    assert table.seen == ((True, False, None),) * 3
    assert table.refused == ()


@pytest.mark.parametrize("word", sorted(THERE | NOT_THERE | NOT_LOOKED))
def test_each_word_means_one_thing(word: str) -> None:
    (row,) = read("sample;vent;mark", f"A;{word.upper()};x").seen
    assert row[0] is (True if word in THERE else False if word in NOT_THERE else None)
    assert sum(word in one for one in (THERE, NOT_THERE, NOT_LOOKED)) == 1


def test_a_dash_is_taken_for_not_there_and_that_is_said() -> None:
    table = read("sample,vent,mark", "A,-,x", "B,x,-")
    assert table.seen == ((False, True), (True, False))
    assert '"-" is taken for not there, in 2 cells.' in table.notes


def test_a_column_with_a_number_above_one_is_graded() -> None:
    table = read("sample,gate,vent", "A,0,1", "B,2,0", "C,3,1", "D,?,1")
    assert table.kinds == ("graded", "stays")
    assert [row[0] for row in table.seen] == [0, 2, 3, None]
    assert [row[1] for row in table.seen] == [True, False, True, True]


def test_a_heading_may_say_how_its_detail_behaves() -> None:
    table = read("sample,rib (goes),date wheel [comes and goes],vent (left)", "A,x,no,x")
    assert table.details == ("rib", "date wheel", "vent (left)")
    assert table.kinds == ("goes", "comes and goes", "stays")


@pytest.mark.parametrize(
    ("lines", "row", "column", "why"),
    [
        (("sample,vent,mark", "A,perhaps,x"), 2, 2, "is no answer that is known"),
        (("sample,gate,mark", "A,3,x", "B,1.5,x"), 3, 2, "is no grade from 0 to 9"),
        (("sample,gate,mark", "A,3,x", "B,yes,x"), 3, 2, "is no grade from 0 to 9"),
        (("sample,vent,mark", "A,x,x", "A,no,no"), 3, 1, "stands in row 2 too"),
        (("sample,vent,mark", "A,x,x", ",no,no"), 3, 1, "has no name"),
        (("sample,vent,Vent,mark", "A,x,no,x"), 1, 3, "is headed like column 2"),
        (("sample,vent," + "m" * 101, "A,x,no"), 1, 3, "is longer than 100 signs"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named_by_row_and_column(
    lines: tuple[str, ...], row: int, column: int, why: str
) -> None:
    table = read(*lines)
    (cell,) = table.refused
    assert (cell.row, cell.column, cell.why) == (row, column, why)
    assert cell.remedy
    assert "A" in table.samples


def test_a_refused_cell_counts_as_not_looked_at_and_the_others_stand() -> None:
    table = read("sample,vent,mark", "A,perhaps,x", "B,x,no")
    assert table.seen == ((None, True), (True, False))


def test_a_title_above_empty_rows_and_short_rows_are_no_trouble() -> None:
    table = read("Lot of the grey crate", "", "sample,vent,mark", "A,x", "", "B,no,x")
    assert table.seen == ((True, None), (False, True))


def test_a_workbook_reads_like_its_text_truth_values_too() -> None:
    book = Workbook()
    for row in (
        ("sample", "vent", "gate"),
        ("A", True, 2),
        ("B", False, 0),
        ("C", None, 1),
    ):
        book.active.append(row)
    held = BytesIO()
    book.save(held)
    table = read_lot(held.getvalue(), "lot.xlsx")
    assert table.seen == ((True, 2), (False, 0), (None, 1))
    with pytest.raises(FileRefused, match="has no sheet 'other'"):
        read_lot(held.getvalue(), "lot.xlsx", sheet="other")


def test_what_is_read_makes_a_lot_as_it_is() -> None:
    table = read("sample,gate,rib (goes)", "A,0,x", "B,2,no")
    lot = Lot(table.samples, table.details, table.seen, table.kinds)
    assert lot.kinds == ("graded", "goes")
    assert set(KINDS) == set(ColumnKind)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is empty"),
        (b"   ", "is empty"),
        (b"sample\nA\n", "holds no row of headings"),
        (b"sample,vent\n", "holds no sample that can be read"),
        (
            "\n".join(["s,v", *(f"{one},x" for one in range(501))]).encode(),
            "more than 500 samples",
        ),
        (",".join(map(str, range(152))).encode() + b"\nA,x", "more than 150 details"),
    ],
)
def test_a_file_without_a_lot_is_refused_with_a_remedy(content: bytes, what: str) -> None:
    with pytest.raises(FileRefused, match=what) as refused:
        read_lot(content, "lot.csv")
    assert refused.value.remedy


@law(content=st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_no_bytes_raise_anything_but_a_refusal(content: bytes) -> None:
    try:
        table = read_lot(content, "any")
    except FileRefused:
        return
    assert len(table.seen) == len(table.samples) > 0
    assert all(len(row) == len(table.details) > 0 for row in table.seen)
