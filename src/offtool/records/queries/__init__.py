"""What is asked of the record."""

from __future__ import annotations

from offtool.records.queries.finding import (
    find_programme,
    find_tool,
    find_trial,
    latest_state,
    nearest,
    steel_in_state,
)
from offtool.records.queries.readings import load_readings

__all__ = [
    "find_programme",
    "find_tool",
    "find_trial",
    "latest_state",
    "load_readings",
    "nearest",
    "steel_in_state",
]
