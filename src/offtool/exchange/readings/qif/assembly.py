"""Measurements, characteristics and parts of a QIF file put together to a table."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.checks import repeats, say_places
from offtool.exchange.readings.labels import CavityLabels
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.numbers import TOO_LARGE, Unread
from offtool.exchange.readings.places import Place
from offtool.exchange.readings.qif.document import RESULTS, Document, Element
from offtool.exchange.readings.qif.items import Item, Items
from offtool.exchange.readings.qif.measured import Run
from offtool.exchange.readings.qif.numbers import read_decimal
from offtool.exchange.readings.qif.parts import PartMeasured, first_said, number_parts, place_in
from offtool.exchange.readings.qif.statuses import say_statuses
from offtool.exchange.readings.qif.story import say_doubles, say_how, say_who_and_when
from offtool.exchange.readings.qif.units import FileUnits
from offtool.exchange.readings.table import FileRefused, Layout, ReadingTable
from offtool.exchange.readings.walk import Readings


class Assembly:
    """Goes through the measurements of one file once."""

    def __init__(
        self, document: Document, items: Items, units: FileUnits, ledger: Ledger, where: str
    ) -> None:
        self._document, self._items, self._units = document, items, units
        self._ledger, self._where = ledger, where
        self._cavities = CavityLabels(where)
        self._components = {
            one.attributes.get("id", ""): one
            for results in results_of(document)
            for one in results.all("ActualComponent")
        }
        self._parts: list[PartMeasured] = []
        self._part_of: dict[tuple[str, Place], int] = {}
        self._taken: list[tuple[int, int, str | None, float, int, int]] = []
        self._statuses: list[str] = []

    def table(self, runs: list[Run]) -> ReadingTable:
        """The table of all readings. Raises FileRefused when there is none."""
        for number, run in enumerate(runs):
            self._read_run(number, run)
        if not self._taken:
            raise self._nothing_read()
        ledger = self._ledger
        say_how(self._document.version, len(self._parts), len(self._taken), ledger)
        readings, part = self._readings()
        doubled = repeats(readings["characteristic"], readings["cavity"], part)
        found, final = self._items.finish(np.unique(readings["characteristic"]))
        readings["characteristic"] = final[readings["characteristic"]]
        cavities, final = self._cavities.finish(np.unique(readings["cavity"]))
        readings["cavity"] = final[readings["cavity"]]
        say_places(readings, ledger)
        say_doubles(readings["row"][doubled], ledger)
        say_statuses(readings, found, self._statuses, ledger)
        say_who_and_when(results_of(self._document), runs, ledger)
        return ReadingTable(
            name=self._where,
            layout=Layout.QIF,
            sheet=None,
            encoding=f"QIF {self._document.version}",
            delimiter="",
            decimal=".",
            characteristics=found,
            cavities=cavities,
            **readings,
            repairs=ledger.repairs(),
            refused=ledger.refused(),
            missing=ledger.missing,
            notes=ledger.notes(),
        )

    def _nothing_read(self) -> FileRefused:
        refused = "; ".join(map(str, self._ledger.refused()[:3]))
        no_sizes = ", ".join(map(repr, list(self._items.no_sizes.values())[:3]))
        why = refused or (
            f"{no_sizes} is no size that is measured" if no_sizes else "statuses without values"
        )
        return FileRefused(
            f"holds no reading that can be read: {why}",
            where=self._where,
            remedy="export the measured values as QIF 3.0",
        )

    def _read_run(self, number: int, run: Run) -> None:
        ids = run.element.child("ActualComponentIds")
        of_run = ids.children[0].text if ids and ids.children else ""
        place = place_in(run.element, self._ledger)
        for measured in run.measured:
            item = self._items.of(measured.kind, measured.item)
            value = self._value(measured.value, item) if item else None
            if item is None or value is None or measured.value is None:
                continue
            part = self._part(
                measured.component or of_run or f"run {number}", first_said((measured.place, place))
            )
            row, column = measured.value.text_row, measured.value.text_column
            self._taken.append((item.index, part, item.cavity, value, row, column))
            self._statuses.append(measured.status)

    def _part(self, component: str, place: Place) -> int:
        """The number, in the order of the file, of the part a measurement was taken on."""
        key = (component, place)
        if key not in self._part_of:
            self._part_of[key] = len(self._parts)
            element = self._components.get(component)
            serial = element.said("SerialNumber") if element else ""
            said = first_said((place, place_in(element, self._ledger)))
            self._parts.append(PartMeasured(serial, said))
        return self._part_of[key]

    def _value(self, element: Element | None, item: Item) -> float | None:
        """The value in the unit of its characteristic; None where there is none, or it is refused."""
        if element is None:
            self._ledger.missing += 1
            return None
        row, column = element.text_row - 1, element.text_column - 1
        stated, number = self._units.of(item.quantity, element), read_decimal(element.text)
        for said in (number, stated):
            if isinstance(said, Unread):
                self._ledger.refuse(row, column, element.text, said)
                return None
        if isinstance(stated, Unread) or isinstance(number, Unread):  # said above; the checker of types asks
            return None
        value = stated.converted(number.value)
        if abs(value) > MAX_SIZE:
            self._ledger.refuse(row, column, element.text, TOO_LARGE)
            return None
        if number.why:
            self._ledger.repair(row, column, element.text, f"{number.value:.10g}", number.why)
        self._items.written_in(item.index, stated.unit)
        return value

    def _readings(self) -> tuple[Readings, NDArray[np.int64]]:
        """The arrays, indices as gathered; and for each reading the order of its part."""
        places = number_parts(self._parts, self._ledger)
        index, part, cavity, value, row, column = zip(*self._taken, strict=True)
        of_part = np.array(part, np.int64)
        codes = self._cavities.codes(
            [one or places[at].cavity or "" for one, at in zip(cavity, part, strict=True)]
        )
        shots = np.array([-1 if one.shot is None else one.shot for one in places], np.int64)
        numbers = np.array([-1 if one.part is None else one.part for one in places], np.int64)
        readings: Readings = {
            "characteristic": np.array(index, np.int32),
            "cavity": codes,
            "shot": shots[of_part],
            "part": numbers[of_part],
            "value": np.array(value, np.float64),
            "row": np.array(row, np.int32),
            "column": np.array(column, np.int32),
        }
        return readings, of_part


def results_of(document: Document) -> list[Element]:
    """The parts of a document that hold results."""
    return [document.parts[tag] for tag in RESULTS if tag in document.parts]
