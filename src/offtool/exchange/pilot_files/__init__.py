"""Sheets of a pilot as they are written down on the line, read from CSV and XLSX."""

from offtool.exchange.pilot_files.audits import read_pilot_audits
from offtool.exchange.pilot_files.counts import read_pilot_counts
from offtool.exchange.pilot_files.defects import read_pilot_defects
from offtool.exchange.pilot_files.table import AuditRead, CountRead, DefectRead, PilotTable, TimeRead
from offtool.exchange.pilot_files.times import read_pilot_times

__all__ = [
    "AuditRead",
    "CountRead",
    "DefectRead",
    "PilotTable",
    "TimeRead",
    "read_pilot_audits",
    "read_pilot_counts",
    "read_pilot_defects",
    "read_pilot_times",
]
