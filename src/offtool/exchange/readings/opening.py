"""A file opened: how it is written, and the table that was found in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from offtool.exchange.readings import decimal_mark
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import NO_SEPARATOR, SEPARATORS, DelimitedGrid
from offtool.exchange.readings.find_plan import NO_TABLE, NoPlan, find_plan
from offtool.exchange.readings.grid import Grid, Row, head
from offtool.exchange.readings.plan import Plan
from offtool.exchange.readings.table import FileRefused, Layout
from offtool.exchange.readings.workbook import Workbook

_WORKBOOK = "XLSX"


@dataclass(frozen=True, slots=True)
class Opened:
    """The rows of a file, the plan to read them by, and how it is written."""

    grid: Grid
    head: list[Row]
    plan: Plan
    encoding: str
    separator: str
    decimal: str
    sheet: str | None = None
    notes: tuple[str, ...] = ()


def open_workbook(content: bytes, name: str, layout: Layout | None, sheet: str | None) -> Opened:
    """The first visible sheet that holds a table of readings, or the one asked for."""
    book = Workbook(content, name)
    if sheet is not None and sheet not in book.sheets:
        has = ", ".join(map(repr, book.sheets))
        raise FileRefused(f"has no sheet {sheet!r}", where=name, remedy=f"it has {has}")
    found: list[Opened] = []
    refusals: list[FileRefused] = []
    for title in [sheet] if sheet is not None else book.sheets:
        try:
            found.append(_open_sheet(book, title, layout))
        except FileRefused as refusal:
            refusals.append(refusal)
    if not found:
        raise _no_sheet(name, refusals)
    others = ", ".join(repr(each.sheet) for each in found[1:])
    more = (f"Other sheets hold readings too and are not read: {others}.",) if others else ()
    return replace(found[0], notes=(*found[0].notes, *more))


def _open_sheet(book: Workbook, title: str, layout: Layout | None) -> Opened:
    grid = book.grid(title)
    rows = head(grid)
    plan = find_plan(rows, layout)
    if isinstance(plan, NoPlan):
        raise FileRefused(plan.why, where=grid.where, remedy=plan.remedy)
    spread = grid.spread_merged(set(plan.columns.values()))
    notes = ("Merged cells stand for each row they cover.",) if spread else ()
    decimal, evidence = decimal_mark.decide(decimal_mark.count_marks(grid, plan), NO_SEPARATOR)
    notes = (*notes, evidence) if evidence else notes
    return Opened(grid, rows, plan, _WORKBOOK, NO_SEPARATOR, decimal, title, notes)


def _no_sheet(name: str, refusals: list[FileRefused]) -> FileRefused:
    if len(refusals) == 1:
        return refusals[0]
    why = "; ".join(
        f"{refusal.where.removeprefix(name).lstrip(', ')}: {refusal.what}" for refusal in refusals
    )
    remedy = refusals[-1].remedy if refusals else "show the sheet that holds the readings"
    return FileRefused(why or "has no visible sheet", where=name, remedy=remedy)


def open_text(
    content: bytes, name: str, layout: Layout | None, separators: Sequence[str] = (*SEPARATORS, NO_SEPARATOR)
) -> Opened:
    """The table that the separator shows which explains most of the file."""
    encoding = find_encoding(content, name)
    best: Opened | None = None
    broken: list[FileRefused] = []
    reasons = [FileRefused(NO_TABLE.why, where=name, remedy=NO_TABLE.remedy)]
    for separator in separators:
        grid = DelimitedGrid(content, encoding, separator, name=name)
        try:
            rows = head(grid)
        except FileRefused as refusal:
            broken.append(refusal)
            continue
        plan = find_plan(rows, layout)
        if isinstance(plan, NoPlan):
            if plan != NO_TABLE:
                reasons.insert(-1, FileRefused(plan.why, where=name, remedy=plan.remedy))
        elif best is None or plan.score > best.plan.score:
            best = Opened(grid, rows, plan, encoding.name, separator, ".")
    if best is None:
        raise [*broken, *reasons][0]
    decimal, evidence = decimal_mark.decide_for_text(content, best.separator, best.grid, best.plan)
    return replace(best, decimal=decimal, notes=(evidence,) if evidence else ())
