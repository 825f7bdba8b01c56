"""The line that is to put the otter together: its tasks as they were timed, its stations, what feeds it.

All is invented: a line of twelve people, 150 otters an hour. The belly was timed with a brush-new mask and
one careful hand; it is there that the pilot falls short.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from examples.otter_story.programme import SLUG

from offtool.handbook.terms import Side
from offtool.records.models import Programme
from offtool.records.operations import (
    NewLineStation,
    NewLineTable,
    NewLineTask,
    define_break,
    define_line,
    define_line_press,
    put_line_table,
)
from offtool.records.queries import find_line, find_press, find_programme, find_tool

LINE = "otter line"
INDUSTRIAL = "industrial engineer"
TIMED = 10
"""Cycles of each task that were timed."""
PLANNED = {
    "planned_per_h": 150.0,
    "people": 13,
    "hours_per_day": 9.5,
    "quantity": 60_000,
    "starts_on": date(2026, 5, 18),
    "piece_cost": 2.15,
    "minute_cost": 0.11,
    "planned_first_yield": 0.92,
    "planned_final_yield": 0.98,
    "learning_low": 0.85,
    "learning_high": 0.95,
    "note": "invented, as the otter is",
}
EQUIPMENT = {"welder": 2, "spray booth": 2, "pad printer": 1, "press jig": 2, "torque gauge": 1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A task as the sheet of the line has it: its mean and spread in seconds, and where it is done."""

    name: str
    title: str
    time_s: float
    spread_s: float | None
    at: int
    after: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    part: str = ""
    joint: str = ""
    seam: str = ""
    fixed: bool = False

    @property
    def readings(self) -> int:
        """How many cycles were timed; what has no spread was estimated."""
        return TIMED if self.spread_s is not None else 0


TASKS = (
    Task(name="degate torso", title="degate and trim the torso halves", time_s=9.0, spread_s=1.1, at=1,
         part="HO-02"),
    Task(name="degate head and tail", title="degate and trim head, tail and clam", time_s=7.5, spread_s=0.9,
         at=1, part="HO-01"),
    Task(name="look at halves", title="look at both halves under the lamp", time_s=5.0, spread_s=0.7, at=1,
         after=("degate torso",), part="HO-03"),
    Task(name="weld torso", title="lay both halves in and weld them", time_s=16.5, spread_s=1.2, at=2,
         after=("look at halves",), needs=("welder",), seam="torso", fixed=True),
    Task(name="look at seam", title="look for gaps and flash along the seam", time_s=6.0, spread_s=1.0, at=2,
         after=("weld torso",), seam="torso"),
    Task(name="degate limbs", title="degate arms and legs from their runner", time_s=10.2, spread_s=1.3, at=3,
         part="HO-04"),
    Task(name="weld clam", title="weld the two shells of the clam", time_s=13.0, spread_s=None, at=3,
         after=("degate head and tail",), needs=("welder",), seam="clam", part="HO-07"),
    Task(name="spray belly", title="spray the belly through its mask", time_s=20.5, spread_s=1.8, at=4,
         after=("look at seam",), needs=("spray booth",), part="HO-02", fixed=True),
    Task(name="spray face", title="spray eyes and nose through their mask", time_s=14.0, spread_s=1.3, at=5,
         after=("degate head and tail",), needs=("spray booth",), part="HO-01", fixed=True),
    Task(name="fold tray", title="fold the tray", time_s=7.0, spread_s=0.8, at=5),
    Task(name="print nose", title="pad-print the nose line", time_s=10.5, spread_s=0.8, at=6,
         after=("spray face",), needs=("pad printer",), part="HO-01"),
    Task(name="look at paint", title="look at paint and print under the lamp", time_s=8.0, spread_s=1.2, at=6,
         after=("spray belly", "print nose"), apart=("spray belly",)),
    Task(name="cut card", title="take a card and fold its foot", time_s=4.0, spread_s=0.5, at=6),
    Task(name="press arms", title="press both arms into their sockets", time_s=11.0, spread_s=1.2, at=7,
         after=("look at paint", "degate limbs"), needs=("press jig",), joint="shoulder"),
    Task(name="press legs", title="press both legs into their clips", time_s=11.5, spread_s=1.3, at=7,
         after=("look at paint", "degate limbs"), needs=("press jig",), joint="hip"),
    Task(name="press head", title="press the head onto the neck", time_s=7.0, spread_s=0.8, at=8,
         after=("look at paint",), needs=("press jig",), part="HO-01"),
    Task(name="press tail", title="press the tail in until the finger snaps", time_s=6.5, spread_s=0.9, at=8,
         after=("look at paint",), joint="tail"),
    Task(name="check torque", title="move arms and legs, one in twenty on the gauge", time_s=10.0,
         spread_s=1.5, at=8, after=("press arms", "press legs"), needs=("torque gauge",), joint="shoulder"),
    Task(name="tie scarf", title="tie the scarf", time_s=14.0, spread_s=2.4, at=9, after=("press head",)),
    Task(name="hook clam", title="hook the clam in", time_s=6.0, spread_s=0.9, at=9,
         after=("weld clam", "check torque"), part="HO-07"),
    Task(name="wipe", title="wipe and blow off", time_s=6.0, spread_s=None, at=10,
         after=("tie scarf", "hook clam", "press tail")),
    Task(name="last look", title="look at the whole figure against the limit samples", time_s=12.0,
         spread_s=1.6, at=10, after=("wipe",), apart=("look at paint",), fixed=True),
    Task(name="lay in tray", title="lay the figure in its tray", time_s=6.5, spread_s=0.7, at=11,
         after=("last look", "fold tray"), together=("twist ties",)),
    Task(name="twist ties", title="two twist ties through the tray", time_s=15.0, spread_s=2.0, at=11,
         after=("lay in tray",)),
    Task(name="box", title="card and tray into the box", time_s=9.5, spread_s=1.1, at=12,
         after=("twist ties", "cut card")),
    Task(name="seal", title="close the box, print the date code", time_s=5.0, spread_s=0.5, at=12,
         after=("box",)),
    Task(name="carton", title="twelve boxes into a carton, its share of one", time_s=4.0, spread_s=None,
         at=12, after=("seal",)),
)  # fmt: skip
"""Twenty-seven; arms and legs are two of each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A station as the sheet of the line has it."""

    name: str
    has: tuple[str, ...] = ()
    places: int = 6
    cure_s: float | None = None
    fails: float | None = None
    rework_to: int | None = None
    works_s: float | None = None
    stands_s: float | None = None
    fixtures: int | None = None
    learning: float | None = None
    made_before: int | None = None


