"""What pieces are told apart by, as it is typed: the definition as it was, with what was said anew."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import click

from offtool.cli.seen_typed import colour_typed
from offtool.core.values import OfftoolError, nearest
from offtool.handbook.measured_colour import USUAL_SPREAD_DE
from offtool.handbook.terms import DetailKind
from offtool.steps.define_ground import (
    BuildSaid,
    ColourSaid,
    DetailSaid,
    JobSaid,
    PressSaid,
    RunSaid,
    keep_build,
    keep_detail,
    keep_job,
    keep_press,
    keep_run,
    states_with,
)
from offtool.steps.ground_found import ColourKnown, GroundFound
from offtool.steps.know_ground import know_ground

Said = Mapping[str, Any]


def _keep_detail(programme: str, said: Said, *, change: bool, by: str) -> str:
    part, code = _two(said["detail"], ":", "--detail 'HO-02: date-mark'")
    ground = know_ground(programme)
    now = DetailSaid(part=part, code=code)
    if change:
        kept = _found(code, {one.code: one for of in ground.details if of.part == part for one in of.details})
        now = DetailSaid(
            part=part, code=code, name=kept.name, kind=kept.kind, where=kept.where, note=kept.note
        )
    told = replace(now, **_of(said, "name", "where", "note"), in_states=_in_states(ground, part, said))
    if "comes_and_goes" in said:
        told = replace(told, kind=DetailKind.COMES_AND_GOES.value)
    return f"Detail {keep_detail(programme, told, by=by, now=code if change else '')} of {part}"


def _in_states(ground: GroundFound, part: str, said: Said) -> dict[str, dict[str, bool | None]]:
    """By tool, which states make the detail; nothing where nothing is said of the tool."""
    came, went = (_of_tool(said.get(name), f"--{name}") for name in ("came", "went"))
    lost = [_two(one, " ", "--lost 'M1 b'") for one in said.get("lost", ())]
    tools = {tool for tool, _ in (*filter(None, (came, went)), *lost)}
    if len(tools) > 1 or (came is None and tools):
        raise click.UsageError("say of one tool at a time with which state it came: --came 'M1 c'")
    if came is None:
        return {}
    states = _found(came[0], {one.tool: one.states for one in ground.details if one.part == part})
    gone = went[1] if went is not None else ""
    return {came[0]: states_with(states, came=came[1], went=gone, lost=[label for _, label in lost])}


def _keep_press(programme: str, said: Said, *, change: bool, by: str) -> str:
    code = said["press"]
    now = PressSaid(code=code)
    if change:
        kept = _found(code, {one.code: one for one in know_ground(programme).presses})
        now = PressSaid(code=code, name=kept.name, note=kept.note, holds=kept.holds)
    told = replace(now, **_of(said, "name", "note", "holds"))
    return f"Press {keep_press(programme, told, by=by, now=code if change else '')}"


def _keep_job(programme: str, said: Said, *, change: bool, by: str) -> str:
    press, code = _two(said["job"], ":", "--job 'P6: J118'")
    anew = _of(said, "product", "colour", "begins", "ends", "note") | _measured(said)
    anew |= _of(said, "resin", "margin_per_h", "restart_min") | _may_stop(said)
    if change:
        jobs = {one.code: one for of in know_ground(programme).presses if of.code == press for one in of.jobs}
        kept = _found(code, jobs)
        now = JobSaid(
            press=press, code=code, begins=kept.begins, ends=kept.ends, product=kept.product, what=kept.what,
            colour=kept.colour.words, measured=_as_said(kept.colour), illuminant=kept.illuminant,
            observer=kept.observer, note=kept.note, resin=kept.resin, may_stop=kept.may_stop,
            margin_per_h=kept.margin_per_h, restart_min=kept.restart_min,
        )  # fmt: skip
        told = replace(now, **anew)
    elif "begins" not in anew:
        raise click.UsageError("say on which day the job began: --begins 2026-03-14")
    else:
        told = JobSaid(press=press, code=code, **anew)
    return f"Job {keep_job(programme, told, by=by, now=(press, code) if change else None)} of {press}"


def _keep_build(programme: str, said: Said, *, change: bool, by: str) -> str:
    code = said["build"]
    anew = _of(said, "stage", "pieces", "note")
    anew |= {"built_on": said["on"]} if "on" in said else {}
    if "runs" in said:
        anew["runs"] = tuple(_two(one, " ", "--from-run 'M1 T2'") for one in said["runs"])
    if change:
        kept = _found(code, {one.code: one for one in know_ground(programme).builds})
        now = BuildSaid(
            code=code, stage=kept.stage.value, built_on=kept.built_on, pieces=kept.pieces, note=kept.note,
            runs=kept.runs,
        )  # fmt: skip
        told = replace(now, **anew)
    elif "stage" not in anew:
        raise click.UsageError("say how far the product had come: --stage 'engineering build'")
    else:
        told = BuildSaid(code=code, **anew)
    return f"Build {keep_build(programme, told, by=by, now=code if change else '')}"


def _keep_run(programme: str, said: Said, *, change: bool, by: str) -> str:
    """A run comes into the record with its readings; here more is said of it, with or without --change."""
    tool, name = _two(said["run"], " ", "--run 'M1 T2'")
    tools = {one.tool: one for one in know_ground(programme).tools}
    kept = _found(name, {one.name: one for one in _found(tool, tools).runs})
    now = RunSaid(
        tool=tool, name=name, state=kept.state, stage=kept.stage.value if kept.stage_is_said else "",
        shot_on=kept.shot_on, ended_on=kept.ended_on, pieces=kept.pieces, press=kept.press,
        colour=kept.colour.words, measured=_as_said(kept.colour), interrupted=kept.interrupted,
    )  # fmt: skip
    anew = _of(said, "stage", "pieces", "colour") | _measured(said)
    anew |= {"shot_on": said["on"]} if "on" in said else {}
    if "interrupted" in said:
        press, job = _two(said["interrupted"], ":", "--interrupted 'P6: J118'")
        anew |= {"interrupted": (press, job), "press": press}
    return f"Run {keep_run(programme, replace(now, **anew), by=by, now=name)} of {tool}"


KEEP: Mapping[str, Callable[..., str]] = {
    "detail": _keep_detail,
    "press": _keep_press,
    "job": _keep_job,
    "build": _keep_build,
    "run": _keep_run,
}
"""How each kind of thing is kept; what is given back names it."""


def _of(said: Said, *names: str) -> dict[str, Any]:
    return {name: said[name] for name in names if name in said}


def _measured(said: Said) -> dict[str, ColourSaid]:
    if "lab" not in said:
        return {}
    lab, spread = colour_typed(said["lab"], f"--lab {said['lab']!r}", usual=USUAL_SPREAD_DE)
    return {"measured": ColourSaid(lightness=lab[0], a=lab[1], b=lab[2], spread_de=spread)}


def _may_stop(said: Said) -> dict[str, bool]:
    if "may_stop" in said and "must_run" in said:
        raise click.UsageError("--may-stop and --must-run contradict each other")
    return {"may_stop": "may_stop" in said} if "may_stop" in said or "must_run" in said else {}


def _as_said(kept: ColourKnown) -> ColourSaid:
    return ColourSaid(lightness=kept.lightness, a=kept.a, b=kept.b, spread_de=kept.spread_de)


def _of_tool(typed: str | None, option: str) -> tuple[str, str] | None:
    return _two(typed, " ", f"{option} 'M1 c'") if typed is not None else None


def _two(typed: str, between: str, example: str) -> tuple[str, str]:
    first, _, second = (one.strip() for one in typed.strip().partition(between))
    if not first or not second:
        raise click.UsageError(f"{typed!r}: type it as {example}")
    return first, second


def _found(name: str, known: Mapping[str, Any]) -> Any:
    if name not in known:
        names: Sequence[str] = list(known)
        raise OfftoolError(f"{name!r} is not in the record", remedy=nearest(name, names))
    return known[name]
