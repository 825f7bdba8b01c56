"""The file of a change of colour, from its bytes to its shots: the one way in."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.exchange.colour_shots import words
from offtool.exchange.colour_shots.table import ColourShotRead, ColourShotsTable
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.headed_tables.cells import Quantity, read_quantity
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.cells import Missing
from offtool.exchange.readings.numbers import Unread
from offtool.handbook.measured_colour import LIGHTNESS, SIDEWAYS
from offtool.handbook.terms import LARGEST_SHOT

_REMEDY = "head the columns shot, L, a and b: a row for each shot that was measured"
_NO_NUMBER = Unread(
    "does not say which shot it is", "count the shots from 1 at the change; the row is left out"
)
_NO_SHOT = Unread("is no shot", "count the shots from 1 at the change; the row is left out")
_HALF = Unread("is missing: a colour has L, a and b", "measure it again, or delete the row; it is left out")
_A_UNIT = Unread("has a unit: L, a and b are plain numbers", "check the cell; the row is left out")


def read_colour_shots(content: bytes, name: str, *, sheet: str | None = None) -> ColourShotsTable:
    """The measured shots of a change of colour from a file as it came from the instrument.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds such a table.

    Returns a ColourShotsTable; cells that cannot be read are listed in its file as refused and the other rows
    stand. Raises FileRefused when no shots can be made of the file, for any bytes; nothing else is raised.
    """
    needed = [field.name for field in words.AXES.values()]
    opened = open_table(
        content, name, sheet=sheet, vocabulary=words.VOCABULARY, needed=needed, remedy=_REMEDY
    )
    walk = TableWalk(opened)
    columns = {axis: walk.column(field.name) for axis, field in words.AXES.items()}
    absent = [words.AXES[axis].name for axis, told in columns.items() if told is None]
    if absent:
        raise FileRefused(f"has no column {' and '.join(absent)}", where=name, remedy=_REMEDY)
    shots = tuple(_Shots(walk, {axis: told for axis, told in columns.items() if told is not None}).read())
    if not shots:
        raise walk.nothing_read("shot")
    return ColourShotsTable(file=walk.about_the_file(name), shots=shots)


class _Shots:
    """Through the rows of a file once."""

    def __init__(self, walk: TableWalk, columns: dict[str, Told]) -> None:
        self._walk, self._columns = walk, columns
        self._rows = 0
        if walk.column(words.SHOT) is None:
            walk.ledger.note("No column counts the shots: each row is one, numbered 1, 2, 3 …")

    def read(self) -> Iterator[ColourShotRead]:
        """All shots, row by row as in the file."""
        for row in self._walk.rows():
            self._rows += 1
            number = self._number(row)
            found = {axis: self._axis(row, axis, told) for axis, told in self._columns.items()}
            colour = {axis: value for axis, value in found.items() if isinstance(value, float)}
            if number is not None and len(colour) == len(self._columns):
                yield ColourShotRead(number=number, row=row.number + 1, **colour)

    def _number(self, row: TableRow) -> int | None:
        """Which shot a row is; None where that is refused."""
        told = self._walk.column(words.SHOT)
        if told is None:
            return self._rows
        found = self._walk.whole(row, words.SHOT)
        if isinstance(found, int) and 1 <= found <= LARGEST_SHOT:
            return found
        if not isinstance(found, Unread):
            self._walk.refuse(row, told, _NO_NUMBER if found is None else _NO_SHOT)
        return None

    def _axis(self, row: TableRow, axis: str, told: Told) -> float | None:
        """One number of the colour; None where it is refused."""
        opened = self._walk.opened
        found = read_quantity(row.cell(told), told.field, opened.decimal, from_sheet=opened.sheet is not None)
        refusal = self._refusal(found, axis)
        if refusal is not None or not isinstance(found, Quantity):
            self._walk.refuse(row, told, refusal or _HALF)
            return None
        if found.why:
            self._walk.ledger.repair(row.number, told.column, row.text(told), f"{found.value:g}", found.why)
        return found.value

    def _refusal(self, found: Quantity | Missing | Unread, axis: str) -> Unread | None:
        """Why a cell is no number of a colour; None for one that is."""
        if isinstance(found, Unread):
            return found
        if not isinstance(found, Quantity):
            return _HALF
        if found.unit is not None:
            return _A_UNIT
        ends = LIGHTNESS if axis == "lightness" else SIDEWAYS
        low, high = ends["at_least"], ends["at_most"]
        if low <= found.value <= high:
            return None
        return Unread(f"is outside {low:g} to {high:g}", "check the number; the row is left out")
