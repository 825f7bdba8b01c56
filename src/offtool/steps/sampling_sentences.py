"""The sentences of a sampling plan: the answer, what it does not promise, what to do, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from offtool.core.pilot.sampling import (
    AttributePlan,
    Demonstration,
    FoundPlan,
    StandardPlan,
    Switching,
    VariablesPlan,
)
from offtool.core.pilot.sampling.attribute import times_in_100
from offtool.core.pilot.sampling.chances import bad_in_lot
from offtool.handbook.sampling_plans import PIECES_UP_TO, RULES, STANDARD
from offtool.steps.findings import Action, Fact
from offtool.steps.sampling_asked import MeasuredAsked
from offtool.steps.sentences import sentence

AT_RANDOM = Action(
    do="Draw the pieces at random from the whole lot, and from every cavity.",
    because="Pieces from the top of one carton, or from one cavity, are not the lot.",
    leads_to="",
)
SAME_LIMIT = Action(
    do="Judge every piece by the same signed limit sample.",
    because="What two people call bad in different ways is counted by neither.",
    leads_to="",
)
KEEP_COUNTS = Action(
    do="Keep what was found in every lot.",
    because="Whether the next lot is looked at as usual hangs on the ones before it.",
    leads_to="lots",
)
REMOVE_CAUSE = Action(
    do="Stop passing lots by sample, and remove the cause first.",
    because="A sample sorts nothing out of lots that are bad again and again.",
    leads_to="",
)
BEFORE_MEASURING = Action(
    do="See first that the readings are normal, cavity by cavity.",
    because="The plan speaks of the tails, and a mould with cavities that differ has others.",
    leads_to="",
)
TEST_ALIKE = Action(
    do="Test every piece alike, and to the end.",
    because="A piece that was stopped before shows nothing.",
    leads_to="",
)

NO_LOT_PROMISED = "A lot that passes is not shown to be good: the chance is told, no more."
ONE_TIME = (
    "The limit is no promise for one lot: it is the level at which nearly all lots of a steady process pass."
)

ALL_OF_IT = "Every piece is looked at: nothing is left to chance but what the eye misses."


def in_per_cent(share: float, counted: str = "pieces") -> str:
    """0.65 %; 15 flaws on 100 pieces; three digits that count."""
    value = 100 * share
    number = f"{value:,.0f}" if value >= 100 else f"{value:.3g}" if value >= 1e-4 else f"{value:.3e}"
    return f"{number} %" if counted == "pieces" else f"{number} flaws on 100 pieces"


def of_lot(standard: StandardPlan, plan: AttributePlan) -> dict[str, Any]:
    """The plan of the public tables."""
    look = f"Look at all {standard.pieces:,}" if standard.looks_at_all else _look(standard)
    up_to = _up_to(standard.accept, plan.counted)
    between = (
        "; between the two the lot passes and normal inspection returns"
        if standard.refuse > standard.accept + 1
        else ""
    )
    return {
        "ask": "lot",
        "headline": f"{look}: accept with {up_to}, refuse from {standard.refuse} on{between}.",
        "says": (_risks(plan),),
        "promises_not": (ALL_OF_IT,) if standard.looks_at_all else (ONE_TIME, _still_passes(plan)),
        "actions": (AT_RANDOM, SAME_LIMIT, KEEP_COUNTS),
        "rests_on": (*_table(standard), *_curve(plan)),
        "standard": standard,
        "plan": plan,
    }


def _look(standard: StandardPlan) -> str:
    return f"Look at {standard.pieces:,} of {standard.lot:,}, drawn at random"


def _table(standard: StandardPlan) -> Iterator[Fact]:
    counts = "" if standard.aql <= PIECES_UP_TO else " flaws on 100 pieces"
    yield Fact(
        about="Asked",
        says=f"level {standard.level}, limit {standard.aql:g}{counts or ' %'}, {standard.severity}",
    )
    letter = f"{standard.letter} for {standard.lot:,} pieces"
    if standard.plan_letter != standard.letter:
        letter += f"; its place holds an arrow to {standard.plan_letter}"
    yield Fact(about="Code letter", says=letter)
    yield Fact(about="Table", says=STANDARD)


def _curve(plan: AttributePlan) -> Iterator[Fact]:
    """Where the plan draws its line, and what sorting would leave."""
    if plan.pieces == plan.lot:
        return
    for often, share in ((95, plan.passes_95), (50, plan.passes_50), (10, plan.passes_10)):
        yield Fact(about=f"Passes {often} times in 100", says=in_per_cent(share, plan.counted))
    yield Fact(
        about="Refused lots sorted",
        says=f"at worst {in_per_cent(plan.worst_through, plan.counted)} get through, where lots hold "
        f"{in_per_cent(plan.worst_at, plan.counted)}",
    )
    if plan.looked_at is not None and plan.lot is not None:
        yield Fact(
            about="Then looked at, on average",
            says=f"{plan.looked_at:,.0f} of {plan.lot:,}, where lots hold {in_per_cent(plan.good)}",
        )
        yield Fact(about=f"In a lot of {plan.lot:,}", says=_whole_pieces(plan, plan.lot))
    yield Fact(about="Chances", says=_distribution(plan))


def _whole_pieces(plan: AttributePlan, lot: int) -> str:
    few, many = bad_in_lot(plan.good, lot, up=False), bad_in_lot(plan.bad, lot, up=True)
    return f"{in_per_cent(plan.good)} is {few:,}, {in_per_cent(plan.bad)} is {many:,}, in whole pieces"


def _distribution(plan: AttributePlan) -> str:
    if plan.counted == "flaws":
        return "Poisson: a piece may have several flaws"
    if plan.lot is None:
        return "binomial: the lot is large beside the sample"
    return f"hypergeometric: {plan.pieces:,} of the {plan.lot:,} of the lot"


def _risks(plan: AttributePlan) -> str:
    """Both risks; of a small lot they are counted as drawn from it, and that is said."""
    of = f", the sample drawn from {plan.lot:,}" if plan.lot is not None and plan.pieces < plan.lot else ""
    return sentence(plan.words + of)


def _still_passes(plan: AttributePlan) -> str:
    share = in_per_cent(plan.passes_10, plan.counted)
    of = "bad" if plan.counted == "pieces" else ""
    return sentence(f"a large lot with {share} {of}".rstrip() + " still passes one time in ten")


def of_own(plan: AttributePlan) -> dict[str, Any]:
    """A plan of one's own."""
    return {
        "ask": "own",
        "headline": _risks(plan),
        "says": (_own_plan(plan),),
        "promises_not": (NO_LOT_PROMISED, _still_passes(plan)),
        "actions": (AT_RANDOM, SAME_LIMIT),
        "rests_on": tuple(_curve(plan)),
        "plan": plan,
    }


