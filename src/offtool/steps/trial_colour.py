"""In which colour a trial is shot, against the job that runs on its press then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from offtool.core.planning.colour_change import (
    Amount,
    ColourDecision,
    ColourOption,
    Interrupted,
    decide_colour,
)
from offtool.core.planning.colour_change.decision import ColourWay
from offtool.core.values import Caution
from offtool.handbook.colour_changes import NeverTogether
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.records.models import Job, TrialRequest
from offtool.steps.colour_known import plastic_of_job, plastic_of_request, shot_costs, washout_known
from offtool.steps.findings import Fact
from offtool.steps.plan_found import ColourPlanned, Missing
from offtool.steps.trial_press import PressChosen

_NOTHING = (0.0, 0.0, 0.0)
_WAYS = {
    ColourWay.AS_IT_IS: "shoot in the colour on the press",
    ColourWay.PRODUCT: "purge to the colour of the product",
    ColourWay.LIGHT: "purge to a light colour",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourChosen:
    """The colour of a trial; None where it cannot be decided, and then why."""

    planned: ColourPlanned | None
    decision: ColourDecision | None
    facts: tuple[Fact, ...] = ()
    missing: tuple[Missing, ...] = ()
    cautions: tuple[Caution, ...] = ()


def colour_of_request(request: TrialRequest, chosen: PressChosen, shots: int) -> ColourChosen:
    """The decision for so many shots; without a job, a press or a weight it says what is missing."""
    press, job = chosen.press, chosen.job
    if press is None:
        return ColourChosen(planned=None, decision=None)
    if job is None:
        return _nothing_runs(press.code)
    if chosen.shot_g is None:
        return ColourChosen(planned=None, decision=None)
    known = washout_known(press, request.tool)
    costs = shot_costs(press, shot_g=chosen.shot_g, cycle_s=chosen.cycle_s.usual, resin=chosen.resin)
    decision = decide_colour(
        plastic_of_job(job),
        plastic_of_request(request),
        belief=known.belief,
        costs=costs,
        trial_shots=shots,
        purposes=[TrialPurpose(one.purpose) for one in request.wants.all()],
        wish=ColourWish(request.wish),
        job=Interrupted(restart_min=job.restart_min, margin_per_h=job.margin_per_h),
    )
    return ColourChosen(
        planned=_planned(decision, job, request, chosen.resin),
        decision=decision,
        facts=(Fact(about="Colour", says=known.says),),
        missing=tuple(_missing(decision, known.missing, press.code)),
        cautions=tuple(dict.fromkeys((*decision.cautions, *known.cautions))),
    )


def _nothing_runs(press: str) -> ColourChosen:
    missing = Missing(
        what=f"what is in the barrel of {press}",
        spoils="its colour and the way there cannot be said, nor whether the resins may meet",
        who_knows="the setter of the press knows; write the job down",
        leads_to="press",
        name=press,
    )
    return ColourChosen(planned=None, decision=None, missing=(missing,))


def _planned(decision: ColourDecision, job: Job, request: TrialRequest, resin: str) -> ColourPlanned:
    option = decision.recommended
    asked = [one for one in TRIAL_PURPOSES if one in decision.purposes]
    never = next(iter(_never(decision)), None)
    return ColourPlanned(
        what=_WAYS[option.way],
        colour=_called(option, job, request),
        changes=option.way is not ColourWay.AS_IT_IS,
        says=decision.why,
        minutes_there=_three(option.there.minutes) if option.way is not ColourWay.AS_IT_IS else _NOTHING,
        minutes_back=_three(option.back.minutes) if option.way is not ColourWay.AS_IT_IS else _NOTHING,
        purge_kg=option.purge_kg.value if isfinite(option.purge_kg.value) else 0.0,
        right_for=tuple(one.value for one in asked if one not in option.cannot),
        wrong_for=tuple(one.value for one in asked if one in option.cannot),
        never=f"{never.why}. {never.do}" if never is not None else "",
        never_pair=f"{job.resin} and {resin}" if never is not None else "",
        others=tuple(one.words for one in decision.options[1:]),
    )


def _never(decision: ColourDecision) -> Iterator[NeverTogether]:
    """Resins that would meet on any of the ways and must never: of the recommended one first."""
    for one in decision.options:
        yield from (never for never in (one.there.never, one.back.never) if never is not None)


def _called(option: ColourOption, job: Job, request: TrialRequest) -> str:
    """The colour by name; that of the product has none where nobody gave it one."""
    if option.way is ColourWay.PRODUCT:
        return request.colour or "the product's colour"
    return option.plastic.name or job.colour


def _three(found: Amount) -> tuple[float, float, float]:
    return found.value, found.low, found.high


def _missing(decision: ColourDecision, of_washout: Sequence[str], press: str) -> Iterator[Missing]:
    """What core says is missing reads "what: what it would settle"."""
    for one in dict.fromkeys((*decision.missing, *of_washout)):
        what, _, settles = one.replace("the colour of the colour of", "the colour of").partition(": ")
        asks = settles.startswith(("how", "what", "whether"))
        yield Missing(
            what=what,
            spoils=f"nobody can say {settles}" if asks else settles or "the ways are only partly said",
            who_knows="the shop knows it",
            leads_to="press",
            name=press,
        )
