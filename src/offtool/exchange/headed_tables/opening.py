"""A file opened: how it is written, and the table with known headings that was found in it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from offtool.exchange.headed_tables.fields import Vocabulary
from offtool.exchange.headed_tables.plan import TablePlan, find_table_plan
from offtool.exchange.readings import FileRefused, decimal_mark
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import NO_SEPARATOR, SEPARATORS, DelimitedGrid
from offtool.exchange.readings.grid import Grid, Row, head
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.unpack import ZIP_SIGNATURE
from offtool.exchange.readings.workbook import Workbook


@dataclass(frozen=True, slots=True)
class OpenedTable:
    """The rows of a file, the plan to read them by, and how it is written."""

    grid: Grid
    head: list[Row]
    plan: TablePlan
    encoding: str
    separator: str
    decimal: str = "."
    sheet: str | None = None
    notes: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    """The fields that such a table may have, by their names."""

    @property
    def not_told(self) -> tuple[str, ...]:
        """Fields that it may have, and that none of its columns is."""
        told = {one.field.name for one in self.plan.told}
        return tuple(one for one in self.known if one not in told)


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What is looked for in a file: headings, those that must be there, and the remedy without them."""

    vocabulary: Vocabulary
    needed: Collection[str]
    remedy: str

    def plan(self, rows: list[Row]) -> TablePlan | None:
        return find_table_plan(rows, self.vocabulary, self.needed)

    def nothing(self, name: str) -> FileRefused:
        return FileRefused(
            f"no row of headings was found with {' or '.join(self.needed)}", where=name, remedy=self.remedy
        )


def open_table(
    content: bytes,
    name: str,
    *,
    sheet: str | None,
    vocabulary: Vocabulary,
    needed: Collection[str],
    remedy: str,
) -> OpenedTable:
    """The table of a CSV or XLSX file. Raises FileRefused where there is none, for any bytes."""
    refuse_beyond("bytes", len(content), where=name)
    looked = Looked(vocabulary=vocabulary, needed=needed, remedy=remedy)
    if not content.strip():
        raise FileRefused("is empty", where=name, remedy="send the file again")
    known = tuple(one.name for one in vocabulary.fields)
    if content.startswith(ZIP_SIGNATURE):
        return replace(_open_workbook(content, name, sheet, looked), known=known)
    if sheet is not None:
        raise FileRefused(
            f"is no workbook; it has no sheet {sheet!r}", where=name, remedy="leave the sheet out"
        )
    return replace(_open_text(content, name, looked), known=known)


def _open_workbook(content: bytes, name: str, sheet: str | None, looked: Looked) -> OpenedTable:
    """The first visible sheet that holds such a table, or the one asked for."""
    book = Workbook(content, name)
    if sheet is not None and sheet not in book.sheets:
        raise FileRefused(
            f"has no sheet {sheet!r}", where=name, remedy=f"it has {', '.join(map(repr, book.sheets))}"
        )
    found = list(_sheets(book, book.sheets if sheet is None else [sheet], looked))
    if not found:
        raise looked.nothing(name)
    first, *others = found
    if not others:
        return first
    titles = ", ".join(repr(one.sheet) for one in others)
    return replace(
        first, notes=(*first.notes, f"Other sheets hold such tables too and are not read: {titles}.")
    )


def _sheets(book: Workbook, titles: list[str], looked: Looked) -> Iterator[OpenedTable]:
    for title in titles:
        grid = book.grid(title)
        rows = head(grid)
        plan = looked.plan(rows)
        if plan is None:
            continue
        spread = grid.spread_merged({one.column for one in plan.told if one.field.name == "piece"})
        decimal, evidence = decimal_mark.decide(decimal_mark.count_marks(grid, plan.rows), NO_SEPARATOR)
        merged = "Merged cells stand for each row they cover." if spread else ""
        notes = tuple(filter(None, (merged, evidence)))
        yield OpenedTable(grid, rows, plan, "XLSX", NO_SEPARATOR, decimal, title, notes)


def _open_text(content: bytes, name: str, looked: Looked) -> OpenedTable:
    """The table that the separator shows which explains most of the file."""
    encoding = find_encoding(content, name)
    found: list[OpenedTable] = []
    broken: list[FileRefused] = []
    for separator in (*SEPARATORS, NO_SEPARATOR):
        grid = DelimitedGrid(content, encoding, separator, name=name)
        try:
            rows = head(grid)
        except FileRefused as refusal:
            broken.append(refusal)
            continue
        plan = looked.plan(rows)
        if plan is not None:
            found.append(OpenedTable(grid, rows, plan, encoding.name, separator))
    if not found:
        raise [*broken, looked.nothing(name)][0]
    best = max(found, key=lambda one: one.plan.score)
    decimal, evidence = decimal_mark.decide_for_text(content, best.separator, best.grid, best.plan.rows)
    return replace(best, decimal=decimal, notes=(evidence,) if evidence else ())