def _own_plan(plan: AttributePlan) -> str:
    return f"The plan: look at {plan.pieces:,}, accept with {_up_to(plan.accept, plan.counted)}."


def _up_to(accept: int, counted: str) -> str:
    one, many = ("bad piece", "bad pieces") if counted == "pieces" else ("flaw", "flaws")
    return f"up to {accept:,} {one if accept == 1 else many}" if accept else f"no {one}"


def of_found(found: FoundPlan, plan: AttributePlan | None) -> dict[str, Any]:
    """The smallest plan for two risks."""
    asked = (
        f"a lot with {in_per_cent(found.good)} bad may be refused {times_in_100(found.producer_risk)}, "
        f"one with {in_per_cent(found.bad)} may pass {times_in_100(found.consumer_risk)}"
    )
    return {
        "ask": "find",
        "headline": _found_headline(found),
        "says": (_risks(plan),) if plan is not None else (),
        "promises_not": (NO_LOT_PROMISED,),
        "actions": (AT_RANDOM, SAME_LIMIT) if plan is not None else (),
        "rests_on": (Fact(about="Asked", says=asked), *(_curve(plan) if plan is not None else ())),
        "found": found,
        "plan": plan,
    }


def _found_headline(found: FoundPlan) -> str:
    if found.pieces is None or found.accept is None:
        return sentence(found.words)
    return f"Look at {found.pieces:,}, accept with {_up_to(found.accept, 'pieces')}."


