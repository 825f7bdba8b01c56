"""Where every programme and every tool stands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from offtool.core.values import Verdict
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Correction, Programme, Tool, Trial
from offtool.records.queries import find_programme, latest_state, waiting_requests
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.press_on_trial import press_of, unfinished
from offtool.steps.sentences import press_sentence, verdict_sentence
from offtool.steps.trial_evidence import TrialEvidence


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeLine:
    """One programme in the list of programmes."""

    slug: str
    title: str
    parts: int
    tools: int
    trials: int
    last_trial: str
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialLine:
    """One trial of a tool: what was run, and its verdict where readings are in."""

    name: str
    state: str
    shot_on: date | None
    press: str
    colour: str
    readings: int
    headline: str
    ready: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolStanding:
    """Where a tool stands: its state today, its trials, and the corrections on their way."""

    code: str
    name: str
    state: str
    parts: tuple[str, ...]
    cavities: int
    trials: tuple[TrialLine, ...]
    proposed: int
    """Corrections decided and not yet cut."""
    next_step: str
    waiting: tuple[str, ...] = ()
    """Trials that are asked for and have not run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeOverview:
    """A programme: its tools and what to do next on each."""

    slug: str
    title: str
    note: str
    invented: bool
    headline: str
    tools: tuple[ToolStanding, ...]


def list_programmes() -> tuple[ProgrammeLine, ...]:
    """Every programme, by title."""
    return tuple(_line(one) for one in Programme.objects.order_by("title"))


def programme_overview(slug: str, measured: SizesMeasured | None = None) -> ProgrammeOverview:
    """Where every tool of a programme stands, with the trials that are judged already. Raises NotInRecord."""
    programme, known = find_programme(slug), measured or SizesMeasured()
    waiting = [(one.tool_id, one.name) for one in waiting_requests(programme)]
    tools = tuple(
        replace(_standing(tool, known), waiting=tuple(name for key, name in waiting if key == tool.pk))
        for tool in programme.tools.order_by("code")
    )
    return ProgrammeOverview(
        slug=programme.slug,
        title=programme.title,
        note=programme.note,
        invented=is_invented(programme),
        headline=_headline(tools),
        tools=tools,
    )


def _line(programme: Programme) -> ProgrammeLine:
    trials = Trial.objects.filter(tool__programme=programme).select_related("tool")
    last = trials.order_by("shot_on", "pk").last()
    return ProgrammeLine(
        slug=programme.slug,
        title=programme.title,
        parts=programme.parts.count(),
        tools=programme.tools.count(),
        trials=len(trials),
        last_trial=f"{last.name} of {last.tool.code}" if last else "",
        invented=is_invented(programme),
    )


def is_invented(programme: Programme) -> bool:
    """The demo says of itself that it is invented."""
    return "invented" in programme.note.casefold()


def _standing(tool: Tool, measured: SizesMeasured) -> ToolStanding:
    trials = tuple(
        _trial_line(one, measured.evidence_of(one))
        for one in tool.trials.select_related("state", "tool").order_by("state__ordinal", "shot_on", "pk")
    )
    state = latest_state(tool)
    proposed = Correction.objects.filter(feature__tool=tool, status=CorrectionStatus.PROPOSED).count()
    label = state.label if state else ""
    return ToolStanding(
        code=tool.code,
        name=tool.name,
        state=label,
        cavities=tool.cavities.count(),
        trials=trials,
        parts=tuple(dict.fromkeys(tool.cavities.order_by("part__code").values_list("part__code", flat=True))),
        proposed=proposed,
        next_step=_next_step(trials, label, proposed),
    )


def _trial_line(trial: Trial, seen: TrialEvidence) -> TrialLine:
    verdicts = [one.finding.verdict for one in seen.sizes]
    fails, open_ = verdicts.count(Verdict.FAILS), verdicts.count(Verdict.NOT_SHOWN)
    inside = sum(one.finding.verdict is Verdict.NOT_SHOWN and one.finding.inside_so_far for one in seen.sizes)
    at_press = unfinished(press_of(trial))
    headline = verdict_sentence(fails, open_, len(verdicts), open_inside=inside, can_wait=not fails)
    return TrialLine(
        name=trial.name,
        state=trial.state.label,
        shot_on=trial.shot_on,
        press=trial.press,
        colour=trial.colour,
        readings=len(seen.readings),
        ready=bool(verdicts) and not fails and not open_ and not at_press,
        headline=press_sentence(at_press, headline),
    )


def _next_step(trials: tuple[TrialLine, ...], state: str, proposed: int) -> str:
    if not state:
        return "Add the tool's first state to the programme folder."
    if proposed:
        return f"{proposed} cuts are decided: measure the steel again when they are made."
    if not trials or trials[-1].readings == 0:
        return "Read the first trial."
    if trials[-1].state != state:
        return f"Run the next trial: the steel has changed to state {state} since {trials[-1].name}."
    return "All sizes hold." if trials[-1].ready else f"See what {trials[-1].name} asks for."


def _headline(tools: tuple[ToolStanding, ...]) -> str:
    if not tools:
        return "No tool is recorded yet."
    ready = sum(
        bool(tool.trials) and tool.trials[-1].ready and tool.trials[-1].state == tool.state for tool in tools
    )
    if ready == len(tools):
        return "Every tool holds its sizes." if len(tools) > 1 else "The tool holds its sizes."
    return f"{ready} of {len(tools)} tools {'holds' if ready == 1 else 'hold'} all sizes."
