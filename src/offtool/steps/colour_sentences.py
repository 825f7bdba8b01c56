"""A change of colour in words: the verdict, what to do in order, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.planning.colour_change import (
    Amount,
    ColourChange,
    ColourDecision,
    ColourWay,
    ShotCosts,
)
from offtool.core.planning.colour_change.change import purity_words
from offtool.core.planning.colour_change.meeting import unknown_meeting
from offtool.records.models import Press
from offtool.steps.colour_found import ChangeSeen, PlasticSeen
from offtool.steps.colour_known import ShotTaken, WashoutKnown
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import sentence

MEASURE = "measure"
"""Leads to the page where a file of shots is read."""


def headline(there: ColourChange, back: ColourChange, decision: ColourDecision | None) -> str:
    """The verdict in one sentence."""
    if there.never is not None:
        return sentence(
            f"{there.new.resin} must not follow {there.old.resin}: not before the barrel is purged empty, "
            "and better on another press"
        )
    unknown = unknown_meeting(there.old.resin, there.new.resin)
    if unknown:
        return sentence(unknown)
    if there.shots.value == 0:
        return sentence(f"{there.new.name} can follow {there.old.name} at once{_back(there, back)}")
    return sentence(
        f"{_shots(there.shots)}, {_kg(there.kg)} and {_minutes(there.minutes)} until {there.new.name} is "
        f"inside ΔE {there.limit_de:g}{purity_words(there.old, there.new)}{_back(there, back)}"
    )


def _back(there: ColourChange, back: ColourChange) -> str:
    """The way back beside the way there."""
    if back.never is not None or back.shots.value == 0:
        return ""
    if there.shots.value == 0:
        return f"; back to {back.new.name} takes {_shots(back.shots)}"
    ratio = back.shots.value / there.shots.value
    if ratio >= 1.5:
        return f"; back to {back.new.name} takes {ratio:.1f} times as many".replace(".0 times", " times")
    if ratio <= 1 / 1.5:
        return f"; back to {back.new.name} takes only {_shots(back.shots)}"
    return f"; back to {back.new.name} about as many"


def actions(
    there: ColourChange,
    back: ColourChange,
    decision: ColourDecision | None,
    missing: Sequence[str],
    observed: Sequence[ChangeSeen],
    press: str,
) -> Iterator[Action]:
    """What to do, in order of effect."""
    if there.never is not None:
        yield Action(do="Take another press.", because=sentence(there.never.why), leads_to="")
        yield Action(do="If it must be this one:", because=there.never.do, leads_to="")
        return
    if unknown_meeting(there.old.resin, there.new.resin):
        yield Action(
            do="Find out the resin first: nothing goes in before it is known.",
            because="POM and PVC must never meet in a barrel.",
            leads_to="",
        )
    if decision is not None:
        yield Action(
            do=sentence(decision.recommended.words), because=sentence(decision.why), leads_to="decision"
        )
    if decision is None or decision.recommended.way is not ColourWay.AS_IT_IS:
        yield from _on_the_way(there)
    if missing:
        yield Action(do="Say what is missing:", because=sentence("; ".join(missing)), leads_to="press")
    if not any(one.fit is not None for one in observed):
        yield Action(
            do=f"Measure one change on {press}:",
            because="shots 1 to 5, then every fifth until it passes. The handbook's ranges are wide; ten "
            "shots narrow them.",
            leads_to=MEASURE,
        )


def _on_the_way(there: ColourChange) -> Iterator[Action]:
    if there.shots.value <= 0:
        return
    first, usual, last = (round(one) for one in (there.shots.low, there.shots.value, there.shots.high))
    yield Action(
        do=f"Measure shot {first + 1} against the master, then {usual + 1}, then {last + 1}.",
        because="It passes in this span, nine times of ten. Keep what is inside, tag or destroy what is not.",
        leads_to="",
    )
    if there.resin_changes:
        yield Action(
            do="Set the zones to what both resins bear.",
            because=f"{there.old.resin} to {there.new.resin}: where their melts do not meet, run PE or PP "
            "through between.",
            leads_to="",
        )


def facts(
    press: Press,
    washout: WashoutKnown,
    shot: ShotTaken,
    costs: ShotCosts,
    old: PlasticSeen,
    new: PlasticSeen,
) -> Iterator[Fact]:
    """What the verdict rests on."""
    yield Fact(about="In the barrel", says=_plastic(old))
    yield Fact(about="Shall be", says=_plastic(new))
    yield Fact(about="Press", says=f"{press}: {washout.says}")
    yield Fact(about="Shot", says=shot.shot_says)
    yield Fact(about="Cycle", says=shot.cycle_says)
    price = "not said" if costs.price_per_kg is None else f"{costs.price_per_kg:g} a kg"
    hour = "not said" if costs.per_hour is None else f"{costs.per_hour:g} an hour"
    yield Fact(about="Money", says=f"resin {price}, press {hour}")
    yield Fact(
        about="Getting ready",
        says="3 to 15 min to empty and clean hopper and loader; common practice, no source",
    )


def _plastic(seen: PlasticSeen) -> str:
    lab = seen.plastic.lab
    colour = (
        "colour not measured"
        if lab is None
        else f"L* {lab[0]:.1f}, a* {lab[1]:.1f}, b* {lab[2]:.1f}".replace("-", "−")
    )
    return f"{seen.plastic.name}, {seen.plastic.resin or 'resin not said'}: {colour}; {seen.where}"


def _shots(amount: Amount) -> str:
    number = f"{amount.value:.0f}"
    return f"{number} shot" if number == "1" else f"{number} shots"


def _kg(amount: Amount) -> str:
    return f"{amount.value:.2g} kg" if amount.value < 10 else f"{amount.value:.0f} kg"


def _minutes(amount: Amount) -> str:
    return f"{amount.value:.0f} min"
