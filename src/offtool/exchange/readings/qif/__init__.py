"""Results of measurement in QIF (ISO 23952), versions 3.0 and 2.1."""

from offtool.exchange.readings.qif.document import is_qif
from offtool.exchange.readings.qif.read import read_qif

__all__ = ["is_qif", "read_qif"]
