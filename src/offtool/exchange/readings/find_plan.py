"""The headings of a table: the row they stand in, over how many rows, and the layout they make."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import zip_longest

from offtool.exchange.readings.attributes import is_unit_row
from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import Heading, read_heading
from offtool.exchange.readings.layouts import READERS
from offtool.exchange.readings.plan import Headed, Plan, Sample
from offtool.exchange.readings.score import TELLING, points_against
from offtool.exchange.readings.stacking import stack
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.text import has_letters
from offtool.exchange.readings.units import Unit, find_unit, stated_unit
from offtool.exchange.readings.words import Role

_DEPTHS = (1, 2, 3)
"""Headings stand in so many rows: characteristic or group, cavity, part."""

_CANDIDATES = 25
"""So many rows that could be headings are looked at, the ones with the most known words first."""


@dataclass(frozen=True, slots=True)
class NoPlan:
    """Why the first rows of a file make no table, and the remedy."""

    why: str
    remedy: str


_NAME_THE_HEADINGS = (
    "give it one row of headings for characteristic, cavity, shot and value, or set its layout"
)
_PART_THE_TABLES = "put each table in a file or on a sheet of its own"

NO_TABLE = NoPlan("no row of headings was found above readings", _NAME_THE_HEADINGS)


def find_plan(head: list[Row], layout: Layout | None) -> Plan | NoPlan:
    """The plan that explains most of the first rows of a file, or why there is none."""
    best: Plan | None = None
    most_known, reasons = 0, NO_TABLE
    for table in _candidates(head):
        answers = {asked: reader(table) for asked, reader in READERS.items() if layout in (None, asked)}
        for plan in answers.values():
            if isinstance(plan, Plan):
                plan = replace(plan, score=plan.score - points_against(table, plan.values))
                best = plan if best is None or plan.score > best.score else best
        known = sum(heading.known for heading in table.headings)
        if known > most_known:
            why = "; ".join(f"not {asked}, since {reason}" for asked, reason in answers.items())
            headings = f"the headings in row {table.first + 1} make no table of readings: {why}"
            most_known, reasons = known, NoPlan(headings, _NAME_THE_HEADINGS)
    if best is None:
        return reasons
    above = head[: best.heading_rows[0]]
    earlier = _table_in(above, layout)
    if earlier is not None:
        rows = f"rows {earlier + 1} and {best.heading_rows[0] + 1}"
        return NoPlan(f"two tables stand in one, with headings in {rows}", _PART_THE_TABLES)
    return replace(best, unit=_table_unit(above))


def _table_in(head: list[Row], layout: Layout | None) -> int | None:
    """The row of headings of a table above the one that was chosen; it would be lost without a word."""
    for table in _candidates(head):
        telling = {heading.role for heading in table.headings} & TELLING
        for asked, reader in READERS.items():
            plan = reader(table) if layout in (None, asked) and len(telling) > 1 else ""
            if isinstance(plan, Plan) and all(
                value.heading.known or has_letters(value.name) for value in plan.values
            ):
                return table.first
    return None


def _candidates(head: list[Row]) -> Iterator[Headed]:
    known = {number: _known_words(row) for number, row in enumerate(head)}
    promising = sorted((number for number in known if known[number]), key=lambda number: -known[number])
    if not any(
        {read_heading(cell_text(cell)).role for cell in head[number]} & TELLING for number in promising
    ):
        promising += [number for number, row in enumerate(head) if not known[number] and _texts(row)]
    for first in sorted(promising[:_CANDIDATES]):
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


def _texts(row: Row) -> bool:
    return any(isinstance(cell, str) and has_letters(cell) for cell in row)


def _with_units(headings: list[Heading], row: Row) -> list[Heading]:
    units = [find_unit(cell_text(cell)) for cell in row] + [None] * len(headings)
    return [
        replace(heading, unit=unit) if unit else heading
        for heading, unit in zip(headings, units, strict=False)
    ]


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
