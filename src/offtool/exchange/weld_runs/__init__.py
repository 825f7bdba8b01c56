"""Runs of an ultrasonic welder as they are written down, read from CSV and XLSX."""

from offtool.exchange.weld_runs.read import read_weld_study
from offtool.exchange.weld_runs.table import WeldRunRead, WeldStudyTable

__all__ = ["WeldRunRead", "WeldStudyTable", "read_weld_study"]
