"""What the barrel needs before and after a trial: known for certain, and at the heat of the resin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.planning.colour_change.meeting import unknown_meeting
from offtool.handbook.colour_changes import (
    BETWEEN,
    NEVER_TOGETHER,
    families,
    never_together,
    unknown_resins,
)
from offtool.handbook.moulding import MouldingResin, moulding_resin
from offtool.steps.plan_found import RunStep
from offtool.steps.sentences import listed

ANY_RULE = "Some resins must never meet in a barrel, POM and PVC first of all."


@dataclass(frozen=True, slots=True, kw_only=True)
class BarrelSteps:
    """Steps at the barrel: before the resin of the trial goes in, and before that of the job comes back."""

    before: tuple[RunStep, ...] = ()
    after: tuple[RunStep, ...] = ()
    unknown: str = ""
    """Why nobody can say whether the two may meet, though a job and a trial are there; else empty."""


NOTHING_TO_DO = BarrelSteps()


def barrel_steps(old: str | None, new: str, press: str) -> BarrelSteps:
    """Between the resin of the job and that of the trial; `old` is None or blank where nobody has said it.

    Resins that must never meet have their own steps.
    """
    if not old or not old.strip() or not new.strip():
        return BarrelSteps(before=(_find_out(old, new, press),), unknown=_unsaid(old, new))
    unknown = unknown_meeting(old, new)
    if unknown:
        what = f"what {listed(unknown_resins(old, new))} is"
        return BarrelSteps(before=(_stop(what, f"{unknown}."),), unknown=unknown)
    if never_together(old, new) is not None:
        return NOTHING_TO_DO
    return BarrelSteps(before=tuple(_cool_down(old, new)), after=tuple(_clear_out(new, old)))


def _find_out(old: str | None, new: str, press: str) -> RunStep:
    what = (
        f"what is in the barrel of {press}"
        if new.strip() or not (old or "").strip()
        else "the resin of the trial"
    )
    rules = [one.why for one in NEVER_TOGETHER if families(new) & (one.one | one.other)]
    return _stop(what, f"{rules[0].partition(':')[0]}." if rules else ANY_RULE)


def _stop(what: str, because: str) -> RunStep:
    return RunStep(do=f"STOP: find out {what}; nothing goes in before that is known.", because=because)


def _unsaid(old: str | None, new: str) -> str:
    """What nobody said of a job or a trial. Where no job is written down, it is asked for elsewhere."""
    if old is None:
        return unknown_meeting("", new)
    if old.strip():
        return f"the resin of the trial is not said: nobody can say whether it may follow {old.strip()}"
    follows = new.strip() or "the trial"
    return f"the resin of the job that runs there is not said: nobody can say whether {follows} may follow it"


def _cool_down(hot: str, tender: str) -> Iterator[RunStep]:
    """A resin that comes apart when hot must not be filled into a barrel that stands hotter than it bears."""
    pair = _too_hot(hot, tender)
    if pair is not None:
        before, after = pair
        yield RunStep(
            do=f"Run {hot} out with {BETWEEN} or PP behind it; bring the zones down to those of {tender}, "
            f"{_zones(after)}, before it goes in.",
            because=f"{hot} runs at about {before.melt_c[1]:g} °C, where {tender} gives off gas that hurts.",
        )


def _clear_out(tender: str, hot: str) -> Iterator[RunStep]:
    """The other way round: it must be out before the zones go up."""
    if _too_hot(hot, tender) is not None:
        yield RunStep(
            do=f"Run all {tender} out, with {BETWEEN} or PP behind it, before the zones go up for {hot}.",
            because=f"What is left of {tender} comes apart at the heat of {hot}.",
        )


def _too_hot(hot: str, tender: str) -> tuple[MouldingResin, MouldingResin] | None:
    one, other = moulding_resin(hot), moulding_resin(tender)
    if one is None or other is None or not other.suffers_heat or one.melt_c[1] <= other.melt_c[2]:
        return None
    return one, other


def _zones(resin: MouldingResin) -> str:
    return f"{resin.melt_c[0]:g} to {resin.melt_c[2]:g} °C or as its sheet says"
