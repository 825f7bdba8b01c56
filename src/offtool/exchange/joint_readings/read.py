"""The file of a joint test, from its bytes to its readings: the one way in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median

from offtool.core.values import Caution
from offtool.exchange.gauge_readings.names import Names
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.headed_tables.cells import Quantity
from offtool.exchange.joint_readings import words
from offtool.exchange.joint_readings.table import JointTestReading, JointTestTable
from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.numbers import Unread
from offtool.handbook.terms import JointCondition, JointReadingKind

_KINDS = tuple(kind.value for kind in JointReadingKind)
_REMEDY = (
    "head the columns piece, inner cavity, outer cavity, and then what was read with its unit, such as "
    "breakaway torque [N·m]"
)
_TORQUES = (JointReadingKind.BREAKAWAY.value, JointReadingKind.RUNNING.value)
_LARGEST_OF_A_HAND_NM = 10.0
"""Joints that are turned by hand and in a toy stay far below (common practice, no source)."""
_TURNED_FREELY = "turned freely: 0"
_CYCLES_AND_NO_CONDITION = "a row with cycles and no condition is taken as cycled"
_FROM_ONE = Unread("is no number of a repeat", "number the repeats from 1; the row is left out")


def read_joint_test(
    content: bytes,
    name: str,
    *,
    sheet: str | None = None,
    inner: Sequence[str] = (),
    outer: Sequence[str] = (),
) -> JointTestTable:
    """The readings of a joint test from a file as it came from the bench.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a test; ``inner`` and ``outer``,
    part codes that head the columns of cavities.

    Returns a JointTestTable; cells that cannot be read are listed in its file as refused and the others
    stand. Raises FileRefused when no test can be made of the file, for any bytes; nothing else is raised.
    """
    opened = open_table(
        content,
        name,
        sheet=sheet,
        vocabulary=words.vocabulary(tuple(inner), tuple(outer)),
        needed=(*_KINDS, words.VALUE),
        remedy=_REMEDY,
    )
    walk = TableWalk(opened)
    test = _Test(walk)
    readings = tuple(test.read())
    if not readings:
        raise walk.nothing_read("reading of a joint")
    walk.cautions += [
        *walk.far_off(_KINDS, or_else="a loose joint"), *walk.alone(_KINDS[:3]), *_too_large_for_a_hand(walk),
    ]  # fmt: skip
    return JointTestTable(
        file=walk.about_the_file(name),
        readings=readings,
        inner_column=walk.column_from_one(words.INNER),
        outer_column=walk.column_from_one(words.OUTER),
    )


def _too_large_for_a_hand(walk: TableWalk) -> Iterator[Caution]:
    """Columns of torques that are large as a whole: a slip of the unit in their heading."""
    for told, values in walk.read_so_far(_TORQUES):
        half = median(one.value for one in values)
        if half > _LARGEST_OF_A_HAND_NM:
            yield Caution(
                f"column {told.column + 1}, {told.text!r}: the median is {half:.3g} N·m, more than a joint "
                "for the hand has: is the unit N·m, or mN·m?"
            )


@dataclass(frozen=True, slots=True)
class _OfRow:
    """What a row says of all its readings."""

    piece: str
    inner: str
    outer: str
    condition: JointCondition
    hours: float | None
    cycles: int | None
    operator: str
    repeat: int
    """0 where the file gives none."""


Place = tuple[str, JointReadingKind, JointCondition, float | None, int | None, str]


class _Test:
    """Through the rows of a file once."""

    def __init__(self, walk: TableWalk) -> None:
        self._walk = walk
        piece = walk.column(words.PIECE)
        self._pieces = None if piece is None else Names("piece", piece.column, walk.ledger)
        self._columns = [one for one in walk.told if one.field.name in _KINDS]
        self._long = walk.column(words.VALUE) if not self._columns else None
        self._counted: dict[Place, int] = {}
        self._first: dict[tuple[Place, int], tuple[int, int]] = {}
        self._rows = 0
        self._say_what_headings_leave_open()

    def _say_what_headings_leave_open(self) -> None:
        side = self._walk.column(words.SOME_CAVITY)
        if side is not None:
            self._walk.refuse_heading(
                side, "says not of which part the cavity is; the column is left out",
                "head it inner cavity or outer cavity, or by the part, such as HO-04 cavity",
            )  # fmt: skip
        value = self._walk.column(words.VALUE)
        if value is not None and self._columns:
            self._walk.refuse_heading(
                value, "says not what was read, beside columns that do; the column is left out",
                "head it by what was read, such as breakaway torque [N·m]",
            )  # fmt: skip
        for one in self._columns:
            if words.is_vague(one.text):
                self._walk.ledger.note(
                    f"Column {one.column + 1}, {one.text!r}, is taken for the {one.field.name}."
                )
        if self._pieces is None:
            self._walk.ledger.note("No column names the piece: each row is one, numbered 1, 2, 3 …")

    def read(self) -> Iterator[JointTestReading]:
        """All readings, row by row as in the file."""
        for row in self._walk.rows():
            self._rows += 1
            told = self._of_row(row)
            if told is None:
                continue
            for column in self._readings_of(row):
                found = self._reading(row, column, told)
                if found is not None:
                    yield found
        if self._pieces is not None:
            self._pieces.say()

    def _of_row(self, row: TableRow) -> _OfRow | None:
        """What a row says of itself; None where a cell of it is refused: its readings are left out."""
        walk = self._walk
        piece = str(self._rows) if self._pieces is None else self._pieces.of_row(row.piece, row.position)
        inner, outer = walk.name(row, words.INNER), walk.name(row, words.OUTER)
        condition = walk.word(row, words.CONDITION, words.CONDITION_WORDS)
        cycles, operator, repeat = (
            walk.whole(row, words.CYCLES),
            walk.name(row, words.OPERATOR),
            self._repeat(row),
        )
        hours = self._hours(row)
        if (
            piece is None
            or isinstance(inner, Unread)
            or isinstance(outer, Unread)
            or isinstance(condition, Unread)
            or isinstance(cycles, Unread)
            or isinstance(operator, Unread)
            or isinstance(repeat, Unread)
            or isinstance(hours, Unread)
        ):
            return None
        return _OfRow(
            piece, inner, outer, self._state(row, condition, cycles), hours, cycles, operator, repeat or 0
        )

    def _state(self, row: TableRow, condition: str, cycles: int | None) -> JointCondition:
        """The condition of a row; one that says none was cycled where it counts cycles, else it is fresh."""
        if condition:
            return JointCondition(condition)
        told = self._walk.column(words.CYCLES)
        if not cycles or told is None:
            return JointCondition.FRESH
        if not self._columns or any(not one.said for one in self._columns):
            self._walk.ledger.repair(
                row.number, told.column, row.text(told), JointCondition.CYCLED.value, _CYCLES_AND_NO_CONDITION
            )
        return JointCondition.CYCLED

    def _repeat(self, row: TableRow) -> int | Unread | None:
        told = self._walk.column(words.REPEAT)
        found = self._walk.whole(row, words.REPEAT)
        if found == 0 and told is not None:
            self._walk.refuse(row, told, _FROM_ONE)
            return _FROM_ONE
        return found

    def _hours(self, row: TableRow) -> float | Unread | None:
        """The hours of a row. A cell that is refused takes the row with it: it would else be of no age."""
        told = self._walk.column(words.HOURS)
        if told is None:
            return None
        missing = self._walk.ledger.missing
        found = self._walk.quantity(row, told)
        if found is not None:
            return found.value
        without = self._walk.ledger.missing > missing
        self._walk.ledger.missing = missing
        return None if without else Unread("is no age", "mend it")

    def _readings_of(self, row: TableRow) -> Iterator[Told]:
        """The columns of readings, each with what was read in it."""
        if self._long is None:
            yield from self._columns
            return
        what = self._walk.word(row, words.WHAT, words.KIND_WORDS)
        if isinstance(what, Unread):
            return
        if not what:
            self._walk.refuse(
                row, self._long, Unread("says not what was read", "name it in a column headed what")
            )
            return
        yield replace(self._long, field=words.READINGS[what])

    def _reading(self, row: TableRow, column: Told, told: _OfRow) -> JointTestReading | None:
        found = self._turned_freely(row, column) or self._walk.quantity(row, column)
        if found is None:
            return None
        what = JointReadingKind(column.field.name)
        condition = self._condition(row, column, told)
        if condition is None:
            return None
        place = (told.piece, what, condition, told.hours, told.cycles, told.operator)
        repeat = column.number or told.repeat or self._next(place)
        here = (row.number, column.column)
        first = self._first.setdefault((place, repeat), here)
        if first != here:
            self._walk.refuse(row, column, _double(place, repeat, first[0]))
            return None
        return JointTestReading(
            piece=told.piece, inner_cavity=told.inner, outer_cavity=told.outer, what=what,
            condition=condition, hours=told.hours, cycles=told.cycles, operator=told.operator,
            repeat=repeat, value=found.value, row=row.number + 1, column=column.column + 1,
        )  # fmt: skip

    def _turned_freely(self, row: TableRow, column: Told) -> Quantity | None:
        """A torque of 0 where the cell says in a word that the joint is loose."""
        if column.field.name not in _TORQUES or not words.is_loose(row.text(column)):
            return None
        read_as = f"0 {column.field.unit}"
        self._walk.ledger.repair(row.number, column.column, row.text(column), read_as, _TURNED_FREELY)
        return Quantity(0.0)

    def _condition(self, row: TableRow, column: Told, told: _OfRow) -> JointCondition | None:
        """What the heading says, else the row; None where the two contradict each other."""
        if not column.said:
            return told.condition
        said = JointCondition(column.said[0])
        stated = self._walk.column(words.CONDITION)
        if stated is not None and row.text(stated).strip() and told.condition is not said:
            why = f"is headed {said.value}, its row says {told.condition.value}"
            self._walk.refuse(row, column, Unread(why, "say the condition once"))
            return None
        return said

    def _next(self, place: Place) -> int:
        """The next repeat of the same, counted in the order of the file."""
        self._counted[place] = self._counted.get(place, 0) + 1
        return self._counted[place]


def _double(place: Place, repeat: int, first: int) -> Unread:
    return Unread(
        f"is a second {place[1].value} of piece {quote(place[0])}, {place[2].value}, repeat {repeat}: the"
        f" first is in row {first + 1}",
        "number the repeats, or delete one of the two",
    )
