"""A file of results in QIF, from its bytes to a table of readings.

The row of a reading is the line of the file where its value stands, the column the character in that line.
"""

from __future__ import annotations

from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.qif.asked import AskedReader
from offtool.exchange.readings.qif.assembly import Assembly
from offtool.exchange.readings.qif.document import Document, open_document
from offtool.exchange.readings.qif.items import Items
from offtool.exchange.readings.qif.measured import Gatherer
from offtool.exchange.readings.qif.units import FileUnits
from offtool.exchange.readings.table import FileRefused, ReadingTable

_ONLY = (
    ("Statistics", "holds statistics and no measurements", "send the results the statistics were made of"),
    ("Characteristics", "holds a plan and no measurements", "send the results, not the plan"),
)


def read_qif(content: bytes, name: str) -> ReadingTable:
    """The measurements of a QIF file; raises FileRefused when there are none, and for hostile XML."""
    ledger = Ledger(name)
    gatherer = Gatherer(ledger, name)
    document = open_document(content, name, gatherer.take)
    alone = document.parts.get("MeasurementResults")  # of 2.1: one set of results is the whole part
    if alone:
        gatherer.close(alone)
    runs = [run for run in gatherer.runs if run.measured]
    if not runs:
        raise _without_measurements(document, name)
    units = FileUnits(document, name)
    items = Items(document, AskedReader(units, ledger), ledger, name)
    return Assembly(document, items, units, ledger, name).table(runs)


def _without_measurements(document: Document, name: str) -> FileRefused:
    for part, what, remedy in _ONLY:
        if part in document.seen:
            return FileRefused(what, where=name, remedy=remedy)
    return FileRefused("holds no measurements", where=name, remedy="export the results as QIF 3.0")
