"""What each row and column of a file is for."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from offtool.exchange.readings.cells import Found, Missing, read_value
from offtool.exchange.readings.grid import Cell, Row, cell_text
from offtool.exchange.readings.headings import Heading
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.places import Place
from offtool.exchange.readings.sizes import read_size
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.text import has_letters
from offtool.exchange.readings.units import Unit, find_unit
from offtool.exchange.readings.words import BEYOND_THE_GAUGE, Role


@dataclass(frozen=True, slots=True)
class ValueColumn:
    """A column of readings: its characteristic (in the wide layout) and the place its heading names."""

    column: int
    heading: Heading
    name: str = ""
    place: Place = field(default_factory=Place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Rows and columns count from 0 here."""

    layout: Layout
    heading_rows: tuple[int, ...]
    first_data_row: int
    width: int
    values: tuple[ValueColumn, ...]
    columns: dict[Role, int]
    """The columns that say for each row its characteristic, limits, unit, cavity, shot and part."""
    verdicts: tuple[int, ...] = ()
    left_out: tuple[int, ...] = ()
    """Columns that hold no readings."""
    unknown: tuple[int, ...] = ()
    """Columns that hold numbers under a heading that says nothing, or under none."""
    attributes: dict[Role, int] = field(default_factory=dict)
    """Rows that give limits, units or numbers for the columns of the wide layout."""
    headings: tuple[Heading, ...] = ()
    unit: Unit | None = None
    """The unit stated for the whole table."""
    notes: tuple[str, ...] = ()
    score: float = 0.0
    """How much of the file this plan explains; the best plan is taken."""


_LOOKED_AT = 60


class Sample:
    """The first rows below the headings: what kind of cells each column holds."""

    def __init__(self, rows: list[Row]) -> None:
        self.rows = [row for row in rows if any(cell_text(cell).strip() for cell in row)][:_LOOKED_AT]
        self._kinds: dict[int, tuple[int, int]] = {}

    def _counts(self, column: int) -> tuple[int, int]:
        """How many numbers and how many texts the column holds."""
        if column not in self._kinds:
            kinds = [kind_of(row[column]) for row in self.rows if column < len(row)]
            self._kinds[column] = kinds.count("number"), kinds.count("text")
        return self._kinds[column]

    def has_numbers(self, column: int) -> bool:
        """Numbers, and not fewer than texts."""
        numbers, texts = self._counts(column)
        return numbers > 0 and numbers >= texts

    def has_any_number(self, column: int) -> bool:
        return self._counts(column)[0] > 0

    def only_text(self, column: int) -> bool:
        numbers, texts = self._counts(column)
        return texts > 0 and numbers == 0

    def begins_with_words(self, column: int) -> bool:
        """Whether the first cell that says something is a word, and no unit and no size either."""
        cells = (row[column] for row in self.rows if column < len(row))
        first = next((cell for cell in cells if cell_text(cell).strip()), "")
        if not isinstance(first, str) or kind_of(first) != "text" or not has_letters(first):
            return False
        return find_unit(first) is None and isinstance(read_size(first, "."), Unread)

    def empty(self, column: int) -> bool:
        return self._counts(column) == (0, 0)


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


def kind_of(cell: Cell) -> str:
    """What a cell holds: "number", "text", or "" when it says that nothing was measured."""
    if isinstance(cell, str):
        return _kind_of_text(cell)
    return "number" if isinstance(cell, int | float) else "text"


@lru_cache(maxsize=50_000)
def _kind_of_text(text: str) -> str:
    found = [read_value(text, decimal) for decimal in ".,"]
    if any(isinstance(each, Missing) for each in found):
        return ""
    like_a_number = text.strip()[:1] in "<>≤≥" or text.strip().casefold() in BEYOND_THE_GAUGE
    return "number" if like_a_number or any(isinstance(each, Found) for each in found) else "text"
