"""Which column of a study's file is for what, found from the headings and the cells below them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from offtool.exchange.gauge_readings.headings import (
    StudyHeading,
    StudyRole,
    Whose,
    names_an_operator,
    part_named,
    read_study_heading,
    whose_readings,
)
from offtool.exchange.gauge_readings.table import StudyLayout
from offtool.exchange.readings.attributes import is_unit_row
from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import Heading
from offtool.exchange.readings.plan import Plan, Sample, ValueColumn
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.text import has_letters
from offtool.exchange.readings.units import Unit, find_unit, stated_unit
from offtool.exchange.readings.words import Role

_CANDIDATES = 40
"""Headings are looked for in so many rows."""
_A_WORD, _OVERLONG = 8.0, 60.0
"""A known word tells more than a few cells of numbers; rows longer than the headings speak against them."""

_ROLE_IN_READINGS = {
    StudyRole.PART: Role.PART,
    StudyRole.OPERATOR: Role.OPERATOR,
    StudyRole.REFERENCE: Role.NOMINAL,
    StudyRole.UNIT: Role.UNIT,
    StudyRole.REPEAT: Role.SHOT,
}
"""What the sorter of rows, and the search for the decimal mark, take the columns of a study for."""


@dataclass(frozen=True, slots=True)
class StudyColumn:
    """A column of readings, with what its heading says of them."""

    column: int
    operator: str | None = None
    repeat: int | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPlan:
    """Rows and columns count from 0 here; `rows` is the plan that the readers' own parts go by."""

    layout: StudyLayout
    values: tuple[StudyColumn, ...]
    columns: dict[StudyRole, int]
    rows: Plan
    unit: Unit | None
    score: float
    notes: tuple[str, ...] = ()


def find_study_plan(head: list[Row]) -> StudyPlan | None:
    """The plan that explains most of the first rows of a file; None where there is none."""
    best: StudyPlan | None = None
    for first, last, headings in _candidates(head):
        sample = Sample(head[last + 1 :])
        plan = _plan(head, first, last, headings, sample)
        if plan is not None and (best is None or plan.score > best.score):
            best = plan
    return best


def _candidates(head: list[Row]) -> Iterator[tuple[int, int, list[StudyHeading]]]:
    """Rows of headings: first, last, and the heading of each column."""
    for first in range(min(len(head), _CANDIDATES)):
        one = [read_study_heading(cell_text(cell)) for cell in head[first]]
        if not any(heading.text for heading in one):
            continue
        yield (first, *_with_units(head, first, one))
        two = _stacked(head[first], head[first + 1]) if first + 1 < len(head) else None
        if two is not None:
            yield (first, *_with_units(head, first + 1, two))


def _with_units(head: list[Row], last: int, headings: list[StudyHeading]) -> tuple[int, list[StudyHeading]]:
    """The last row of the headings, with a row of units below taken in."""
    if last + 1 >= len(head) or not is_unit_row(head[last + 1]):
        return last, headings
    units = [find_unit(cell_text(cell)) for cell in head[last + 1]]
    units += [None] * (len(headings) - len(units))
    mended = [replace(one, unit=unit or one.unit) for one, unit in zip(headings, units, strict=False)]
    return last + 1, mended


def _stacked(upper: Row, lower: Row) -> list[StudyHeading] | None:
    """The operator above, the repeat below; None where the lower row is no row of headings."""
    width = max(len(upper), len(lower))
    above = [cell_text(cell).strip() for cell in upper] + [""] * (width - len(upper))
    below = [cell_text(cell).strip() for cell in lower] + [""] * (width - len(lower))
    headings, over = [], ""
    for top, bottom in zip(above, below, strict=True):
        over = top or over
        role = read_study_heading(top).role if top else None
        single = role not in (None, StudyRole.VALUE, StudyRole.OPERATOR, StudyRole.PART)
        if bottom and single and read_study_heading(bottom).role is None:
            return None  # a reading, or the name of a part, below a heading
        if not top and not bottom:
            headings.append(StudyHeading())
        elif not bottom:
            headings.append(read_study_heading(top))
            over = "" if role else over
        else:
            own = read_study_heading(bottom)
            joined = (
                own if own.role not in (None, StudyRole.VALUE) else read_study_heading(f"{over} {bottom}")
            )
            headings.append(replace(joined, text=f"{over} {bottom}".strip()))
    spans = sum(bool(bottom) and not top for top, bottom in zip(above, below, strict=True))
    return headings if spans and not _holds_names(above, below) else None


def _holds_names(above: Sequence[str], below: Sequence[str]) -> bool:
    """Whether cells stand under a part's or an operator's heading as they do in rows of readings."""
    first = next((top for top in above if top), "")
    role = read_study_heading(first).role
    return role is not None and bool(below[above.index(first)]) and not has_letters(below[above.index(first)])


def _plan(
    head: list[Row], first: int, last: int, headings: list[StudyHeading], sample: Sample
) -> StudyPlan | None:
    columns = _columns(headings, sample)
    taken = set(columns.values())
    values = [c for c, one in enumerate(headings) if one.role is StudyRole.VALUE and sample.has_any_number(c)]
    open_ = [
        c
        for c, one in enumerate(headings)
        if c not in taken and one.text and one.role in (None, StudyRole.VALUE) and sample.has_any_number(c)
    ]
    unnamed = [c for c, one in enumerate(headings) if not one.text and sample.has_numbers(c)]
    found = (
        _long(headings, columns, values, open_)
        or _wide(headings, columns, open_)
        or _sheet(headings, columns, open_)
    )
    if found is None:
        return None
    layout, told, notes = found
    units = {headings[one.column].unit for one in told} - {None}
    if len(units) > 1:
        return None
    left_out = [c for c in open_ if c not in {one.column for one in told}]
    rows = _for_readers(headings, first, last, layout, told, columns, (*left_out, *unnamed))
    return StudyPlan(
        layout=layout,
        values=told,
        columns=columns,
        rows=rows,
        unit=next(iter(units), None) or _table_unit(head[:first]),
        score=_score(sample, told, columns, len(headings)) - 2.0 * len(unnamed),
        notes=notes,
    )


