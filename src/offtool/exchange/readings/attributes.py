"""Rows beside the headings of a wide table that give units, limits, numbers or names for its columns."""

from __future__ import annotations

from collections.abc import Iterable

from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.plan import kind_of
from offtool.exchange.readings.words import Role

SPECIFYING = (
    Role.NOMINAL,
    Role.UPPER_LIMIT,
    Role.LOWER_LIMIT,
    Role.UPPER_DEVIATION,
    Role.LOWER_DEVIATION,
    Role.TOLERANCE,
)
"""What says which sizes are good."""

DESCRIBING = (Role.CHARACTERISTIC, Role.NUMBER, Role.UNIT, *SPECIFYING)
"""What says which characteristic it is and how it is limited."""

_EXTREMES = {Role.MAXIMUM: Role.UPPER_LIMIT, Role.MINIMUM: Role.LOWER_LIMIT}
_ABOVE, _BELOW = 8, 12
"""So many rows above and below the headings may give limits."""


def is_unit_row(row: Row) -> bool:
    """A row of nothing but units, and dashes where there is none."""
    texts = [text for text in (cell_text(cell).strip() for cell in row) if text]
    units = [text for text in texts if read_heading(text).only_a_unit]
    return bool(units) and all(text in units or not text.strip("-–/[] ") for text in texts)


def find_attributes(
    head: list[Row], first: int, last: int, values: Iterable[int]
) -> tuple[dict[Role, int], set[int]]:
    """The attribute rows around the headings in rows ``first`` to ``last``, and the columns of their labels.

    Maximum and minimum above the readings are limits when a row gives the nominal and none the limits;
    anywhere else they are statistics.
    """
    columns = set(values)
    found: dict[Role, int] = {}
    labels: set[int] = set()
    for number in _rows_around(head, first, last, columns):
        label = _label(head[number], columns)
        if label and label[1] not in found:
            found[label[1]] = number
            labels.add(label[0])
        elif not label and number > last and is_unit_row(head[number]):
            found.setdefault(Role.UNIT, number)
    extremes = {limit: found.pop(extreme) for extreme, limit in _EXTREMES.items() if extreme in found}
    limited = {Role.UPPER_LIMIT, Role.LOWER_LIMIT, Role.TOLERANCE, Role.UPPER_DEVIATION} & found.keys()
    if len(extremes) == 2 and Role.NOMINAL in found and not limited:
        found |= extremes
    return found, labels


def _rows_around(head: list[Row], first: int, last: int, columns: set[int]) -> Iterable[int]:
    """Rows above the headings, then rows below until the first reading."""
    yield from range(max(0, first - _ABOVE), first)
    for number in range(last + 1, min(len(head), last + 1 + _BELOW)):
        row = head[number]
        if any(kind_of(row[column]) == "number" for column in columns if column < len(row)) and not _label(
            row, columns
        ):
            return
        yield number


def _label(row: Row, columns: set[int]) -> tuple[int, Role] | None:
    """The column and the role of the cell that says what the row gives, when it gives something."""
    filled = {column for column in columns if column < len(row) and cell_text(row[column]).strip()}
    for column, cell in enumerate(row):
        role = read_heading(cell_text(cell)).role
        if (role in DESCRIBING or role in _EXTREMES) and filled - {column}:
            return column, role
    return None
