"""A file of readings, from its bytes to a table: the one way in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.exchange.readings import decimal_mark
from offtool.exchange.readings.characteristics import Catalogue
from offtool.exchange.readings.checks import say_doubles, say_judgements, say_places
from offtool.exchange.readings.columns import ValueColumns
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import NO_SEPARATOR, SEPARATORS, DelimitedGrid
from offtool.exchange.readings.find_plan import NO_TABLE, find_plan
from offtool.exchange.readings.grid import Grid, Row, cell_text, head
from offtool.exchange.readings.ledger import Ledger, quote
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.plan import Plan
from offtool.exchange.readings.specification import SpecificationReader
from offtool.exchange.readings.table import FileRefused, Layout, ReadingTable
from offtool.exchange.readings.unpack import ZIP_SIGNATURE
from offtool.exchange.readings.walk import Walk
from offtool.exchange.readings.words import Role
from offtool.exchange.readings.workbook import Workbook

_UNKNOWN_HEADING = Unread(
    "heads a column of numbers and says neither what nor where they are; the column is left out",
    "name the characteristic, or the cavity and part, in the heading",
)
_NAME_THE_HEADINGS = (
    "give the table one row of headings that name characteristic, cavity, shot and value, or set its layout"
)


@dataclass(frozen=True, slots=True)
class _Opened:
    """A file whose table was found: its rows, the plan, and how it is written."""

    grid: Grid
    head: list[Row]
    plan: Plan
    encoding: str
    separator: str
    sheet: str | None
    decimal: str
    notes: tuple[str, ...]


def read_table(
    content: bytes, name: str, *, layout: Layout | None = None, sheet: str | None = None
) -> ReadingTable:
    """The measurements of a trial from a file as it came from the gauge room.

    Parameters: ``content``, the bytes of a CSV or XLSX file, at most LIMITS["bytes"]; ``name``, the file as
    messages name it; ``layout``, to set what is otherwise recognised by the headings; ``sheet``, to read
    another sheet of a workbook than the first that holds readings.

    Returns a ReadingTable. Cells that cannot be read are listed in ``refused`` and the others stand: whether
    that is good enough is the caller's to decide. Raises FileRefused when no table of readings can be made
    of the file, for any bytes; nothing else is raised.
    """
    refuse_beyond("bytes", len(content), where=name)
    if not content.strip():
        raise FileRefused("is empty", where=name, remedy="send the file again")
    if content.startswith(ZIP_SIGNATURE):
        opened = _open_workbook(content, name, layout, sheet)
    elif sheet is not None:
        raise FileRefused(
            f"is no workbook; it has no sheet {sheet!r}", where=name, remedy="leave the sheet out"
        )
    else:
        opened = _open_text(content, name, layout)
    return _read(opened, name)


def _open_workbook(content: bytes, name: str, layout: Layout | None, sheet: str | None) -> _Opened:
    book = Workbook(content, name)
    if sheet is not None and sheet not in book.sheets:
        raise FileRefused(
            f"has no sheet {sheet!r}", where=name, remedy=f"it has {', '.join(map(repr, book.sheets))}"
        )
    found: _Opened | None = None
    others, reasons = [], []
    for title in [sheet] if sheet is not None else book.sheets:
        try:
            grid = book.grid(title)
        except FileRefused as refusal:
            if sheet is not None:
                raise
            reasons.append(str(refusal))
            continue
        rows = head(grid)
        plan = find_plan(rows, layout)
        if isinstance(plan, str):
            reasons.append(f"sheet {title!r}: {plan}")
        elif found:
            others.append(title)
        else:
            decimal, evidence = decimal_mark.decide(decimal_mark.count_marks(grid, plan), "")
            found = _Opened(grid, rows, plan, "XLSX", "", title, decimal, (evidence,) if evidence else ())
    if found is None:
        raise FileRefused("; ".join(reasons) or "has no visible sheet", where=name, remedy=_NAME_THE_HEADINGS)
    if not others:
        return found
    more = f"Other sheets hold readings too and are not read: {', '.join(map(repr, others))}."
    return _Opened(
        found.grid,
        found.head,
        found.plan,
        found.encoding,
        "",
        found.sheet,
        found.decimal,
        (*found.notes, more),
    )


def _open_text(content: bytes, name: str, layout: Layout | None) -> _Opened:
    encoding = find_encoding(content, name)
    best: tuple[DelimitedGrid, list[Row], Plan, str] | None = None
    reason, refusal = NO_TABLE, None
    for separator in (*SEPARATORS, NO_SEPARATOR):
        grid = DelimitedGrid(content, encoding, separator, name=name)
        try:
            rows = head(grid)
        except FileRefused as error:
            refusal = refusal or error
            continue
        plan = find_plan(rows, layout)
        if isinstance(plan, str):
            reason = plan if reason == NO_TABLE else reason
        elif best is None or plan.score > best[2].score:
            best = grid, rows, plan, separator
    if best is None:
        raise refusal or FileRefused(reason, where=name, remedy=_NAME_THE_HEADINGS)
    grid, rows, plan, separator = best
    decimal, evidence = _decimal_of_text(content, grid, plan, separator)
    return _Opened(grid, rows, plan, encoding.name, separator, None, decimal, (evidence,) if evidence else ())


def _decimal_of_text(content: bytes, grid: DelimitedGrid, plan: Plan, separator: str) -> tuple[str, str]:
    settled = decimal_mark.decide_from_text(content, separator)
    if settled == ".":
        return settled, ""
    if settled == ",":
        return settled, "The decimal mark is the comma: the file holds no point."
    return decimal_mark.decide(decimal_mark.count_marks(grid, plan), separator)


def _read(opened: _Opened, name: str) -> ReadingTable:
    plan, grid = opened.plan, opened.grid
    ledger = Ledger(grid.where)
    ledger.note(*plan.notes, *opened.notes)
    specifications = SpecificationReader(opened.decimal, ledger, unsigned_below=_unsigned_below(opened))
    catalogue = Catalogue(plan, specifications, ledger, grid.where)
    values = ValueColumns(opened.decimal, ledger, from_sheet=opened.sheet is not None)
    walk = Walk(grid, plan, catalogue, values, ledger)
    readings = walk.go(opened.head)
    _say_columns(plan, ledger)
    if len(readings["value"]) == 0:
        first = "; ".join(map(str, ledger.refused()[:3]))
        raise FileRefused(
            "holds no reading that can be read" + (f": {first}" if first else ""),
            where=grid.where,
            remedy="check layout, separator and decimal mark",
        )
    found, final = catalogue.finish(np.unique(readings["characteristic"]))
    readings["characteristic"] = final[readings["characteristic"]]
    labels, final = walk.cavities.finish(np.unique(readings["cavity"]))
    readings["cavity"] = final[readings["cavity"]]
    say_places(readings, ledger)
    say_doubles(readings, ledger)
    say_judgements(readings, found, walk.judged, ledger)
    return ReadingTable(
        name=name,
        layout=plan.layout,
        sheet=opened.sheet,
        encoding=opened.encoding,
        delimiter=opened.separator,
        decimal=opened.decimal,
        characteristics=found,
        cavities=labels,
        **readings,
        repairs=ledger.repairs(),
        refused=ledger.refused(),
        missing=ledger.missing,
        notes=ledger.notes(),
    )


def _unsigned_below(opened: _Opened) -> bool:
    """Whether no lower tolerance in sight has a sign; then all are meant downwards.

    Common practice, no source. Where one has a sign, those without lie above the nominal (+0.03/+0.01).
    """
    plan = opened.plan
    column, row = plan.columns.get(Role.LOWER_DEVIATION), plan.attributes.get(Role.LOWER_DEVIATION)
    cells = [r[column] for r in opened.head[plan.first_data_row :] if column is not None and column < len(r)]
    if row is not None:
        cells += [
            opened.head[row][value.column] for value in plan.values if value.column < len(opened.head[row])
        ]
    return not any(
        cell_text(cell).strip()[:1] in ("-", "−", "–") for cell in cells if cell_text(cell).strip()
    )


def _say_columns(plan: Plan, ledger: Ledger) -> None:
    for column in plan.unknown:
        ledger.refuse(plan.heading_rows[0], column, plan.headings[column].text, _UNKNOWN_HEADING)
    headed = [quote(plan.headings[column].text) for column in plan.left_out if plan.headings[column].text]
    if headed:
        ledger.note(f"Columns without readings are left out: {', '.join(headed)}.")
    by_position = [v for v in plan.values if v.heading.place and v.heading.place.by_position]
    if by_position and plan.layout is Layout.REPORT:
        shown = by_position[0].heading
        place = by_position[0].place
        read_as = " ".join(
            f"{what} {which}"
            for what, which in (("cavity", place.cavity), ("shot", place.shot), ("part", place.part))
            if which is not None
        )
        ledger.note(f"Numbers in headings are read by their place: {shown.text!r} is {read_as}.")
