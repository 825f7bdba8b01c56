"""First-article reports: a row a characteristic, a column for each cavity and part."""

from __future__ import annotations

import pytest

from offtool.exchange.readings import FileRefused, Layout
from tests.exchange.readings.gauge_room import cells_of, limits, read, said, taken, values, written


def test_a_report_gives_characteristics_limits_cavities_and_parts() -> None:
    table = read(
        "First article inspection report,,,,,,,,,\n"
        "Part:,Otter torso,,Trial:,T1,,,,,\n"
        "Unit: mm,,,,,,,,,\n"
        ",,,,,,,,,\n"
        "No.,Characteristic,Nominal,USL,LSL,Cav 1 / 1,Cav 1 / 2,Cav 2 / 1,Mean,OK/NG\n"
        "12,Peg dia,4.00,4.05,3.95,4.01,4.02,4.03,4.02,OK\n"
        "13,Seat,12.50,12.60,12.40,12.51,12.52,12.53,12.52,OK\n"
        "Inspected by: stamp 7,,,,,,,,,\n"
    )
    assert table.layout is Layout.REPORT
    assert [(each.number, each.name, each.unit) for each in table.characteristics] == [
        ("12", "Peg dia", "mm"),
        ("13", "Seat", "mm"),
    ]
    assert limits(table) == [(4.0, 3.95, 4.05), (12.5, 12.4, 12.6)]
    assert [(t.cavity, t.part, t.value) for t in taken(table)] == [
        ("1", 1, 4.01),
        ("1", 2, 4.02),
        ("2", 1, 4.03),
        ("1", 1, 12.51),
        ("1", 2, 12.52),
        ("2", 1, 12.53),
    ]
    assert cells_of(table) == [(6, 6), (6, 7), (6, 8), (7, 6), (7, 7), (7, 8)]
    assert "left out: Mean." in said(table)
    assert "'Cav 1 / 1' is cavity 1 part 1" in said(table)


def test_a_chinese_report_in_gb18030_is_read() -> None:
    table = read(
        "序号,检验项目,标准值,上限,下限,单位,穴1 #1,穴1 #2,穴2 #1,穴2 #2,平均,判定\n"
        "1,外径,4.00,4.05,3.95,mm,4.01,4.02,４．０３,4.00,4.015,OK\n"
        "2,角度,45°,46,44,度,45.1,45.2,45.3,,45.2,OK\n"
        "3,重量,2.50,2.6,2.4,g,2.51,2.49,2.50,/,2.5,NG\n",
        "gb18030",
    )
    assert table.encoding == "GB18030"
    assert [each.unit for each in table.characteristics] == ["mm", "deg", "g"]
    assert values(table) == [4.01, 4.02, 4.03, 4.0, 45.1, 45.2, 45.3, 2.51, 2.49, 2.5]
    assert [(t.cavity, t.part) for t in taken(table)][:4] == [("1", 1), ("1", 2), ("2", 1), ("2", 2)]
    assert table.missing == 2
    assert "Judged bad, yet each reading lies inside its limits: row 4." in said(table)


@pytest.mark.parametrize(
    ("heading", "cavity", "shot", "part"),
    [
        ("Cav 1 / 1", "1", None, 1),
        ("K1-3", "1", None, 3),
        ("穴1 #2", "1", None, 2),
        ("Nest 4", "4", None, None),
        ("Cavity No. 3 Sample 5", "3", None, 5),
        ("第2穴", "2", None, None),
        ("Kavität 2 Schuss 17", "2", 17, None),
        ("C1P2", "1", None, 2),
        ("Cav A - 2", "A", None, 2),
        ("实测值3", None, None, 3),
        ("Messwert 4", None, None, 4),
        ("x5", None, None, 5),
        ("Sample #2 [mm]", None, None, 2),
        ("2-4", "2", None, 4),
        ("7", None, None, 7),
    ],
)
def test_headings_name_cavity_shot_and_part(
    heading: str, cavity: str | None, shot: int | None, part: int | None
) -> None:
    table = read(written([["No.", "Characteristic", "Nominal", heading], [1, "Peg", "4.00", "4.01"]]))
    assert taken(table) == [("Peg", cavity, shot, part, 4.01)]


ONE_ROW_ABOVE = """
,,,,,Cavity 1,,,Cavity 2,,,
No.,Characteristic,Nominal,Tol +,Tol -,1,2,3,1,2,3,OK/NG
"""
ONE_ROW_BELOW = """
No.,Characteristic,Nominal,Tol +,Tol -,Cavity 1,,,Cavity 2,,,OK/NG
,,,,,1,2,3,1,2,3,
"""
THREE_ROWS = """
No.,Characteristic,Nominal,Tolerance,,Measured values,,,,,,OK/NG
,,,+,-,Cavity 1,,,Cavity 2,,,
,,,,,1,2,3,1,2,3,
"""


