"""The page of what pieces are told apart by, and the pages on which each of it is entered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse

from offtool.handbook.terms import Stage
from offtool.reports.words import day
from offtool.steps.findings import Action
from offtool.steps.ground_found import (
    BuildKnown,
    ColourKnown,
    DetailsKnown,
    GroundFound,
    JobKnown,
    PressKnown,
    RunKnown,
    SignKnown,
    StageKnown,
    ToolKnown,
)
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.swatch import ColourCell, draw_patch, lab_in_words
from offtool.web.pages.trial import ActionRow

HERE = "What pieces are told apart by"
_NEW = {
    "run": ("enter a run", "#runs"),
    "detail": ("the details", "#details"),
    "press": ("enter a press", "#presses"),
    "job": ("enter a job", "#presses"),
    "build": ("enter a build", "#builds"),
}
IN_STATE = {True: ("there", "there"), False: ("away", "not there"), None: ("lost", "sheet lost")}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow:
    """One run of a tool."""

    name: str
    href: str
    steel: str
    stage: str
    stage_note: str
    days: str
    pieces: str
    press: str
    colour: ColourCell
    interrupted: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRows:
    """A tool with its runs."""

    title: str
    runs: tuple[RunRow, ...]
    new_href: str
    has_steel: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StateCell:
    """What a state makes of a detail: a class for its look, and the word."""

    state: str
    look: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailRow:
    """One detail over the states of a tool."""

    title: str
    code: str
    href: str
    kind: str
    where: str
    cells: tuple[StateCell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailsRows:
    """The details of a part in the steel of one tool."""

    title: str
    states: tuple[str, ...]
    rows: tuple[DetailRow, ...]
    alike: str
    """States that no detail tells apart, in a sentence."""
    new_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
    """One build."""

    code: str
    href: str
    stage: str
    built_on: str
    pieces: str
    runs: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One job of a press."""

    code: str
    href: str
    product: str
    colour: ColourCell
    days: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRows:
    """A press with its jobs."""

    title: str
    href: str
    holds: str
    jobs: tuple[JobRow, ...]
    new_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """A stage in both tongues."""

    stage: str
    href: str
    engineer: str
    archive: str
    meaning: str
    kept: str
    whose: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """How often one outcome is met at each stage."""

    outcome: str
    shares: tuple[tuple[str, str], ...]
    """Stage and share in per cent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignRow:
    """A sign and its shares."""

    sign: str
    asks: str
    where: str
    confounders: str
    whose: str
    href: str
    rows: tuple[ShareRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundPage:
    """All that the record knows to tell pieces apart."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    tools: tuple[ToolRows, ...]
    details: tuple[DetailsRows, ...]
    """Of parts of which details are recorded."""
    without_details: tuple[DetailsRows, ...]
    builds: tuple[BuildRow, ...]
    presses: tuple[PressRows, ...]
    stages: tuple[StageRow, ...]
    signs: tuple[SignRow, ...]
    stage_names: tuple[str, ...]
    new_build_href: str
    new_press_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundFormPage:
    """One thing is entered or changed."""

    frame: Frame
    headline: str
    lead: str
    why: tuple[tuple[str, str], ...]
    """In the margin: about what, and what it says."""
    form: Any
    done: str
    """What the button says."""
    back_href: str


def ground_page(found: GroundFound) -> GroundPage:
    """The page of all."""
    own = found.programme
    details = [_details(own, one) for one in found.details]
    return GroundPage(
        frame=ground_frame(found),
        when=found.programme_title,
        headline=found.headline,
        actions=tuple(_action(one) for one in found.actions),
        tools=tuple(_tool(own, one) for one in found.tools),
        details=tuple(one for one in details if one.rows),
        without_details=tuple(one for one in details if not one.rows),
        builds=tuple(_build(own, one) for one in found.builds),
        presses=tuple(_press(own, one) for one in found.presses),
        stages=tuple(_stage(own, one) for one in found.stages),
        signs=tuple(_sign(own, one) for one in found.signs),
        stage_names=tuple(one.value for one in Stage),
        new_build_href=reverse("ground_new_build", args=[own]),
        new_press_href=reverse("ground_new_press", args=[own]),
    )


def ground_frame(found: GroundFound, *, here: str = "") -> Frame:
    """The frame of the page, or of a page on which something is entered, called `here`."""
    crumbs = [
        Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme])),
        Crumb(text=HERE, href=reverse("ground", args=[found.programme]) if here else ""),
    ]
    title = f"{HERE}, {found.programme_title}"
    return Frame(
        title=f"{here}: {title}" if here else title,
        crumbs=(*crumbs, Crumb(text=here)) if here else tuple(crumbs),
        invented=found.invented,
        as_json="" if here else AS_JSON,
    )


