"""What a plan is made of: presses, jobs, times, shapes of parts, trials asked for, colour changes."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Exists, OuterRef, Q, QuerySet
from numpy.typing import NDArray

from offtool.core.values import nearest
from offtool.records.models import (
    ColourChange,
    ColourShot,
    EngineersThere,
    Job,
    Look,
    Part,
    PartMesh,
    Press,
    PressHolds,
    PressOff,
    Programme,
    Reading,
    Tool,
    Trial,
    TrialRequest,
)
from offtool.records.queries.finding import NotInRecord, find_programme, find_tool
from offtool.records.queries.joints import when_done


def find_request(slug: str, tool: str, name: str) -> TrialRequest:
    """The trial of a tool that is asked for under this name, its purposes beside it. Raises NotInRecord."""
    in_steel = find_tool(find_programme(slug), tool)
    found = _with_wants(TrialRequest.objects.filter(tool=in_steel, name=name)).first()
    if found is None:
        known = in_steel.requests.values_list("name", flat=True)
        raise NotInRecord(f"no trial {name!r} of tool {tool} is asked for", remedy=nearest(name, known))
    return found


def requests_of(programme: Programme) -> tuple[TrialRequest, ...]:
    """All trials asked for by tool and name, those that have run too, their purposes beside them."""
    requests = TrialRequest.objects.filter(tool__programme=programme)
    return tuple(_with_wants(requests.order_by("tool__code", "name")))


def waiting_requests(programme: Programme) -> tuple[TrialRequest, ...]:
    """The trials asked for that have not run yet, by tool and name, their purposes beside them."""
    done = requests_run(programme)
    return tuple(one for one in requests_of(programme) if one.pk not in done)


def requests_run(programme: Programme) -> frozenset[int]:
    """Keys of the requests whose tool has a trial of that name with readings or looks."""
    trials = Trial.objects.filter(tool=OuterRef("tool"), name=OuterRef("name"))
    read = Reading.objects.filter(source__trial=OuterRef("pk"))
    seen = Look.objects.filter(trial=OuterRef("pk"))
    run = trials.filter(Exists(read) | Exists(seen))
    requests = TrialRequest.objects.filter(Exists(run), tool__programme=programme)
    return frozenset(requests.values_list("pk", flat=True))


def has_run(request: TrialRequest) -> bool:
    """The tool has a trial of that name with readings or looks."""
    return request.pk in requests_run(request.tool.programme)


def _with_wants(requests: QuerySet[TrialRequest]) -> QuerySet[TrialRequest]:
    return requests.select_related("tool__programme", "press").prefetch_related("wants")


def presses_of(programme: Programme) -> tuple[Press, ...]:
    """All presses by code."""
    return tuple(Press.objects.filter(programme=programme).order_by("code"))


def presses_that_hold(tool: Tool) -> tuple[Press, ...]:
    """The presses that are said to hold a tool, by code; none said: it may go on any."""
    held = PressHolds.objects.filter(tool=tool).values("press")
    return tuple(Press.objects.filter(pk__in=held).order_by("code"))


def jobs_between(programme: Programme, first: date, last: date) -> tuple[Job, ...]:
    """The jobs that run on one of these days or more, by press and first day; their presses beside them."""
    jobs = Job.objects.filter(press__programme=programme, begins__lte=last).select_related("press")
    running = jobs.filter(Q(ends__isnull=True) | Q(ends__gte=first))
    return tuple(running.order_by("press__code", "begins", "code"))


def running_jobs(programme: Programme, on: date) -> tuple[Job, ...]:
    """The jobs that run on this day, by press; their presses beside them."""
    return jobs_between(programme, on, on)


def engineers_of(programme: Programme) -> tuple[EngineersThere, ...]:
    """When engineers are at the shop, in order of time; none at all: nothing is said."""
    return tuple(EngineersThere.objects.filter(programme=programme).order_by("begins_at", "who", "pk"))


def press_off_of(programme: Programme) -> tuple[PressOff, ...]:
    """When presses stand, by press and time; their presses beside them."""
    off = PressOff.objects.filter(press__programme=programme).select_related("press")
    return tuple(off.order_by("press__code", "begins_at"))


def newest_mesh(part: Part) -> PartMesh | None:
    """The shape of a part that counts, without its bytes and its picture; None where there is none."""
    return newest_meshes([part]).get(part.pk)


def newest_meshes(parts: Collection[Part]) -> dict[int, PartMesh]:
    """The shape that counts of each part that has one, by the key of the part; without bytes and pictures."""
    meshes = PartMesh.objects.filter(part__in=[one.pk for one in parts]).defer("content", "picture")
    newest_last = meshes.select_related("part").order_by("read_at", "pk")
    return {one.part_id: one for one in newest_last}


def colour_changes_of(press: Press, *, counting: bool = False) -> list[ColourChange]:
    """The colour changes of a press, newest first, without their bytes.

    Those that are set aside are left out where `counting`.
    """
    changes = ColourChange.objects.filter(press=press, **({"set_aside": ""} if counting else {}))
    loaded = changes.select_related("press__programme", "tool").defer("content")
    return sorted(loaded, key=when_done, reverse=True)


def find_colour_change(press: Press, name: str) -> ColourChange:
    """The colour change of this press with this name, without its bytes. Raises NotInRecord."""
    found = next((one for one in colour_changes_of(press) if one.name == name), None)
    if found is None:
        known = press.colour_changes.values_list("name", flat=True)
        raise NotInRecord(f"no colour change {name!r} of press {press.code}", remedy=nearest(name, known))
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourShots:
    """The shots of one change of colour in the order of their numbers."""

    number: NDArray[np.int64]
    lab: NDArray[np.float64]
    """L*, a*, b* of each, shape n × 3."""

    def __len__(self) -> int:
        return len(self.number)


def colour_shots(change: ColourChange) -> ColourShots:
    """The shots of a change of colour."""
    rows = ColourShot.objects.filter(change=change).order_by("number", "row")
    read = list(rows.values_list("number", "lightness", "a", "b"))
    return ColourShots(
        number=np.array([row[0] for row in read], np.int64),
        lab=np.array([row[1:] for row in read], np.float64).reshape(-1, 3),
    )
