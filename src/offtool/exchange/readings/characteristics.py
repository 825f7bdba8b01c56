"""The characteristics a file names, by column in the wide layout and by row in the others."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.attributes import DESCRIBING
from offtool.exchange.readings.grid import Cell, Row
from offtool.exchange.readings.ledger import Ledger, quote
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.plan import Plan, ValueColumn
from offtool.exchange.readings.rows import Piece
from offtool.exchange.readings.specification import Specification, SpecificationReader, Spot
from offtool.exchange.readings.table import FileRefused, FoundCharacteristic, Layout
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.units import Unit
from offtool.exchange.readings.words import Role

NAMELESS = -1
"""Stands for the characteristic of a row that names none."""

_NUMBERED = re.compile(
    r"(?:(?:no|nr|pos)\b\.?\s*|#\s*)?\(?([A-Z]?[0-9]{1,4}(?:[.-][0-9]{1,3})?[a-z]?)\)?\s*[.:)_ -]\s*(\S.*)",
    re.IGNORECASE,
)
_ONLY_A_NUMBER = re.compile(r"#?\s*([0-9]{1,4}(?:[.-][0-9]{1,3})?[a-z]?)")

_CONTRADICTS = "names other limits than row {row} does for the same characteristic"
_CONTRADICTION_REMEDY = "give one characteristic one nominal and one pair of limits"


@dataclass(frozen=True, slots=True)
class Described:
    """What one way of describing a characteristic comes to: which it is, and the unit its readings are in."""

    index: int
    unit: Unit | None


@dataclass(slots=True)
class _Entry:
    found: FoundCharacteristic
    row: int
    written: Unit | None


class Catalogue:
    """Gathers the characteristics of a file; each is known by its number and its name together."""

    def __init__(self, plan: Plan, reader: SpecificationReader, ledger: Ledger, where: str) -> None:
        self._plan, self._reader, self._ledger, self._where = plan, reader, ledger, where
        units = {value.heading.unit for value in plan.values} - {None}
        self._heading_unit = next(iter(units)) if len(units) == 1 else plan.unit
        if len(units) > 1 and plan.layout is not Layout.WIDE:
            raise FileRefused(
                "the columns of readings are headed by different units",
                where=where,
                remedy="give each row its unit",
            )
        self._entries: list[_Entry] = []
        self._index: dict[tuple[str, str], int] = {}
        self.described: list[Described] = []
        self._memo: dict[tuple[Cell, ...], int] = {}
        self._rows: dict[int, int] = {}
        self._roles = [role for role in DESCRIBING if role in plan.columns]

    def of_columns(self, head: Sequence[Row]) -> None:
        """Describe each column of readings of the wide layout, in their order."""
        taken: dict[tuple[str, str | None], int] = {}
        plan = self._plan
        for value in plan.values:
            twin = taken.setdefault((value.name.casefold(), value.place.cavity), value.column)
            if twin != value.column:
                raise self._twice(value.name, f"columns {twin + 1} and {value.column + 1}")
            spots = {
                role: Spot(head[row][value.column], row, value.column)
                for role, row in plan.attributes.items()
                if value.column < len(head[row])
            }
            self.described.append(self._describe_column(value, spots))

    def _describe_column(self, value: ValueColumn, spots: dict[Role, Spot]) -> Described:
        number = spots.pop(Role.NUMBER, None)
        heading = Spot(value.name, self._plan.heading_rows[0], value.column)
        specification = self._reader.read(
            {Role.CHARACTERISTIC: heading} | spots, value.heading.unit or self._plan.unit
        )
        found = FoundCharacteristic(
            label=value.name if value.place.cavity or value.heading.only_a_unit else value.heading.text,
            number=plain(number.text) if number else "",
            name=value.name,
        )
        return self._add(found, specification, heading)

    def of_rows(self, piece: Piece) -> NDArray[np.int32]:
        """The index into ``described`` for each row of a block; NAMELESS where a row names none."""
        keys = list(zip(*(piece.columns[self._plan.columns[role]] for role in self._roles), strict=True))
        memo = self._memo
        if not all(map(memo.__contains__, set(keys))):
            for position, key in enumerate(keys):
                if key not in memo:
                    measured = any(piece.text(v.column, position).strip() for v in self._plan.values)
                    memo[key] = self._describe_row(key, piece.row(position), measured=measured)
        if self._plan.layout is Layout.REPORT:
            self._refuse_twins(keys, piece)
        return np.fromiter(map(memo.__getitem__, keys), np.int32, len(keys))

    def _describe_row(self, key: tuple[Cell, ...], row: int, *, measured: bool) -> int:
        spots = {
            role: Spot(
                cell, row, self._plan.columns[role], self._plan.headings[self._plan.columns[role]].unit
            )
            for role, cell in zip(self._roles, key, strict=True)
        }
        number, name = (_named(spots.get(role)) for role in (Role.NUMBER, Role.CHARACTERISTIC))
        if not number and not name:
            return NAMELESS
        if self._plan.layout is Layout.REPORT and not measured:
            attempted = self._reader.attempt(spots, self._heading_unit)
            if attempted is None:  # a line of text below the table
                return NAMELESS
        specification = self._reader.read(spots, self._heading_unit)
        found = FoundCharacteristic(label=name or number, number=number, name=name)
        first = next(
            spots[role] for role in (Role.NOMINAL, Role.CHARACTERISTIC, Role.NUMBER) if role in spots
        )
        self.described.append(self._add(found, specification, first))
        return len(self.described) - 1

    def _add(self, found: FoundCharacteristic, said: Specification, spot: Spot) -> Described:
        identity = (found.number.casefold(), found.name.casefold())
        index = self._index.setdefault(identity, len(self._entries))
        if index == len(self._entries):
            refuse_beyond("characteristics", index + 1, where=self._where)
            base = said.unit.base if said.unit else None
            complete = replace(found, unit=base, nominal=said.nominal, lower=said.lower, upper=said.upper)
            self._entries.append(_Entry(complete, spot.row, said.unit))
        else:
            self._compare(self._entries[index], said, spot)
        return Described(index, said.unit)

    def _compare(self, entry: _Entry, said: Specification, spot: Spot) -> None:
        """Fill in what the first description left open; refuse what contradicts it."""
        known = entry.found
        if known.unit and said.unit and said.unit.base != known.unit:
            raise FileRefused(
                f"{known.label!r} has readings in {known.unit} and in {said.unit.base}",
                where=f"{self._where}, rows {entry.row + 1} and {spot.row + 1}",
                remedy="give one characteristic one kind of unit",
            )
        for side in ("nominal", "lower", "upper"):
            before, now = getattr(known, side), getattr(said, side)
            if before is not None and now is not None and abs(before - now) > 1e-9 * max(1.0, abs(before)):
                why = _CONTRADICTS.format(row=entry.row + 1)
                self._ledger.refuse(spot.row, spot.column, spot.text, Unread(why, _CONTRADICTION_REMEDY))
                return
        entry.found = replace(
            known,
            unit=known.unit or (said.unit.base if said.unit else None),
            nominal=said.nominal if known.nominal is None else known.nominal,
            lower=said.lower if known.lower is None else known.lower,
            upper=said.upper if known.upper is None else known.upper,
        )

    def _refuse_twins(self, keys: list[tuple[Cell, ...]], piece: Piece) -> None:
        """In a report a characteristic has one row, unless each row says its cavity, shot or part."""
        if {Role.CAVITY, Role.SHOT, Role.PART} & self._plan.columns.keys():
            return
        for position, key in enumerate(keys):
            code = self._memo[key]
            if code == NAMELESS:
                continue
            row = piece.row(position)
            first = self._rows.setdefault(self.described[code].index, row)
            if first != row:
                raise self._twice(self.label(code), f"rows {first + 1} and {row + 1}")

    def _twice(self, label: str, places: str) -> FileRefused:
        return FileRefused(
            f"the characteristic {label!r} stands twice: in {places}",
            where=self._where,
            remedy="give each characteristic a name or a number of its own",
        )

    def label(self, code: int) -> str:
        return self._entries[self.described[code].index].found.label

    def finish(self, used: NDArray[np.int32]) -> tuple[tuple[FoundCharacteristic, ...], NDArray[np.int32]]:
        """The characteristics and, for each as gathered, its final index.

        One without readings stays when the file gives its limits; otherwise its row was no characteristic.
        """
        has_readings = np.zeros(len(self._entries), bool)
        has_readings[used] = True
        kept = [
            number
            for number, entry in enumerate(self._entries)
            if has_readings[number]
            or (entry.found.nominal, entry.found.lower, entry.found.upper) != (None, None, None)
        ]
        final = np.full(len(self._entries), -1, np.int32)
        final[kept] = np.arange(len(kept))
        self._say_units([self._entries[number] for number in kept])
        without = [self._entries[number].found.label for number in kept if not has_readings[number]]
        if without:
            self._ledger.note(f"No reading is given for {listed(without)}.")
        return tuple(_numbered([self._entries[number].found for number in kept])), final

    def _say_units(self, entries: list[_Entry]) -> None:
        converted: dict[tuple[str, str], list[str]] = {}
        for entry in entries:
            if entry.written and entry.written.factor != 1.0:
                converted.setdefault((entry.written.shown, entry.written.base), []).append(entry.found.label)
        for (written, base), labels in converted.items():
            self._ledger.note(f"Readings in {written} are given in {base}: {listed(labels)}.")
        unknown = [entry.found.label for entry in entries if entry.found.unit is None]
        if unknown:
            self._ledger.note(f"No unit is stated for {listed(unknown)}; the numbers stand as in the file.")


def _named(spot: Spot | None) -> str:
    return "" if spot is None or spot.says_nothing else one_line(plain(spot.text))


def listed(labels: list[str], most: int = 6) -> str:
    """Labels for a sentence, the first of many."""
    labels = list(dict.fromkeys(labels))
    shown = ", ".join(repr(quote(label)) for label in labels[:most])
    return f"{shown} and {len(labels) - most} more" if len(labels) > most else shown


def _numbered(found: list[FoundCharacteristic]) -> list[FoundCharacteristic]:
    """Numbers before the names ("12 Peg dia") are split off when every characteristic has one of its own."""
    if any(each.number for each in found):
        return found
    split = [_ONLY_A_NUMBER.fullmatch(each.name) or _NUMBERED.fullmatch(each.name) for each in found]
    numbers = {match[1] for match in split if match}
    if len(numbers) < len(found):
        return found
    return [
        replace(each, number=match[1], name=match[2] if match.re is _NUMBERED else "")
        for each, match in zip(found, split, strict=True)
        if match
    ]
