"""Which columns of a table hold readings, and where each reading was taken."""

from __future__ import annotations

from dataclasses import replace

from offtool.exchange.readings.grid import cell_text
from offtool.exchange.readings.headings import Heading
from offtool.exchange.readings.places import Place, split_cavity
from offtool.exchange.readings.plan import Headed, ValueColumn
from offtool.exchange.readings.words import Role


def report_columns(table: Headed) -> tuple[list[ValueColumn], list[str]]:
    """The columns of a report that are headed by a place or as measured, and notes on how they are read.

    A column without a heading belongs to the one on its left, as under a merged heading. Columns for one
    place, none of which names a part, are parts in their order.
    """
    values: list[ValueColumn] = []
    for column, heading in enumerate(table.headings):
        if heading.place or _is_measured(table, column, heading):
            values.append(ValueColumn(column, heading, place=heading.place or Place()))
        elif values and not heading.text and table.sample.has_numbers(column):
            left = values[-1]
            if left.column == column - 1 and left.place.part is None:
                values.append(replace(left, column=column))
    alike: dict[Place, list[ValueColumn]] = {}
    for value in values:
        alike.setdefault(value.place, []).append(value)
    notes = []
    for place, columns in alike.items():
        if len(columns) > 1 and place.part is None:
            parts = [replace(value, place=replace(place, part=part)) for part, value in enumerate(columns, 1)]
            values = [value for value in values if value.place != place] + parts
            notes.append(
                f"{len(parts)} columns from column {columns[0].column + 1} on stand under one heading,"
                f" {columns[0].heading.text!r}; they are read as parts 1 to {len(parts)}."
            )
    return sorted(values, key=lambda value: value.column), notes


def headed_alike(values: list[ValueColumn]) -> str:
    """The sentence that two columns are for the same cavity, shot and part; empty when none are."""
    first: dict[Place, int] = {}
    for value in values:
        column = first.setdefault(replace(value.place, by_position=False), value.column)
        if column != value.column:
            return f"columns {column + 1} and {value.column + 1} are both headed {value.heading.text!r}"
    return ""


def may_be_characteristic(table: Headed, column: int, heading: Heading) -> bool:
    """Whether a column of the wide layout may hold the readings of a characteristic."""
    if heading.role in (Role.VALUE, Role.RESULT, Role.CHARACTERISTIC):
        return table.sample.has_numbers(column)
    if heading.role is not None or table.sample.only_text(column):
        return False
    return bool(heading.name) or table.sample.has_numbers(column)


def wide_column(table: Headed, column: int, attributes: dict[Role, int]) -> ValueColumn:
    """A column of the wide layout; its name stands in the heading or in a row above that gives names."""
    heading = table.headings[column]
    if heading.place and heading.place.cavity and not heading.place.by_position:
        name = heading.name if heading.name != heading.text else ""
        return ValueColumn(column, heading, name, heading.place)
    split = split_cavity(heading.name)
    if split:
        return ValueColumn(column, heading, split[0], Place(cavity=split[1]))
    rows = [table.head[attributes[role]] for role in (Role.CHARACTERISTIC, Role.NUMBER) if role in attributes]
    above = [cell_text(row[column]).strip() for row in rows if column < len(row)]
    return ValueColumn(column, heading, heading.name or next(filter(None, above), ""))


def _is_measured(table: Headed, column: int, heading: Heading) -> bool:
    return heading.role is Role.VALUE or (heading.role is Role.RESULT and table.sample.has_numbers(column))
