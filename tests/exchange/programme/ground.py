"""What samples are told apart by, made up for a programme folder: presses, jobs, builds, details, stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import product
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.ground_rows import (
    BuildPartRow,
    BuildRow,
    DetailRow,
    DetailStateRow,
    JobRow,
    PressHoldsRow,
    PressRow,
    SignShareRow,
    StageNameRow,
)
from offtool.exchange.programme.rows import CavityRow, PartRow, StateRow, ToolRow, TrialRow
from offtool.handbook.measured_colour import OBSERVERS, Illuminant
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import DetailKind, Stage
from tests.exchange.programme.made_up import days, distinct, flags, names, notes, positive, some, words

OUTCOMES = [(sign, outcome) for sign in SIGNS for outcome in SIGNS[sign].outcomes]
lightness, sideways = st.floats(0, 120), st.floats(-200, 200)
differences = st.floats(0, 100, exclude_min=True)
pieces = st.none() | st.integers(1, 2**31 - 1)


def ground_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    tools: Sequence[ToolRow],
    cavities: Sequence[CavityRow],
    states: Sequence[StateRow],
    trials: Sequence[TrialRow],
) -> dict[str, Any]:
    """All tables but the samples themselves."""
    presses = [PressRow(code=code, name=draw(notes), note=draw(notes)) for code in distinct(draw, 0, 2)]
    builds = [_build(draw, code) for code in distinct(draw, 0, 2)]
    details = [_detail(draw, part.code, code) for part in parts for code in distinct(draw, 0, 2)]
    return {
        "presses": tuple(presses),
        "press_holds": tuple(
            PressHoldsRow(press=press.code, tool=tool.code)
            for press, tool in some(draw, list(product(presses, tools)))
        ),
        "jobs": tuple(_job(draw, press, code) for press in presses for code in distinct(draw, 0, 2)),
        "builds": tuple(builds),
        "build_parts": tuple(
            BuildPartRow(build=build.code, tool=trial.tool, trial=trial.name)
            for build, trial in some(draw, list(product(builds, trials)))
        ),
        "details": tuple(details),
        "detail_states": _in_states(draw, details, cavities, states),
        "stage_names": tuple(
            StageNameRow(
                stage=stage.value,
                engineer=draw(notes),
                archive=draw(notes),
                kept=draw(st.none() | positive),
            )
            for stage in some(draw, list(Stage), most=2)
        ),
        "sign_shares": tuple(
            SignShareRow(sign=sign, outcome=outcome, stage=draw(words(Stage)), share=draw(st.floats(0, 1)))
            for sign, outcome in some(draw, OUTCOMES, most=2)
        ),
    }


def with_runs(draw: DrawFn, trials: Sequence[TrialRow], jobs: Sequence[JobRow]) -> list[TrialRow]:
    """The trials with stage, last day, pieces, colour, and the job that each interrupted, if known."""
    return [_with_run(draw, trial, draw(st.sampled_from([None, *jobs]))) for trial in trials]


def _with_run(draw: DrawFn, trial: TrialRow, job: JobRow | None) -> TrialRow:
    colour = _colour(draw)
    return replace(
        trial,
        stage=draw(st.just("") | words(Stage)),
        ended_on=_last_day(draw, trial.shot_on),
        pieces=draw(pieces),
        **colour,
        colour_spread_de=draw(st.none() | differences) if colour["lightness"] is not None else None,
        interrupted_press=job.press if job else "",
        interrupted_job=job.code if job else "",
    )


def _colour(draw: DrawFn) -> dict[str, float | None]:
    if draw(flags):
        return {"lightness": None, "a": None, "b": None}
    return {"lightness": draw(lightness), "a": draw(sideways), "b": draw(sideways)}


def _last_day(draw: DrawFn, first: date | None) -> date | None:
    """Not before the first, where that is known."""
    if first is None:
        return draw(days)
    longest = min(400, (date.max - first).days)
    after = draw(st.none() | st.integers(0, longest))
    return None if after is None else first + timedelta(after)


def _job(draw: DrawFn, press: PressRow, code: str) -> JobRow:
    begins = draw(st.dates(date(1950, 1, 1)))
    return JobRow(
        press=press.code,
        code=code,
        product=draw(notes),
        what=draw(notes),
        colour=draw(notes),
        **_colour(draw),
        spread_de=draw(differences),
        illuminant=draw(words(Illuminant)),
        observer=draw(st.sampled_from(OBSERVERS)),
        begins=begins,
        ends=_last_day(draw, begins),
        note=draw(notes),
    )


def _build(draw: DrawFn, code: str) -> BuildRow:
    return BuildRow(
        code=code, stage=draw(words(Stage)), built_on=draw(days), pieces=draw(pieces), note=draw(notes)
    )


def _detail(draw: DrawFn, part: str, code: str) -> DetailRow:
    return DetailRow(
        part=part,
        code=code,
        name=draw(notes),
        kind=draw(words(DetailKind)),
        where=draw(st.just("") | names),
        note=draw(notes),
    )


def _in_states(
    draw: DrawFn, details: Sequence[DetailRow], cavities: Sequence[CavityRow], states: Sequence[StateRow]
) -> tuple[DetailStateRow, ...]:
    made = {(cavity.tool, cavity.part) for cavity in cavities}
    possible = [(d, s) for d, s in product(details, states) if (s.tool, d.part) in made]
    return tuple(
        DetailStateRow(
            part=detail.part, detail=detail.code, tool=state.tool, state=state.label, is_there=draw(flags)
        )
        for detail, state in some(draw, possible)
    )
