"""The three layouts: whether headings make one of them, and then which column is for what."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from offtool.exchange.readings.attributes import DESCRIBING, SPECIFYING, find_attributes
from offtool.exchange.readings.grid import cell_text
from offtool.exchange.readings.places import read_count
from offtool.exchange.readings.plan import Headed, Plan, ValueColumn, kind_of
from offtool.exchange.readings.reading_columns import (
    headed_alike,
    may_be_characteristic,
    report_columns,
    wide_column,
)
from offtool.exchange.readings.score import points_for
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.text import has_letters
from offtool.exchange.readings.words import Role

_PLACING = (Role.CAVITY, Role.SHOT, Role.PART)
_ONLY_ONCE = (*_PLACING, *SPECIFYING, Role.UNIT)
"""Two columns of names or numbers are two languages; two of anything else contradict each other."""


def as_report(table: Headed) -> Plan | str:
    """A row a characteristic, a column for each cavity and part; or why the headings do not make that."""
    columns = _columns(table, *DESCRIBING, *_PLACING)
    if not {Role.CHARACTERISTIC, Role.NUMBER} & columns.keys():
        return "no column gives the name or the number of the characteristic"
    values, notes = report_columns(table)
    if len(values) < 2 and not any(value.heading.place for value in values):
        return "no columns are headed by cavity or part"
    if {*_PLACING} & columns.keys() and not {Role.CHARACTERISTIC, *SPECIFYING} & columns.keys():
        return "the rows are headed by cavity, shot or part, not by characteristic"
    columns |= _limits_from_extremes(table, before=values[0].column)
    return headed_alike(values) or _plan(table, Layout.REPORT, values, columns, notes)


def as_long(table: Headed) -> Plan | str:
    """A row a reading; or why the headings do not make that."""
    columns = _columns(table, *DESCRIBING, *_PLACING)
    if Role.CHARACTERISTIC not in columns and not (Role.NUMBER in columns and {*SPECIFYING} & columns.keys()):
        return "no column says which characteristic was measured"
    values = table.of(Role.VALUE) + [c for c in table.of(Role.RESULT) if table.sample.has_numbers(c)]
    if len(values) != 1 or any(heading.place for heading in table.headings):
        return "no column, or more than one, is headed as the value"
    columns |= _limits_from_extremes(table, before=len(table.headings))
    notes = []
    if _only_counts(table, columns):
        column = columns.pop(Role.NUMBER)
        notes.append(f"Column {column + 1} counts the rows; it is no number of a characteristic.")
    value = ValueColumn(values[0], table.headings[values[0]])
    return _plan(table, Layout.LONG, [value], columns, notes)


def as_wide(table: Headed) -> Plan | str:
    """A column a characteristic, a row a part; or why the headings do not make that."""
    if table.of(*SPECIFYING, Role.UNIT):
        return "nominal, limits or units have columns, where the wide layout gives them rows"
    if table.of(Role.CHARACTERISTIC) and len(table.of(Role.VALUE)) == 1:
        return "a column names the characteristic and one holds its value, which is the long layout"
    headings = enumerate(table.headings)
    values = [column for column, heading in headings if may_be_characteristic(table, column, heading)]
    attributes, labels = find_attributes(table.head, table.first, table.last, values)
    labels &= set(range(len(table.headings)))
    names = set(table.of(Role.CHARACTERISTIC)) - labels
    if any(table.sample.only_text(column) for column in names):
        return "a column names the characteristic, where the wide layout gives each a column"
    columns, notes = _columns(table, *_PLACING), []
    counting = [column for column in [*table.of(Role.NUMBER), *sorted(labels)] if _counts(table, column)]
    if counting and not columns.keys() & {Role.PART, Role.SHOT}:
        columns[Role.PART] = counting[0]
        notes.append(f"Column {counting[0] + 1} counts the rows; it is read as the number of the part.")
    found = [wide_column(table, column, attributes) for column in values if column not in labels]
    if any(each.heading.place and not each.name for each in found):
        return "columns are headed by cavity, and none by a characteristic"
    found = [each for each in found if each.name]
    if not found:
        return "no column of numbers is headed by a characteristic"
    if not columns and not table.of(Role.TIME, Role.OPERATOR) and not _plain_names(table, found):
        return "nothing says which part a row is, and the headings are no names"
    plan = _plan(table, Layout.WIDE, found, columns, notes)
    if isinstance(plan, str):
        return plan
    return replace(plan, attributes=attributes, score=plan.score + len(attributes))


READERS: dict[Layout, Callable[[Headed], Plan | str]] = {
    Layout.REPORT: as_report,
    Layout.LONG: as_long,
    Layout.WIDE: as_wide,
}
"""The only list of layouts; where two explain a file equally well, the first is taken."""


def _plan(
    table: Headed, layout: Layout, values: list[ValueColumn], columns: dict[Role, int], notes: list[str]
) -> Plan | str:
    """The plan with the remaining columns sorted: judgements, left out, unknown."""
    sample = table.sample
    if not any(sample.has_any_number(value.column) for value in values):
        return "no numbers stand below the headings"
    for role in _ONLY_ONCE:
        twice = [column for column in table.of(role) if role not in _PLACING or _places(table, role, column)]
        if len(twice) > 1:
            return f"columns {twice[0] + 1} and {twice[1] + 1} are both headed as {role}"
    used = {value.column for value in values} | set(columns.values())
    verdicts = [c for c in table.of(Role.VERDICT, Role.RESULT) if c not in used]
    rest = [c for c in range(len(table.headings)) if c not in used and c not in verdicts]
    unknown = [c for c in rest if table.headings[c].role is None and sample.has_numbers(c)]
    left_out = [c for c in rest if c not in unknown and (table.headings[c].text or not sample.empty(c))]
    return Plan(
        layout=layout,
        heading_rows=tuple(range(table.first, table.last + 1)),
        first_data_row=table.last + 1,
        width=len(table.headings),
        values=tuple(values),
        columns=columns,
        verdicts=tuple(verdicts),
        left_out=tuple(left_out),
        unknown=tuple(unknown),
        headings=tuple(table.headings),
        notes=tuple(notes),
        score=points_for({heading.role for heading in table.headings if heading.role}, values),
    )


def _columns(table: Headed, *roles: Role) -> dict[Role, int]:
    """The first column of each role; of shot and part only one that holds numbers."""
    return {
        role: columns[0]
        for role in roles
        if (columns := [c for c in table.of(role) if role not in _PLACING or _places(table, role, c)])
    }


def _places(table: Headed, role: Role, column: int) -> bool:
    """Whether a shot or part column holds numbers; "Part" may head a column of names."""
    return role is Role.CAVITY or not table.sample.only_text(column) or _counts(table, column)


def _counts(table: Headed, column: int) -> bool:
    cells = (row[column] for row in table.sample.rows if column < len(row))
    return any(read_count(cell_text(cell)) is not None for cell in cells)


def _only_counts(table: Headed, columns: dict[Role, int]) -> bool:
    """Whether the numbers of a long table only count the rows: each is new while names come again."""
    number, name = columns.get(Role.NUMBER), columns.get(Role.CHARACTERISTIC)
    if number is None or name is None:
        return False
    rows = [(row[number], row[name]) for row in table.sample.rows if max(number, name) < len(row)]
    numbers, names = {number for number, _ in rows}, {name for _, name in rows}
    return len(numbers) == len(rows) > len(names)


def _limits_from_extremes(table: Headed, *, before: int) -> dict[Role, int]:
    """Maximum and minimum are limits where they stand before the readings and no other limits are given."""
    given = table.of(*(role for role in SPECIFYING if role is not Role.NOMINAL))
    high = [column for column in table.of(Role.MAXIMUM) if column < before]
    low = [column for column in table.of(Role.MINIMUM) if column < before]
    return {Role.UPPER_LIMIT: high[0], Role.LOWER_LIMIT: low[0]} if high and low and not given else {}


def _plain_names(table: Headed, values: list[ValueColumn]) -> bool:
    """Whether the headings read as names and the readings begin right below them."""
    named = all(has_letters(value.heading.name) and not value.heading.place for value in values)
    below = table.sample.rows[0] if table.sample.rows else ()
    return named and any(
        kind_of(below[value.column]) == "number" for value in values if value.column < len(below)
    )
