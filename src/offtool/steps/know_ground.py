"""Read what a programme's pieces are told apart by, and say what of it is still missing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from django.db.models import Count

from offtool import __version__
from offtool.core.colour import LIGHTS, Light
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.sheet_numbers import PRESS_SHEET
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from offtool.records.models import Job, Part, Press, Reading, Tool, Trial
from offtool.records.queries import SampleGround, find_programme, sample_ground
from offtool.steps.findings import Action
from offtool.steps.ground_found import (
    BuildKnown,
    ColourKnown,
    DetailKnown,
    DetailsKnown,
    GroundFound,
    JobKnown,
    PressKnown,
    RunKnown,
    SignKnown,
    StageKnown,
    ToolKnown,
)
from offtool.steps.overview import is_invented
from offtool.steps.sample_origins import Origins
from offtool.steps.sample_seen import on_screen
from offtool.steps.sentences import count

METHOD = f"offtool {__version__}"
RUN_LIGHT: Light = "D65/10"
"""What the colour of a run is stated for."""
MOST_PARTS = 2
"""Of so many parts it is asked for a detail between two states; the tables show the rest."""
RUN, DETAIL, PRESS, JOB, BUILD = "run", "detail", "press", "job", "build"


def know_ground(programme: str) -> GroundFound:
    """What the record knows to tell pieces of a programme apart. Raises NotInRecord."""
    found = find_programme(programme)
    ground = sample_ground(found)
    origins = Origins(ground)
    details = tuple(_details(ground))
    return GroundFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=_headline(ground),
        actions=tuple(_actions(ground, details)),
        tools=tuple(_tools(ground, origins)),
        details=details,
        builds=tuple(_builds(ground)),
        presses=tuple(_press(ground, one) for one in ground.presses),
        stages=tuple(_stages(ground, origins)),
        signs=tuple(_signs(ground, origins)),
        method=METHOD,
    )


def _headline(ground: SampleGround) -> str:
    if not ground.runs:
        return "Nothing but the handbook tells pieces apart: enter the first run of a tool."
    said = [count(len(ground.runs), "run")]
    said += [count(len(ground.details), "detail")] if ground.details else []
    said += [count(len(ground.builds), "build")] if ground.builds else []
    said += [count(len(ground.jobs), "job") + " on presses"] if ground.jobs else []
    listed = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
    return f"Pieces are told apart by {listed}."


def _actions(ground: SampleGround, details: Sequence[DetailsKnown]) -> Iterator[Action]:
    if not ground.runs:
        yield Action(
            do="Enter the runs of each tool, T0 first.",
            because="A piece can only be given to a run that is recorded; readings can follow later.",
            leads_to=RUN,
        )
    if ground.states and not ground.details:
        yield Action(
            do="Enter the details that came in later: date mark, vents, texture, pegs.",
            because="Steel that was removed does not come back: nothing bounds a state as hard.",
            leads_to=DETAIL,
        )
    bare = [one.part for one in details if not one.details]
    if ground.details and bare:
        yield Action(
            do=f"Enter the details of {', '.join(bare)}.",
            because="Nothing that stays tells their states apart yet.",
            leads_to=DETAIL,
        )
    for one in [one for one in details if one.details][:MOST_PARTS]:
        for before, after in one.alike[:1]:
            yield Action(
                do=f"Find a detail of {one.part} that changed from state {before} to {after} of {one.tool}.",
                because="No detail tells these two apart; only sizes can.",
                leads_to=DETAIL,
            )
    if not ground.presses:
        yield Action(
            do="Enter the presses, and the jobs that the trials interrupted.",
            because="A trial takes the colour that is in the barrel: an odd colour then names the days.",
            leads_to=PRESS,
        )
    elif not ground.jobs:
        yield Action(
            do="Enter the jobs that ran on each press, with colour and days.",
            because="Without them an odd colour only says that it is odd.",
            leads_to=JOB,
        )
    if ground.runs and not ground.builds:
        yield Action(
            do="Enter the builds: EP, FEP, line pilot.",
            because="A piece that was put together is from parts of several runs.",
            leads_to=BUILD,
        )


def _tools(ground: SampleGround, origins: Origins) -> Iterator[ToolKnown]:
    counted = Reading.objects.filter(source__programme=ground.programme).order_by()
    readings = dict(counted.values_list("source__trial").annotate(Count("pk")))
    for tool in ground.tools:
        parts = dict.fromkeys(one.part.code for one in ground.cavities if one.tool_id == tool.pk)
        yield ToolKnown(
            tool=tool.code,
            name=tool.name,
            parts=tuple(parts),
            states=tuple(one.label for one in ground.states if one.tool_id == tool.pk),
            runs=tuple(
                _run(run, origins.stage_of[run.pk], readings.get(run.pk, 0))
                for run in ground.runs
                if run.tool_id == tool.pk
            ),
        )


def _run(run: Trial, stage: Stage, readings: int) -> RunKnown:
    job = run.interrupted
    return RunKnown(
        name=run.name,
        state=run.state.label,
        stage=stage,
        stage_is_said=bool(run.stage),
        shot_on=run.shot_on,
        ended_on=run.ended_on,
        pieces=run.pieces,
        press=run.press,
        colour=_colour(run.colour, run.lightness, run.a, run.b, run.colour_spread_de, RUN_LIGHT),
        interrupted=(job.press.code, job.code) if job is not None else None,
        readings=readings,
    )


def _details(ground: SampleGround) -> Iterator[DetailsKnown]:
    making: dict[Part, dict[int, Tool]] = defaultdict(dict)
    for cavity in ground.cavities:
        making[cavity.part][cavity.tool_id] = cavity.tool
    for part in sorted(making, key=lambda one: one.code):
        for tool in making[part].values():
            yield _details_in(ground, part, tool)


def _details_in(ground: SampleGround, part: Part, tool: Tool) -> DetailsKnown:
    states = [one for one in ground.states if one.tool_id == tool.pk]
    rows = tuple(
        DetailKnown(
            code=one.detail.code,
            name=one.detail.name,
            kind=one.detail.kind,
            where=one.detail.where,
            note=one.detail.note,
            in_states=tuple(one.in_state.get(state.pk) for state in states),
        )
        for one in ground.details
        if one.detail.part_id == part.pk
    )
    alike = (
        (before.label, after.label)
        for place, (before, after) in enumerate(pairwise(states))
        if all(_same(row.in_states[place], row.in_states[place + 1]) for row in rows)
    )
    return DetailsKnown(
        part=part.code,
        part_name=part.name,
        tool=tool.code,
        states=tuple(one.label for one in states),
        details=rows,
        alike=tuple(alike),
    )


def _same(before: bool | None, after: bool | None) -> bool:
    """Whether two states do not differ as far as is recorded; a lost sheet may hide that they do."""
    return before == after or before is None or after is None


def _builds(ground: SampleGround) -> Iterator[BuildKnown]:
    for one in ground.builds:
        yield BuildKnown(
            code=one.build.code,
            stage=Stage(one.build.stage),
            built_on=one.build.built_on,
            pieces=one.build.pieces,
            runs=tuple((run.tool.code, run.name) for run in one.runs),
            note=one.build.note,
        )


def _press(ground: SampleGround, press: Press) -> PressKnown:
    codes = {tool.pk: tool.code for tool in ground.tools}
    return PressKnown(
        code=press.code,
        name=press.name,
        note=press.note,
        numbers={name: getattr(press, name) for name in PRESS_SHEET},
        workdays=press.workdays,
        holds=tuple(codes[tool] for tool in codes if press.pk in ground.holds.get(tool, frozenset())),
        jobs=tuple(_job(job) for job in ground.jobs if job.press_id == press.pk),
    )


def _job(job: Job) -> JobKnown:
    light = next(one for one in LIGHTS if one == f"{job.illuminant}/{job.observer}")
    spread = job.spread_de if job.lightness is not None else None
    return JobKnown(
        code=job.code,
        product=job.product,
        what=job.what,
        colour=_colour(job.colour, job.lightness, job.a, job.b, spread, light),
        begins=job.begins,
        ends=job.ends,
        illuminant=job.illuminant,
        observer=job.observer,
        resin=job.resin,
        may_stop=job.may_stop,
        margin_per_h=job.margin_per_h,
        restart_min=job.restart_min,
        note=job.note,
    )


def _colour(
    words: str,
    lightness: float | None,
    a: float | None,
    b: float | None,
    spread_de: float | None,
    light: Light,
) -> ColourKnown:
    measured = lightness is not None and a is not None and b is not None
    return ColourKnown(
        words=words,
        lightness=lightness,
        a=a,
        b=b,
        spread_de=spread_de,
        on_screen=on_screen(lightness or 0.0, a or 0.0, b or 0.0, light) if measured else "",
    )


def _stages(ground: SampleGround, origins: Origins) -> Iterator[StageKnown]:
    own = {one.stage for one in ground.stage_names if one.engineer or one.archive or one.kept is not None}
    for stage, said in origins.stages.items():
        yield StageKnown(
            stage=stage,
            engineer=said.engineer,
            archive=said.archive,
            meaning=STAGES[stage].meaning,
            kept=said.kept,
            is_own=stage.value in own,
        )


def _signs(ground: SampleGround, origins: Origins) -> Iterator[SignKnown]:
    for code, sign in SIGNS.items():
        own = {one.stage for one in ground.sign_shares if one.sign == code}
        table = origins.shares[code]
        yield SignKnown(
            sign=code,
            asks=sign.asks,
            where=sign.where,
            confounders=sign.confounders,
            shares=tuple(
                (outcome, tuple(table[outcome][stage] for stage in Stage)) for outcome in sign.outcomes
            ),
            own=tuple(stage for stage in Stage if stage.value in own),
        )
