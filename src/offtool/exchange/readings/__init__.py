"""Measurements of a trial as gauge rooms send them, read from CSV and XLSX."""

from offtool.exchange.readings.limits import LIMITS
from offtool.exchange.readings.read import read_table
from offtool.exchange.readings.table import (
    FileRefused,
    FoundCharacteristic,
    Layout,
    ReadingTable,
    RefusedCell,
    Repair,
)

__all__ = [
    "LIMITS",
    "FileRefused",
    "FoundCharacteristic",
    "Layout",
    "ReadingTable",
    "RefusedCell",
    "Repair",
    "read_table",
]
