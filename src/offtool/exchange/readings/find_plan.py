"""The headings of a table: the row they stand in, over how many rows, and the layout they make."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import zip_longest

from offtool.exchange.readings.attributes import is_unit_row
from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import Heading, read_heading
from offtool.exchange.readings.layouts import READERS, Headed
from offtool.exchange.readings.plan import Plan, Sample
from offtool.exchange.readings.stacking import stack
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.units import Unit, find_unit, stated_unit
from offtool.exchange.readings.words import Role

_DEPTHS = (1, 2, 3)
"""Headings stand in so many rows: characteristic or group, cavity, part."""

_CANDIDATES = 25
"""So many rows that could be headings are looked at, the ones with the most known words first."""

_POINTS_A_DEPTH = 0.5
_POINTS_OVERLONG = 50.0
"""Rows longer than the headings speak against a separator more than anything speaks for it."""

NO_TABLE = "no row of headings was found above readings"


def find_plan(head: list[Row], layout: Layout | None) -> Plan | str:
    """The plan that explains most of the first rows of a file, or why there is none."""
    best: Plan | None = None
    most_known, reasons = 0.0, NO_TABLE
    for table in _candidates(head):
        answers = {asked: reader(table) for asked, reader in READERS.items() if layout in (None, asked)}
        for plan in answers.values():
            if isinstance(plan, Plan):
                plan = replace(plan, score=plan.score - _against(table))
                best = plan if best is None or plan.score > best.score else best
        known = sum(heading.known for heading in table.headings)
        if known > most_known:
            why = "; ".join(f"not {asked}, since {reason}" for asked, reason in answers.items())
            most_known, reasons = (
                known,
                f"the headings in row {table.first + 1} make no table of readings: {why}",
            )
    return replace(best, unit=_table_unit(head[: best.heading_rows[0]])) if best else reasons


def _candidates(head: list[Row]) -> Iterator[Headed]:
    known = {number: _known_words(row) for number, row in enumerate(head)}
    promising = sorted((number for number in known if known[number]), key=lambda number: -known[number])
    rows = promising[:_CANDIDATES] or [number for number, row in enumerate(head) if _texts(row)][:_CANDIDATES]
    for first in sorted(rows):
        for depth in _DEPTHS:
            last = first + depth - 1
            headings = stack(head[first : last + 1]) if last < len(head) else None
            if headings is None:
                break
            if last + 1 < len(head) and is_unit_row(head[last + 1]):
                last += 1
                headings = _with_units(headings, head[last])
            yield Headed(head, first, last, headings, Sample(head[last + 1 :]))


def _known_words(row: Row) -> int:
    headings = [read_heading(cell_text(cell)) for cell in row]
    return sum(
        bool(heading.role or (heading.place and not heading.place.by_position)) for heading in headings
    )


def _texts(row: Row) -> int:
    return sum(isinstance(cell, str) and any(map(str.isalpha, cell)) for cell in row)


def _with_units(headings: list[Heading], row: Row) -> list[Heading]:
    units = [find_unit(cell_text(cell)) for cell in row] + [None] * len(headings)
    return [
        replace(heading, unit=unit) if unit else heading
        for heading, unit in zip(headings, units, strict=False)
    ]


def _against(table: Headed) -> float:
    """What speaks against a plan: rows of headings that say nothing new, readings beyond the last heading."""
    width = len(table.headings)
    overlong = sum(any(cell_text(cell).strip() for cell in row[width:]) for row in table.sample.rows)
    share = overlong / max(1, len(table.sample.rows))
    return _POINTS_A_DEPTH * (table.last - table.first) + _POINTS_OVERLONG * share


def _table_unit(rows: list[Row]) -> Unit | None:
    """The unit that the lines above the headings state for the whole table."""
    for row in rows:
        texts = [text for text in map(cell_text, row) if text.strip() and len(text) <= 200]
        for text, after in zip_longest(texts, texts[1:], fillvalue=""):
            unit = stated_unit(text)
            if not unit and read_heading(text).role is Role.UNIT:
                unit = find_unit(after)
            if unit:
                return unit
    return None
