"""The first pilot of the otter's line, one morning: its sheets of counts, defects, times and audits.

Invented. Twelve people put together parts of the third trials, arms of the cavities 2 and 3 only. The belly
booth takes half as long again as planned, because the mask must be wiped after every third piece; so the line
falls short, and in the first hour more, while the first otters lie and cure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import inf

import numpy as np
from examples.otter_story.line import INDUSTRIAL, LINE, TASKS
from examples.otter_story.programme import SLUG

from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line, Pilot
from offtool.records.operations import (
    FileOfTest,
    NewPilotAudit,
    NewPilotCount,
    NewPilotDefect,
    NewPilotTime,
    define_pilot,
    keep_pilot_file,
)
from offtool.records.operations.pilot import NewPilotRow
from offtool.records.queries import find_line, find_programme, stations_of

PILOT = "P1"
RAN_ON = date(2026, 3, 20)
READ_AT = datetime(2026, 3, 20, 16, tzinfo=UTC)
STARTED, HOURS, PEOPLE = 500, 4, 12
NOTE = (
    "parts of the third trials of all tools, run on after the measured shots; arms of cavities 2 and 3 only, "
    "as those of 1 and 4 fall. The readings of these trials are not in the record yet."
)
SLOW, WIPING_S = "spray belly", (31.5, 27.5)
"""Seconds of the belly in the first hour and in the last, against 20.5 planned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Went:
    """What a station did: the most it takes up by hour, the share good at once, of the rest made good again.

    `defects` are what was found, with their share, and the minutes that rework took; None where it is scrap.
    """

    takes: tuple[int, int, int, int]
    good: float
    repaired: float
    defects: tuple[tuple[str, float, float | None], ...]
    pace: float = 1.02
    """Its time over that planned."""


