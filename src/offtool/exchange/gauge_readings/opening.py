"""The file of a gauge study opened: how it is written, and the table that was found in it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offtool.exchange.gauge_readings.plan import StudyPlan, find_study_plan
from offtool.exchange.readings import FileRefused, decimal_mark
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import NO_SEPARATOR, SEPARATORS, DelimitedGrid
from offtool.exchange.readings.grid import Grid, Row, head
from offtool.exchange.readings.workbook import Workbook

WORKBOOK = "XLSX"
_NO_TABLE = "no row of headings was found above the readings of a study"
_REMEDY = (
    "head the columns part, operator, repeat and value, or part and then one column for each operator and "
    "repeat, such as A 1, A 2, B 1"
)


@dataclass(frozen=True, slots=True)
class OpenedStudy:
    """The rows of a file, the plan to read them by, and how it is written."""

    grid: Grid
    head: list[Row]
    plan: StudyPlan
    encoding: str
    separator: str
    decimal: str
    sheet: str | None = None
    notes: tuple[str, ...] = ()


def open_study_workbook(content: bytes, name: str, sheet: str | None) -> OpenedStudy:
    """The first visible sheet that holds a study, or the one asked for."""
    book = Workbook(content, name)
    if sheet is not None and sheet not in book.sheets:
        has = ", ".join(map(repr, book.sheets))
        raise FileRefused(f"has no sheet {sheet!r}", where=name, remedy=f"it has {has}")
    found = [
        one
        for title in ([sheet] if sheet is not None else book.sheets)
        if (one := _open_sheet(book, title)) is not None
    ]
    if not found:
        raise FileRefused(_NO_TABLE, where=name, remedy=_REMEDY)
    others = ", ".join(repr(each.sheet) for each in found[1:])
    more = (f"Other sheets hold readings too and are not read: {others}.",) if others else ()
    return replace(found[0], notes=(*found[0].notes, *more))


def _open_sheet(book: Workbook, title: str) -> OpenedStudy | None:
    grid = book.grid(title)
    rows = head(grid)
    plan = find_study_plan(rows)
    if plan is None:
        return None
    spread = grid.spread_merged(set(plan.columns.values()))
    notes = ("Merged cells stand for each row they cover.",) if spread else ()
    decimal, evidence = decimal_mark.decide(decimal_mark.count_marks(grid, plan.rows), NO_SEPARATOR)
    notes = (*notes, evidence) if evidence else notes
    return OpenedStudy(grid, rows, plan, WORKBOOK, NO_SEPARATOR, decimal, title, notes)


def open_study_text(content: bytes, name: str) -> OpenedStudy:
    """The study that the separator shows which explains most of the file."""
    encoding = find_encoding(content, name)
    best: OpenedStudy | None = None
    broken: list[FileRefused] = []
    for separator in (*SEPARATORS, NO_SEPARATOR):
        grid = DelimitedGrid(content, encoding, separator, name=name)
        try:
            rows = head(grid)
        except FileRefused as refusal:
            broken.append(refusal)
            continue
        plan = find_study_plan(rows)
        if plan is not None and (best is None or plan.score > best.plan.score):
            best = OpenedStudy(grid, rows, plan, encoding.name, separator, ".")
    if best is None:
        raise [*broken, FileRefused(_NO_TABLE, where=name, remedy=_REMEDY)][0]
    decimal, evidence = decimal_mark.decide_for_text(content, best.separator, best.grid, best.plan.rows)
    return replace(best, decimal=decimal, notes=(evidence,) if evidence else ())
