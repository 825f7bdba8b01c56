"""What is said of a tool and its presses: the verdict, what to do in order of effect, what it rests on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from offtool.core.planning.press import Knows, Missing, PressesCompared, PressFacts, PressFit
from offtool.core.planning.press.compare import PressCompared, called
from offtool.core.values import Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.fit_found import FitFound, ToolAmongPresses
from offtool.steps.fit_meshes import MESH, doubt_first, doubted, not_sound
from offtool.steps.sentences import count, sentence
from offtool.steps.tool_at_press import PartAtPress

TOOL, CHECKS, PRESS, NEW_PRESS, BEST = "tool", "checks", "press ", "new press", "best"
"""Where the reader of an action goes on; a press is named behind the word, and a part behind MESH."""
MOST_LISTED = 4


def headline(compared: PressesCompared, parts: Sequence[PartAtPress] = ()) -> str:
    """M1 goes on the press with 22 % clamp to spare; which other would flash. A doubted mesh goes before."""
    return doubt_first(_fits(compared), parts)


def _fits(compared: PressesCompared) -> str:
    if not compared.presses:
        return f"No press is written down yet: {compared.tool.code} cannot be placed."
    best = compared.best
    if best is not None and best.verdict is Verdict.NOT_SHOWN and hardly_known(compared.presses):
        missing = [one.what for one in best.missing]
        return f"{compared.tool.code} cannot be placed yet: {_listed(missing)} {_is(missing)} missing."
    return sentence(compared.words)


def hardly_known(presses: Sequence[PressCompared]) -> bool:
    """Whether at every press most checks lack numbers."""
    return all(len(one.fit.not_shown) >= len(one.fit.checks) / 2 for one in presses)


def headline_of_all(tools: Sequence[ToolAmongPresses], presses: Sequence[PressFacts]) -> str:
    """How many tools have a press."""
    if not presses:
        return "No press is written down yet: begin with the first, and what its sheet says."
    if not tools:
        return f"{count(len(presses), 'press', 'presses')}, and no tool yet."
    placed = sum(one.verdict is Verdict.HOLDS for one in tools)
    nowhere = [one.tool for one in tools if one.verdict is Verdict.FAILS]
    if placed == len(tools):
        return f"{'The one tool has' if placed == 1 else f'All {placed} tools have'} a press."
    said = [_shown_to_hold(placed, len(tools))]
    if len(nowhere) == len(tools) == 1:
        return f"{nowhere[0]} goes on no press here."
    if nowhere:
        said.append(f"{_listed(nowhere)} {'goes' if len(nowhere) == 1 else 'go'} on none")
    return sentence("; ".join(said))


def _shown_to_hold(placed: int, tools: int) -> str:
    """2 of 3 tools have a press that is shown to hold them; of one tool and of none in plain words."""
    if tools == 1:
        return "no press is shown yet to hold the one tool"
    if not placed:
        return f"none of {tools} tools has a press that is shown to hold it"
    return f"{placed} of {tools} tools {'has' if placed == 1 else 'have'} a press that is shown to hold it"


def actions(found: FitFound) -> Iterator[Action]:
    """Most effect first: a doubted mesh, the press to take, what contradicts the record, what is missing."""
    yield from doubted(found.parts)
    yield from _take(found)
    yield from _contradicts(found)
    yield from _open(found)
    yield from _missing(found)


def _take(found: FitFound) -> Iterator[Action]:
    best = found.best
    if not found.compared.presses:
        yield Action(do="Write down the presses.", because="There is none to compare.", leads_to=NEW_PRESS)
    elif best is None:
        first = found.compared.presses[0]
        yield Action(
            do="Look for another press, or change what stands in the way.",
            because=sentence(f"nearest is {called(first.fit.press)}, which {first.words}"),
            leads_to=CHECKS,
        )
    elif best.verdict is Verdict.HOLDS:
        minded = [one.unusual for one in best.checks if one.unusual]
        yield Action(
            do=f"Plan {found.tool} on {called(best.press)}.",
            because=sentence("; ".join(["every check holds", *minded, *_not_said(found, best)])),
            leads_to=CHECKS,
        )


def _not_said(found: FitFound, best: PressFit) -> Iterator[str]:
    """Somebody wrote down which presses hold the tool, and this is none of them."""
    if found.said_to_hold and best.press.code not in found.said_to_hold:
        yield f"nobody has written down that it holds {found.tool}: ask the setter first"


def _contradicts(found: FitFound) -> Iterator[Action]:
    """Somebody wrote down that a press holds the tool, and its numbers say otherwise."""
    for one in found.compared.presses:
        if one.fit.press.code in found.said_to_hold and one.fit.verdict is Verdict.FAILS:
            yield Action(
                do=f"Check the numbers of {called(one.fit.press)}.",
                because=f"{found.tool} is said to go on it, but by its numbers it {one.words}.",
                leads_to=PRESS + one.fit.press.code,
            )


def _open(found: FitFound) -> Iterator[Action]:
    """What the best press leaves open though its numbers are there."""
    best = found.best
    for one in best.not_shown if best is not None else ():
        if not one.missing:
            yield Action(
                do=sentence(one.advice), because=sentence(f"{one.question}: {one.words}"), leads_to=CHECKS
            )


def _missing(found: FitFound) -> Iterator[Action]:
    """What is not known, with who knows it: of the tool once, of each press of its own."""
    by_whom: dict[Knows, list[str]] = defaultdict(list)
    for missing in dict.fromkeys(one for press in found.compared.presses for one in press.fit.missing):
        if missing.who is not Knows.PRESS:
            by_whom[missing.who].append(missing.what)
    if Knows.PART in by_whom:
        bare = [one.part for one in found.parts if not one.has_mesh]
        because = sentence(f"{_listed(by_whom[Knows.PART])} {_is(by_whom[Knows.PART])} not known")
        to_mend = list(not_sound(found.parts))
        yield from (replace(one, because=because) for one in to_mend)
        if bare:
            do = f"Read in the mesh of {_listed(bare)}."
            yield Action(do=do, because=because, leads_to=MESH + bare[0])
        elif not to_mend:
            yield Action(do="Weigh the parts of a shot.", because=because, leads_to="")
    if Knows.TOOL in by_whom:
        yield Action(
            do=f"Write down the numbers of {found.tool}.",
            because=sentence(f"{_listed(by_whom[Knows.TOOL])}: to be had from {Knows.TOOL}"),
            leads_to=TOOL,
        )
    if Knows.RESIN in by_whom:
        yield Action(
            do="Give the pressure in the cavity, and take a resin of the handbook.",
            because=sentence(_listed(by_whom[Knows.RESIN])),
            leads_to=TOOL,
        )
    yield from _missing_of_presses(found.compared)


def _missing_of_presses(compared: PressesCompared) -> Iterator[Action]:
    for one in compared.presses:
        missing = [each.what for each in one.fit.missing if each.who is Knows.PRESS]
        if missing and one.fit.verdict is not Verdict.FAILS:
            yield missing_of_press(one.fit.press, missing)


def missing_of_press(press: PressFacts, missing: Sequence[str]) -> Action:
    """The numbers that a press lacks."""
    bare = [one.replace(f" of {press.code}", "") for one in missing]
    return Action(
        do=f"Write down the sheet of {called(press)}.",
        because=sentence(f"{_listed(bare)} {_is(bare)} missing"),
        leads_to=PRESS + press.code,
    )


def actions_of_all(
    tools: Sequence[ToolAmongPresses], fits: Sequence[PressFit], parts: Sequence[PartAtPress]
) -> Iterator[Action]:
    """Meshes of parts first, for every press waits for them; then what presses lack, most missing first."""
    bare = list(dict.fromkeys(one.part for one in parts if not one.has_mesh))
    if fits:
        yield from dict.fromkeys((*doubted(parts), *not_sound(parts)))
    if bare and fits:
        yield Action(
            do=f"Read in the mesh of {_listed(bare)}.",
            because="Clamp and cycle follow from silhouette and walls.",
            leads_to=MESH + bare[0],
        )
    lacks: dict[PressFacts, dict[Missing, None]] = defaultdict(dict)
    for fit in fits:
        lacks[fit.press] |= {one: None for one in fit.missing if one.who is Knows.PRESS}
    for press, missing in sorted(lacks.items(), key=lambda one: -len(one[1])):
        if missing:
            yield missing_of_press(press, [one.what for one in missing])
    unsure = [one.tool for one in tools if one.verdict is Verdict.NOT_SHOWN]
    if fits and unsure and not any(fit.missing for fit in fits if fit.tool.code in unsure):
        yield Action(
            do=f"Settle what stays open for {_listed(unsure)}: see why.",
            because="All numbers are there, and they lie on both sides of a limit.",
            leads_to=BEST,
        )
    if tools and not fits:
        yield Action(
            do="Write down the first press.", because="There is none to compare.", leads_to=NEW_PRESS
        )


def facts(found: FitFound, sources: Sequence[Fact]) -> Iterator[Fact]:
    """What the verdict rests on."""
    best = found.best
    if best is not None and best.cycle_s is not None:
        cycle = best.cycle_s
        yield Fact(about="Cycle", says=f"about {cycle.usual:.0f} s, {cycle.low:.0f} to {cycle.high:.0f}")
    elif found.cycle.why_not:
        yield Fact(about="Cycle", says=found.cycle.why_not)
    yield from sources
    if found.said_to_hold:
        yield Fact(about="Written down", says=f"{found.tool} goes on {_listed(found.said_to_hold)}")


def _listed(names: Sequence[str]) -> str:
    shown = (
        [*names[:MOST_LISTED], f"{len(names) - MOST_LISTED} more"]
        if len(names) > MOST_LISTED
        else list(names)
    )
    return " and ".join(one for one in (", ".join(shown[:-1]), shown[-1]) if one) if shown else "nothing"


def _is(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"
