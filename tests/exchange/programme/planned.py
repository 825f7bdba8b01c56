"""What is planned, made up for a programme folder: times, shapes, colour changes, trials asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.ground_rows import JobRow, PressRow
from offtool.exchange.programme.planning_rows import (
    ColourChangeRow,
    ColourShotRow,
    EngineersRow,
    MeshRow,
    PressOffRow,
    RequestRow,
    WantRow,
)
from offtool.exchange.programme.rows import PartRow, ToolRow
from offtool.handbook.measured_colour import OBSERVERS, Illuminant
from offtool.handbook.terms import ColourWish, Feed, LengthUnit, MeshKind, TrialPurpose
from offtool.handbook.workdays import WORKDAYS
from tests.exchange.programme.inspected import Contents, content_of, with_files
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    notes,
    positive,
    some,
    words,
)

may_be = st.none() | positive
may_be_0 = st.none() | not_negative
lightness, sideways = st.floats(0, 120), st.floats(-200, 200)


def with_numbers(draw: DrawFn, tools: Sequence[ToolRow]) -> list[ToolRow]:
    """The tools with what presses and plans ask of them."""
    above_0 = ("wide_mm", "high_mm", "thick_mm", "opening_mm", "cavity_pressure_mpa")
    from_0 = ("ejector_mm", "runner_g", "runner_cm2", "hot_runner_cm3", "setup_h")
    return [
        replace(
            tool,
            feed=draw(words(Feed)),
            **{name: draw(may_be) for name in above_0},
            **{name: draw(may_be_0) for name in from_0},
        )
        for tool in tools
    ]


def press_numbers(draw: DrawFn) -> dict[str, Any]:
    """The numbers of a press: its moulds and hours in order."""
    above_0 = (
        *("clamp_kn", "barrel_g", "screw_mm", "tie_bars_wide_mm", "tie_bars_high_mm"),
        *("opening_mm", "daylight_mm", "ejector_mm", "dry_cycle_s"),
    )
    least, most = sorted(draw(st.lists(positive, min_size=2, max_size=2)))
    hours = draw(st.sampled_from([(None, None), (0.0, 24.0), (6.0, 22.5)]))
    days = draw(st.sets(st.sampled_from(WORKDAYS)))
    return {
        **{name: draw(may_be) for name in above_0},
        "mould_least_mm": draw(st.sampled_from([None, least])),
        "mould_most_mm": draw(st.sampled_from([None, most])),
        "per_hour": draw(may_be_0),
        "works_from_h": hours[0],
        "works_to_h": hours[1],
        "workdays": " ".join(day for day in WORKDAYS if day in days),
    }


def job_numbers(draw: DrawFn) -> dict[str, Any]:
    """What a plan asks of a job."""
    return {
        "resin": draw(notes),
        "may_stop": draw(st.none() | flags),
        "margin_per_h": draw(may_be_0),
        "restart_min": draw(may_be_0),
    }


def planned_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    tools: Sequence[ToolRow],
    ground: dict[str, Any],
    contents: Contents,
) -> dict[str, Any]:
    """Times, shapes, colour changes with shots, and trials with purposes; files join the contents."""
    presses: Sequence[PressRow] = ground["presses"]
    changes = [one for press in presses for one in _changes(draw, press, tools, contents)]
    requests = [_request(draw, tool, name, presses) for tool in tools for name in distinct(draw, 0, 2)]
    return {
        "press_off": tuple(
            PressOffRow(press=press.code, why=draw(notes), **_time(draw, at))
            for press in presses
            for at in draw(st.lists(moments, max_size=2, unique=True))
        ),
        "engineers_there": tuple(
            EngineersRow(who=who, **_time(draw, draw(moments)))
            for who in draw(st.lists(notes, max_size=2, unique=True))
        ),
        "meshes": with_files([one for part in parts for one in _meshes(draw, part, contents)]),
        "colour_changes": with_files(changes),
        "colour_shots": tuple(shot for change in changes for shot in _shots(draw, change)),
        "trial_requests": tuple(requests),
        "trial_wants": tuple(
            WantRow(
                tool=request.tool,
                request=request.name,
                purpose=purpose.value,
                pieces=draw(st.none() | st.integers(1, 1_000_000)),
            )
            for request in requests
            for purpose in some(draw, list(TrialPurpose), least=1, most=3)
        ),
    }


def with_planned_jobs(draw: DrawFn, ground: dict[str, Any]) -> dict[str, Any]:
    """The presses and jobs with what a plan asks of them."""
    jobs: Sequence[JobRow] = ground["jobs"]
    presses: Sequence[PressRow] = ground["presses"]
    return ground | {
        "jobs": tuple(replace(job, **job_numbers(draw)) for job in jobs),
        "presses": tuple(replace(press, **press_numbers(draw)) for press in presses),
    }


def _time(draw: DrawFn, at: datetime) -> dict[str, datetime]:
    longest = min(timedelta(400), datetime.max.replace(tzinfo=at.tzinfo) - at)
    later = draw(st.timedeltas(timedelta(microseconds=1), longest))
    return {"begins_at": at, "ends_at": at + later}


def _meshes(draw: DrawFn, part: PartRow, contents: Contents) -> list[MeshRow]:
    rows = []
    for at in draw(st.lists(moments, max_size=2, unique=True)):
        sha256 = content_of(draw, contents)
        rows.append(
            MeshRow(
                part=part.code,
                file="",
                file_name=draw(names),
                sha256=sha256,
                size=len(contents[sha256]),
                kind=draw(words(MeshKind)),
                unit=draw(words(LengthUnit)),
                axis_x=draw(st.floats(-1, 1)),
                axis_y=draw(st.floats(-1, 1)),
                axis_z=draw(st.floats(-1, 1).filter(bool)),
                read_at=at,
                read_by=draw(notes),
                note=draw(notes),
            )
        )
    return rows


def _changes(
    draw: DrawFn, press: PressRow, tools: Sequence[ToolRow], contents: Contents
) -> list[ColourChangeRow]:
    ends = {"lightness": lightness, "a": sideways, "b": sideways}
    return [
        ColourChangeRow(
            press=press.code,
            name=name,
            tool=draw(st.sampled_from(["", *(tool.code for tool in tools)])),
            done_on=draw(days),
            from_name=draw(notes),
            to_name=draw(notes),
            **{f"{end}_{axis}": draw(of) for end in ("from", "to") for axis, of in ends.items()},
            illuminant=draw(words(Illuminant)),
            observer=draw(st.sampled_from(OBSERVERS)),
            resin=draw(notes),
            shot_g=draw(positive),
            purge_kg=draw(not_negative),
            note=draw(notes),
            file="",
            file_name=draw(names),
            sha256=content_of(draw, contents),
            read_at=draw(moments),
            read_by=draw(notes),
            set_aside=draw(notes),
        )
        for name in distinct(draw, 0, 2)
    ]


def _shots(draw: DrawFn, change: ColourChangeRow) -> list[ColourShotRow]:
    return [
        ColourShotRow(
            press=change.press,
            change=change.name,
            number=draw(st.integers(1, 2**31 - 1)),
            lightness=draw(lightness),
            a=draw(sideways),
            b=draw(sideways),
            row=row,
        )
        for row in range(2, draw(st.integers(3, 5)))
    ]


def _request(draw: DrawFn, tool: ToolRow, name: str, presses: Sequence[PressRow]) -> RequestRow:
    first, last = sorted(draw(st.lists(days.filter(bool), min_size=2, max_size=2)))
    colour = draw(st.sampled_from([None, (50.0, -3.0, 20.5)]))
    press = draw(st.sampled_from(["", *(one.code for one in presses)]))
    return RequestRow(
        tool=tool.code,
        name=name,
        earliest=draw(st.sampled_from([None, first])),
        due=draw(st.sampled_from([None, last])),
        hours=draw(st.none() | st.floats(0.1, 1000)),
        wish=draw(words(ColourWish)),
        colour=draw(notes),
        lightness=colour[0] if colour else None,
        a=colour[1] if colour else None,
        b=colour[2] if colour else None,
        resin=draw(notes),
        late_per_day=draw(may_be_0),
        needs_engineer=draw(flags),
        press=press,
        starts_at=draw(moments) if press else None,
        asked_by=draw(notes),
        note=draw(notes),
    )
