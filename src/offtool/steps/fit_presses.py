"""Fit tools to presses: every tool against every press, or one tool with all that stands behind it."""

from __future__ import annotations

from dataclasses import replace

from offtool import __version__
from offtool.core.planning.press import PressesCompared, PressFit, compare_presses
from offtool.core.values import Caution, Verdict
from offtool.records.models import Tool
from offtool.records.queries import find_programme, find_tool, presses_of, presses_that_hold
from offtool.steps.cycle_of_tool import cool_of_known, cycle_of_known
from offtool.steps.fit_found import FitFound, PressesFound, ToolAmongPresses, ToolOnPress
from offtool.steps.fit_meshes import doubt_first
from offtool.steps.fit_sentences import actions, actions_of_all, facts, headline, headline_of_all
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.tool_at_press import PartAtPress, ToolTyped, press_facts, tool_facts

METHOD = f"offtool {__version__}"


def fit_tool(programme: str, tool: str, typed: ToolTyped | None = None) -> FitFound:
    """One tool among all presses of its programme; what is typed is tried and not kept.

    Raises: NotInRecord, and ImpossibleInput for a typed number that cannot be.
    """
    kept = find_programme(programme)
    steel = find_tool(kept, tool)
    known = tool_facts(steel, typed=typed)
    said = tuple(one.code for one in presses_that_hold(steel))
    presses = [press_facts(one) for one in presses_of(kept)]
    compared = compare_presses(known.facts, presses, said_to_hold=said)
    best = compared.best
    cycle = cycle_of_known(known, best.press.dry_cycle_s if best is not None else None)
    found = FitFound(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        tool=steel.code,
        tool_name=steel.name,
        verdict=_verdict(compared),
        headline=headline(compared, known.parts),
        actions=(),
        rests_on=(),
        compared=compared,
        parts=known.parts,
        said_to_hold=said,
        cycle=cycle,
        cooling=cool_of_known(known),
        method=METHOD,
        cautions=_cautions(compared, best, known.cautions, cycle.cycle.cautions if cycle.cycle else ()),
    )
    return replace(found, actions=tuple(actions(found)), rests_on=tuple(facts(found, known.sources)))


def fit_presses(programme: str) -> PressesFound:
    """Every tool of a programme against every press. Raises NotInRecord."""
    kept = find_programme(programme)
    presses = tuple(press_facts(one) for one in presses_of(kept))
    measured, tools = SizesMeasured(), []
    fits: list[PressFit] = []
    parts: list[PartAtPress] = []
    for steel in Tool.objects.filter(programme=kept).order_by("code"):
        said = [one.code for one in presses_that_hold(steel)]
        known = tool_facts(steel, measured)
        parts += known.parts
        compared = compare_presses(known.facts, presses, said_to_hold=said)
        said_first = headline(compared, known.parts)
        tools.append(_among(steel, compared, said_first, [one.code for one in presses]))
        fits += [one.fit for one in compared.presses]
    cautions = (caution for fit in fits for caution in fit.cautions)
    return PressesFound(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        headline=doubt_first(headline_of_all(tools, presses), parts if fits else ()),
        actions=tuple(actions_of_all(tools, fits, parts)),
        presses=presses,
        tools=tuple(tools),
        currency=kept.currency,
        method=METHOD,
        cautions=tuple(dict.fromkeys(cautions)),
    )


def _among(steel: Tool, compared: PressesCompared, said_first: str, order: list[str]) -> ToolAmongPresses:
    by_press = {one.fit.press.code: one for one in compared.presses}
    return ToolAmongPresses(
        tool=steel.code,
        tool_name=steel.name,
        verdict=_verdict(compared),
        headline=said_first,
        on=tuple(
            ToolOnPress(press=code, verdict=by_press[code].fit.verdict, words=by_press[code].words)
            for code in order
        ),
    )


def _verdict(compared: PressesCompared) -> Verdict:
    """That of the best press."""
    return compared.presses[0].fit.verdict if compared.presses else Verdict.NOT_SHOWN


def _cautions(
    compared: PressesCompared, best: PressFit | None, *more: tuple[Caution, ...]
) -> tuple[Caution, ...]:
    """Those of hanging and running a mould first, each once."""
    minded = best.minded if best is not None else ()
    return tuple(dict.fromkeys((*compared.cautions, *minded, *(one for each in more for one in each))))
