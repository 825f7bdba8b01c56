"""Where the headings of a table stand, and which of its columns are known."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from offtool.exchange.headed_tables.fields import Sort, Told, Vocabulary
from offtool.exchange.headed_tables.units import find_unit, without_unit
from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import Heading, role_of
from offtool.exchange.readings.plan import Plan, Sample, ValueColumn
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.units import Unit

_CANDIDATES = 40
"""Headings are looked for in so many rows."""
_A_WORD, _OVERLONG = 8.0, 60.0
"""A known word tells more than a few cells; rows longer than the headings speak against them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TablePlan:
    """Rows and columns count from 0 here; `rows` is the plan that the readers' own parts go by."""

    told: tuple[Told, ...]
    unknown: tuple[int, ...]
    """Columns that hold numbers under a heading that says nothing here, or under none."""
    ignored: tuple[str, ...]
    """Headings of columns that hold something else."""
    rows: Plan
    score: float

    @property
    def heading_row(self) -> int:
        return self.rows.heading_rows[0]


def find_table_plan(head: list[Row], vocabulary: Vocabulary, needed: Collection[str]) -> TablePlan | None:
    """The plan that explains most of the first rows of a file; None where no field of `needed` is headed."""
    best: TablePlan | None = None
    for first in range(min(len(head), _CANDIDATES)):
        plan = _plan(head, first, vocabulary)
        if any(one.field.name in needed for one in plan.told) and (best is None or plan.score > best.score):
            best = plan
    return best


def _plan(head: list[Row], first: int, vocabulary: Vocabulary) -> TablePlan:
    texts = [cell_text(cell).strip() for cell in head[first]]
    last, units = _units_below(head, first)
    told = tuple(
        replace(one, unit=units.get(one.column) or one.unit)
        for column, text in enumerate(texts)
        if (one := vocabulary.read(text, column)) is not None
    )
    sample = Sample(head[last + 1 :])
    known = {one.column for one in told}
    others = [column for column in range(_width(texts, sample)) if column not in known]
    unknown = tuple(c for c in others if sample.has_any_number(c) and not _tells_nothing(texts, c))
    ignored = tuple(texts[c] for c in others if c < len(texts) and texts[c] and c not in unknown)
    overlong = sum(any(cell_text(cell).strip() for cell in row[len(texts) :]) for row in sample.rows)
    return TablePlan(
        told=told,
        unknown=unknown,
        ignored=ignored,
        rows=_for_readers(texts, told, first, last),
        score=_A_WORD * len(told) - _OVERLONG * overlong / max(1, len(sample.rows)),
    )


def _width(texts: list[str], sample: Sample) -> int:
    return max([len(texts), *(len(row) for row in sample.rows if len(row) <= len(texts))])


def _tells_nothing(texts: list[str], column: int) -> bool:
    """Whether a heading is a word of measuring tables that no value of ours stands under, such as date."""
    return column < len(texts) and role_of(without_unit(texts[column])[0]) is not None


def _units_below(head: list[Row], first: int) -> tuple[int, dict[int, Unit]]:
    """The last row of the headings, and the units of a row of nothing but units below them."""
    if first + 1 >= len(head):
        return first, {}
    texts = {column: text for column, cell in enumerate(head[first + 1]) if (text := cell_text(cell).strip())}
    units = {column: unit for column, text in texts.items() if (unit := find_unit(text))}
    others = [text for column, text in texts.items() if column not in units]
    if not units or any(text.strip("-–/[] ") for text in others):
        return first, {}
    return first + 1, units


def _for_readers(texts: list[str], told: tuple[Told, ...], first: int, last: int) -> Plan:
    headings = tuple(Heading(text, text) for text in texts)
    numbers = (one.column for one in told if one.field.sort is Sort.NUMBER)
    return Plan(
        layout=Layout.LONG,
        heading_rows=tuple(range(first, last + 1)),
        first_data_row=last + 1,
        width=len(texts),
        values=tuple(ValueColumn(column, headings[column]) for column in numbers),
        columns={},
        headings=headings,
    )
