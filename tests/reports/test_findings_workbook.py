"""The workbook of the findings, read again by another program's library."""

from __future__ import annotations

from datetime import datetime
from io import BytesIO
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from offtool.core.values import Caution
from offtool.reports.findings_workbook import findings_workbook
from offtool.steps.findings import TrialFindings
from tests.reports.factories import ear_spacing, hip_peg, judged_size, neck_ring, part_weight, trial_findings

DANGEROUS = ['=HYPERLINK("http://x.invalid","y")', "+1+cmd", "-2+3", "@SUM(A1)", "=1+1"]


def read(findings: TrialFindings) -> Workbook:
    return load_workbook(BytesIO(findings_workbook(findings)))


def rows_of(sheet: Worksheet) -> list[dict[str, Any]]:
    """The rows of a table by heading."""
    heading, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(heading, row, strict=True)) for row in rows]


def test_four_sheets_in_reading_order() -> None:
    assert read(trial_findings()).sheetnames == ["Verdict", "Sizes", "Predictions", "Files"]


def test_the_verdict_is_read_top_to_bottom() -> None:
    sheet = read(trial_findings())["Verdict"]
    lines = [(first, second) for first, second in sheet.iter_rows(values_only=True) if first]
    assert lines[0] == (
        "Tool M2, trial T2",
        "Not ready: 3 of 8 sizes do not hold, 2 are not shown (all inside so far).",
    )
    assert ("Verdicts", "3 hold, 3 do not hold, 2 are not shown") in lines
    about = [first for first, _ in lines]
    assert about.index("What to do") < about.index("What it rests on") < about.index("Cautions")
    assert (
        "1",
        "Cut 2 steel features (6 cuts over the cavities). Each then holds with 86 % certainty or more.",
    ) in lines
    assert lines[-2][1] == (
        "1 size: no gauge study: the gauge is taken as exact (ISO 14253-1 asks for its uncertainty)"
    )


def test_a_row_a_size_and_cavity() -> None:
    findings = trial_findings()
    rows = rows_of(read(findings)["Sizes"])
    cavities = [(size, cavity) for size in findings.sizes for cavity in size.finding.cavities]
    assert len(rows) == len(cavities) == 27
    for row, (size, cavity) in zip(rows, cavities, strict=True):
        assert (row["No."], row["Size"], row["Part"], row["Unit"]) == (
            size.number,
            size.name,
            size.part,
            size.unit,
        )
        assert row["Mean"] == pytest.approx(cavity.mean, rel=1e-14)
        assert row["Parts"] == cavity.parts
        assert row["Parts outside"] == cavity.parts_outside
        assert row["Verdict of the cavity"].endswith(str(cavity.verdict))
        assert row["Verdict of the size"].endswith(str(size.verdict))


def test_a_size_has_all_its_numbers() -> None:
    row = rows_of(read(trial_findings(sizes=(hip_peg(),)))["Sizes"])[0]
    found = hip_peg().finding.cavities[0]
    assert found.index is not None
    numbers = {
        "Nominal": 4.0,
        "Lower limit": 3.98,
        "Upper limit": 4.03,
        "Target": 4.005,
        "Parts": 12,
        "Mean": 3.966,
        "Standard deviation": 0.004,
        "Off target": -0.039,
        "Mean from": found.interval.low,
        "Mean to": found.interval.high,
        "Index": found.index.value,
        "Index at least": found.index.low,
        "Index at most": found.index.high,
        "Index required": 1.33,
    }
    assert {name: row[name] for name in numbers} == pytest.approx(numbers, abs=1e-9)
    assert row["Mean by ISO 14253-1"] == "does not conform"
    assert row["Cavity"] == "1"
    assert row["Why"].startswith("0.043 mm small")


def test_what_is_not_known_stays_empty() -> None:
    one_part, unnamed = (
        rows_of(read(trial_findings(sizes=(size,)))["Sizes"])[0] for size in (part_weight(), ear_spacing())
    )
    for name in ("Lower limit", "Standard deviation", "Mean from", "Mean to", "Index", "Index at least"):
        assert one_part[name] is None
    assert one_part["Upper limit"] == 5.0
    assert unnamed["Index required"] is None
    assert unnamed["Cavity"] == "not recorded"


