"""Small lines in the record, with a task at each station, whose rate can be worked out by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from offtool.records.models import Line, Programme
from offtool.records.operations import NewLineStation, NewLineTable, NewLineTask, define_line, put_line_table

SLUG, LINE = "kite", "line 1"
A_TASK = {"spread_s": 0.0, "readings": 10}


def a_line(
    times_s: Sequence[float],
    *,
    after: Mapping[int, Sequence[int]] | None = None,
    stations: Mapping[int, Mapping[str, Any]] | None = None,
    tasks: Mapping[str, Any] | None = None,
    **columns: Any,
) -> Line:
    """Task t1 at station 1 and so on, each after the one before, or after the tasks of `after`."""
    programme = Programme.objects.create(slug=SLUG, title="Kite, invented")
    line = define_line(programme, LINE, {"hours_per_day": 4.0, **columns}, made_by="tester")
    if after is None:
        after = {k: (k - 1,) for k in range(2, len(times_s) + 1)}
    own = stations or {}
    put_line_table(
        line,
        NewLineTable(
            tasks=tuple(
                NewLineTask(
                    name=f"t{k}",
                    time_s=time,
                    after=tuple(f"t{i}" for i in after.get(k, ())),
                    placed_at=k,
                    **{**A_TASK, **(tasks or {})},
                )
                for k, time in enumerate(times_s, start=1)
            ),
            stations=tuple(
                NewLineStation(
                    number=k,
                    columns={"name": f"s{k}", "people": 1, "places": 2}
                    | {name: value for name, value in own.get(k, {}).items() if name != "rework_to"},
                    rework_to=own.get(k, {}).get("rework_to"),
                )
                for k in range(1, len(times_s) + 1)
            ),
        ),
        made_by="tester",
    )
    return line
