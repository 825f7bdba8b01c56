"""How much of a file a plan explains; of several rows that could be headings the best is taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from offtool.exchange.readings.attributes import SPECIFYING
from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.plan import Headed, ValueColumn
from offtool.exchange.readings.words import Role

TELLING = {Role.CHARACTERISTIC, Role.NUMBER, Role.CAVITY, Role.SHOT, Role.VALUE, Role.UNIT, *SPECIFYING}
"""Words that stand over tables of readings, and rarely in the lines of a title above them."""

_A_TELLING_ROLE, _A_PART, _ANOTHER_ROLE = 6.0, 3.0, 1.0
_COUNTED_COLUMNS = 30
"""A telling word counts more than a column of readings, and no number of columns more than the words."""

_A_DEPTH = 0.5
"""A row of headings more must tell something more."""

_HEADINGS_BELOW = 20.0
"""Headings below, or words where readings should begin, say that these were lines of a title."""

_OVERLONG = 50.0
"""Rows longer than the headings speak against a separator more than anything speaks for it."""


def points_for(roles: Iterable[Role], values: Sequence[ValueColumn]) -> float:
    """What the words and the columns of readings of a plan tell."""
    places = len({(value.name, value.place) for value in values})
    twice = (
        len(values) - places
    )  # columns for one place ask for another row of headings that tells them apart
    return sum(map(_role, roles)) + sum(map(_column, values[:_COUNTED_COLUMNS])) - twice


def points_against(table: Headed, values: Sequence[ValueColumn]) -> float:
    """What speaks against taking these rows for the headings."""
    width, own = len(table.headings), table.head[table.first : table.last + 1]
    rows = table.sample.rows
    overlong = sum(any(cell_text(cell).strip() for cell in row[width:]) for row in rows)
    headings = any(row not in own and _known_roles(row) > 1 for row in rows)
    words = sum(table.sample.begins_with_words(value.column) for value in values) / len(values)
    below = 1.0 if headings else words
    return _A_DEPTH * (len(own) - 1) + _OVERLONG * overlong / max(1, len(rows)) + _HEADINGS_BELOW * below


def _role(role: Role) -> float:
    if role is Role.PART:
        return _A_PART
    return _A_TELLING_ROLE if role in TELLING else _ANOTHER_ROLE


def _column(value: ValueColumn) -> float:
    """A column of readings counts one, and one for each of cavity, shot and part that its heading names."""
    place = value.heading.place
    return 1 + sum(given is not None for given in (place.cavity, place.shot, place.part)) if place else 1


def _known_roles(row: Row) -> int:
    return len({read_heading(cell_text(cell)).role for cell in row} - {None})