@pytest.mark.parametrize("headings", [ONE_ROW_ABOVE, ONE_ROW_BELOW, THREE_ROWS])
def test_headings_over_several_rows_give_the_cavity_above_and_the_part_below(headings: str) -> None:
    table = read(
        headings.lstrip() + "1,Peg dia,4,0.05,0.02,4,4,4,4,4,4,OK\n2,Seat,12,0.1,0.1,12,12,12,12,12,12,OK\n"
    )
    assert [(t.cavity, t.part) for t in taken(table)][:6] == [
        (cavity, part) for cavity in "12" for part in (1, 2, 3)
    ]
    assert limits(table) == [(4.0, 3.98, 4.05), (12.0, 11.9, 12.1)]
    assert len(table.value) == 12


def test_columns_under_one_merged_heading_are_parts() -> None:
    table = read("序号,尺寸,标准值,上限,下限,实测值,,,判定\n1,外径,4.00,4.05,3.95,4.01,4.02,4.03,OK\n")
    assert [(t.part, t.value) for t in taken(table)] == [(1, 4.01), (2, 4.02), (3, 4.03)]
    assert (
        "3 columns from column 6 on stand under one heading, '实测值'; they are read as parts 1 to 3."
        in said(table)
    )


def test_columns_headed_by_the_same_cavity_are_its_parts() -> None:
    table = read("No.,Name,Nominal,Cav 1,Cav 1,Cav 2\n1,Peg,4,4.01,4.02,4.03\n")
    assert [(t.cavity, t.part, t.value) for t in taken(table)] == [
        ("1", 1, 4.01),
        ("1", 2, 4.02),
        ("2", None, 4.03),
    ]


def test_two_columns_for_the_same_part_are_refused_with_both() -> None:
    with pytest.raises(FileRefused, match="columns 4 and 6 are both headed 'Cav 1 / 1'"):
        read("No.,Name,Nominal,Cav 1 / 1,Cav 1 / 2,Cav 1 / 1\n1,Peg,4,4.01,4.02,4.03\n")


def test_two_columns_that_contradict_each_other_are_refused_with_both() -> None:
    with pytest.raises(FileRefused, match="columns 3 and 4 are both headed as nominal"):
        read("No.,Name,Nominal,Target,Cav 1,Cav 2\n1,Peg,4,4.1,4.01,4.02\n")


def test_a_characteristic_may_be_named_like_a_heading() -> None:
    table = read("No.,Name,Nominal,1,2\n1,Size,4,4.01,4.02\n2,Max,5,5.01,5.02\n")
    assert [each.name for each in table.characteristics] == ["Size", "Max"]


def test_cavities_may_have_rows_of_their_own() -> None:
    table = read(
        "No,Dim,Spec,Cav,1,2\n1,Peg,⌀4.00±0.05,1,4.01,4.02\n,,,2,4.03,4.04\n2,Seat,12.5+0.1/-0.05,1,12.5,12.6\n"
    )
    assert [(t.characteristic, t.cavity, t.part, t.value) for t in taken(table)] == [
        ("Peg", "1", 1, 4.01),
        ("Peg", "1", 2, 4.02),
        ("Peg", "2", 1, 4.03),
        ("Peg", "2", 2, 4.04),
        ("Seat", "1", 1, 12.5),
        ("Seat", "1", 2, 12.6),
    ]
    assert limits(table) == [(4.0, 3.95, 4.05), (12.5, 12.45, 12.6)]


@pytest.mark.parametrize(
    ("tolerance", "lower", "upper"),
    [
        ("±0.05", 3.95, 4.05),
        ("0.05", 3.95, 4.05),
        ("+0.03/−0.02", 3.98, 4.03),
        ("+0.03/0", 4.0, 4.03),
        ("0/-0.05", 3.95, 4.0),
        ("+0.03 +0.01", 4.01, 4.03),
        ("-0.05", 3.95, 4.0),
        ("3.95~4.05", 3.95, 4.05),
        ("±50 µm", 3.95, 4.05),
    ],
)
def test_tolerances_in_one_cell_give_limits(tolerance: str, lower: float, upper: float) -> None:
    table = read(f"No.,Characteristic,Nominal [mm],Tol.,1,2\n1,Peg,4.00,{tolerance},4.01,4.02\n")
    assert limits(table) == [(4.0, lower, upper)]


def test_lower_tolerances_without_signs_are_meant_downwards() -> None:
    table = read("No.,Dimension,Nominal,+Tol,-Tol,1,2\n1,Peg,4,0.05,0.02,4.01,4\n2,Bore,6,0.05,0,6,6\n")
    assert limits(table) == [(4.0, 3.98, 4.05), (6.0, 6.0, 6.05)]


def test_where_lower_tolerances_have_signs_one_without_is_upwards() -> None:
    table = read("No.,Dimension,Nominal,+Tol,-Tol,1,2\n1,Peg,4,0.05,-0.02,4.01,4\n2,Bore,6,0.03,0.01,6,6\n")
    assert limits(table) == [(4.0, 3.98, 4.05), (6.0, 6.01, 6.03)]


