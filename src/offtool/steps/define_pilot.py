"""Write down a pilot: its day, its pieces, its hours, and the runs that its parts came from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.values import ImpossibleInput
from offtool.records.models import Line, Programme, Trial
from offtool.records.operations.pilot import define_pilot as store
from offtool.records.queries import (
    find_line,
    find_programme,
    find_tool,
    find_trial,
    lines_of,
    pilots_of,
    trials_of_pilot,
)
from offtool.steps.overview import is_invented
from offtool.steps.pilot_in_record import pilot_named
from offtool.steps.read_readings import CannotKeep

MOST_HOURS = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotDefined:
    """What is said of a pilot. `trials` name tool and trial, such as M1 T3."""

    name: str
    line: str = ""
    """Empty for the only line there is."""
    ran_on: date | None = None
    pieces: int | None = None
    hours: float | None = None
    people: int | None = None
    trials: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotPlace:
    """Where a pilot is written down: the lines and runs to choose from, and what it is called next."""

    programme: str
    programme_title: str
    invented: bool
    lines: tuple[str, ...]
    trials: tuple[str, ...]
    next_name: str
    defined: PilotDefined | None
    """As it stands, where it is changed."""


def place_of_pilot(programme: str, pilot: str = "") -> PilotPlace:
    """Raises NotInRecord."""
    found = find_programme(programme)
    taken = {one.name for one in pilots_of(found)}
    return PilotPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        lines=tuple(one.name for one in lines_of(found)),
        trials=tuple(map(_called, _trials(found))),
        next_name=next(name for n in range(1, len(taken) + 2) if (name := f"P{n}") not in taken),
        defined=_as_defined(found, pilot) if pilot else None,
    )


def _trials(programme: Programme) -> Iterator[Trial]:
    """The runs, the newest of each tool first."""
    kept = Trial.objects.filter(tool__programme=programme).select_related("tool", "state")
    yield from kept.order_by("tool__code", "-state__ordinal", "-shot_on", "-pk")


def _called(trial: Trial) -> str:
    return f"{trial.tool.code} {trial.name}"


def _as_defined(programme: Programme, name: str) -> PilotDefined:
    pilot = pilot_named(programme, name)
    return PilotDefined(
        name=pilot.name,
        line=pilot.line.name,
        ran_on=pilot.ran_on,
        pieces=pilot.pieces,
        hours=pilot.hours,
        people=pilot.people,
        trials=tuple(map(_called, trials_of_pilot(pilot))),
        note=pilot.note,
    )


def define_pilot(programme: str, defined: PilotDefined, *, made_by: str) -> str:
    """Write a pilot down, or change what is said of the one of this name; gives its name.

    Raises NotInRecord for a line, tool or trial that is not there; CannotKeep for a name that a pilot of
    another line has; ImpossibleInput for a number that cannot be.
    """
    found = find_programme(programme)
    line = find_line(found, defined.line or None)
    _refuse(found, line, defined)
    columns = {
        "ran_on": defined.ran_on,
        "pieces": defined.pieces,
        "hours": defined.hours,
        "people": defined.people,
        "note": defined.note,
    }
    trials = [_trial(found, one) for one in defined.trials]
    return store(line, defined.name, columns, made_by=made_by, trials=trials).name


def _refuse(programme: Programme, line: Line, defined: PilotDefined) -> None:
    if not defined.name.strip():
        raise CannotKeep("the pilot has no name", where="name", remedy="name it, such as P1")
    others = [one for one in pilots_of(programme) if one.name == defined.name.strip()]
    if others and others[0].line_id != line.pk:
        raise CannotKeep(
            f"line {others[0].line.name} has a pilot {defined.name} already", where="name",
            remedy="give this one another name",
        )  # fmt: skip
    _whole_above_zero("pieces", defined.pieces)
    _whole_above_zero("people", defined.people)
    if defined.hours is not None and not 0 < defined.hours <= MOST_HOURS:
        raise ImpossibleInput("hours", defined.hours, "h", f"must be above 0 and at most {MOST_HOURS:g}")


def _whole_above_zero(name: str, value: int | None) -> None:
    if value is not None and value < 1:
        raise ImpossibleInput(name, value, "", "must be at least 1", "leave it blank where it is not known")


def _trial(programme: Programme, called: str) -> Trial:
    """The run of that tool and trial. Raises NotInRecord, CannotKeep."""
    tool, _, trial = called.strip().rpartition(" ")
    if not tool:
        raise CannotKeep(f"{called!r} names no tool and trial", where="trials", remedy="such as M1 T3")
    return find_trial(find_tool(programme, tool.strip()), trial)


def trials_said(words: Sequence[str]) -> tuple[str, ...]:
    """Runs as they are typed, each once, in order."""
    return tuple(dict.fromkeys(" ".join(one.split()) for one in words if one.strip()))
