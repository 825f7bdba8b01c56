"""The sheet of audits: pieces taken from the line, hour by hour, whose seams were pulled or joints turned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from offtool.core.values import nearest
from offtool.exchange.headed_tables import Field, TableRow
from offtool.exchange.headed_tables.cells import Quantity, in_unit, read_quantity
from offtool.exchange.headed_tables.units import find_unit
from offtool.exchange.pilot_files import words
from offtool.exchange.pilot_files.hours import ClockTime
from offtool.exchange.pilot_files.sheet import Sheet
from offtool.exchange.pilot_files.table import AuditRead, PilotTable
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.cells import Missing
from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.numbers import Unread

REMEDY = (
    "head the columns seam or joint, hour, value and unit (N for a seam, N·m for a torque), a row a piece"
)
NOTHING_NAMED = Unread("names neither seam nor joint", "name one; the row is left out")
BOTH_NAMED = Unread("names a joint beside a seam", "give each a row of its own; the row is left out")


def read_pilot_audits(
    content: bytes, name: str, *, units: Mapping[str, str], sheet: str | None = None,
    begins: ClockTime | None = None,
) -> PilotTable[AuditRead]:  # fmt: skip
    """The audits of a pilot from a file as it was written beside the line.

    Parameters as `read_pilot_counts`; ``units``, the unit in which each seam and joint of the programme is
    measured, by its code. A value must say its unit, in its heading, its cell or its row. Raises FileRefused
    when no audits can be made of the file, for any bytes; nothing else.
    """
    opened = Sheet(
        content,
        name,
        sheet=sheet,
        begins=begins,
        vocabulary=words.AUDITS,
        needed=(words.VALUE,),
        remedy=REMEDY,
    )
    if all(opened.column(one) is None for one in _NAMES):
        raise FileRefused("has no column seam, joint, or seam or joint", where=name, remedy=REMEDY)
    read = list(_rows(opened, {code.casefold(): (code, unit) for code, unit in units.items()}))
    if not read:
        raise opened.walk.nothing_read("audit")
    hour_of = opened.numbered()
    return PilotTable(
        file=opened.walk.about_the_file(name),
        rows=tuple(replace(one, hour=hour_of(one.row)) for one in read),
        name_column=opened.place(*_NAMES),
    )


_NAMES = (words.WHAT, words.SEAM, words.JOINT)


def _rows(opened: Sheet, known: Mapping[str, tuple[str, str]]) -> Iterator[AuditRead]:
    for row in opened.walk.rows():
        named = _named(opened, row)
        readable = opened.hour(row)
        if named is None or not readable:
            continue
        code, unit = known.get(named.casefold(), ("", ""))
        if not code:
            told = next(one for name in _NAMES if (one := opened.column(name)) and row.text(one).strip())
            opened.walk.refuse(
                row,
                told,
                Unread(
                    "is no seam and no joint of the programme", nearest(named, [c for c, _ in known.values()])
                ),
            )
            continue
        value = _value(opened, row, unit)
        if value is not None:
            yield AuditRead(
                what=code,
                value=value,
                unit=unit,
                hour=None,
                row=row.number + 1,
                column=opened.place(words.VALUE),
            )


def _named(opened: Sheet, row: TableRow) -> str | None:
    """The seam or joint of a row; None where that is refused."""
    found = [opened.walk.name(row, name) for name in _NAMES]
    if any(isinstance(one, Unread) for one in found):
        return None
    named = [one for one in found if isinstance(one, str) and one]
    if len(named) == 1:
        return named[0]
    told = next(one for name in _NAMES if (one := opened.column(name)))
    opened.walk.refuse(row, told, BOTH_NAMED if named else NOTHING_NAMED)
    return None


def _value(opened: Sheet, row: TableRow, unit: str) -> float | None:
    """The value in the unit of what was audited; None where there is none, or it is refused."""
    walk, told = opened.walk, opened.column(words.VALUE)
    if told is None:
        return None
    field = Field(name="value", words="", unit=unit, may_be_negative=unit == "mm")
    found = read_quantity(
        row.cell(told), field, walk.opened.decimal, from_sheet=walk.opened.sheet is not None
    )
    beside = _unit_of_row(opened, row)
    if isinstance(found, Missing):
        walk.ledger.missing += 1
        return None
    read: float | Unread
    if isinstance(found, Unread):
        read = found
    elif isinstance(beside, Unread):
        read = beside
    else:
        read = _in_unit(found, field, told.unit or beside)
    if isinstance(read, Unread):
        walk.refuse(row, told, read)
        return None
    if isinstance(found, Quantity) and found.why:
        walk.ledger.repair(row.number, told.column, row.text(told), f"{read:.10g} {unit}", found.why)
    return read


def _in_unit(found: Quantity, field: Field, unit: object) -> float | Unread:
    from offtool.exchange.readings.units import Unit

    stated = unit if isinstance(unit, Unit) else None
    if found.unit is None and stated is None:
        return Unread(f"has no unit; here it is {field.unit}", "state it in the heading, or in a column unit")
    return in_unit(found, field, stated)


def _unit_of_row(opened: Sheet, row: TableRow):  # type: ignore[no-untyped-def]
    told = opened.column("unit")
    text = row.text(told).strip() if told is not None else ""
    if not text.strip("-–/ "):
        return None
    return find_unit(text) or Unread(f"has a unit that is not known, {quote(text)!r}", "write the unit out")
