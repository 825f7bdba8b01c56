"""What to do after a trial, in the order of effect: process, steel, decisions, measuring."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from offtool.core.correction import CorrectionPlan, LeftAlone, WhyLeft
from offtool.core.values import Verdict
from offtool.steps.findings import Action, JudgedSize
from offtool.steps.sentences import at_least, count, sentence, shrinkage_sentence
from offtool.steps.shrinkage_found import directions_found
from offtool.steps.trial_evidence import TrialEvidence

HALF_OF_SUCH_TRIALS = " Parts like these then show it in about half of such trials; more make it surer."
FEWEST_TO_CUT = 3
"""Parts of a cavity under which measuring comes before cutting; common practice, no source."""


def actions_of(
    sizes: tuple[JudgedSize, ...], plan: CorrectionPlan | None, seen: TrialEvidence
) -> Iterator[Action]:
    if not sizes:
        yield Action(do="Read the file of readings.", because="No size was measured yet.", leads_to="read")
        return
    if plan is not None:
        yield from _shrinkage_actions(plan, seen)
        yield from _first_measure(sizes, plan)
        yield from _cut_actions(plan)
    yield from _measure_actions(sizes, plan)
    if all(size.verdict is Verdict.HOLDS for size in sizes):
        yield Action(
            do="Keep this steel.",
            because="Every size shows what it must; nothing here asks for a change.",
            leads_to="",
        )


def _shrinkage_actions(plan: CorrectionPlan, seen: TrialEvidence) -> Iterator[Action]:
    """One word for all directions that shrink otherwise than allowed and explain most of their sizes."""
    off = [one for one in directions_found(plan, seen) if one.off and one.sizes > 2]
    off = [one for one in off if one.explains > one.sizes / 2]
    if off:
        said = [shrinkage_sentence(plan, one.direction, one.allowed, one.explains, one.sizes) for one in off]
        yield Action(
            do="Look at the process before the steel: hold pressure, cooling, resin.",
            because=". ".join(said) + ". If the settings stay, the cuts allow for it.",
            leads_to="correction",
        )


def _first_measure(sizes: tuple[JudgedSize, ...], plan: CorrectionPlan) -> Iterator[Action]:
    """A cut that rests on hardly any parts is named, and not the first thing to do."""
    cut = {expected.size for one in plan.cuts for expected in one.expected}
    parts = [
        cavity.parts
        for size in sizes
        if f"{size.part} {size.number}" in cut
        for cavity in size.finding.cavities
    ]
    if parts and min(parts) < FEWEST_TO_CUT:
        few = count(min(parts), "part a cavity was", "parts a cavity were")
        yield Action(
            do="Measure more parts before any steel is cut.",
            because=f"Only {few} used: what is cut on that may be cut on chance.",
            leads_to="read",
        )


def _cut_actions(plan: CorrectionPlan) -> Iterator[Action]:
    if plan.cuts:
        features = len({cut.feature for cut in plan.cuts})
        added = sum(cut.amount_mm < 0 for cut in plan.cuts)
        chance = min(cut.holds_after for cut in plan.cuts)
        yield Action(
            do=f"Cut {count(features, 'steel feature')} ({count(len(plan.cuts), 'cut')} over the cavities).",
            because=f"Each then holds with {at_least(chance)} certainty"
            + (
                f"; {added} of them {'asks' if added == 1 else 'ask'} for steel to be added."
                if added
                else "."
            ),
            leads_to="correction",
        )
    yield from steel_actions(plan)


def steel_actions(plan: CorrectionPlan, *, size: str | None = None) -> Iterator[Action]:
    """What must be decided or known before a size that fails and is not cut can be corrected: all, or one."""
    failing = {(one.size, one.cavity) for one in plan.standing if one.verdict is Verdict.FAILS}
    stuck = [one for one in plan.left_alone if (one.size, one.cavity) in failing and size in (None, one.size)]
    for (why, remedy), sizes in _by_reason(stuck).items():
        named = ", ".join(sizes[:6]) + (" …" if len(sizes) > 6 else "")
        if why is WhyLeft.NO_FEATURE:
            yield Action(
                do=f"Say which steel forms {named}, and measure it.",
                because="Then steel and shrinkage can be told apart, and what to cut.",
                leads_to="steel",
            )
        elif why is WhyLeft.NO_STEEL:
            yield Action(do=f"{sentence(remedy)[:-1]} for {named}.", because=sentence(why), leads_to="steel")
        else:
            yield Action(do=f"Decide on {named}: {remedy}.", because=sentence(why), leads_to="correction")


def _by_reason(stuck: list[LeftAlone]) -> dict[tuple[WhyLeft, str], list[str]]:
    """Sizes that are left alone for one reason and remedy, each once."""
    groups: dict[tuple[WhyLeft, str], list[str]] = defaultdict(list)
    for one in stuck:
        if one.size not in groups[one.why, one.remedy]:
            groups[one.why, one.remedy].append(one.size)
    return groups


def _measure_actions(sizes: tuple[JudgedSize, ...], plan: CorrectionPlan | None) -> Iterator[Action]:
    cut = {one.size for c in plan.cuts for one in c.expected} if plan else set()
    open_ = [
        one for one in sizes if one.verdict is Verdict.NOT_SHOWN and f"{one.part} {one.number}" not in cut
    ]
    if not open_:
        return
    needed = [one.finding.parts_needed for one in open_ if one.finding.parts_needed is not None]
    names = ", ".join(f"{one.part} {one.number}" for one in open_[:6]) + (" …" if len(open_) > 6 else "")
    parts = f"{max(needed)} parts a cavity" if needed else "more parts"
    yield Action(
        do=f"Measure {parts} from settled shots: {names}.",
        because=f"{count(len(open_), 'size is', 'sizes are')} not shown by what was measured."
        + (HALF_OF_SUCH_TRIALS if needed else ""),
        leads_to="sizes",
    )