def test_verdicts_have_marks_that_print_keeps() -> None:
    marks = {row["Verdict of the cavity"] for row in rows_of(read(trial_findings())["Sizes"])}
    assert marks == {"✓ holds", "✕ does not hold", "? not shown"}


def test_numbers_show_the_decimals_of_their_size() -> None:
    sheet = read(trial_findings(sizes=(neck_ring(), part_weight())))["Sizes"]
    place = {cell.value: cell.column for cell in sheet[1]}
    assert sheet.cell(2, place["Mean"]).number_format == "0.000"
    assert sheet.cell(2, place["Nominal"]).number_format == "0.00"
    assert sheet.cell(2, place["Standard deviation"]).number_format == "0.0000"
    assert sheet.cell(2, place["Index"]).number_format == "0.00"
    assert sheet.cell(10, place["Mean"]).number_format == "0.00"


@pytest.mark.parametrize(("name", "corner"), [("Sizes", "C2"), ("Predictions", "C2"), ("Files", "B2")])
def test_headings_stay_in_sight(name: str, corner: str) -> None:
    sheet = read(trial_findings())[name]
    assert sheet.freeze_panes == corner
    assert sheet.auto_filter.ref == sheet.dimensions
    assert sheet.print_title_rows == "$1:$1"


def test_predictions_stand_beside_what_was_found() -> None:
    first, second = rows_of(read(trial_findings())["Predictions"])
    assert (first["Size"], first["Cavity"], first["Made at"], first["Outcome"]) == (
        "HEAD 7",
        "1",
        "T1",
        "confirmed",
    )
    assert (first["From"], first["To"], first["Confidence"]) == (18.192, 18.208, "80 %")
    assert second["Difference"] == pytest.approx(0.027)
    assert second["Outcome"] == "refuted"


def test_files_can_be_traced() -> None:
    (file,) = rows_of(read(trial_findings())["Files"])
    assert file == {
        "File": "M2_T2_gauge_room.xlsx",
        "Layout": "report",
        "Readings": 302,
        "Cells repaired": 4,
        "Cells left out": 0,
        "SHA-256": "9f" * 32,
    }


def test_nothing_measured_makes_a_workbook_too() -> None:
    empty = trial_findings(
        sizes=(), predictions=(), files=(), actions=(), rests_on=(), cautions=(), shot_on=None
    )
    book = read(empty)
    assert rows_of(book["Sizes"]) == []
    assert ("Verdicts", "0 hold, 0 do not hold, 0 are not shown") in list(
        book["Verdict"].iter_rows(values_only=True)
    )


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_user_text_becomes_a_formula(text: str) -> None:
    size = judged_size(
        [[1.0, 1.1]], lower=0.5, labels=[text], number=text, name=text, part=text, unit=text, why=text
    )
    findings = trial_findings(
        sizes=(size,), headline=text, programme_title=text, tool_name=text, cautions=(Caution(text, text),)
    )
    for sheet in read(findings):
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                assert not (isinstance(cell.value, str) and cell.value == text)
                assert cell.hyperlink is None


@pytest.mark.parametrize(
    "text", ["\x00\x0b\ud800 bad signs", "x" * 40_000, '零件 <&> "quoted"', "line\nbreak"]
)
def test_any_text_can_be_written(text: str) -> None:
    findings = trial_findings(
        sizes=(judged_size([[1.0, 1.1]], lower=0.5, name=text, why=text),), headline=text
    )
    (row,) = rows_of(read(findings)["Sizes"])[:1]
    assert row["Size"].split()[-1][:30] == "".join(s for s in text.split()[-1] if s.isprintable())[:30]


def test_the_same_findings_give_the_same_bytes() -> None:
    assert findings_workbook(trial_findings()) == findings_workbook(trial_findings())


def test_the_date_of_the_workbook_is_that_of_the_trial() -> None:
    properties = read(trial_findings()).properties
    assert properties.created == properties.modified == datetime(2026, 3, 14)
    assert properties.title == "Harbour otter (invented), tool M2, trial T2"
