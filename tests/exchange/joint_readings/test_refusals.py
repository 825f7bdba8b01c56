"""What is repaired or refused in a joint test, cell by cell; and no bytes raise anything but FileRefused."""

from __future__ import annotations

from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.headed_tables.walk import MAX_ROWS
from offtool.exchange.joint_readings import JointTestTable, read_joint_test
from offtool.exchange.joint_readings.words import CONDITION_WORDS, vocabulary
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.handbook.terms import JointCondition, JointReadingKind
from tests.exchange.joint_readings.test_layouts import BELOW, BESIDE, IN_CHINESE, IN_GERMAN
from tests.exchange.readings.gauge_room import workbook

HEAD = "Piece,Inner cavity,Breakaway torque [N·m],Condition,Hours,Cycles,Repeat"


def read(*rows: str, head: str = HEAD) -> JointTestTable:
    return read_joint_test("\n".join([head, *rows]).encode(), "t.csv")


def test_repairs_are_listed() -> None:
    table = read("1,1,0.061*,,,,", "2,1,0.062 N·m,,,,", "a,1,0.06,,,,", "A,1,0.06,aged,,,")
    assert list(map(str, table.file.repairs)) == [
        "row 2, column 3: '0.061*' is read as 0.061; a mark behind the number is left out",
        "row 3, column 3: '0.062 N·m' is read as 0.062 N·m; a unit behind the number is taken as its unit",
        "row 5, column 1: 'A' is read as a; the same name in other letters",
    ]


@pytest.mark.parametrize(
    ("row", "column", "why"),
    [
        ("2,1,OOL,,,,", 3, "says that the gauge could not measure"),
        ("2,1,>0.2,,,,", 3, "is a bound, not a value"),
        ("2,1,-0.06,,,,", 3, "is below 0: breakaway torque is given without a sign"),
        ("2,1,61 mN·m,,,,", 3, "is in mN·m, the first breakaway torque of its column in N·m"),
        ("2,1,0.06 mm,,,,", 3, "is in mm, its column in N·m"),
        ("2,1,0.06,boiled,,,", 4, "is no condition that is known"),
        ("2,1,0.06,aged,old,,", 5, "is no number"),
        ("2,1,0.06,aged,-1,,", 5, "is below 0: hours is given without a sign"),
        ("2,1,0.06,aged,1,1.5,", 6, "is no whole number"),
        ("2,1,0.06,,,,0", 7, "is no number of a repeat"),
        (
            "1,1,0.06,,,,1",
            3,
            "is a second breakaway torque of piece 1, fresh, repeat 1: the first is in row 2",
        ),
        (f"{'x' * 101},1,0.06,,,,", 1, "is longer than the 100 signs that a name may have"),
    ],
)
def test_a_cell_is_refused_by_row_and_column_with_a_remedy(row: str, column: int, why: str) -> None:
    table = read("1,1,0.061,,,,", row)
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.why) == (3, column, why)
    assert cell.remedy
    assert len(table.readings) == 1


@pytest.mark.parametrize(
    ("heading", "why"),
    [
        ("Running torque [mm]", "is in mm: running torque is given in N·m; the column is left out"),
        ("Pull-off [kg]", "is in kg: pull-off force is given in N; the column is left out"),
        ("Temperature", "heads a column of numbers and is not known; the column is left out"),
        ("Cavity", "says not of which part the cavity is; the column is left out"),
        ("Breakaway torque (N·cm)", "says the same as column 2"),
        ("Value", "says not what was read, beside columns that do; the column is left out"),
    ],
)
def test_a_column_is_refused_by_its_heading(heading: str, why: str) -> None:
    table = read("1,0.061,2", head=f"Piece,Breakaway torque [N·m],{heading}")
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.found, cell.why) == (1, 3, heading, why)
    assert len(table.readings) == 1


def test_a_torque_without_a_unit_is_refused_by_name() -> None:
    with pytest.raises(
        FileRefused, match="has no unit: neither its heading nor its row says in what the breakaway"
    ):
        read("1,61", head="Piece,Breakaway torque")


def test_a_row_that_contradicts_its_heading_is_refused() -> None:
    table = read("1,0.06,aged", "2,0.07,fresh", head="Piece,Breakaway fresh [N·m],Condition")
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.why) == (2, 2, "is headed fresh, its row says aged")
    assert [one.piece for one in table.readings] == ["2"]


def test_a_unit_column_that_mixes_units_is_refused_by_name() -> None:
    table = read(
        "1,0.06,N·m", "2,61,mN·m", "3,0.06,N·m", "4,0.06,furlong", head="Piece,Breakaway torque,Unit"
    )
    assert [one.piece for one in table.readings] == ["1", "3"]
    assert [(cell.row, cell.why) for cell in table.file.refused] == [
        (3, "is in mN·m, the first breakaway torque of its column in N·m"),
        (5, "has a unit that is not known, 'furlong'"),
    ]


def test_a_kind_that_is_not_known_is_refused() -> None:
    table = read("1,droop,2", "2,wobble,3", "3,,3", head="Piece,What,Value")
    assert [one.value for one in table.readings] == [2.0]
    assert [(cell.row, cell.column, cell.why) for cell in table.file.refused] == [
        (3, 2, "is no kind of reading that is known"),
        (4, 3, "says not what was read"),
    ]