def test_limits_far_below_the_nominal_are_deviations() -> None:
    table = read("No.,Dimension,Nominal,USL,LSL,1,2\n1,Peg,4,0.05,-0.02,4.01,4\n2,Flash,0,0.1,0,0.02,0.03\n")
    assert limits(table) == [(4.0, 3.98, 4.05), (0.0, 0.0, 0.1)]
    assert [(repair.row, repair.column, repair.read_as) for repair in table.repairs] == [
        (2, 4, "4.05"),
        (2, 5, "3.98"),
    ]


def test_limits_upside_down_are_refused_and_the_readings_stand() -> None:
    table = read("No.,Dimension,Nominal,USL,LSL,1,2\n1,Peg,4,3.95,4.05,4.01,4\n")
    assert limits(table) == [(4.0, None, None)]
    assert [(cell.row, cell.column, cell.why) for cell in table.refused] == [
        (2, 4, "lies below the lower limit")
    ]
    assert values(table) == [4.01, 4.0]


def test_the_size_may_be_the_only_name() -> None:
    table = read("尺寸,1,2\n⌀4.00±0.05,4.01,4.02\n12.5±0.1,12.5,12.6\n")
    assert limits(table) == [(4.0, 3.95, 4.05), (12.5, 12.4, 12.6)]
    assert [each.label for each in table.characteristics] == ["⌀4.00±0.05", "12.5±0.1"]


def test_maximum_and_minimum_beside_the_nominal_are_limits_and_behind_the_readings_statistics() -> None:
    table = read("No,Name,Nominal,Max,Min,1,2,Max,Min\n1,Peg,4,4.1,3.9,4.01,4.02,4.02,4.01\n")
    assert limits(table) == [(4.0, 3.9, 4.1)]
    assert values(table) == [4.01, 4.02]


def test_one_sided_limits_stay_one_sided() -> None:
    table = read("No,Name,Spec,1,2\n1,Flash,max 0.1,0.02,0.03\n2,Wall,≥1.2,1.25,1.3\n")
    assert limits(table) == [(None, None, 0.1), (None, 1.2, None)]


def test_a_degree_sign_makes_an_angle_in_a_table_of_millimetres() -> None:
    table = read("Unit: mm,,,,\nNo,Name,Nominal,1,2\n1,Peg,4.00,4.01,4.02\n2,Draft,1°30'±30',1.5,1.6\n")
    assert [each.unit for each in table.characteristics] == ["mm", "deg"]
    assert limits(table)[1] == (1.5, 1.0, 2.0)


def test_a_characteristic_in_two_rows_is_refused_with_both_rows() -> None:
    with pytest.raises(FileRefused, match=r"'Peg' stands twice: in rows 2 and 4"):
        read("No,Name,Nominal,1,2\n1,Peg,4,4,4\n2,Seat,4,4,4\n1,Peg,4,4,4\n")


def test_a_characteristic_that_was_not_measured_is_kept_with_its_limits() -> None:
    table = read("No,Name,Nominal,USL,1,2\n1,Peg,4,4.1,4.01,4.02\n2,Seat,12,12.1,,\n")
    assert [each.name for each in table.characteristics] == ["Peg", "Seat"]
    assert limits(table)[1] == (12.0, None, 12.1)
    assert "No reading is given for 'Seat'." in said(table)


def test_lines_of_text_below_a_report_are_no_characteristics() -> None:
    table = read(
        "No,Name,Nominal,USL,1,2\n1,Peg,4,4.1,4.01,4.02\n,,,,,\n"
        "Measured by:,A. N.,Approved:,B. O.,,\nNote,see T2,,,,\n"
    )
    assert [each.name for each in table.characteristics] == ["Peg"]
    assert table.refused == ()
    assert "Without a reading, left out: rows 4 and 5." in said(table)


def test_numbers_under_an_unknown_heading_are_refused_and_not_dropped_in_silence() -> None:
    table = read("No,Name,Nominal,Cav 1,Cav 2,Fixture four\n1,Peg,4,4.01,4.02,4.03\n")
    assert values(table) == [4.01, 4.02]
    assert [(cell.row, cell.column, cell.found) for cell in table.refused] == [(1, 6, "Fixture four")]


def test_a_stated_ok_outside_the_limits_is_said() -> None:
    table = read(
        "No,Name,Nominal,USL,LSL,1,2,Result\n1,Peg,4,4.05,3.95,4.01,4.06,OK\n2,Seat,4,4.05,3.95,4,4,OK\n"
    )
    assert "Judged good, yet a reading lies outside its limits: row 2." in said(table)


def test_an_unsigned_lower_tolerance_that_is_not_below_the_upper_is_meant_downwards() -> None:
    """One row signs its tolerances, the next does not: 32.50 with 0.10 and 0.10 is 32.40 to 32.60."""
    text = (
        "No.,Characteristic,Nominal,Tol +,Tol -,Unit,Cav 1 / 1\n"
        "1,Peg,4.00,+0.03,-0.02,mm,4.01\n"
        "2,Length,32.50,0.10,0.10,mm,32.51\n"
    )
    _, length = read(text).characteristics
    assert (length.lower, length.upper) == (pytest.approx(32.40), pytest.approx(32.60))
