"""Tests of the toy law on own pieces as they are written down, read from CSV and XLSX."""

from offtool.exchange.toy_tests.read import read_toy_tests
from offtool.exchange.toy_tests.table import ToyPieceRead, ToyTestTable

__all__ = ["ToyPieceRead", "ToyTestTable", "read_toy_tests"]
