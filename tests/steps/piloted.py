"""A small line of three stations with one pilot, worked out by hand; its sheets as they were written.

152 pieces were started in four hours. Paint is too slow and loses most: 26 pieces wait before it.
"""

from __future__ import annotations

from datetime import UTC, date, datetime

from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line, Pilot, Programme
from offtool.records.operations import define_line, put_line_table
from offtool.records.operations.line_table import NewLineStation, NewLineTable, NewLineTask
from offtool.steps.define_pilot import PilotDefined, define_pilot
from offtool.steps.keep_pilot_file import SheetAbout, keep_pilot_file

LINE, PILOT = "otter line", "P1"
NOW = datetime(2026, 4, 10, 12, 0, tzinfo=UTC)
PLANNED = {
    "planned_per_h": 40.0,
    "people": 4,
    "hours_per_day": 8.0,
    "quantity": 2000,
    "piece_cost": 2.0,
    "minute_cost": 0.5,
    "planned_first_yield": 0.9,
    "planned_final_yield": 0.97,
}
COUNTS = """\
station,hour,tried,good first,reworked good,scrapped
weld,1,34,33,0,1
weld,2,38,38,0,0
weld,3,40,39,1,0
weld,4,40,40,0,0
paint,1,26,20,4,2
paint,2,32,27,4,1
paint,3,33,29,4,0
paint,4,34,31,3,0
pack,1,20,20,0,0
pack,2,28,28,0,0
pack,3,31,30,1,0
pack,4,33,33,0,0
"""
DEFECTS = """\
station,defect,count,scrapped,rework minutes [min]
paint,overspray,14,2,1.5
paint,print missing,4,1,2
weld,open seam,2,1,3
pack,loose tie,1,0,0.5
"""
TIMES = """\
station,time [s],operator,hour
weld,61,A,1
weld,58,A,1
weld,59,A,2
weld,57,A,4
weld,60,A,4
paint,214,B,1
paint,226,C,1
paint,210,B,1
paint,221,C,2
paint,205,B,2
paint,218,C,3
paint,199,B,3
paint,207,C,4
paint,196,B,4
paint,204,C,4
pack,70,D,1
pack,76,D,2
pack,73,D,4
"""


def make_line() -> Line:
    """The line of the otter, its tasks placed."""
    programme = Programme.objects.get(slug="harbour-otter")
    line = define_line(programme, LINE, PLANNED, made_by="production")
    tasks = (("weld torso", 60.0, 1), ("mask", 80.0, 2), ("spray", 90.0, 2), ("pack", 75.0, 3))
    put_line_table(
        line,
        NewLineTable(
            tasks=tuple(
                NewLineTask(
                    name=name, time_s=time, placed_at=station, after=(tasks[place - 1][0],) if place else ()
                )
                for place, (name, time, station) in enumerate(tasks)
            ),
            stations=(
                NewLineStation(number=1, columns={"name": "weld"}),
                NewLineStation(number=2, columns={"name": "paint", "people": 2}),
                NewLineStation(number=3, columns={"name": "pack"}),
            ),
        ),
        made_by="production",
    )
    return line


def make_pilot(*, trials: tuple[str, ...] = (), hours: float | None = 4.0) -> Pilot:
    """The pilot, with no sheet yet."""
    name = define_pilot(
        "harbour-otter",
        PilotDefined(name=PILOT, ran_on=date(2026, 4, 9), pieces=152, hours=hours, people=4, trials=trials),
        made_by="production",
    )
    return Pilot.objects.get(name=name)


def keep(kind: PilotFileKind, text: str, *, begins: str = "", name: str = "") -> None:
    """Keep a sheet."""
    keep_pilot_file(
        text.encode(), name or f"{kind}.csv", programme="harbour-otter", pilot=PILOT, kind=kind,
        about=SheetAbout(begins=begins), read_at=NOW, read_by="production",
    )  # fmt: skip


def keep_all() -> None:
    """Keep the sheets of counts, defects and times."""
    keep(PilotFileKind.COUNTS, COUNTS)
    keep(PilotFileKind.DEFECTS, DEFECTS)
    keep(PilotFileKind.TIMES, TIMES)