def _columns(headings: list[StudyHeading], sample: Sample) -> dict[StudyRole, int]:
    """The column of each naming role; the first that holds anything."""
    columns: dict[StudyRole, int] = {}
    for column, heading in enumerate(headings):
        if heading.role in (None, StudyRole.VALUE, StudyRole.OTHER):
            continue
        if heading.role not in columns and not sample.empty(column):
            columns[heading.role] = column
    return columns


Found = tuple[StudyLayout, tuple[StudyColumn, ...], tuple[str, ...]]


def _long(
    headings: list[StudyHeading], columns: dict[StudyRole, int], values: list[int], open_: list[int]
) -> Found | None:
    """One column of values, and what was measured in columns beside it."""
    notes: list[str] = []
    if len(open_) != 1:
        return None
    if open_ != values:
        name = headings[open_[0]].name
        if StudyRole.PART not in columns or names_an_operator(name) or whose_readings([name])[0].repeat:
            return None
        notes.append(f"Column {open_[0] + 1}, {name!r}, is taken for the readings.")
    part = None if StudyRole.PART in columns else "1"
    if part:
        notes.append("No column names the part: all readings are of one part.")
    return StudyLayout.LONG, (StudyColumn(open_[0], part=part),), tuple(notes)


def _wide(headings: list[StudyHeading], columns: dict[StudyRole, int], open_: list[int]) -> Found | None:
    """A row a part; operator and repeat stand in the headings."""
    if StudyRole.PART not in columns or not open_:
        return None
    told = whose_readings([headings[c].name for c in open_])
    counted = [one.repeat is not None for one in told]
    if any(counted) and not all(counted):
        kept = [(c, one) for c, one in zip(open_, told, strict=True) if one.repeat is not None]
        open_, told = [c for c, _ in kept], [one for _, one in kept]
    elif not any(counted) and not _operators(headings, columns, open_):
        return None
    if StudyRole.OPERATOR in columns:
        if len({one.operator for one in told}) > 1:
            return None
        told = [Whose(None, one.repeat) for one in told]
    if StudyRole.REPEAT in columns:
        # with a column of repeats, a number behind a name belongs to the name
        told = [Whose(headings[c].name, None) for c in open_]
    if len(set(told)) < len(told):
        return None
    who = list(dict.fromkeys(one.operator for one in told if one.operator))
    notes = (f"The headings name the operators {', '.join(who)}.",) if who else ()
    values = tuple(StudyColumn(c, one.operator, one.repeat) for c, one in zip(open_, told, strict=True))
    return StudyLayout.WIDE, values, notes


def _operators(headings: list[StudyHeading], columns: dict[StudyRole, int], open_: list[int]) -> bool:
    """Whether headings without a number can only be names of operators."""
    if StudyRole.OPERATOR in columns:
        return False
    several = StudyRole.REPEAT in columns or len(open_) > 1
    return several or all(names_an_operator(headings[c].name) for c in open_)


def _sheet(headings: list[StudyHeading], columns: dict[StudyRole, int], open_: list[int]) -> Found | None:
    """A row for each operator and repeat, a column a part."""
    if StudyRole.PART in columns or not columns.keys() & {StudyRole.OPERATOR, StudyRole.REPEAT}:
        return None
    names = [part_named(headings[c].name) for c in open_]
    if len(open_) < 2 or len(set(names)) < len(names):
        return None
    values = tuple(StudyColumn(c, part=name) for c, name in zip(open_, names, strict=True))
    return StudyLayout.SHEET, values, ("Each column of readings is one part, named by its heading.",)


def _for_readers(
    headings: list[StudyHeading],
    first: int,
    last: int,
    layout: StudyLayout,
    told: tuple[StudyColumn, ...],
    columns: dict[StudyRole, int],
    unknown: tuple[int, ...],
) -> Plan:
    plain = tuple(Heading(one.text, one.name, None, None, one.unit) for one in headings)
    return Plan(
        layout=Layout.LONG if layout is StudyLayout.LONG else Layout.WIDE,
        heading_rows=tuple(range(first, last + 1)),
        first_data_row=last + 1,
        width=len(headings),
        values=tuple(ValueColumn(one.column, plain[one.column]) for one in told),
        columns={_ROLE_IN_READINGS[role]: column for role, column in columns.items()},
        headings=plain,
        unknown=unknown,
    )


def _score(sample: Sample, told: tuple[StudyColumn, ...], columns: dict[StudyRole, int], width: int) -> float:
    numbers = sum(sample.has_numbers(one.column) for one in told)
    overlong = sum(any(cell_text(cell).strip() for cell in row[width:]) for row in sample.rows)
    return numbers + _A_WORD * len(columns) - _OVERLONG * overlong / max(1, len(sample.rows))


def _table_unit(rows: list[Row]) -> Unit | None:
    """The unit that a line above the headings states for the whole table."""
    texts = (cell_text(cell) for row in rows for cell in row)
    return next((unit for text in texts if len(text) <= 200 and (unit := stated_unit(text))), None)
