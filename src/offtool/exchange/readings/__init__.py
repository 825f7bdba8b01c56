"""Measurements of a trial as gauge rooms send them, read from CSV, XLSX and QIF, one file or several."""

from offtool.exchange.readings.bundle import FileLeftOut, SentFile, is_archive
from offtool.exchange.readings.limits import LIMITS
from offtool.exchange.readings.merged import Merged, doubled, merge
from offtool.exchange.readings.read import read_table
from offtool.exchange.readings.table import (
    FileRefused,
    FoundCharacteristic,
    Layout,
    ReadingTable,
    RefusedCell,
    Repair,
)
from offtool.exchange.readings.together import FileRead, FilesRead, read_files

__all__ = [
    "LIMITS",
    "FileLeftOut",
    "FileRead",
    "FileRefused",
    "FilesRead",
    "FoundCharacteristic",
    "Layout",
    "Merged",
    "ReadingTable",
    "RefusedCell",
    "Repair",
    "SentFile",
    "doubled",
    "is_archive",
    "merge",
    "read_files",
    "read_table",
]
