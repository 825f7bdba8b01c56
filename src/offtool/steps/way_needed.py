"""Which steps are still to be done: read from the review, the tools, and the cuts that are coming."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.release import Standing
from offtool.handbook.release_list import Change, Fed
from offtool.handbook.release_steps import RELEASE_STEPS, REVIEW, STEP_BY_CODE, step_that_answers
from offtool.steps.review_found import ReleaseReview, ReviewFact, ReviewLine
from offtool.steps.sentences import count, listed
from offtool.steps.way_days import day_in_words
from offtool.steps.way_tools import ToolAhead

OF_SIZES = (Fed.SIZES, Fed.CAPABILITY)
OF_TOOL = (*OF_SIZES, Fed.WEIGHT)
MOST_NAMED = 3
"""Items that a reason names; the rest are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepNeeded:
    """One step, why it is needed, the lines it answers, and the day before which it cannot begin."""

    kind: str
    tool: str
    because: str
    lines: tuple[str, ...] = ()
    not_before: date | None = None

    @property
    def name(self) -> str:
        return f"{self.kind} {self.tool}".rstrip()


def steps_needed(
    review: ReleaseReview, tools: Sequence[ToolAhead], parts_of: Mapping[tuple[str, str], frozenset[str]]
) -> tuple[StepNeeded, ...]:
    """Every step that is still to be done, in the order of the handbook; none where all is met and signed.

    `parts_of` gives the parts of a joint or a seam, by ("joint", code) and ("seam", code).
    """
    of_tools = [step for tool in tools for step in _of_tool(tool, review, alone=len(tools) == 1)]
    cut = {one.tool for one in of_tools if one.kind == "cut"}
    coming = [tool for tool in tools if tool.tool in cut]
    others = list(_others(review, coming, parts_of))
    found = [*of_tools, *others]
    unsigned = [one for one in review.lines if one.fed_by is Fed.SIGNATURES and not one.holds]
    if found or unsigned:
        because = "the last line of the list: it is signed when the others are met"
        found.append(
            StepNeeded(kind=REVIEW, tool="", because=because, lines=tuple(one.code for one in unsigned))
        )
    place = {one.code: number for number, one in enumerate(RELEASE_STEPS)}
    return tuple(sorted(found, key=lambda one: (not one.tool, one.tool, place[one.kind])))


def after_of(needed: Sequence[StepNeeded]) -> dict[str, tuple[str, ...]]:
    """What each step waits for, of the steps that are still to be done; the review waits for all others."""
    waits = {one.name: tuple(_after(one, needed)) for one in needed if one.kind != REVIEW}
    waited_for = {each for one in waits.values() for each in one}
    last = tuple(name for name in waits if name not in waited_for)
    return waits | {one.name: last for one in needed if one.kind == REVIEW}


def _after(step: StepNeeded, needed: Sequence[StepNeeded]) -> Iterator[str]:
    """A step of a tool waits for steps of that tool; one of the whole product for those of every tool."""
    kinds = STEP_BY_CODE[step.kind].after
    for one in needed:
        if one.kind in kinds and (not step.tool or one.tool == step.tool):
            yield one.name


def _of_tool(tool: ToolAhead, review: ReleaseReview, *, alone: bool) -> Iterator[StepNeeded]:
    """The loop of one tool: correction, steel, slot, trial, measuring; only what is needed of it."""
    open_ = [
        (line, fact)
        for line in review.lines
        if line.fed_by in OF_TOOL
        for fact in line.facts
        if not fact.is_met and is_of_tool(fact, tool)
    ]
    lines = tuple(dict.fromkeys(line.code for line, _ in open_))
    fails = _items(fact for line, fact in open_ if line.fed_by in OF_SIZES and _asks_for_steel(fact))
    stale = _items(fact for _, fact in open_ if fact.stale_because)
    missing = _items(fact for _, fact in open_ if fact.standing is Standing.MISSING)
    unmeasured = alone and any(
        one.fed_by in OF_TOOL and not one.holds and not one.facts for one in review.lines
    )
    is_cut = bool(tool.decided or fails)
    if not tool.decided and fails:
        yield StepNeeded(kind="decide", tool=tool.tool, because=_do_not_hold(fails), lines=lines)
    if is_cut:
        because = (
            f"{count(tool.decided, 'cut')} decided" if tool.decided else "where steel is what mends them"
        )
        yield StepNeeded(kind="cut", tool=tool.tool, because=because, lines=lines)
    if is_cut or tool.needs_trial or stale:
        yield from _trial(tool, _why_tried(tool, is_cut=is_cut, stale=stale), lines)
        yield StepNeeded(kind="measure", tool=tool.tool, because="what the trial gives", lines=lines)
    elif missing or unmeasured or not tool.last_is_read:
        because = f"not shown: {_named(missing)}" if missing else "no reading is kept yet"
        yield StepNeeded(kind="measure", tool=tool.tool, because=because, lines=lines)


def _asks_for_steel(fact: ReviewFact) -> bool:
    """Whether a size does not hold, in the steel of today: what was cut since is tried first."""
    return fact.standing is Standing.FAILS and not fact.stale_because


