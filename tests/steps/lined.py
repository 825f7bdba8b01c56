"""An invented line in the record: seven tasks, small enough to try every line there is."""

from __future__ import annotations

from typing import Any

from offtool.handbook.terms import Side
from offtool.records.models import Line, Programme
from offtool.records.operations import (
    NewLineTable,
    NewLineTask,
    define_line,
    define_station,
    put_line_table,
)

SLUG, LINE = "toy-boat", "boat line"
TASKS = (
    NewLineTask(name="clip", time_s=12.0, spread_s=1.5, readings=12),
    NewLineTask(name="weld", time_s=18.0, spread_s=1.0, readings=12, after=("clip",), needs=("welder",)),
    NewLineTask(name="look", time_s=7.0, spread_s=0.9, readings=12, after=("weld",)),
    NewLineTask(name="print", time_s=9.0, spread_s=0.8, readings=12, needs=("printer",)),
    NewLineTask(name="arms", time_s=16.0, spread_s=2.0, readings=12, after=("weld",)),
    NewLineTask(name="head", time_s=14.0, spread_s=1.8, readings=12, after=("print", "weld")),
    NewLineTask(name="pack", time_s=11.0, spread_s=1.2, readings=12, after=("arms", "head", "look"),
                side=Side.LEFT),
)  # fmt: skip
ONE_EACH = {"clip": 1, "weld": 2, "look": 3, "print": 3, "arms": 4, "head": 5, "pack": 6}
"""Places that keep the order and are not the best."""


def make_line(tasks: tuple[NewLineTask, ...] = TASKS, **planned: Any) -> Line:
    """The programme with its line; 120 an hour and five people unless said otherwise."""
    programme = Programme.objects.create(slug=SLUG, title="Toy boat", currency="USD")
    line = define_line(programme, LINE, {"planned_per_h": 120.0, "people": 5, **planned}, made_by="x")
    if tasks:
        put_line_table(line, NewLineTable(tasks=tasks, equipment={"welder": 1, "printer": None}), made_by="x")
    return line


def name_station(line: Line, number: int, **columns: Any) -> None:
    """Say something of a station."""
    define_station(line, number, columns, made_by="x")
