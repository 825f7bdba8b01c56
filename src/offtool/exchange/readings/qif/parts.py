"""Which part a measurement of QIF was taken on: its number, and cavity and shot where the file says them.

A file may say them in user attributes (of the measurement, of the set of results, of the component) or in
the serial number. A serial number with one number in it gives the number of the part.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from offtool.exchange.readings.ledger import Ledger, quote
from offtool.exchange.readings.limits import MAX_COUNT
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.places import Place, find_place, read_cavity, read_count
from offtool.exchange.readings.qif.document import Element
from offtool.exchange.readings.text import heading_key
from offtool.exchange.readings.words import ROLE_OF, Role

NOWHERE = Place()

_DIGITS = re.compile(r"[0-9]+")
_NO_COUNT = Unread("is no number of a shot", "write a whole number")


@dataclass(frozen=True, slots=True)
class PartMeasured:
    """A part of the file: its serial number, empty where it has none, and where it comes from."""

    serial: str
    place: Place


def place_in(element: Element | None, ledger: Ledger) -> Place:
    """What the user attributes of an element say of cavity, shot and part."""
    attributes = element.child("Attributes") if element else None
    place = NOWHERE
    for one in attributes.children if attributes else ():
        role = ROLE_OF.get(heading_key(one.attributes.get("name", "")))
        text = one.attributes.get("value", "").strip() or one.said("Value") or one.text
        if text and role is Role.CAVITY:
            place = replace(place, cavity=read_cavity(text)[0])
        elif text and role in (Role.SHOT, Role.PART):
            number = read_count(text)
            if number is not None and number <= MAX_COUNT:
                place = replace(place, shot=number) if role is Role.SHOT else replace(place, part=number)
            elif role is Role.SHOT:  # a part number that is no count is the number of a drawing
                ledger.refuse(one.row - 1, one.column - 1, text, _NO_COUNT)
    return place


def first_said(places: Iterable[Place]) -> Place:
    """Cavity, shot and part, each from the first place that says it."""
    found = list(places)
    return Place(
        cavity=next((one.cavity for one in found if one.cavity is not None), None),
        shot=next((one.shot for one in found if one.shot is not None), None),
        part=next((one.part for one in found if one.part is not None), None),
    )


def number_parts(parts: Sequence[PartMeasured], ledger: Ledger) -> list[Place]:
    """The place of each part with its number: as the file says, by serial number, or in their order."""
    said = [_by_serial(part) for part in parts]
    alone = len(parts) == 1
    if all(one.part is not None for one in said) and len(set(said)) == len(said):
        _say_serials(parts, said, ledger)
        return said
    if alone:
        return [replace(said[0], by_position=False)]
    if all(one.shot is not None for one in said) and len({(p.cavity, p.shot) for p in said}) == len(said):
        return [replace(one, part=None) for one in said]
    shown = f" ({quote(parts[0].serial)!r} is part 1)" if parts[0].serial else ""
    ledger.note(f"{len(parts)} parts are numbered in the order of the file{shown}: it gives them no numbers.")
    return [replace(one, part=number) for number, one in enumerate(said, 1)]


def _by_serial(part: PartMeasured) -> Place:
    """The place a part has, completed by its serial number."""
    if not part.serial:
        return part.place
    whole = find_place(part.serial)
    if whole is not None and not whole.by_position:
        return first_said((part.place, whole))
    digits = _DIGITS.findall(part.serial)
    number = int(digits[0]) if len(digits) == 1 and len(digits[0]) <= 9 else None
    return first_said((part.place, Place(part=number)))


def _say_serials(parts: Sequence[PartMeasured], said: Sequence[Place], ledger: Ledger) -> None:
    by_serial = [
        (part, place)
        for part, place in zip(parts, said, strict=True)
        if part.serial and part.place.part is None
    ]
    if by_serial:
        part, place = by_serial[0]
        words = (("cavity", place.cavity), ("shot", place.shot), ("part", place.part))
        read_as = " ".join(f"{what} {which}" for what, which in words if which is not None)
        ledger.note(f"Parts are known by their serial numbers: {quote(part.serial)!r} is {read_as}.")
