"""The three layouts: whether headings make one of them, and then which column is for what."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from offtool.exchange.readings.attributes import DESCRIBING, SPECIFYING, find_attributes
from offtool.exchange.readings.grid import Row
from offtool.exchange.readings.headings import Heading
from offtool.exchange.readings.places import Place, read_count, split_cavity
from offtool.exchange.readings.plan import Plan, Sample, ValueColumn, kind_of
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.words import Role

_PLACING = (Role.CAVITY, Role.SHOT, Role.PART)
_POINTS_A_ROLE = 6.0
_COUNTED_COLUMNS = 30
"""A known word counts more than a column of readings, and no number of columns more than the words."""


@dataclass(frozen=True, slots=True)
class Headed:
    """Headings of a table, the rows they stand in, and a sample of the rows below."""

    head: list[Row]
    first: int
    last: int
    headings: list[Heading]
    sample: Sample

    def of(self, *roles: Role) -> list[int]:
        return [column for column, heading in enumerate(self.headings) if heading.role in roles]

    def first_of(self, *roles: Role) -> dict[Role, int]:
        """The first column of each role that is there."""
        return {role: columns[0] for role in roles if (columns := self.of(role))}


def as_report(table: Headed) -> Plan | str:
    """A row a characteristic, a column for each cavity and part; or why the headings do not make that."""
    if not table.of(Role.CHARACTERISTIC, Role.NUMBER):
        return "no column gives the name or the number of the characteristic"
    values, notes = _reading_columns(table)
    if len(values) < 2 and not any(value.heading.place for value in values):
        return "no columns are headed by cavity or part"
    columns = table.first_of(*DESCRIBING, *_PLACING)
    columns |= _limits_from_extremes(table, before=values[0].column)
    if {*_PLACING} & columns.keys() and not {Role.CHARACTERISTIC, *SPECIFYING} & columns.keys():
        return "the rows are headed by cavity, shot or part, not by characteristic"
    return _plan(table, Layout.REPORT, values, columns, notes)


def as_long(table: Headed) -> Plan | str:
    """A row a reading; or why the headings do not make that."""
    columns = table.first_of(*DESCRIBING, *_PLACING)
    if Role.CHARACTERISTIC not in columns and not (Role.NUMBER in columns and {*SPECIFYING} & columns.keys()):
        return "no column says which characteristic was measured"
    values = table.of(Role.VALUE) + [c for c in table.of(Role.RESULT) if table.sample.has_numbers(c)]
    if len(values) != 1 or any(heading.place for heading in table.headings):
        return "not one column alone is headed as the value"
    columns |= _limits_from_extremes(table, before=len(table.headings))
    notes = []
    if _runs_on(table, columns):
        notes.append(
            f"Column {columns.pop(Role.NUMBER) + 1} counts the rows; it is no number of a characteristic."
        )
    value = ValueColumn(values[0], table.headings[values[0]])
    return _plan(table, Layout.LONG, [value], columns, notes)


def _runs_on(table: Headed, columns: dict[Role, int]) -> bool:
    """Whether the numbers of a long table only count the rows: each is new while names come again."""
    number, name = columns.get(Role.NUMBER), columns.get(Role.CHARACTERISTIC)
    if number is None or name is None:
        return False
    rows = [(row[number], row[name]) for row in table.sample.rows if max(number, name) < len(row)]
    numbers, names = {number for number, _ in rows}, {name for _, name in rows}
    return len(numbers) == len(rows) > len(names)


def as_wide(table: Headed) -> Plan | str:
    """A column a characteristic, a row a part; or why the headings do not make that."""
    if table.of(*SPECIFYING, Role.UNIT):
        return "nominal, limits or units have columns, where the wide layout gives them rows"
    values = [
        column
        for column, heading in enumerate(table.headings)
        if _may_be_characteristic(table, column, heading)
    ]
    attributes, labels = find_attributes(table.head, table.first, table.last, values)
    labels &= set(range(len(table.headings)))
    values = [column for column in values if column not in labels]
    names = table.of(Role.CHARACTERISTIC)
    if any(table.sample.only_text(column) for column in names if column not in labels):
        return "a column names the characteristic, where the wide layout gives each a column"
    columns = table.first_of(*_PLACING)
    notes = []
    counting = [column for column in [*table.of(Role.NUMBER), *sorted(labels)] if _counts(table, column)]
    if counting and not columns.keys() & {Role.PART, Role.SHOT}:
        columns[Role.PART] = counting[0]
        notes.append(f"Column {counting[0] + 1} counts the rows; it is read as the number of the part.")
    found = [_wide_column(table, column, attributes) for column in values]
    if not found or not all(each.name for each in found):
        return "no column of numbers is headed by a characteristic"
    if (
        not columns
        and not attributes
        and not table.of(Role.TIME, Role.OPERATOR)
        and not _plain_names(table, values)
    ):
        return "nothing says which part a row is, and the headings are no names"
    plan = _plan(table, Layout.WIDE, found, columns, notes)
    return (
        plan
        if isinstance(plan, str)
        else replace(plan, attributes=attributes, score=plan.score + len(attributes))
    )


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
    columns = {
        role: column
        for role, column in columns.items()
        if role not in _PLACING or _places(table, role, column)
    }
    used = {value.column for value in values} | set(columns.values())
    verdicts = [c for c in table.of(Role.VERDICT, Role.RESULT) if c not in used]
    rest = [c for c in range(len(table.headings)) if c not in used and c not in verdicts]
    unknown = [c for c in rest if table.headings[c].role is None and sample.has_numbers(c)]
    left_out = [c for c in rest if c not in unknown and (table.headings[c].text or not sample.empty(c))]
    roles = {heading.role for heading in table.headings if heading.role}
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
        score=_POINTS_A_ROLE * len(roles)
        + sum(map(_points, values[:_COUNTED_COLUMNS]))
        - _twice_headed(values),
    )


def _points(value: ValueColumn) -> float:
    """A column of readings counts one, and one for each of cavity, shot and part that its heading names."""
    place = value.heading.place
    return 1 + sum(given is not None for given in (place.cavity, place.shot, place.part)) if place else 1


def _twice_headed(values: list[ValueColumn]) -> int:
    """Columns for the same place speak for another row of headings that tells them apart."""
    return len(values) - len({(value.name, value.place) for value in values})


def _places(table: Headed, role: Role, column: int) -> bool:
    """Whether a shot or part column holds numbers; "Part" may head a column of names."""
    return role is Role.CAVITY or not table.sample.only_text(column) or _counts(table, column)


def _counts(table: Headed, column: int) -> bool:
    cells = [str(row[column]) for row in table.sample.rows if column < len(row) and str(row[column]).strip()]
    return any(read_count(text.removesuffix(".0")) is not None for text in cells)


def _reading_columns(table: Headed) -> tuple[list[ValueColumn], list[str]]:
    """The columns of readings of a report; columns without heading belong to the heading on their left."""
    values: list[ValueColumn] = []
    runs: dict[int, list[int]] = {}
    start: int | None = None
    for column, heading in enumerate(table.headings):
        is_value = heading.role is Role.VALUE or (
            heading.role is Role.RESULT and table.sample.has_numbers(column)
        )
        if heading.place or is_value:
            same = start is not None and not heading.place and table.headings[start].role is heading.role
            start = start if same else column
            runs.setdefault(column if start is None else start, []).append(column)
        elif (
            not heading.text
            and start is not None
            and column == runs[start][-1] + 1
            and table.sample.has_numbers(column)
        ):
            runs[start].append(column)
        elif heading.text:
            start = None
    notes = []
    for start, run in runs.items():
        heading = table.headings[start]
        place = heading.place or Place()
        if len(run) > 1 and place.part is None:
            values += [
                ValueColumn(c, table.headings[c], place=replace(place, part=i)) for i, c in enumerate(run, 1)
            ]
            notes.append(
                f"Columns {run[0] + 1} to {run[-1] + 1} stand under one heading, {heading.text!r};"
                f" they are read as parts 1 to {len(run)}."
            )
        else:
            values.append(ValueColumn(start, heading, place=place))
    return sorted(values, key=lambda value: value.column), notes


def _limits_from_extremes(table: Headed, *, before: int) -> dict[Role, int]:
    """Maximum and minimum are limits where they stand before the readings and no other limits are given."""
    given = table.of(
        Role.UPPER_LIMIT, Role.LOWER_LIMIT, Role.TOLERANCE, Role.UPPER_DEVIATION, Role.LOWER_DEVIATION
    )
    high = [column for column in table.of(Role.MAXIMUM) if column < before]
    low = [column for column in table.of(Role.MINIMUM) if column < before]
    return {Role.UPPER_LIMIT: high[0], Role.LOWER_LIMIT: low[0]} if high and low and not given else {}


def _may_be_characteristic(table: Headed, column: int, heading: Heading) -> bool:
    """Whether a column of the wide layout may hold the readings of a characteristic."""
    if heading.role in (Role.VALUE, Role.RESULT, Role.CHARACTERISTIC):
        return table.sample.has_numbers(column)
    return (
        heading.role is None
        and not table.sample.only_text(column)
        and (bool(heading.name) or table.sample.has_numbers(column))
    )


def _wide_column(table: Headed, column: int, attributes: dict[Role, int]) -> ValueColumn:
    heading = table.headings[column]
    if heading.place and heading.place.cavity and not heading.place.by_position:
        named = heading.name if heading.name != heading.text else ""
        return ValueColumn(column, heading, named, heading.place)
    split = split_cavity(heading.name)
    if split:
        return ValueColumn(column, heading, split[0], Place(cavity=split[1]))
    name = heading.name
    for role in (Role.CHARACTERISTIC, Role.NUMBER):
        row = table.head[attributes[role]] if role in attributes else ()
        if not name and column < len(row):
            name = str(row[column]).strip()
    return ValueColumn(column, heading, name)


def _plain_names(table: Headed, values: list[int]) -> bool:
    """Whether the headings read as names and the readings begin right below them."""
    headings = [table.headings[column] for column in values]
    named = all(any(map(str.isalpha, heading.name)) and not heading.place for heading in headings)
    below = table.sample.rows[0] if table.sample.rows else ()
    return named and any(kind_of(below[column]) == "number" for column in values if column < len(below))
