"""The register as a workbook: read back as the same rows, harmless, the same bytes each time."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import openpyxl

from offtool.exchange.samples_file import HEADINGS, SampleRowRead, read_samples
from offtool.reports.samples_workbook import samples_workbook

ROWS = (
    SampleRowRead(
        number="007",
        name="=1+1",
        part="body",
        label="torso",
        tool="M1",
        cavity="2",
        trial="T1",
        shot=14,
        place="3",
        found_on=date(2026, 4, 1),
        note="washed",
        row=2,
    ),
    SampleRowRead(number="S2", row=3),
)


def test_the_workbook_is_read_back_as_the_same_rows() -> None:
    assert read_samples(samples_workbook("Harbour otter", ROWS), "samples.xlsx").rows == ROWS


def test_no_cell_is_a_formula_and_the_headings_stand_first() -> None:
    sheet = openpyxl.load_workbook(BytesIO(samples_workbook("Harbour otter", ROWS))).worksheets[0]
    assert [cell.value for cell in sheet[1]] == list(HEADINGS.values())
    assert {cell.data_type for row in sheet.iter_rows() for cell in row if cell.value is not None} == {"s"}
    assert sheet["B2"].value == "'=1+1"


def test_the_same_rows_give_the_same_bytes_and_none_give_the_headings() -> None:
    assert samples_workbook("Otter", ROWS) == samples_workbook("Otter", ROWS)
    sheet = openpyxl.load_workbook(BytesIO(samples_workbook("Otter", ()))).worksheets[0]
    assert sheet.max_row == 1
