"""Every layout of a gauge study gives the same readings, each with the cell it was read from."""

from __future__ import annotations

import io

import pytest
import xlsxwriter

from offtool.exchange.gauge_readings import StudyLayout, StudyReading, StudyTable, read_study
from tests import published
from tests.exchange.readings.gauge_room import workbook

VALUES = {
    ("1", "A"): (4.01, 4.02),
    ("1", "B"): (4.0, 4.03),
    ("2", "A"): (4.11, 4.12),
    ("2", "B"): (4.1, 4.13),
}
LONG = "Part,Operator,Trial,Value\n" + "".join(
    f"{part},{who},{i},{value}\n"
    for (part, who), values in VALUES.items()
    for i, value in enumerate(values, 1)
)
IN_ONE_ROW = "Part,A 1,A 2,B 1,B 2\n1,4.01,4.02,4.0,4.03\n2,4.11,4.12,4.1,4.13\n"
IN_TWO_ROWS = "Teil;Prüfer A;;Prüfer B;\n;1;2;1;2\n1;4,01;4,02;4,00;4,03\n2;4,11;4,12;4,10;4,13\n"
REPEATS_BESIDE = "Operator,Part,1,2\nA,1,4.01,4.02\n,2,4.11,4.12\nB,1,4.0,4.03\n,2,4.1,4.13\n"
NAMES_BESIDE = "Part,Trial,A,B\n1,1,4.01,4.0\n1,2,4.02,4.03\n2,1,4.11,4.1\n2,2,4.12,4.13\n"
PARTS_BESIDE = "Appraiser,Trial,Part 1,Part 2\nA,1,4.01,4.11\nA,2,4.02,4.12\nB,1,4.0,4.1\nB,2,4.03,4.13\n"
PARTS_BELOW = (
    "操作员\t次数\t零件\t\n\t\t1\t2\nA\t1\t4.01\t4.11\nA\t2\t4.02\t4.12\nB\t1\t4.0\t4.1\nB\t2\t4.03\t4.13\n"
)
UNCOUNTED = "part|appraiser|reading [mm]\n" + "".join(
    f"{part}|{who}|{value}\n" for (part, who), values in VALUES.items() for value in values
)


def as_values(table: StudyTable) -> dict[tuple[str, str], tuple[float, ...]]:
    found: dict[tuple[str, str], dict[int, float]] = {}
    for one in table.readings:
        found.setdefault((one.part, one.operator), {})[one.repeat] = one.value
    return {key: tuple(values[i] for i in sorted(values)) for key, values in found.items()}


NAMED_BY_THE_SIZE = LONG.replace("Value", "Hip peg diameter [mm]")


@pytest.mark.parametrize(
    ("text", "layout"),
    [
        (LONG, StudyLayout.LONG),
        (NAMED_BY_THE_SIZE, StudyLayout.LONG),
        (UNCOUNTED, StudyLayout.LONG),
        (IN_ONE_ROW, StudyLayout.WIDE),
        (IN_TWO_ROWS, StudyLayout.WIDE),
        (REPEATS_BESIDE, StudyLayout.WIDE),
        (NAMES_BESIDE, StudyLayout.WIDE),
        (PARTS_BESIDE, StudyLayout.SHEET),
        (PARTS_BELOW, StudyLayout.SHEET),
        ("Micrometer study, all sizes in mm\n\n" + IN_ONE_ROW, StudyLayout.WIDE),
    ],
)
def test_every_layout_gives_the_same_readings(text: str, layout: StudyLayout) -> None:
    table = read_study(text.encode(), "study.csv")
    assert table.layout is layout
    assert as_values(table) == VALUES
    assert (table.repairs, table.refused, table.missing) == ((), (), 0)


def test_a_reading_keeps_the_cell_it_was_read_from() -> None:
    table = read_study(IN_TWO_ROWS.encode(), "study.csv")
    assert table.readings[2] == StudyReading(
        part="1", operator="B", repeat=1, reference=None, value=4.0, row=3, column=4
    )
    lines = [line.split(";") for line in IN_TWO_ROWS.splitlines()]
    for one in table.readings:
        assert float(lines[one.row - 1][one.column - 1].replace(",", ".")) == one.value


def test_a_workbook_reads_like_its_text() -> None:
    rows = [["Part", "A 1", "A 2", "B 1", "B 2"], ["1", 4.01, 4.02, 4.0, 4.03], ["2", 4.11, 4.12, 4.1, 4.13]]
    table = read_study(workbook(rows), "study.xlsx")
    assert as_values(table) == VALUES
    assert table.sheet is not None
    assert table.encoding == "XLSX"


def test_a_merged_cell_names_every_row_it_covers() -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("study")
        for column, heading in enumerate(("Operator", "Part", "1", "2")):
            sheet.write_string(0, column, heading)
        for first, who in ((1, "A"), (3, "B")):
            sheet.merge_range(first, 0, first + 1, 0, who)
            for row, part in enumerate(("1", "2"), first):
                sheet.write_string(row, 1, part)
                for column, value in enumerate(VALUES[part, who], 2):
                    sheet.write_number(row, column, value)
    table = read_study(out.getvalue(), "study.xlsx", sheet="study")
    assert as_values(table) == VALUES
    assert "Merged cells stand for each row they cover." in table.notes


def test_references_stand_in_a_column_of_their_own() -> None:
    table = read_study(
        b"Part,Reference,1,2\nblock 2,2.0000,2.001,2.002\nblock 4,4.0000,4.001,4.003\n", "l.csv"
    )
    assert [one.reference for one in table.readings] == [2.0, 2.0, 4.0, 4.0]
    assert table.operators == ("",)


def test_readings_without_part_are_of_one_part() -> None:
    table = read_study(b"Reading no,Value [\xc2\xb5m]\n1,5001\n2,5002\n", "r.csv")
    assert [(one.part, one.repeat, one.value) for one in table.readings] == [("1", 1, 5.001), ("1", 2, 5.002)]
    assert table.unit == "mm"
    assert "No column names the part: all readings are of one part." in table.notes


def test_marks_before_the_numbers_of_repeats_are_no_operators() -> None:
    table = read_study(b"Part,Operator,T1,T2\n1,A,4.01,4.02\n2,A,4.11,4.12\n", "t.csv")
    assert as_values(table) == {key: values for key, values in VALUES.items() if key[1] == "A"}


def test_an_operator_may_be_called_max_and_average_rows_are_left_out() -> None:
    text = "Operator,Part,Value\nMax,1,4.01\nMax,1,4.02\nMin,1,4.00\nMin,1,4.03\nAverage,,4.015\n"
    table = read_study(text.encode(), "m.csv")
    assert table.operators == ("Max", "Min")
    assert len(table.readings) == 4
    assert any("Statistics are left out: row 6 (Average)" in note for note in table.notes)


def test_the_published_study_is_read_whole() -> None:
    table = read_study((published.HERE / "gauge_10x3x3.csv").read_bytes(), "gauge_10x3x3.csv")
    assert (len(table.readings), len(table.parts), table.operators) == (90, 10, ("A", "B", "C"))
    assert table.refused == ()
