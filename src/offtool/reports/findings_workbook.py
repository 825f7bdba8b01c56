"""The findings of a trial as a workbook: the verdict in words, every size and cavity, predictions, files."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from math import isfinite
from typing import Any, TypeAlias

import xlsxwriter

from offtool.core.inspection import CavityFinding
from offtool.core.values import Verdict
from offtool.exchange.spreadsheet import write_safe_cell
from offtool.reports import words
from offtool.reports.colours import DOUBT, INK, LINE, NO, QUIET
from offtool.reports.plain_text import printable, shorten
from offtool.steps.findings import FileRead, JudgedSize, PredictionSeen, TrialFindings

NO_DATE = datetime(2000, 1, 1)
LONGEST_TEXT = 32_000
"""A cell of a workbook holds 32767 signs."""
OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
MARKS = {Verdict.HOLDS: "✓", Verdict.FAILS: "✕", Verdict.NOT_SHOWN: "?"}

Value: TypeAlias = str | float | int | None


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell: text, or a number with its decimals; a number that is none leaves it empty."""

    value: Value
    decimals: int = 0
    form: str = "plain"


@dataclass(frozen=True, slots=True)
class Column:
    """A heading and how wide its column is, in signs."""

    heading: str
    width: float


def findings_workbook(findings: TrialFindings) -> bytes:
    """The workbook's bytes; the same findings give the same bytes, nothing comes from the clock."""
    target = BytesIO()
    with xlsxwriter.Workbook(target, OPTIONS) as book:
        shot_on = findings.shot_on
        book.set_properties(
            {
                "title": printable(
                    f"{findings.programme_title}, tool {findings.tool}, trial {findings.trial}"
                ),
                "author": "offtool",
                "comments": printable(findings.method),
                "created": datetime(shot_on.year, shot_on.month, shot_on.day) if shot_on else NO_DATE,
            }
        )
        forms = _Forms(book)
        _verdict_sheet(book.add_worksheet("Verdict"), forms, findings)
        _table(book.add_worksheet("Sizes"), forms, SIZE_COLUMNS, list(_size_rows(findings.sizes)), frozen=2)
        _table(
            book.add_worksheet("Predictions"),
            forms,
            PREDICTION_COLUMNS,
            [_prediction_row(one) for one in findings.predictions],
            frozen=2,
        )
        _table(
            book.add_worksheet("Files"),
            forms,
            FILE_COLUMNS,
            [_file_row(one) for one in findings.files],
            frozen=1,
        )
    return target.getvalue()


SIZE_COLUMNS = (
    Column("No.", 8),
    Column("Size", 30),
    Column("Part", 12),
    Column("Unit", 6),
    Column("Nominal", 10),
    Column("Lower limit", 11),
    Column("Upper limit", 11),
    Column("Target", 10),
    Column("Cavity", 12),
    Column("Parts", 7),
    Column("Mean", 10),
    Column("Standard deviation", 11),
    Column("Off target", 10),
    Column("Mean from", 10),
    Column("Mean to", 10),
    Column("Index", 8),
    Column("Index at least", 9),
    Column("Index at most", 9),
    Column("Index required", 9),
    Column("Mean by ISO 14253-1", 17),
    Column("Parts outside", 9),
    Column("Verdict of the cavity", 17),
    Column("Verdict of the size", 17),
    Column("Why", 80),
)
PREDICTION_COLUMNS = (
    Column("Size", 30),
    Column("Cavity", 12),
    Column("Unit", 6),
    Column("Made at", 10),
    Column("Mean predicted", 12),
    Column("From", 10),
    Column("To", 10),
    Column("Confidence", 11),
    Column("Mean found", 12),
    Column("Uncertainty", 12),
    Column("Difference", 12),
    Column("Outcome", 14),
)
FILE_COLUMNS = (
    Column("File", 40),
    Column("Layout", 10),
    Column("Readings", 10),
    Column("Cells repaired", 10),
    Column("Cells left out", 10),
    Column("SHA-256", 68),
)


def _size_rows(sizes: Sequence[JudgedSize]) -> Iterator[list[Cell]]:
    for size in sizes:
        for cavity in size.finding.cavities:
            yield [*_asked(size), *_found(size, cavity), _verdict(size.verdict), Cell(size.why)]


def _asked(size: JudgedSize) -> Iterator[Cell]:
    finding = size.finding
    yield from (Cell(size.number), Cell(size.name), Cell(size.part), Cell(size.unit))
    ends = [size.nominal, *(end for end in (finding.lower, finding.upper) if end is not None)]
    places = words.decimals_to_write(ends, min(max(size.decimals - 1, 0), 2))
    yield from (Cell(value, places) for value in (size.nominal, finding.lower, finding.upper))
    yield Cell(finding.target, size.decimals)


def _found(size: JudgedSize, cavity: CavityFinding) -> Iterator[Cell]:
    decimals, index = size.decimals, cavity.index
    yield from (Cell(cavity.cavity or "not recorded"), Cell(cavity.parts), Cell(cavity.mean, decimals))
    yield from (Cell(cavity.sd, decimals + 1), Cell(cavity.offset, decimals))
    yield from (Cell(cavity.interval.low, decimals), Cell(cavity.interval.high, decimals))
    yield from (Cell(value, 2) for value in ((index.value, index.low, index.high) if index else (None,) * 3))
    yield Cell(size.finding.required_index, 2)
    yield from (Cell(str(cavity.conformity)), Cell(cavity.parts_outside), _verdict(cavity.verdict))


