"""Tests of joints as benches write them: columns found by their headings, each reading with its cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.exchange.joint_readings import JointTestReading, JointTestTable, read_joint_test
from offtool.handbook.terms import JointCondition, JointReadingKind
from tests.exchange.readings.gauge_room import workbook
from tests.labels import independent

INNER, OUTER = ("HO-04",), ("HO-02",)
SAMPLES = Path(__file__).parents[3] / "examples" / "readings_files"

BESIDE = (
    "Piece,HO-04 cavity,HO-02 cavity,Breakaway torque [N·m],Running torque [N·m]\n"
    "1,1,2,0.061,0.052\n2,2,1,0.065,0.054\n"
)
BELOW = (
    "piece;inner cavity;outer cavity;what;value;unit\n1;1;2;breakaway torque;0,061;N·m\n"
    "1;1;2;running torque;0,052;N·m\n2;2;1;breakaway torque;0,065;N·m\n2;2;1;running torque;0,054;N·m\n"
)
IN_GERMAN = (
    "Drehmoment der Schulter, erfunden\n\nTeil\tZapfen Nest\tBuchse Nest\tLosbrechmoment\tLaufmoment\n"
    "\t\t\tN·mm\tN·mm\n1\t1\t2\t61\t52\n2\tNest 2\tNest 1\t65\t54\n"
)
IN_CHINESE = "样品,轴穴号,孔穴号,启动扭矩(N·cm),转动扭矩(N·cm)\n1,1,2,6.1,5.2\n2,2,1,6.5,5.4\n"


def read(text: str) -> JointTestTable:
    return read_joint_test(text.encode(), "t.csv", inner=INNER, outer=OUTER)


def values(table: JointTestTable) -> dict[tuple[str, str], float]:
    return {(one.piece, one.what.value): one.value for one in table.readings}


@pytest.mark.parametrize("text", [BESIDE, BELOW, IN_GERMAN, IN_CHINESE])
def test_every_layout_and_language_gives_the_same_readings(text: str) -> None:
    table = read(text)
    assert values(table) == {
        ("1", "breakaway torque"): 0.061,
        ("1", "running torque"): 0.052,
        ("2", "breakaway torque"): 0.065,
        ("2", "running torque"): 0.054,
    }
    assert table.file.refused == ()
    assert {(one.piece, one.inner_cavity[-1], one.outer_cavity[-1]) for one in table.readings} == {
        ("1", "1", "2"),
        ("2", "2", "1"),
    }


def test_a_reading_keeps_its_cell_and_what_its_row_says() -> None:
    table = read(
        "Piece;Peg cavity;Socket cavity;Breakaway torque [mN·m];Condition;Hours;Cycles;Operator\n"
        "A1;1;2;61,5;aged;24;100;Max\n"
    )
    assert table.readings == (
        JointTestReading(
            piece="A1", inner_cavity="1", outer_cavity="2", what=JointReadingKind.BREAKAWAY,
            condition=JointCondition.AGED, hours=24.0, cycles=100, operator="Max", repeat=1, value=0.0615,
            row=2, column=4,
        ),
    )  # fmt: skip
    assert (table.inner_column, table.outer_column) == (2, 3)


def test_a_workbook_reads_like_its_text() -> None:
    rows = [line.split(",") for line in BESIDE.splitlines()]
    cells = [rows[0], *([piece, inner, outer, float(a), float(b)] for piece, inner, outer, a, b in rows[1:])]
    table = read_joint_test(workbook(cells), "t.xlsx", inner=INNER, outer=OUTER)
    assert values(table) == values(read(BESIDE))
    assert table.file.encoding == "XLSX"


# by definition: the pound 0.45359237 kg, standard gravity 9.80665 m/s², the inch 25.4 mm
POUND_FORCE = 0.45359237 * 9.80665
INCH = 0.0254


@pytest.mark.parametrize(
    ("heading", "value"),
    [
        ("Breakaway torque [N·m]", 1.0),
        ("Breakaway torque (mN·m)", 0.001),
        ("Breakaway torque, N·cm", 0.01),
        ("Breakaway torque in N·mm", 0.001),
        ("Breakaway torque kgf·cm", 9.80665 * 0.01),
        ("Breakaway torque [in·lb]", POUND_FORCE * INCH),
        ("Breakaway torque [ozf·in]", POUND_FORCE / 16 * INCH),
        ("Pull-off [N]", 1.0),
        ("Pull-off [kgf]", 9.80665),
        ("Pull-off force lbf", POUND_FORCE),
        ("Droop [deg]", 1.0),
        ("Droop °", 1.0),
    ],
)
def test_units_become_those_of_the_record(heading: str, value: float) -> None:
    (one,) = read(f"piece;{heading}\n1;1\n").readings
    assert one.value == independent(
        value, way="from the definitions of pound, inch and gravity", rel=0, within=1e-9
    )


@pytest.mark.parametrize(
    ("heading", "hours"), [("Age [min]", 0.5), ("Age [h]", 30), ("Hours", 30), ("Age days", 720)]
)
def test_hours_may_be_given_in_other_units_of_time(heading: str, hours: float) -> None:
    (one,) = read(f"piece;{heading};Droop\n1;30;2\n").readings
    assert one.hours == hours


def test_headings_may_say_condition_and_repeat() -> None:
    table = read(
        "piece,Breakaway fresh 1 [N·m],Breakaway fresh 2 [N·m],Breakaway aged [N·m]\n1,0.061,0.06,0.05\n"
    )
    assert [(one.condition.value, one.repeat, one.value) for one in table.readings] == [
        ("fresh", 1, 0.061),
        ("fresh", 2, 0.06),
        ("aged", 1, 0.05),
    ]


def test_repeats_are_counted_in_the_order_of_the_file_where_it_gives_none() -> None:
    table = read("piece,Breakaway [N·m]\n1,0.061\n,0.060\n2,0.05\n1,0.059\n")
    assert [(one.piece, one.repeat) for one in table.readings] == [("1", 1), ("1", 2), ("2", 1), ("1", 3)]


def test_rows_without_a_piece_are_pieces_of_their_own() -> None:
    table = read("Breakaway [N·m]\n0.061\n0.060\n")
    assert table.pieces == ("1", "2")
    assert "No column names the piece: each row is one, numbered 1, 2, 3 …" in table.file.notes


def test_a_vague_heading_is_said_and_what_it_is_taken_for() -> None:
    table = read("piece,Torque [N·m]\n1,0.061\n")
    assert table.readings[0].what is JointReadingKind.BREAKAWAY
    assert "Column 2, 'Torque [N·m]', is taken for the breakaway torque." in table.file.notes


def test_statistics_below_the_readings_are_left_out() -> None:
    table = read("piece,Breakaway [N·m],Operator\n1,0.061,Max\n2,0.063,Max\nMean,0.062,\n")
    assert len(table.readings) == 2
    assert "Statistics are left out: row 4 (Mean)." in table.file.notes


def test_the_sample_is_read_without_a_repair() -> None:
    file = SAMPLES / "otter_shoulder_torque.csv"
    table = read_joint_test(file.read_bytes(), file.name, inner=INNER, outer=OUTER)
    assert (table.file.repairs, table.file.refused, table.file.missing) == ((), (), 0)
    lines = [line.split(",") for line in file.read_text().splitlines()]
    assert len(table.readings) == 2 * len(lines[4:])
    for one in table.readings:
        assert float(lines[one.row - 1][one.column - 1]) / 1000 == pytest.approx(one.value)
