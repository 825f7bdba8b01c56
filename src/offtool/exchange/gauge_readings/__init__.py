"""Gauge studies as gauge rooms write them down, read from CSV and XLSX."""

from offtool.exchange.gauge_readings.read import read_study
from offtool.exchange.gauge_readings.table import StudyLayout, StudyReading, StudyTable

__all__ = ["StudyLayout", "StudyReading", "StudyTable", "read_study"]