def of_demonstration(shown: Demonstration, plan: AttributePlan | None) -> dict[str, Any]:
    """A test without failures, or with few."""
    says = []
    if shown.succeeds_at is not None and shown.succeeds_at_required is not None:
        says.append(
            f"Pieces that are only just good enough come through {times_in_100(shown.succeeds_at_required)}: "
            f"for nine times in ten {in_per_cent(shown.succeeds_at)} must hold in truth."
        )
    rests: list[Fact] = []
    if shown.confidence_reached is not None:
        rests.append(Fact(about="Confidence reached", says=in_per_cent(shown.confidence_reached)))
    if plan is not None:
        rests.append(Fact(about="Chances", says=_distribution(plan)))
    return {
        "ask": "zero",
        "headline": sentence(shown.words),
        "says": tuple(says),
        "promises_not": (
            f"It does not show that no piece fails: up to {in_per_cent(1 - shown.reliability)} may.",
            "A failure ends it: testing on until enough have held shows less than it seems.",
        ),
        "actions": (AT_RANDOM, TEST_ALIKE) if plan is not None else (),
        "rests_on": tuple(rests),
        "demonstration": shown,
        "plan": plan,
    }


def of_measured(plan: VariablesPlan, counted: FoundPlan, asked: MeasuredAsked) -> dict[str, Any]:
    """One characteristic that is measured; `counted` is the plan by counting that keeps the same risks."""
    says = []
    if plan.refuses_good is not None and plan.passes_bad is not None:
        says.append(
            f"A lot with {in_per_cent(plan.good)} outside is refused {times_in_100(plan.refuses_good)}, "
            f"one with {in_per_cent(plan.bad)} passes {times_in_100(plan.passes_bad)}."
        )
    if counted.pieces is not None and asked.pieces is None:
        says.append(
            f"Counting instead would take {counted.pieces:,}, accepted with "
            f"{_up_to(counted.accept or 0, 'pieces')}."
        )
    spread = "known beforehand" if plan.spread == "known" else "taken from the sample itself"
    return {
        "ask": "measured",
        "headline": sentence(plan.words),
        "says": tuple(says),
        "promises_not": ("One plan speaks of one size: a piece with two sizes needs two.", NO_LOT_PROMISED),
        "actions": (AT_RANDOM, BEFORE_MEASURING) if plan.pieces is not None else (),
        "rests_on": (
            Fact(about="Standard deviation", says=spread),
            Fact(about="Limits", says="one side" if plan.limits == "one" else "both sides"),
        ),
        "measured": plan,
    }


def of_lots(switching: Switching, following: StandardPlan | None) -> dict[str, Any]:
    """The lots that came before, and the plan of a next one as large as the last."""
    says = []
    if following is not None:
        look = f"look at all {following.pieces:,}" if following.looks_at_all else _look(following).lower()
        up_to = _up_to(following.accept, "pieces" if following.aql <= PIECES_UP_TO else "flaws")
        says.append(
            f"For a lot as large as the last: {look}, accept with {up_to}, refuse from {following.refuse} on."
        )
    refused = sum(not one.accepted for one in switching.lots)
    return {
        "ask": "lots",
        "headline": sentence(switching.words),
        "says": tuple(says),
        "promises_not": ("The rules speak of a steady process: after a change of it begin a new list.",),
        "actions": (REMOVE_CAUSE,) if switching.stopped else (AT_RANDOM, SAME_LIMIT),
        "rests_on": (
            Fact(about="Lots", says=f"{len(switching.lots)}, {refused} refused"),
            Fact(about="Asked", says=f"level {switching.level}, limit {switching.aql:g} %"),
            Fact(about="Score towards reduced", says=f"{switching.score} of 30"),
            Fact(about="Rules", says=RULES),
        ),
        "switching": switching,
        "standard": following,
    }