def _trial(tool: ToolAhead, because: str, lines: tuple[str, ...]) -> Iterator[StepNeeded]:
    """A fixed slot stands; without one, waiting for a press is a step of its own."""
    slot = tool.slots[0] if tool.slots else None
    fixed = slot.fixed if slot is not None else None
    if fixed is None:
        asked = f"{slot.trial} is asked for, its slot is not fixed" if slot else "no trial is asked for yet"
        earliest = slot.earliest if slot is not None else None
        yield StepNeeded(kind="slot", tool=tool.tool, because=asked, lines=lines, not_before=earliest)
    named = f"{because}; {slot.trial} on {day_in_words(fixed)}" if slot and fixed else because
    yield StepNeeded(kind="trial", tool=tool.tool, because=named, lines=lines, not_before=fixed)


def _why_tried(tool: ToolAhead, *, is_cut: bool, stale: Sequence[str]) -> str:
    if is_cut:
        return "the steel will be another"
    if not tool.last_trial:
        return "the tool was not tried yet"
    if tool.needs_trial:
        return f"the steel is in state {tool.state}; {tool.last_trial} ran with {tool.last_state}"
    return f"stale: {_named(stale)}"


def _others(
    review: ReleaseReview, coming: Sequence[ToolAhead], parts_of: Mapping[tuple[str, str], frozenset[str]]
) -> Iterator[StepNeeded]:
    """Steps that are done once: for lines that are not met, and for those that a coming cut makes stale."""
    why: dict[str, list[tuple[ReviewLine, str]]] = {}
    for line in review.lines:
        because = _why(line, coming, parts_of)
        if because and line.fed_by not in (*OF_TOOL, Fed.SIGNATURES):
            for kind in _kinds(line, review, will_be_cut=bool(coming)):
                why.setdefault(kind, []).append((line, because))
    for kind, told in why.items():
        yield StepNeeded(
            kind=kind,
            tool="",
            because="; ".join(f"{line.title}: {because}" for line, because in told),
            lines=tuple(line.code for line, _ in told),
        )


def _why(
    line: ReviewLine, coming: Sequence[ToolAhead], parts_of: Mapping[tuple[str, str], frozenset[str]]
) -> str:
    """Why a line has something to be done; empty where it is met and stays so."""
    if line.standing is Standing.STALE and line.stale_because:
        return f"stale since {_since(line)}"
    if not line.holds:
        return str(line.standing)
    if Change.STEEL not in line.stale_by:
        return ""
    touching = [one.tool for one in coming if any(_touches(one, fact, parts_of) for fact in line.facts)]
    if not touching:
        return ""
    return f"holds today; the steel of {listed(touching)} that is to be cut makes it stale"


def _since(line: ReviewLine) -> str:
    newest = max(line.stale_because, key=lambda one: one.on or date.min)
    return f"{day_in_words(newest.on)}: {newest.words}" if newest.on is not None else newest.words


def _kinds(line: ReviewLine, review: ReleaseReview, *, will_be_cut: bool) -> Iterator[str]:
    """The kinds of step that answer a line, with those that always go before them."""
    for step in step_that_answers(line.fed_by):
        if step.code == "line" and line.standing is Standing.STALE:
            continue  # a line that ran as planned is only run again
        if step.code == "certificate":
            yield "laboratory"
        if step.code == "decoration" and (will_be_cut or _masks_are_older(line, review)):
            yield "masks"
        yield step.code


def _masks_are_older(line: ReviewLine, review: ReleaseReview) -> bool:
    """Whether the steel was cut after the masks were made, as far as that was told."""
    cuts = [one.on for one in line.stale_because if one.change == Change.STEEL and one.on is not None]
    masks = [one.on for one in review.changes if one.what is Change.MASK and one.on and not one.set_aside]
    return bool(cuts) and max(cuts) > max(masks, default=date.min)


def is_of_tool(fact: ReviewFact, tool: ToolAhead) -> bool:
    """Whether a fact is about a part of this tool, by the page it leads to or the part it names."""
    if fact.target is not None and fact.target.page in ("size", "trial", "look"):
        return fact.target.names[0] == tool.tool
    return fact.item.split(" ")[0] in tool.parts


def _touches(tool: ToolAhead, fact: ReviewFact, parts_of: Mapping[tuple[str, str], frozenset[str]]) -> bool:
    """Whether a cut of a tool reaches what a fact rests on; what names no part rests on all of them."""
    target = fact.target
    if target is None:
        return True
    if target.page in ("size", "trial", "look"):
        return target.names[0] == tool.tool
    if target.page in ("joint", "seam"):
        parts = parts_of.get((target.page, target.names[0]), tool.parts)
        return not parts.isdisjoint(tool.parts)
    return target.page != "gauge"


def _items(facts: Iterator[ReviewFact]) -> list[str]:
    """Sizes without their cavities, each once."""
    return list(dict.fromkeys(map(size_of, facts)))


def size_of(fact: ReviewFact) -> str:
    """The item of a fact without its cavities."""
    return fact.item.partition(", cavit")[0]


def _do_not_hold(items: Sequence[str]) -> str:
    return f"{_named(items)} {'does' if len(items) == 1 else 'do'} not hold"


def _named(items: Sequence[str]) -> str:
    more = len(items) - MOST_NAMED
    if more <= 1:
        return listed(items)
    return f"{', '.join(items[:MOST_NAMED])} and {count(more, 'more item')}"
