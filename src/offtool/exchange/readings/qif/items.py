"""The characteristics of a QIF file: what each is called, what is asked of it, what it measures."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.characteristics import listed
from offtool.exchange.readings.ledger import Ledger, quote
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.places import split_cavity
from offtool.exchange.readings.qif.asked import Asked, AskedReader
from offtool.exchange.readings.qif.document import Document, Element
from offtool.exchange.readings.qif.kinds import (
    DEFINITION,
    ITEM,
    NOMINAL,
    Quantity,
    in_words,
    kind_of,
    quantity_of,
)
from offtool.exchange.readings.qif.measured import Reference
from offtool.exchange.readings.table import FileRefused, FoundCharacteristic
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.units import Unit

_NAMELESS = re.compile(r"[-_ ]*(?:none|n/?a)?[-_ ]*", re.IGNORECASE)
_CONTRADICTS = Unread(
    "has other limits than the same characteristic in another cavity",
    "give one characteristic one nominal and one pair of limits",
)


@dataclass(frozen=True, slots=True)
class Item:
    """An item of the file: its place among the characteristics, and the cavity its name says."""

    index: int
    quantity: Quantity
    cavity: str | None


class Items:
    """Gathers the items in the order of the file; those that give no size are left out."""

    def __init__(self, document: Document, reader: AskedReader, ledger: Ledger, where: str) -> None:
        self._reader, self._ledger, self._where = reader, ledger, where
        self.found: list[FoundCharacteristic] = []
        self.asked: list[Asked] = []
        self.no_sizes: dict[str, str] = {}
        """Ids of items that give no size, with what they are called."""
        self._foreign_labels: list[str] = []
        self._written: dict[int, dict[Unit | None, None]] = {}
        self._index: dict[tuple[str, str], int] = {}
        self._rows: dict[tuple[str, str, str | None], int] = {}
        self._by_reference: dict[Reference, Item] = {}
        characteristics = document.parts.get("Characteristics")
        self._nominals = _by_id(characteristics, "CharacteristicNominals")
        self._definitions = _by_id(characteristics, "CharacteristicDefinitions")
        self._others = _other_documents(document)
        for element in _children(characteristics, "CharacteristicItems"):
            kind = kind_of(element.tag, ITEM)
            if kind:
                self._add(kind, element)

    def of(self, kind: str, reference: Reference) -> Item | None:
        """The item that was measured; None for one that gives no size. One not in the file is made."""
        known = self._by_reference.get(reference)
        if known is None and reference.id not in self.no_sizes:
            quantity = quantity_of(kind)
            if quantity is None:
                self.no_sizes[reference.id] = in_words(kind)
                return None
            known = self._by_reference[reference] = self._foreign(kind, quantity, reference)
        return known

    def written_in(self, index: int, unit: Unit | None) -> None:
        """Note the unit a reading is written in; None for none."""
        self._written.setdefault(index, {}).setdefault(unit)

    def finish(self, used: NDArray[np.int32]) -> tuple[tuple[FoundCharacteristic, ...], NDArray[np.int32]]:
        """The characteristics that have readings or limits, and the final index of each as gathered."""
        measured = set(used.tolist())
        limited = [(one.nominal, one.lower, one.upper) != (None, None, None) for one in self.found]
        kept = [index for index in range(len(self.found)) if index in measured or limited[index]]
        final = np.full(len(self.found), -1, np.int32)
        final[kept] = np.arange(len(kept))
        self._say(measured, kept)
        return tuple(self._with_unit(index) for index in kept), final

    def _with_unit(self, index: int) -> FoundCharacteristic:
        """The characteristic with the base unit its readings are given in."""
        found, asked = self.found[index], self.asked[index]
        limited = (asked.nominal, asked.lower, asked.upper) != (None, None, None)
        units = {unit.base if unit else None for unit in self._written.get(index, {})}
        units |= {asked.unit.base} if limited and asked.unit else set()
        if len(units) > 1:
            raise FileRefused(
                f"{found.label!r} has numbers with a unit and without",
                where=self._where,
                remedy="state the primary units of the file",
            )
        return replace(found, unit=next(iter(units), None))

    def _say(self, measured: set[int], kept: list[int]) -> None:
        """Say what was converted, what has no unit, no reading, a bonus, or is no size."""
        converted: dict[str, list[str]] = {}
        for index in sorted(measured):
            for unit in self._written.get(index, {}):
                if unit is not None and unit.factor != 1.0:
                    said = f"Readings in {unit.shown} are given in {unit.base}"
                    converted.setdefault(said, []).append(self.found[index].label)
        for said, labels in converted.items():
            self._ledger.note(f"{said}: {listed(labels)}.")
        for words, labels in (
            (
                "No unit is stated for {}; numbers stand as in the file (the standard would mean metres).",
                [self.found[index].label for index in kept if None in self._written.get(index, {})],
            ),
            ("Not described in this file, so that no limits are known: {}.", self._foreign_labels),
            ("No reading is given for {}.", [self.found[i].label for i in kept if i not in measured]),
            (
                "Limits are without the bonus of a material condition: {}.",
                [self.found[index].label for index in kept if self.asked[index].has_bonus],
            ),
            ("Characteristics that give no size are left out: {}.", [*self.no_sizes.values()]),
        ):
            if labels:
                self._ledger.note(words.format(listed(labels)))

    def _add(self, kind: str, element: Element) -> None:
        identity = element.attributes.get("id", "")
        nominal = self._nominals.get(element.said("CharacteristicNominalId"))
        definition = self._definitions.get(nominal.said("CharacteristicDefinitionId")) if nominal else None
        number, name, cavity = _called(kind, identity, [one for one in (element, nominal, definition) if one])
        quantity = quantity_of(kind)
        if quantity is None:
            self.no_sizes[identity] = name or number
            return
        asked = self._reader.read(kind, quantity, nominal, definition)
        found = FoundCharacteristic(label=name or number, number=number, name=name)
        self._refuse_twin(found, cavity, element)
        index = self._place(found, asked, element)
        self._by_reference[Reference(identity)] = Item(index, quantity, cavity)

    def _foreign(self, kind: str, quantity: Quantity, reference: Reference) -> Item:
        """An item that another document describes."""
        other = self._others.get(reference.document, "") if reference.document else ""
        of = f" of {other}" if other else " of another file" if reference.document else ""
        label = f"{in_words(kind)}, item {quote(reference.id)}{of}"
        self._foreign_labels.append(label)
        index = self._place(FoundCharacteristic(label=label, name=label), Asked(), None)
        return Item(index, quantity, None)

    def _place(self, found: FoundCharacteristic, asked: Asked, element: Element | None) -> int:
        identity = (found.number.casefold(), found.name.casefold())
        index = self._index.setdefault(identity, len(self.found))
        if index == len(self.found):
            refuse_beyond("characteristics", index + 1, where=self._where)
            self.asked.append(asked)
            self.found.append(_complete(found, asked))
        elif element is not None and not _same(self.asked[index], asked):
            self._ledger.refuse(element.row - 1, element.column - 1, found.label, _CONTRADICTS)
        return index

    def _refuse_twin(self, found: FoundCharacteristic, cavity: str | None, element: Element) -> None:
        key = (found.number.casefold(), found.name.casefold(), cavity)
        first = self._rows.setdefault(key, element.row)
        if first != element.row:
            raise FileRefused(
                f"the characteristic {found.label!r} stands twice: in lines {first} and {element.row}",
                where=self._where,
                remedy="give each characteristic a designator or a name of its own",
            )


def _complete(found: FoundCharacteristic, asked: Asked) -> FoundCharacteristic:
    return replace(found, nominal=asked.nominal, lower=asked.lower, upper=asked.upper)


def _same(one: Asked, other: Asked) -> bool:
    pairs = zip((one.nominal, one.lower, one.upper), (other.nominal, other.lower, other.upper), strict=True)
    return all((a is None) == (b is None) and abs((a or 0) - (b or 0)) <= 1e-9 for a, b in pairs)


def _called(kind: str, identity: str, aspects: list[Element]) -> tuple[str, str, str | None]:
    """Number, name and cavity of an item; each from the item, else its nominal, else its definition."""
    number = _first_said(one.said("CharacteristicDesignator", "Designator") for one in aspects)
    name = _first_said(one.said("Name") for one in aspects)
    if not name or name == number:
        name = _first_said(one.said("Description") for one in aspects[:1])
    number, in_number = _without_cavity(number)
    name, in_name = _without_cavity(name)
    if not number and not name:
        name = f"{in_words(kind)}, item {quote(identity)}"
    return number, name, in_name or in_number


def _first_said(texts: Iterable[str]) -> str:
    return next((text for one in texts if not _NAMELESS.fullmatch(text := one_line(plain(one)))), "")


def _without_cavity(text: str) -> tuple[str, str | None]:
    return split_cavity(text) or (text, None)


def _children(characteristics: Element | None, tag: str) -> list[Element]:
    group = characteristics.child(tag) if characteristics else None
    return group.children if group else []


def _by_id(characteristics: Element | None, tag: str) -> dict[str, Element]:
    endings = (NOMINAL, DEFINITION)
    return {
        one.attributes.get("id", ""): one
        for one in _children(characteristics, tag)
        if kind_of(one.tag, *endings)
    }


def _other_documents(document: Document) -> dict[str, str]:
    references = document.parts.get("ExternalQIFReferences")
    return {
        one.attributes.get("id", ""): quote(one.said("URI").replace("\\", "/").rpartition("/")[2])
        for one in (references.all("ExternalQIFDocument") if references else ())
    }