CURE_S = 20 * 60.0
STATIONS = (
    Station(name="degating", places=12),
    Station(name="welder", has=("welder",), fails=0.008, works_s=5400.0, stands_s=150.0, fixtures=1),
    Station(name="clam and limbs", has=("welder",), places=12),
    Station(name="belly booth", has=("spray booth",), fails=0.03, rework_to=4, works_s=7200.0, stands_s=240.0,
            learning=0.9, made_before=400),
    Station(name="face booth", has=("spray booth",), fails=0.015, rework_to=5, works_s=7200.0,
            stands_s=240.0),
    Station(name="printer", has=("pad printer",), places=120, cure_s=CURE_S, fails=0.01, works_s=5400.0,
            stands_s=180.0),
    Station(name="press jigs", has=("press jig",), fails=0.01),
    Station(name="torque", has=("press jig", "torque gauge"), fails=0.02, rework_to=7),
    Station(name="dressing", places=10),
    Station(name="last look", fails=0.01),
    Station(name="tray"),
    Station(name="boxing", places=12),
)  # fmt: skip
"""From 1; one person at each."""

FEEDS = {
    "M1": ("150 t, no. 4", 36.0, 0.4, 0.015, "degate torso"),
    "M2": ("120 t, no. 2", 22.0, 0.3, 0.02, "degate head and tail"),
    "M3": ("80 t, no. 9", 29.0, 0.3, 0.02, "degate limbs"),
}
"""Press, cycle and its spread in seconds, share of rejects, and the task that takes the parts, by tool."""
BREAKS = ((2.0, 2.25), (4.5, 5.25), (7.25, 7.5))


def lay_out_the_line() -> None:
    """Write down the line with all that stands on its sheet."""
    programme = find_programme(SLUG)
    line = define_line(programme, LINE, PLANNED, made_by=INDUSTRIAL)
    table = NewLineTable(
        tasks=tuple(_task(programme, one) for one in TASKS),
        stations=tuple(_station(number, one) for number, one in enumerate(STATIONS, start=1)),
        equipment=EQUIPMENT,
    )
    put_line_table(line, table, made_by=INDUSTRIAL)
    _feed()
    for begins, ends in BREAKS:
        define_break(line, begins, ends, made_by=INDUSTRIAL)


def _feed() -> None:
    programme = find_programme(SLUG)
    line = find_line(programme, LINE)
    tasks = {one.name: one for one in line.tasks.all()}
    for tool, (press, cycle_s, spread_s, rejects, task) in FEEDS.items():
        columns = {
            "press": find_press(programme, press),
            "cycle_s": cycle_s,
            "cycle_spread_s": spread_s,
            "rejects": rejects,
            "task": tasks[task],
        }
        define_line_press(line, find_tool(programme, tool), columns, made_by=INDUSTRIAL)


def _task(programme: Programme, one: Task) -> NewLineTask:
    return NewLineTask(
        name=one.name,
        title=one.title,
        time_s=one.time_s,
        spread_s=one.spread_s,
        readings=one.readings,
        side=Side.EITHER,
        part=programme.parts.get(code=one.part) if one.part else None,
        joint=programme.joints.get(code=one.joint) if one.joint else None,
        seam=programme.seams.get(code=one.seam) if one.seam else None,
        fixed_station=one.at if one.fixed else None,
        placed_at=one.at,
        after=one.after,
        needs=one.needs,
        together=one.together,
        apart=one.apart,
    )


def _station(number: int, one: Station) -> NewLineStation:
    same = ("name", "places", "cure_s", "fails", "works_s", "stands_s", "fixtures", "learning", "made_before")
    return NewLineStation(
        number=number,
        columns={name: getattr(one, name) for name in same}
        | {"people": 1, "rounds": 1 if one.rework_to else None},
        has=one.has,
        rework_to=one.rework_to,
    )
