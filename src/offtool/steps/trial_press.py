"""On which press a trial goes: the one of its fixed slot, else the one that fits best and can be had."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.planning.bracket import Bracket
from offtool.core.planning.press.barrel import shot_of
from offtool.core.planning.press.check import Knows
from offtool.core.planning.press.compare import PressCompared, compare_presses
from offtool.core.values import Caution, Verdict
from offtool.handbook.defects import PRACTICE
from offtool.handbook.trial_purposes import SMALL_PART_CYCLE_S
from offtool.records.models import Job, Press, Tool, TrialRequest
from offtool.records.queries import presses_of, presses_that_hold, running_jobs
from offtool.steps.cycle_of_tool import cycle_of_tool
from offtool.steps.findings import Fact
from offtool.steps.fit_sentences import hardly_known
from offtool.steps.plan_found import Missing, PressPlanned, StillOpen
from offtool.steps.tool_at_press import ToolKnown, press_facts, tool_facts

MOST_OTHERS = 4
MOST_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PressChosen:
    """The press of a trial, and what it makes of cycle and shot; None for what is not known."""

    planned: PressPlanned | None
    press: Press | None
    job: Job | None
    cycle_s: Bracket
    shot_g: float | None
    resin: str
    facts: tuple[Fact, ...]
    missing: tuple[Missing, ...]
    cautions: tuple[Caution, ...]


def press_of_request(request: TrialRequest, on: date) -> PressChosen:
    """The press of a trial that is asked for, planned on a day."""
    tool, programme = request.tool, request.tool.programme
    day = request.starts_at.date() if request.starts_at is not None else max(on, request.earliest or on)
    presses = {one.code: one for one in presses_of(programme)}
    jobs = {one.press.code: one for one in running_jobs(programme, day)}
    known = tool_facts(tool)
    held = {one.code for one in presses_that_hold(tool)} or set(presses)
    fixed = request.press.code if request.is_fixed and request.press is not None else ""
    wanted = [press_facts(one) for code, one in presses.items() if code in held | {fixed}]
    compared = list(compare_presses(known.facts, wanted).presses)
    chosen = _chosen(compared, jobs, fixed)
    press = presses[chosen.fit.press.code] if chosen is not None else None
    cycle, about_cycle, no_wall = _cycle(tool, press)
    return PressChosen(
        planned=_planned(chosen, compared, jobs, request, day) if chosen is not None else None,
        press=press,
        job=jobs.get(press.code) if press is not None else None,
        cycle_s=cycle,
        shot_g=shot_of(known.facts),
        resin=request.resin or known.facts.resin,
        facts=(about_cycle, *known.sources),
        missing=(*no_wall, *_missing(known, chosen, said=bool(no_wall))),
        cautions=chosen.fit.minded if chosen is not None else (),
    )


def _chosen(compared: Sequence[PressCompared], jobs: dict[str, Job], fixed: str) -> PressCompared | None:
    """The fixed one; else the first that fits, those whose job must not be stopped last."""
    if fixed:
        return next((one for one in compared if one.fit.press.code == fixed), None)
    return min(compared, key=lambda one: (_is_failing(one), _is_barred(one, jobs)), default=None)


def _is_failing(one: PressCompared) -> bool:
    return one.fit.verdict is Verdict.FAILS


def _is_barred(one: PressCompared, jobs: dict[str, Job]) -> bool:
    job = jobs.get(one.fit.press.code)
    return job is not None and job.may_stop is False


def _planned(
    chosen: PressCompared,
    compared: Sequence[PressCompared],
    jobs: dict[str, Job],
    request: TrialRequest,
    day: date,
) -> PressPlanned:
    code = chosen.fit.press.code
    job = jobs.get(code)
    fixed = request.is_fixed
    return PressPlanned(
        press=code,
        name=chosen.fit.press.name,
        verdict=chosen.fit.verdict,
        says=_fits(chosen),
        why="its slot is fixed" if fixed else _why(chosen, compared, jobs),
        fixed=fixed,
        starts_at=request.starts_at if fixed else None,
        job=job_in_words(job) if job is not None else "",
        others=tuple(_other(one, jobs) for one in compared if one is not chosen)[:MOST_OTHERS],
        open=tuple(
            StillOpen(question=str(one.question), says=one.words, do=one.advice)
            for one in chosen.fit.not_shown
            if not one.missing
        ),
        job_code=job.code if job is not None else "",
        job_may_stop=job.may_stop if job is not None else None,
        day=day,
        lacks=len(chosen.fit.missing) if hardly_known(compared) else 0,
    )


def _fits(one: PressCompared) -> str:
    """Why it stands where it stands; a long list of what is not known is only counted."""
    missing = one.fit.missing
    if one.fit.verdict is Verdict.NOT_SHOWN and len(missing) > MOST_NAMED:
        return f"{len(missing)} numbers are not written down"
    return one.words


def _why(chosen: PressCompared, compared: Sequence[PressCompared], jobs: dict[str, Job]) -> str:
    if len(compared) == 1:
        return "no other press is said to hold the tool"
    if chosen is compared[0]:
        return "it fits best of those that hold the tool"
    return f"{compared[0].fit.press.code} must not be stopped, and it fits best of the others"


def _other(one: PressCompared, jobs: dict[str, Job]) -> str:
    code = one.fit.press.code
    job = jobs.get(code)
    runs = f"; {job_in_words(job)}" if job is not None else ""
    return f"{code}: {one.fit.verdict}, {_fits(one)}{runs}"


def job_in_words(job: Job) -> str:
    """J-340, rescue boat deck in orange, which may be stopped."""
    product = ", ".join(filter(None, (job.product, job.what)))
    colour = f" in {job.colour}" if job.colour else ""
    stops = {
        True: ", which may be stopped",
        False: ", which must not be stopped",
        None: "; nobody has said whether it may be stopped",
    }[job.may_stop]
    return f"{job.code}{f', {product}' if product else ''}{colour}{stops}"


def _cycle(tool: Tool, press: Press | None) -> tuple[Bracket, Fact, tuple[Missing, ...]]:
    """The cycle by the thickest wall; where that is not known, what small parts take, and that it is so."""
    found = cycle_of_tool(tool, press)
    if found.cycle is not None:
        cycle = found.cycle.cycle_s
        says = f"about {cycle.usual:.0f} s ({cycle.low:.0f} to {cycle.high:.0f}): {found.wall_from}"
        return cycle, Fact(about="Cycle", says=says), ()
    low, usual, high = SMALL_PART_CYCLE_S
    says = f"{usual:g} s ({low:g} to {high:g}), as small parts take ({PRACTICE}): {_small(found.why_not)}"
    missing = Missing(
        what=f"the thickest wall in {tool.code}",
        spoils="the cycle is only that of small parts in general",
        who_knows="whoever has the mesh of the part, or a caliper",
        leads_to="parts",
        name=tool.code,
    )
    return Bracket(low=low, usual=usual, high=high), Fact(about="Cycle", says=says), (missing,)


def _small(words: str) -> str:
    """A sentence within another."""
    return words[:1].lower() + words[1:].rstrip(".")


def _missing(known: ToolKnown, chosen: PressCompared | None, *, said: bool) -> Iterator[Missing]:
    """What the fit cannot say on this press, by who knows it; `said`: the wall was named already."""
    weight = shot_of(known.facts) is None
    if weight:
        yield Missing(
            what="the weight of a shot",
            spoils="no kg can be said, and no cost of a change of colour",
            who_knows="ten shots on a scale say it, or the mesh of the part",
            leads_to="tool",
        )
    for who, names in _by_who(chosen, (["weight"] if weight else []) + (["wall"] if said else [])).items():
        yield Missing(
            what="; ".join(names),
            spoils="the press is not shown to hold the tool",
            who_knows=f"{who} says it",
            leads_to={Knows.PRESS: "press", Knows.TOOL: "tool", Knows.PART: "parts"}.get(who, ""),
            name=chosen.fit.press.code if chosen is not None and who is Knows.PRESS else "",
        )


def _by_who(chosen: PressCompared | None, said: Sequence[str]) -> dict[Knows, list[str]]:
    """What the fit lacks, by who can say it; what was named already is left out."""
    found: dict[Knows, list[str]] = defaultdict(list)
    for one in chosen.fit.missing if chosen is not None else ():
        if not any(word in one.what for word in said):
            found[one.who].append(one.what)
    return found