def _verdict(verdict: Verdict) -> Cell:
    return Cell(f"{MARKS[verdict]} {verdict}", form=verdict.name)


def _prediction_row(one: PredictionSeen) -> list[Cell]:
    judged, places = one.judged, one.decimals
    return [
        Cell(one.size),
        Cell(one.cavity),
        Cell(one.unit),
        Cell(one.made_at),
        Cell(judged.predicted_mean, places),
        Cell(one.low, places),
        Cell(one.high, places),
        Cell(words.percent(one.confidence, 0)),
        Cell(judged.observed_mean, places),
        Cell(judged.observed_uncertainty, places + 1),
        Cell(judged.difference, places),
        Cell(str(judged.outcome)),
    ]


def _file_row(one: FileRead) -> list[Cell]:
    return [
        Cell(one.name),
        Cell(one.layout),
        Cell(one.readings),
        Cell(one.repairs),
        Cell(one.left_out),
        Cell(one.sha256),
    ]


class _Forms:
    """The cell formats, each made once."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.made: dict[tuple[str, int], Any] = {}

    def of(self, form: str, decimals: int = -1) -> Any:
        if (form, decimals) not in self.made:
            look = {"font_color": INK, "valign": "top", **LOOKS[form]}
            if decimals >= 0:
                look["num_format"] = "0." + "0" * decimals if decimals else "0"
            self.made[form, decimals] = self.book.add_format(look)
        return self.made[form, decimals]


LOOKS: dict[str, dict[str, Any]] = {
    "plain": {},
    "wrapped": {"text_wrap": True},
    "quiet": {"font_color": QUIET, "text_wrap": True},
    "title": {"bold": True, "font_size": 16, "text_wrap": True},
    "chapter": {"bold": True, "top": 2},
    "heading": {"bold": True, "text_wrap": True, "bottom": 1, "bottom_color": LINE, "valign": "bottom"},
    Verdict.HOLDS.name: {"font_color": QUIET},
    Verdict.FAILS.name: {"font_color": NO, "bold": True},
    Verdict.NOT_SHOWN.name: {"font_color": DOUBT, "bold": True},
}


def _table(
    sheet: Any, forms: _Forms, columns: Sequence[Column], rows: list[list[Cell]], *, frozen: int
) -> None:
    """A table whose heading and first columns stay in sight, ready to be filtered and printed."""
    for place, column in enumerate(columns):
        sheet.set_column(place, place, column.width)
        sheet.write_string(0, place, column.heading, forms.of("heading"))
    for line, row in enumerate(rows, start=1):
        for place, cell in enumerate(row):
            _write(sheet, forms, line, place, cell)
    sheet.ignore_errors({"number_stored_as_text": f"A1:X{len(rows) + 1}"})
    sheet.freeze_panes(1, frozen)
    sheet.autofilter(0, 0, max(len(rows), 1), len(columns) - 1)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_paper(9)


def _write(sheet: Any, forms: _Forms, line: int, place: int, cell: Cell) -> None:
    value = cell.value
    if isinstance(value, str):
        text = write_safe_cell(shorten(printable(value), LONGEST_TEXT))
        sheet.write_string(line, place, text, forms.of(cell.form))
    elif value is not None and isfinite(value):
        sheet.write_number(line, place, value, forms.of(cell.form, cell.decimals))


def _verdict_sheet(sheet: Any, forms: _Forms, findings: TrialFindings) -> None:
    """The judgement as it is read: the sentence, what to do, what it rests on, the cautions."""
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 1, 90)
    sheet.hide_gridlines(2)
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    line = 0

    def put(first: str, second: str, form: str = "wrapped", first_form: str = "quiet") -> None:
        nonlocal line
        _write(sheet, forms, line, 0, Cell(first, form=first_form))
        _write(sheet, forms, line, 1, Cell(second, form=form))
        line += 1

    put(f"Tool {findings.tool}, trial {findings.trial}", findings.headline, "title")
    put("Programme", findings.programme_title or findings.programme)
    put("Tool", f"{findings.tool} {findings.tool_name}".strip() + f", state {findings.state}")
    put("Shot on", ", ".join(filter(None, [words.day(findings.shot_on), findings.press, findings.colour])))
    put("Verdicts", _counts(findings))
    for chapter, pairs in _chapters(findings):
        line += 1
        put(chapter, "", "chapter", "chapter")
        for first, second in pairs:
            put(first, second)
    line += 1
    put("Worked out with", findings.method)


def _counts(findings: TrialFindings) -> str:
    return ", ".join(words.counted(findings.count(one), one) for one in Verdict)


def _chapters(findings: TrialFindings) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    yield (
        "What to do",
        [(f"{i}", f"{one.do} {one.because}".strip()) for i, one in enumerate(findings.actions, start=1)],
    )
    yield "What it rests on", [(one.about, one.says) for one in findings.rests_on]
    yield (
        "Cautions",
        [
            (f"{i}", one.text + (f" ({one.source})" if one.source else ""))
            for i, one in enumerate(findings.cautions, start=1)
        ],
    )