def test_a_file_that_is_no_test_any_more_is_refused() -> None:
    with pytest.raises(FileRefused, match="more than 20,000 rows"):
        read(*(f"{i},0.06" for i in range(MAX_ROWS + 1)), head="Piece,Breakaway torque [N·m]")


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is empty"),
        (b"hello\nworld\n", "no row of headings"),
        (b"Piece,Breakaway torque [N.m]\n1,OOL\n", "holds no reading of a joint that can be read"),
        (b"%PDF-1.7", "is a PDF"),
        (b"PK\x03\x04nothing", "workbook"),
        (workbook([["Peg", "Seat"], [1, 2]]), "no row of headings"),
    ],
)
def test_a_file_that_gives_nothing_is_refused_with_a_remedy(content: bytes, what: str) -> None:
    with pytest.raises(FileRefused, match=what) as refused:
        read_joint_test(content, "t.csv")
    assert refused.value.remedy


def test_a_sheet_that_is_not_there_is_refused() -> None:
    with pytest.raises(FileRefused, match="has no sheet 'torque'"):
        read_joint_test(workbook([["Piece", "Droop"], ["1", 2]]), "t.xlsx", sheet="torque")
    with pytest.raises(FileRefused, match="is no workbook"):
        read_joint_test(BESIDE.encode(), "t.csv", sheet="torque")


def test_no_word_heads_two_fields() -> None:
    words = vocabulary(("HO-04",), ("HO-02",))
    for field in words.fields:
        for heading in (word.strip() for line in field.words.splitlines() for word in line.split(",")):
            told = words.read(heading, 0)
            assert heading == "" or (told is not None and told.field.name == field.name), heading


NUMBERS = st.integers(0, 10**6).map(lambda i: i / 1000)
ROWS = st.lists(
    st.tuples(
        st.sampled_from(["1", "2", "3", "4"]),
        st.sampled_from(["", "1", "2"]),
        st.sampled_from(list(JointCondition)),
        st.none() | NUMBERS,
        st.none() | st.integers(0, 10**6),
        NUMBERS,
        st.none() | NUMBERS,
    ),
    min_size=1,
    max_size=20,
)


@given(
    ROWS,
    st.sampled_from([(",", "."), (";", ","), ("\t", "."), ("|", ",")]),
    st.sampled_from(["utf-8", "utf-16"]),
)
@settings(max_examples=80, deadline=None)
def test_a_table_that_was_written_is_read_back(
    rows: list[tuple[str, str, JointCondition, float | None, int | None, float, float | None]],
    marks: tuple[str, str],
    encoding: str,
) -> None:
    separator, decimal = marks
    heads = ["piece", "inner cavity", "condition", "hours", "cycles", "breakaway torque [N·m]", "droop [deg]"]

    def shown(cell: object) -> str:
        return (
            ""
            if cell is None
            else (f"{cell:.3f}" if isinstance(cell, float) else str(cell)).replace(".", decimal)
        )

    lines = [separator.join(heads), *(separator.join(map(shown, row)) for row in rows), ""]
    table = read_joint_test("\n".join(lines).encode(encoding), "t.csv")
    found = [
        (one.piece, one.inner_cavity, one.condition, one.hours, one.cycles, one.what, one.value)
        for one in table.readings
    ]
    expected = [
        (*row[:5], what, value)
        for row in rows
        for what, value in ((JointReadingKind.BREAKAWAY, row[5]), (JointReadingKind.DROOP, row[6]))
        if value is not None
    ]
    assert found == expected
    assert table.file.refused == ()


TEXTS = [text.encode() for text in (BESIDE, BELOW, IN_GERMAN, IN_CHINESE, HEAD + "\n1,1,0.06,aged,24,,1\n")]
BOOK = workbook([["Piece", "Inner cavity", "Breakaway torque [N·m]"], ["1", 1, 0.061], ["2", 1, "0,062"]])
PIECES = st.one_of(
    st.sampled_from("\n,;\t\"'|-+/()12\r\ufeff\x1a"),
    st.sampled_from(["4,05", "4.05", "12.345", "1e308", "NaN", "=1", "Average", ">400", "5+", "N·m", "mN·m"]),
    st.sampled_from(sorted(CONDITION_WORDS)),
    st.sampled_from(
        ["piece", "breakaway torque [N·m]", "droop", "value", "what", "unit", "repeat", "cavity"]
    ),
)


def read_or_refused(content: bytes) -> None:
    refusals: list[FileRefused] = []
    try:
        table = read_joint_test(content, "t")
    except FileRefused as refusal:
        refusals.append(refusal)
    if refusals:
        assert refusals[0].what
        assert refusals[0].remedy
        return
    assert table.readings
    assert all(isfinite(one.value) and abs(one.value) <= MAX_SIZE for one in table.readings)
    assert all(one.piece and one.repeat >= 1 for one in table.readings)
    cells = {(one.row, one.column) for one in table.readings}
    assert len(cells) == len(table.readings)
    assert not cells & {(cell.row, cell.column) for cell in table.file.refused}


@given(st.binary(max_size=400))
@settings(max_examples=100, deadline=None)
def test_no_bytes_raise_anything_else(content: bytes) -> None:
    read_or_refused(content)


@given(st.lists(PIECES, max_size=60).map("".join))
@settings(max_examples=200, deadline=None)
def test_no_text_of_the_trade_raises_anything_else(text: str) -> None:
    read_or_refused(text.encode("utf-8", "replace"))


@given(st.sampled_from([*TEXTS, BOOK]), st.integers(0, 10_000), st.binary(max_size=6), st.integers(0, 6))
@settings(max_examples=200, deadline=None)
def test_no_damage_to_a_test_raises_anything_else(content: bytes, at: int, piece: bytes, gone: int) -> None:
    at %= len(content)
    read_or_refused(content[:at] + piece + content[at + gone :])
