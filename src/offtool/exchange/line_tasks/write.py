"""A table of tasks written as CSV, in the layout in which it is read back."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from offtool.exchange.spreadsheet import write_safe_cell

HEADINGS = (
    *("task", "title", "time [s]", "spread [s]", "readings", "after", "needs", "side", "together", "apart"),
    *("fixed station", "station", "part", "joint", "seam"),
)
BETWEEN = "; "
"""Between the names in one cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """One task as it is written."""

    task: str
    title: str
    time_s: float
    spread_s: float | None
    readings: int
    after: tuple[str, ...]
    needs: tuple[str, ...]
    side: str
    together: tuple[str, ...]
    apart: tuple[str, ...]
    fixed_station: int | None
    station: int | None
    part: str
    joint: str
    seam: str


def write_line_tasks(tasks: tuple[TaskLine, ...]) -> bytes:
    """The table as UTF-8 with a mark at its beginning, so that a spreadsheet shows every script."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    writer.writerows(_cells(one) for one in tasks)
    return out.getvalue().encode("utf-8-sig")


def _cells(one: TaskLine) -> list[str]:
    names = [one.task, one.title, _number(one.time_s), _number(one.spread_s), str(one.readings)]
    names += [BETWEEN.join(one.after), BETWEEN.join(one.needs), one.side]
    names += [BETWEEN.join(one.together), BETWEEN.join(one.apart)]
    names += [str(one.fixed_station or ""), str(one.station or ""), one.part, one.joint, one.seam]
    return [write_safe_cell(cell) for cell in names]


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.12g}"
