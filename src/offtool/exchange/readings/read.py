"""A file of readings, from its bytes to a table: the one way in."""

from __future__ import annotations

from contextlib import suppress

import numpy as np

from offtool.exchange.readings.characteristics import Catalogue
from offtool.exchange.readings.checks import say_doubles, say_judgements, say_places
from offtool.exchange.readings.columns import ValueColumns
from offtool.exchange.readings.grid import cell_text
from offtool.exchange.readings.ledger import Ledger, quote, rows_named
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.opening import Opened, open_text, open_workbook
from offtool.exchange.readings.plan import Plan
from offtool.exchange.readings.qif import is_qif, read_qif
from offtool.exchange.readings.specification import SpecificationReader
from offtool.exchange.readings.table import FileRefused, Layout, ReadingTable
from offtool.exchange.readings.unpack import ZIP_SIGNATURE
from offtool.exchange.readings.walk import Readings, Walk
from offtool.exchange.readings.words import Role

_LONGEST_LINE = 4000

_UNKNOWN_HEADING = Unread(
    "heads a column of numbers and says neither what nor where they are; the column is left out",
    "name the characteristic, or the cavity and part, in the heading",
)


def read_table(
    content: bytes, name: str, *, layout: Layout | None = None, sheet: str | None = None
) -> ReadingTable:
    """The measurements of a trial from a file as it came from the gauge room.

    Parameters: ``content``, the bytes of a CSV, XLSX or QIF file, at most LIMITS["bytes"]; ``name``, the
    file as messages name it; ``layout``, to set what is otherwise recognised by the headings; ``sheet``, to
    read another sheet of a workbook than the first that holds readings.

    Returns a ReadingTable. Cells that cannot be read are listed in ``refused`` and the others stand: whether
    that is good enough is the caller's to decide. Raises FileRefused when no table of readings can be made
    of the file, for any bytes; nothing else is raised.
    """
    refuse_beyond("bytes", len(content), where=name)
    if not content.strip():
        raise FileRefused("is empty", where=name, remedy="send the file again")
    if is_qif(content):
        return _read_qif(content, name, layout, sheet)
    if layout is Layout.QIF:
        raise FileRefused("is no QIF", where=name, remedy="leave the layout out, or export QIF 3.0")
    if content.startswith(ZIP_SIGNATURE):
        return _read(open_workbook(content, name, layout, sheet), name)
    if sheet is not None:
        raise FileRefused(
            f"is no workbook; it has no sheet {sheet!r}", where=name, remedy="leave the sheet out"
        )
    return _read(open_text(content, name, layout), name)


class AlikeReader:
    """Reads files of one program, one after the other: what shows the separator of one shows it of the next.

    Trying every separator is most of the work on a small file. A file whose first line is that of one read
    before, with its separator in it, is only tried with that.
    """

    def __init__(self, layout: Layout | None, sheet: str | None) -> None:
        self._layout, self._sheet = layout, sheet
        self._separator: dict[bytes, str] = {}

    def read(self, content: bytes, name: str, *, is_workbook: bool) -> ReadingTable:
        """The table of one file; raises what `read_table` does."""
        first = content[:_LONGEST_LINE].partition(b"\n")[0]
        separator = self._separator.get(first, "")
        if separator and separator.encode() in first and self._layout is not Layout.QIF:
            with suppress(FileRefused):  # tried again below, and refused there with all reasons
                refuse_beyond("bytes", len(content), where=name)
                return _read(open_text(content, name, self._layout, (separator,)), name)
        sheet = self._sheet if is_workbook else None
        table = read_table(content, name, layout=self._layout, sheet=sheet)
        self._separator[first] = table.delimiter
        return table


def _read_qif(content: bytes, name: str, layout: Layout | None, sheet: str | None) -> ReadingTable:
    if layout not in (None, Layout.QIF) or sheet is not None:
        what = f"has no sheet {sheet!r}" if sheet is not None else f"is not {layout}"
        raise FileRefused(f"is QIF and {what}", where=name, remedy="leave layout and sheet out")
    return read_qif(content, name)


def _read(opened: Opened, name: str) -> ReadingTable:
    plan, grid = opened.plan, opened.grid
    ledger = Ledger(grid.where)
    ledger.note(_understood(plan), *plan.notes, *opened.notes)
    specifications = SpecificationReader(opened.decimal, ledger, unsigned_below=_unsigned_below(opened))
    catalogue = Catalogue(plan, specifications, ledger, grid.where)
    values = ValueColumns(opened.decimal, ledger, from_sheet=opened.sheet is not None)
    walk = Walk(grid, plan, catalogue, values, ledger)
    readings = walk.go(opened.head)
    _say_columns(plan, ledger)
    _refuse_nothing_read(readings, ledger, grid.where)
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


def _refuse_nothing_read(readings: Readings, ledger: Ledger, where: str) -> None:
    if len(readings["value"]) == 0:
        first = "; ".join(map(str, ledger.refused()[:3]))
        what = "holds no reading that can be read" + (f": {first}" if first else "")
        raise FileRefused(what, where=where, remedy="check layout, separator and decimal mark")


def _understood(plan: Plan) -> str:
    columns = [value.column for value in plan.values]
    hold = f"column {columns[0] + 1} holds" if len(columns) == 1 else f"columns {_spans(columns)} hold"
    above = plan.heading_rows[0]
    title = f" What stands above row {above + 1} is taken for a title." if above else ""
    return f"Layout {plan.layout}: headings in {rows_named(plan.heading_rows)}; {hold} readings.{title}"


def _spans(columns: list[int]) -> str:
    """Columns counted from 1, neighbours together: "3 to 5, 7"."""
    spans: list[list[int]] = []
    for column in columns:
        if spans and column == spans[-1][-1] + 1:
            spans[-1].append(column)
        else:
            spans.append([column])
    return ", ".join(f"{s[0] + 1} to {s[-1] + 1}" if len(s) > 1 else f"{s[0] + 1}" for s in spans)


def _unsigned_below(opened: Opened) -> bool:
    """Whether no lower tolerance in sight has a sign; then all are meant downwards.

    Common practice, no source. Where one has a sign, those without lie above the nominal (+0.03/+0.01).
    """
    plan = opened.plan
    column, row = plan.columns.get(Role.LOWER_DEVIATION), plan.attributes.get(Role.LOWER_DEVIATION)
    cells = [r[column] for r in opened.head[plan.first_data_row :] if column is not None and column < len(r)]
    if row is not None:
        cells += [opened.head[row][v.column] for v in plan.values if v.column < len(opened.head[row])]
    return not any(cell_text(cell).strip().startswith(("-", "−", "–")) for cell in cells)


def _say_columns(plan: Plan, ledger: Ledger) -> None:
    for column in plan.unknown:
        ledger.refuse(plan.heading_rows[0], column, plan.headings[column].text, _UNKNOWN_HEADING)
    headed = [quote(plan.headings[column].text) for column in plan.left_out if plan.headings[column].text]
    if headed:
        ledger.note(f"Columns without readings are left out: {', '.join(headed)}.")
    placed = [value for value in plan.values if value.heading.place]
    if placed and plan.layout is Layout.REPORT:
        place = placed[0].place
        said = (("cavity", place.cavity), ("shot", place.shot), ("part", place.part))
        read_as = " ".join(f"{what} {which}" for what, which in said if which is not None)
        ledger.note(
            f"Headings of readings say where they were taken: {placed[0].heading.text!r} is {read_as}."
        )
