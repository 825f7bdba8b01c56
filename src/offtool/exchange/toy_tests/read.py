"""The file of a toy test, from its bytes to its pieces: the one way in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TypeVar

from offtool.core.values import Caution
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.headed_tables.fields import Sort
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.toy_tests import words
from offtool.exchange.toy_tests.table import LoadRead, ToyPieceRead, ToyTestTable
from offtool.handbook.toy_law import ToyTestKind

N = TypeVar("N", int, float)

_REMEDY = (
    "head the columns piece, part, the test with its unit, such as torque [N·m] or tension [N], or drops and "
    "height [m], then held and came off [mm]; in German Stück, Teil, Drehmoment [N·m], Zugkraft [N], Stürze, "
    "Fallhöhe [m], gehalten, abgelöst [mm]"
)
_NO_PIECE = Unread("names no piece", "name the piece; the row is left out")
_NOTHING_SAID = Unread("says nothing of a test; the row is left out", "fill it in, or delete the row")
_NOT_HELD_SAID = Unread("says not whether the piece held", "write yes or no; the row is left out")
_NO_LOAD_HELD = "No column says whether a piece held: a load is taken as that at which it came apart."
_TOO_LARGE_MM = 1000.0
_MOST_DROPS = 1000
_LARGEST: dict[ToyTestKind, float] = {
    "torque": 20.0,
    "tension": 2000.0,
    "seam": 2000.0,
    "compression": 5000.0,
}
"""Beyond these the unit is asked about; no toy is loaded so far (our own)."""


def read_toy_tests(content: bytes, name: str, *, sheet: str | None = None) -> ToyTestTable:
    """The pieces of a toy test from a file as it came from the bench.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a test.

    Returns a ToyTestTable; cells that cannot be read are listed in its file as refused and the other pieces
    stand. Raises FileRefused when no test can be made of the file, for any bytes; nothing else is raised.
    """
    needed = (*(field.name for field in words.LOADS.values()), words.DROPS, words.HELD)
    opened = open_table(
        content, name, sheet=sheet, vocabulary=words.VOCABULARY, needed=needed, remedy=_REMEDY
    )
    walk = TableWalk(opened)
    columns = {kind: told for kind, field in words.LOADS.items() if (told := walk.column(field.name))}
    if not columns and walk.column(words.DROPS) is None and walk.column(words.HELD) is None:
        raise walk.nothing_read("column of a test")
    pieces = tuple(_Pieces(walk, columns).read())
    if not pieces:
        raise walk.nothing_read("piece of a test")
    walk.cautions += _too_far(walk, columns)
    return ToyTestTable(
        file=walk.about_the_file(name),
        pieces=pieces,
        tests=tuple(_tests(pieces, columns)),
        part_column=walk.column_from_one(words.PART),
    )


def _tests(pieces: tuple[ToyPieceRead, ...], columns: dict[ToyTestKind, Told]) -> Iterator[ToyTestKind]:
    yield from (kind for kind in columns if any(kind in one.loads for one in pieces))
    if any(one.drops is not None for one in pieces):
        yield "drop"


def _too_far(walk: TableWalk, columns: dict[ToyTestKind, Told]) -> Iterator[Caution]:
    """Loads that no toy is tried to: a slip of the unit in their heading."""
    for kind, told in columns.items():
        for _, values in walk.read_so_far((told.field.name,)):
            top = max(one.value for one in values)
            if top > _LARGEST[kind]:
                unit = told.field.unit
                yield Caution(
                    f"column {told.column + 1}, {told.text!r}: the largest is {top:.3g} {unit}, more than a "
                    "toy is tried to: is its unit right?"
                )


class _Pieces:
    """Through the rows of a file once."""

    def __init__(self, walk: TableWalk, loads: dict[ToyTestKind, Told]) -> None:
        self._walk, self._loads = walk, loads
        self._held = walk.column(words.HELD)
        self._rows = 0
        if walk.column(words.PIECE) is None:
            walk.ledger.note("No column names the piece: each row is one, numbered 1, 2, 3 …")
        if self._held is None and loads:
            walk.ledger.note(_NO_LOAD_HELD)

    def read(self) -> Iterator[ToyPieceRead]:
        """All pieces, row by row as in the file."""
        for row in self._walk.rows():
            self._rows += 1
            piece = self._piece(row)
            if piece is not None:
                yield piece

    def _piece(self, row: TableRow) -> ToyPieceRead | None:
        """The piece of a row; None where a cell that decides is refused, or it says nothing of a test."""
        name, part = self._name(row), self._walk.name(row, words.PART)
        drops, height = self._drops(row), self._height(row)
        held, loads = self._held_said(row), self._loads_of(row)
        came_off = self._size(row, words.CAME_OFF)
        odd = (name, part, drops, height, held, loads, came_off)
        if any(isinstance(one, Unread) for one in odd):
            return None
        read = ToyPieceRead(
            piece=str(name),
            part=str(part),
            loads=loads if isinstance(loads, dict) else {},
            drops=drops if isinstance(drops, int) else None,
            height_m=height / 1000 if isinstance(height, float) else None,
            held=held if isinstance(held, bool) else None,
            came_off_mm=came_off if isinstance(came_off, float) else None,
            row=row.number + 1,
        )
        return self._whole(row, read)

    def _whole(self, row: TableRow, read: ToyPieceRead) -> ToyPieceRead | None:
        """The piece, once it says enough; what came off did not hold."""
        if read.came_off_mm is not None and read.held is None:
            read = replace(read, held=False)
        if not read.loads and read.drops is None and read.held is None:
            self._refuse(row, _NOTHING_SAID)
            return None
        if read.drops is not None and not read.loads and read.held is None:
            self._refuse(row, _NOT_HELD_SAID)
            return None
        return read

    def _refuse(self, row: TableRow, why: Unread) -> None:
        told = self._walk.column(words.PIECE) or self._walk.told[0]
        self._walk.refuse(row, told, why)

    def _name(self, row: TableRow) -> str | Unread:
        told = self._walk.column(words.PIECE)
        if told is None:
            return str(self._rows)
        found = self._walk.name(row, words.PIECE)
        if found == "":
            self._walk.refuse(row, told, _NO_PIECE)
            return _NO_PIECE
        return found

    def _drops(self, row: TableRow) -> int | Unread | None:
        found = self._walk.whole(row, words.DROPS)
        return found if isinstance(found, Unread) else self._within(row, words.DROPS, found, _MOST_DROPS)

    def _height(self, row: TableRow) -> float | Unread | None:
        return self._size(row, words.HEIGHT, most=100 * _TOO_LARGE_MM)

    def _size(self, row: TableRow, name: str, *, most: float = _TOO_LARGE_MM) -> float | Unread | None:
        told = self._walk.column(name)
        if told is None or told.field.sort is not Sort.NUMBER:
            return None
        found = self._walk.measured(row, told)
        if isinstance(found, Unread):
            self._walk.refuse(row, told, found)
            return found
        return None if found is None else self._within(row, name, found.value, most)

    def _within(self, row: TableRow, name: str, found: N | None, most: float) -> N | Unread | None:
        """A number that can be; nothing where 0 stands for none."""
        told = self._walk.column(name)
        if told is None or not found:
            return None
        if found > most:
            refusal = Unread(f"is more than {most:g}", "check the cell and its unit; the row is left out")
            self._walk.refuse(row, told, refusal)
            return refusal
        return found

    def _held_said(self, row: TableRow) -> bool | Unread | None:
        found = self._walk.word(row, words.HELD, words.HELD_WORDS)
        if isinstance(found, Unread):
            return found
        return None if not found else found == words.YES

    def _loads_of(self, row: TableRow) -> dict[ToyTestKind, LoadRead] | Unread:
        """The loads of a row that are not blank; Unread where one of them is refused."""
        loads: dict[ToyTestKind, LoadRead] = {}
        for kind, told in self._loads.items():
            found = self._walk.measured(row, told)
            if isinstance(found, Unread):
                self._walk.refuse(row, told, found)
                return found
            if found is not None:
                loads[kind] = LoadRead(value=found.value, stopped=found.at_least)
        return loads