WENT = (
    Went(takes=(138, 126, 120, 116), good=0.985, repaired=0.5,
         defects=(("short shot", 0.4, None), ("gate vestige", 0.6, 0.4))),
    Went(takes=(131, 124, 119, 116), good=0.99, repaired=0.0,
         defects=(("gap at the seam", 0.6, None), ("flash", 0.4, None))),
    Went(takes=(128, 122, 118, 115), good=0.985, repaired=0.0,
         defects=(("gap at the seam", 0.5, None), ("crack", 0.5, None))),
    Went(takes=(110, 118, 119, 119), good=0.93, repaired=0.8,
         defects=(("mist past the mask", 0.5, 1.5), ("edge not sharp", 0.3, 1.2),
                  ("run in the paint", 0.2, 2.5))),
    Went(takes=(107, 117, 118, 118), good=0.975, repaired=0.7,
         defects=(("mist past the mask", 0.5, 1.5), ("eye off its place", 0.5, 2.0))),
    Went(takes=(68, 118, 120, 119), good=0.98, repaired=0.6,
         defects=(("print off its place", 0.7, 1.0), ("print smeared", 0.3, 1.0)), pace=1.04),
    Went(takes=(65, 117, 119, 118), good=0.985, repaired=0.0,
         defects=(("crack", 0.4, None), ("socket scuffed", 0.6, None))),
    Went(takes=(62, 116, 117, 117), good=0.955, repaired=0.85,
         defects=(("arm falls by itself", 0.7, 0.8), ("leg too stiff", 0.3, 0.8)), pace=1.05),
    Went(takes=(59, 114, 117, 116), good=0.99, repaired=1.0, defects=(("scarf torn", 1.0, 0.5),), pace=1.1),
    Went(takes=(56, 114, 115, 116), good=0.965, repaired=0.6,
         defects=(("scratch", 0.5, 0.6), ("black specks", 0.3, None), ("paint touched", 0.2, 1.5))),
    Went(takes=(51, 111, 114, 115), good=0.995, repaired=1.0, defects=(("tray torn", 1.0, 0.3),), pace=1.05),
    Went(takes=(47, 112, 114, 115), good=0.99, repaired=1.0, defects=(("box crushed", 1.0, 0.5),), pace=0.98),
)  # fmt: skip
"""From station 1. What one station passes on waits before the next, or lies and cures; no station takes up
more than came to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Audited:
    """Pieces of a seam or a joint taken every hour: their mean by hour, and their spread."""

    seam: str = ""
    joint: str = ""
    means: tuple[float, float, float, float]
    spread: float
    pieces: int
    unit: str
    digits: int


AUDITED = (
    Audited(seam="torso", means=(318.0, 312.0, 296.0, 272.0), spread=16.0, pieces=4, unit="N", digits=0),
    Audited(seam="clam", means=(82.0, 80.0, 83.0, 79.0), spread=7.0, pieces=2, unit="N", digits=0),
    Audited(
        joint="shoulder", means=(0.027, 0.028, 0.026, 0.027), spread=0.008, pieces=5, unit="N·m", digits=3
    ),
    Audited(joint="hip", means=(0.045, 0.044, 0.046, 0.045), spread=0.006, pieces=3, unit="N·m", digits=3),
    Audited(joint="tail", means=(0.034, 0.033, 0.034, 0.035), spread=0.006, pieces=2, unit="N·m", digits=3),
)
"""The horn of the torso warms over the morning."""


def run_the_pilot() -> None:
    """Write down the pilot and keep its four sheets."""
    line = find_line(find_programme(SLUG), LINE)
    about = {"ran_on": RAN_ON, "pieces": STARTED, "hours": float(HOURS), "people": PEOPLE, "note": NOTE}
    pilot = define_pilot(line, PILOT, about, made_by=INDUSTRIAL)
    random = np.random.default_rng(77)
    counts = list(_counts(line, random))
    _keep(pilot, PilotFileKind.COUNTS, "station,hour,tried,good first,reworked good,scrapped", counts)
    _keep(
        *(pilot, PilotFileKind.DEFECTS, "station,defect,count,scrapped,rework minutes"),
        list(_defects(counts, random)),
    )
    _keep(pilot, PilotFileKind.TIMES, "station,task,hour,time [s],operator", list(_times(line, random)))
    _keep(pilot, PilotFileKind.AUDITS, "seam or joint,hour,value,unit", list(_audits(line, random)))


def _counts(line: Line, random: np.random.Generator) -> Iterator[NewPilotCount]:
    """Hour by hour what each station took up of what came to it, and what became of it."""
    row, comes = 1, list(WENT[0].takes)
    for station, went in zip(stations_of(line), WENT, strict=True):
        waits, passes_on = 0, []
        for hour, (most, came) in enumerate(zip(went.takes, comes, strict=True), start=1):
            row += 1
            waits += came
            tried = min(most, waits)
            waits -= tried
            good = int(random.binomial(tried, went.good))
            again = int(random.binomial(tried - good, went.repaired))
            passes_on.append(good + again)
            yield NewPilotCount(
                station=station,
                station_text=station.name,
                hour=hour,
                tried=tried,
                good_first=good,
                reworked_good=again,
                scrapped=tried - good - again,
                row=row,
                column=3,
            )
        comes = passes_on


def _defects(counts: Sequence[NewPilotCount], random: np.random.Generator) -> Iterator[NewPilotDefect]:
    """What the pieces had that were not good at once; scrap goes to what is hardest to make good first."""
    row = 1
    for number, went in enumerate(WENT, start=1):
        here = [one for one in counts if one.station.number == number]
        failed = sum(one.tried - one.good_first for one in here)
        scrap = sum(one.scrapped or 0 for one in here)
        shares = [share for _, share, _ in went.defects]
        found = list(zip(went.defects, random.multinomial(failed, shares).tolist(), strict=True))
        for (name, _, minutes), count in sorted(found, key=lambda one: -(one[0][2] or inf)):
            scrapped = min(count, scrap)
            scrap -= scrapped
            if not count:
                continue
            row += 1
            yield NewPilotDefect(
                station=here[0].station,
                defect=name,
                count=count,
                scrapped=scrapped,
                rework_minutes=minutes if count > scrapped else None,
                row=row,
                column=3,
            )


def _times(line: Line, random: np.random.Generator) -> Iterator[NewPilotTime]:
    """Five cycles of each station in the first hour and five in the last; at the belly booth of its task."""
    row = 1
    tasks = {one.name: one for one in line.tasks.all()}
    for station, went in zip(stations_of(line), WENT, strict=True):
        done = [one for one in TASKS if one.at == station.number]
        slow = next((one for one in done if one.name == SLOW), None)
        for place, hour in enumerate((1, HOURS)):
            mean = WIPING_S[place] if slow else went.pace * sum(one.time_s for one in done)
            for time_s in random.normal(mean, 0.07 * mean, size=5):
                row += 1
                yield NewPilotTime(
                    station=station,
                    task=tasks[SLOW] if slow else None,
                    time_s=round(float(time_s), 1),
                    operator=f"operator {station.number}",
                    hour=hour,
                    row=row,
                    column=4,
                )


def _audits(line: Line, random: np.random.Generator) -> Iterator[NewPilotAudit]:
    """Pieces that were torn and turned, hour by hour."""
    seams = {one.code: one for one in line.programme.seams.all()}
    joints = {one.code: one for one in line.programme.joints.all()}
    row = 1
    for one in AUDITED:
        for hour, mean in enumerate(one.means, start=1):
            for value in random.normal(mean, one.spread, size=one.pieces):
                row += 1
                yield NewPilotAudit(
                    seam=seams.get(one.seam),
                    joint=joints.get(one.joint),
                    hour=hour,
                    value=round(max(0.0, float(value)), one.digits),
                    unit=one.unit,
                    row=row,
                    column=3,
                )


def _keep(pilot: Pilot, kind: PilotFileKind, heading: str, rows: Sequence[NewPilotRow]) -> None:
    text = "".join(f"{line}\n" for line in (heading, *map(_line, rows)))
    file = FileOfTest(
        name="1",
        done_on=RAN_ON,
        note="invented",
        file_name=f"{PILOT}_{kind}.csv",
        content=text.encode(),
    )
    keep_pilot_file(pilot, kind, file, rows, read_at=READ_AT, read_by=INDUSTRIAL)


def _line(row: NewPilotRow) -> str:
    """The row as it stands on its sheet."""
    if isinstance(row, NewPilotCount):
        cells: tuple[object, ...] = (
            *(row.station_text, row.hour, row.tried, row.good_first),
            *(row.reworked_good, row.scrapped),
        )
    elif isinstance(row, NewPilotDefect):
        minutes = "" if row.rework_minutes is None else row.rework_minutes
        cells = (row.station.name, row.defect, row.count, row.scrapped, minutes)
    elif isinstance(row, NewPilotTime):
        cells = (row.station.name, row.task.name if row.task else "", row.hour, row.time_s, row.operator)
    else:
        named = row.seam or row.joint
        cells = (named.code if named else "", row.hour, f"{row.value:g}", row.unit)
    return ",".join(map(str, cells))
