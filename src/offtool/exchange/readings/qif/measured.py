"""The measurements of a QIF file, each taken from its element as the file goes by."""

from __future__ import annotations

from dataclasses import dataclass, field

from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.limits import MAX_READINGS, refuse_beyond
from offtool.exchange.readings.places import Place
from offtool.exchange.readings.qif.document import Element
from offtool.exchange.readings.qif.kinds import MEASURED, kind_of
from offtool.exchange.readings.qif.parts import place_in


@dataclass(frozen=True, slots=True)
class Reference:
    """An id, of this document or of the other document with that id."""

    id: str
    document: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """One measurement of a characteristic; `value` is None where only a status is given."""

    kind: str
    item: Reference
    status: str
    value: Element | None
    component: str
    time: str
    place: Place
    row: int
    column: int


@dataclass(frozen=True, slots=True)
class Run:
    """One set of measurement results: its element without them, and the measurements."""

    element: Element
    measured: list[Measured]


@dataclass(slots=True)
class Gatherer:
    """Takes the measurements out of a document, set by set."""

    ledger: Ledger
    where: str
    runs: list[Run] = field(default_factory=list)
    _waiting: list[Measured] = field(default_factory=list)
    _count: int = 0

    def take(self, element: Element) -> bool:
        """Take a measurement, or a set of results with those since the last; leave all else."""
        if element.tag.endswith(MEASURED):
            kind = kind_of(element.tag, *MEASURED)
            self._count += 1
            if self._count > MAX_READINGS:
                refuse_beyond("readings", self._count, where=self.where)
            self._waiting.append(self._measured(kind, element))
            return True
        if element.tag == "MeasurementResults":
            self.close(element)
            return True
        return False

    def close(self, element: Element) -> None:
        """The measurements since the last set belong to this one."""
        self.runs.append(Run(element, self._waiting))
        self._waiting = []

    def _measured(self, kind: str, element: Element) -> Measured:
        value = element.child("Value")
        said = element.child("CharacteristicItemId")
        item = Reference(said.text if said else "")
        if said and "xId" in said.attributes:
            item = Reference(said.attributes["xId"].strip(), said.text)
        return Measured(
            kind=kind,
            item=item,
            status=element.said("Status", "CharacteristicStatusEnum"),
            value=value if value and value.text else None,
            component=element.said("ActualComponentId"),
            time=element.said("TimeStamp"),
            place=place_in(element, self.ledger),
            row=element.row,
            column=element.column,
        )
