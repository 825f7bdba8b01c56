"""Say what pieces are told apart by: details, presses with their jobs, builds, runs, stages and shares.

Everything is named as people name it: a tool and its state, a press and the number of its job.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.joint_checks import code_faults
from offtool.handbook.measured_colour import OBSERVERS, USUAL_OBSERVER, USUAL_SPREAD_DE, Illuminant
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import LARGEST_NUMBER, DetailKind, Stage
from offtool.records.models import Job, Part, Programme, Tool, ToolState, Trial
from offtool.records.operations import (
    define_build,
    define_detail,
    define_job,
    define_press,
    say_share,
    say_stage,
)
from offtool.records.operations.running import define_run
from offtool.records.queries import (
    find_build,
    find_detail,
    find_job,
    find_press,
    find_programme,
    find_tool,
    find_trial,
)
from offtool.steps.own_numbers import Numbers, press_columns
from offtool.steps.sizes_given import DefinitionRefused

WHOLE = 0.02
"""The shares of a sign's outcomes are typed rounded: so far their sum may be from 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailSaid:
    """A detail, and by tool and state whether pieces have it; None: the sheet is lost. States that are not
    named stay as they are."""

    part: str
    code: str
    name: str = ""
    kind: str = DetailKind.STAYS.value
    where: str = ""
    note: str = ""
    in_states: Mapping[str, Mapping[str, bool | None]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressSaid:
    """A press, and the tools that it can hold; a tool that no press is said to hold may go on any."""

    code: str
    name: str = ""
    note: str = ""
    holds: tuple[str, ...] = ()
    numbers: Numbers = field(default_factory=dict)
    """Those of its sheet, with its days of work; what is not named stays."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourSaid:
    """A measured colour in CIELAB, and how far pieces are from it as ΔE00."""

    lightness: float | None = None
    a: float | None = None
    b: float | None = None
    spread_de: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSaid:
    """A job that ran on a press."""

    press: str
    code: str
    begins: date
    ends: date | None = None
    product: str = ""
    what: str = ""
    colour: str = ""
    measured: ColourSaid = ColourSaid()
    illuminant: str = Illuminant.D65.value
    observer: int = USUAL_OBSERVER
    resin: str = ""
    may_stop: bool | None = None
    """A trial may interrupt it; None: nobody has said."""
    margin_per_h: float | None = None
    restart_min: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSaid:
    """A build, and the runs that its parts came from, each by tool and name."""

    code: str
    stage: str
    built_on: date | None = None
    pieces: int | None = None
    note: str = ""
    runs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSaid:
    """A run of a tool. `interrupted` is press and number of the job that stood still meanwhile."""

    tool: str
    name: str
    state: str
    stage: str = ""
    shot_on: date | None = None
    ended_on: date | None = None
    pieces: int | None = None
    press: str = ""
    colour: str = ""
    measured: ColourSaid = ColourSaid()
    interrupted: tuple[str, str] | None = None


def states_with(
    labels: Sequence[str], *, came: str, went: str = "", lost: Sequence[str] = ()
) -> dict[str, bool | None]:
    """Which states, in order of time, make a detail that came with one and went with a later one.

    `came` empty: the record says nothing of it. Raises DefinitionRefused for one that went before it came.
    """
    for name, label in (("came", came), ("went", went)):
        if label and label not in labels:
            raise DefinitionRefused(name, f"no state {label!r}", nearest(label, labels))
    if not came:
        return dict.fromkeys(labels)
    first = labels.index(came)
    last = labels.index(went) if went else len(labels)
    if last <= first:
        raise DefinitionRefused(
            "went", f"it went with state {went}, and came with {came}", "choose a later state"
        )
    return {label: None if label in lost else first <= place < last for place, label in enumerate(labels)}


def keep_detail(programme: str, said: DetailSaid, *, by: str, now: str = "") -> str:
    """Write a detail of a part; `now` is the code of the one that is changed. Returns its code.

    Raises DefinitionRefused for a code that is taken and names that are not known.
    """
    found = find_programme(programme)
    part = _part(found, said.part)
    detail = find_detail(part, now) if now else None
    _refuse_code("detail", said.code, now, set(part.details.values_list("code", flat=True)))
    in_states = {
        _state(find_tool(found, tool), label): is_there
        for tool, states in said.in_states.items()
        for label, is_there in states.items()
    }
    columns = {name: getattr(said, name) for name in ("code", "name", "kind", "where", "note")}
    return define_detail(part, columns, in_states, made_by=by, detail=detail).code


def keep_press(programme: str, said: PressSaid, *, by: str, now: str = "") -> str:
    """Write a press and the tools it can hold. Returns its code. Raises DefinitionRefused."""
    found = find_programme(programme)
    press = find_press(found, now) if now else None
    _refuse_code("press", said.code, now, set(found.presses.values_list("code", flat=True)))
    holds = [find_tool(found, code) for code in said.holds]
    columns = {name: getattr(said, name) for name in ("code", "name", "note")}
    columns |= press_columns(said.numbers, press)
    return define_press(found, columns, holds, made_by=by, press=press).code


def keep_job(programme: str, said: JobSaid, *, by: str, now: tuple[str, str] | None = None) -> str:
    """Write a job of a press; `now` is press and number of the one that is changed. Returns its number.

    Raises DefinitionRefused for a number that is taken, days out of order, or half a colour.
    """
    found = find_programme(programme)
    press = find_press(found, said.press)
    job = find_job(find_press(found, now[0]), now[1]) if now else None
    was = now[1] if now and now[0] == said.press else ""
    _refuse_code("job", said.code, was, set(press.jobs.values_list("code", flat=True)))
    _refuse_days("ends", said.begins, said.ends)
    _refuse_half(said.measured)
    if said.observer not in OBSERVERS:
        raise DefinitionRefused("observer", f"{said.observer} degrees is no standard eye", "give 2 or 10")
    columns = {
        name: getattr(said, name)
        for name in (
            *("code", "product", "what", "colour", "illuminant", "observer", "begins", "ends", "note"),
            *("resin", "may_stop", "margin_per_h", "restart_min"),
        )
    }
    for name in ("margin_per_h", "restart_min"):
        _refuse_below_0(name, columns[name])
    spread = said.measured.spread_de if said.measured.spread_de is not None else USUAL_SPREAD_DE
    return define_job(press, columns | _lab(said.measured) | {"spread_de": spread}, made_by=by, job=job).code


def keep_build(programme: str, said: BuildSaid, *, by: str, now: str = "") -> str:
    """Write a build and the runs it took parts from. Returns its code. Raises DefinitionRefused."""
    found = find_programme(programme)
    build = find_build(found, now) if now else None
    _refuse_code("build", said.code, now, set(found.builds.values_list("code", flat=True)))
    _stage(said.stage)
    runs = [find_trial(find_tool(found, tool), name) for tool, name in said.runs]
    columns = {name: getattr(said, name) for name in ("code", "stage", "built_on", "pieces", "note")}
    return define_build(found, columns, runs, made_by=by, build=build).code


def keep_run(programme: str, said: RunSaid, *, by: str, now: str = "") -> str:
    """Write a run of a tool; `now` is the name of the one that is changed. Returns its name.

    Raises DefinitionRefused for a name that is taken, and for another state of steel once readings of the
    run are kept: they were measured on pieces of the state that is said now.
    """
    found = find_programme(programme)
    tool = find_tool(found, said.tool)
    run = find_trial(tool, now) if now else None
    _refuse_code("run", said.name, now, set(tool.trials.values_list("name", flat=True)), field="name")
    if said.stage:
        _stage(said.stage)
    _refuse_days("ended_on", said.shot_on, said.ended_on)
    _refuse_half(said.measured)
    state = _state(tool, said.state)
    if run is not None:
        _refuse_other_steel(run, state)
    columns: dict[str, Any] = {
        name: getattr(said, name)
        for name in ("name", "stage", "shot_on", "ended_on", "pieces", "press", "colour")
    }
    columns |= {"state": state, "interrupted": _interrupted(found, said), **_lab(said.measured)}
    columns["colour_spread_de"] = said.measured.spread_de
    return define_run(tool, columns, made_by=by, run=run).name


def keep_stage(
    programme: str, stage: str, *, engineer: str = "", archive: str = "", kept: float | None = None, by: str
) -> None:
    """Say what a programme calls a stage, and how many pieces are kept from it; blank for the handbook's."""
    if kept is not None and kept <= 0:
        raise DefinitionRefused("kept", f"{kept:g} of the pieces", "give a share above 0, or leave it blank")
    say_stage(
        find_programme(programme), _stage(stage), engineer=engineer, archive=archive, kept=kept, made_by=by
    )


def keep_shares(
    programme: str, sign: str, shares: Mapping[str, Mapping[str, float | None]], *, by: str
) -> None:
    """Say how often each outcome of a sign is met, by stage and outcome; None for the handbook's share.

    What is said of a stage must be said of all outcomes, and come to 1. Raises DefinitionRefused.
    """
    found = find_programme(programme)
    if sign not in SIGNS:
        raise OfftoolError(f"there is no sign {sign!r}", where="sign", remedy=nearest(sign, SIGNS))
    for stage, said in shares.items():
        _refuse_part_of_a_whole(sign, _stage(stage), said)
    for stage, said in shares.items():
        for outcome, share in said.items():
            say_share(found, sign, outcome, Stage(stage), share, made_by=by)


def _refuse_part_of_a_whole(sign: str, stage: Stage, said: Mapping[str, float | None]) -> None:
    given = [share for share in said.values() if share is not None]
    if not given:
        return
    if len(given) < len(SIGNS[sign].outcomes):
        raise DefinitionRefused(
            stage.value, "only some outcomes have a share", "give all of them, or leave all blank"
        )
    if abs(sum(given) - 1) > WHOLE:
        raise DefinitionRefused(
            stage.value, f"the shares come to {sum(given):.0%}", "together they must come to 100 %"
        )


def _refuse_code(thing: str, code: str, now: str, taken: set[str], *, field: str = "code") -> None:
    for fault in code_faults(thing, code):
        raise DefinitionRefused(field, fault.what, fault.remedy)
    if code.strip() in taken - {now}:
        raise DefinitionRefused(field, f"there is a {thing} {code} already", "give this one another name")


def _refuse_days(field: str, first: date | None, last: date | None) -> None:
    if first is not None and last is not None and last < first:
        raise DefinitionRefused(field, f"{last} is before {first}", "look at the year")


def _refuse_below_0(field: str, value: float | None) -> None:
    if value is not None and not 0 <= value <= LARGEST_NUMBER:
        raise DefinitionRefused(field, f"{value:g} is none", "give 0 or more, or leave it blank")


def _refuse_half(colour: ColourSaid) -> None:
    numbers = {"lightness": colour.lightness, "a": colour.a, "b": colour.b}
    missing = [name for name, value in numbers.items() if value is None]
    if missing and len(missing) < len(numbers):
        raise DefinitionRefused(missing[0], "a part of the colour is missing", "give L*, a* and b*, or none")
    if missing and colour.spread_de is not None:
        raise DefinitionRefused("lightness", "a spread without a colour", "give L*, a* and b* too")


def _refuse_other_steel(run: Trial, state: ToolState) -> None:
    if run.state_id != state.pk and run.source_files.exists():
        raise DefinitionRefused(
            "state",
            f"readings of {run.name} are kept, taken on steel of state {run.state.label}",
            "enter another run beside it",
        )


def _lab(colour: ColourSaid) -> dict[str, float | None]:
    return {"lightness": colour.lightness, "a": colour.a, "b": colour.b}


def _part(programme: Programme, code: str) -> Part:
    found = programme.parts.filter(code=code.strip()).first()
    if found is None:
        known = programme.parts.values_list("code", flat=True)
        raise DefinitionRefused("part", f"no part {code!r} in {programme.slug}", nearest(code, known))
    return found


def _state(tool: Tool, label: str) -> ToolState:
    found = tool.states.filter(label=label).first()
    if found is None:
        known = tool.states.values_list("label", flat=True)
        raise DefinitionRefused("state", f"no state {label!r} of {tool.code}", nearest(label, known))
    return found


def _stage(word: str) -> Stage:
    try:
        return Stage(word)
    except ValueError as error:
        known = [one.value for one in Stage]
        raise DefinitionRefused("stage", f"no stage is called {word!r}", nearest(word, known)) from error


def _interrupted(programme: Programme, said: RunSaid) -> Job | None:
    if said.interrupted is None:
        return None
    press, job = said.interrupted
    return find_job(find_press(programme, press), job)
