"""The four kinds of sheet that a pilot is written down on: what each shows, its columns, and one to copy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.terms import PilotFileKind


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotSheet:
    """One kind of sheet."""

    kind: PilotFileKind
    thing: str
    """What a row of it is."""
    shows: str
    columns: str
    example: str


PILOT_SHEETS: Mapping[PilotFileKind, PilotSheet] = MappingProxyType(
    {
        one.kind: one
        for one in (
            PilotSheet(
                kind=PilotFileKind.COUNTS,
                thing="count",
                shows="yields, the rate, and the first hour against the last",
                columns="station, hour, tried, good first, reworked good, scrapped",
                example="station,hour,tried,good first,reworked good,scrapped\n"
                "weld,1,36,35,0,1\nweld,2,40,40,0,0\npaint,1,28,24,3,1\npaint,2,33,30,3,0\n",
            ),
            PilotSheet(
                kind=PilotFileKind.DEFECTS,
                thing="defect",
                shows="which defects cost most",
                columns="station, defect, count, scrapped, rework minutes [min]",
                example="station,defect,count,scrapped,rework minutes [min]\n"
                "paint,overspray,11,1,1.5\nprint,print missing,4,0,2\n",
            ),
            PilotSheet(
                kind=PilotFileKind.TIMES,
                thing="time",
                shows="stations against plan and takt, and which one limits the line",
                columns="station, task (where one alone was timed), time [s], operator, hour",
                example="station,task,time [s],operator,hour\npaint,,31.2,A,1\npaint,,29.8,A,2\n",
            ),
            PilotSheet(
                kind=PilotFileKind.AUDITS,
                thing="audit",
                shows="whether welds and joints stay as released while the line runs",
                columns="hour, seam or joint, value, unit",
                example="hour,seam or joint,value,unit\n1,torso,118,N\n1,shoulder,0.21,N·m\n2,torso,115,N\n",
            ),
        )
    }
)