def _action(action: Action) -> ActionRow:
    link, href = _NEW.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _tool(programme: str, one: ToolKnown) -> ToolRows:
    return ToolRows(
        title=f"{one.tool}, {one.name}" if one.name else one.tool,
        runs=tuple(_run(programme, one.tool, run) for run in one.runs),
        new_href=reverse("ground_new_run", args=[programme, one.tool]),
        has_steel=bool(one.states),
    )


def _run(programme: str, tool: str, run: RunKnown) -> RunRow:
    return RunRow(
        name=run.name,
        href=reverse("ground_run", args=[programme, tool, run.name]),
        steel=f"state {run.state}",
        stage=run.stage.value,
        stage_note="" if run.stage_is_said else "by its name",
        days=_days(run.shot_on, run.ended_on),
        pieces=f"{run.pieces:,}" if run.pieces is not None else "",
        press=run.press,
        colour=_colour(run.colour),
        interrupted=f"{run.interrupted[1]} on {run.interrupted[0]}" if run.interrupted else "",
    )


def _days(first: date | None, last: date | None) -> str:
    if first is None:
        return f"until {day(last)}" if last else ""
    return day(first) if last is None or last == first else f"{day(first)} to {day(last)}"


def _colour(known: ColourKnown) -> ColourCell:
    if known.lightness is None or known.a is None or known.b is None:
        return ColourCell(words=known.words, patch="", numbers="")
    numbers = lab_in_words(known.lightness, known.a, known.b)
    spread = f", spread {known.spread_de:g}" if known.spread_de is not None else ""
    return ColourCell(
        words=known.words,
        patch=draw_patch(known.on_screen, known.words or numbers),
        numbers=f"{numbers}{spread}",
    )


def _details(programme: str, known: DetailsKnown) -> DetailsRows:
    rows = tuple(
        DetailRow(
            title=one.name or one.code,
            code=one.code if one.name else "",
            href=reverse("ground_detail", args=[programme, known.part, one.code]),
            kind=one.kind,
            where=one.where,
            cells=tuple(
                StateCell(state=f"state {state}", look=IN_STATE[is_there][0], word=IN_STATE[is_there][1])
                for state, is_there in zip(known.states, one.in_states, strict=True)
            ),
        )
        for one in known.details
    )
    return DetailsRows(
        title=f"{known.part} {known.part_name}".rstrip() + f", tool {known.tool}",
        states=known.states,
        rows=rows,
        alike=_alike(known.alike) if rows else "",
        new_href=reverse("ground_new_detail", args=[programme, known.part]),
    )


def _alike(pairs: Sequence[tuple[str, str]]) -> str:
    if not pairs:
        return ""
    listed = "; ".join(f"{before} and {after}" for before, after in pairs)
    return f"No detail tells these states apart: {listed}. Only sizes can."


def _build(programme: str, one: BuildKnown) -> BuildRow:
    return BuildRow(
        code=one.code,
        href=reverse("ground_build", args=[programme, one.code]),
        stage=one.stage.value,
        built_on=day(one.built_on) if one.built_on else "",
        pieces=f"{one.pieces:,}" if one.pieces is not None else "",
        runs=", ".join(f"{run} of {tool}" for tool, run in one.runs) or "any run up to its stage",
        note=one.note,
    )


def _press(programme: str, one: PressKnown) -> PressRows:
    return PressRows(
        title=f"{one.code}, {one.name}" if one.name else one.code,
        href=reverse("ground_press", args=[programme, one.code]),
        holds=f"Holds {', '.join(one.holds)}." if one.holds else "No tool is said to go on it.",
        jobs=tuple(_job(programme, one.code, job) for job in one.jobs),
        new_href=reverse("ground_new_job", args=[programme, one.code]),
    )


def _job(programme: str, press: str, job: JobKnown) -> JobRow:
    return JobRow(
        code=job.code,
        href=reverse("ground_job", args=[programme, press, job.code]),
        product=", ".join(filter(None, (job.product, job.what))),
        colour=_colour(job.colour),
        days=_days(job.begins, job.ends) if job.ends else f"{day(job.begins)}, still running",
    )


def _stage(programme: str, one: StageKnown) -> StageRow:
    return StageRow(
        stage=one.stage.value,
        href=reverse("ground_stage", args=[programme, one.stage.name.lower()]),
        engineer=one.engineer,
        archive=one.archive,
        meaning=one.meaning,
        kept=f"{100 * one.kept:.3g} %",
        whose="your own words" if one.is_own else "",
    )


def _sign(programme: str, one: SignKnown) -> SignRow:
    stages = [stage.value for stage in Stage]
    own = ", ".join(stage.value for stage in one.own)
    return SignRow(
        sign=one.sign,
        asks=one.asks,
        where=one.where,
        confounders=one.confounders,
        whose=f"your own at: {own}" if own else "common practice, no source",
        href=reverse("ground_sign", args=[programme, one.sign]),
        rows=tuple(
            ShareRow(
                outcome=outcome,
                shares=tuple(
                    (stage, f"{100 * share:.3g} %") for stage, share in zip(stages, shares, strict=True)
                ),
            )
            for outcome, shares in one.shares
        ),
    )
