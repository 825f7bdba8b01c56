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
from offtool.core.planning.colour_change.meeting import about_meeting
from offtool.core.values import Caution
from offtool.handbook.colour_changes import NeverTogether, never_together
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.records.models import Job, TrialRequest
from offtool.steps.barrel_first import NOTHING_TO_DO, BarrelSteps, barrel_steps
from offtool.steps.colour_known import plastic_of_job, plastic_of_request, shot_costs, washout_known
from offtool.steps.findings import Fact
from offtool.steps.plan_found import ColourPlanned, Missing
from offtool.steps.sentences import listed
from offtool.steps.trial_press import PressChosen

_NOTHING = (0.0, 0.0, 0.0)
_WAYS = {
    ColourWay.AS_IT_IS: "shoot in the colour on the press",
    ColourWay.PRODUCT: "purge to the colour of the product",
    ColourWay.LIGHT: "purge to a light colour",
}

_EMPTIED = "another press or another day; else the barrel is emptied and purged first"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourChosen:
    """The colour of a trial; None where it cannot be decided, and then why."""

    planned: ColourPlanned | None
    decision: ColourDecision | None
    facts: tuple[Fact, ...] = ()
    missing: tuple[Missing, ...] = ()
    cautions: tuple[Caution, ...] = ()
    barrel: BarrelSteps = NOTHING_TO_DO


def colour_of_request(request: TrialRequest, chosen: PressChosen, shots: int | None) -> ColourChosen:
    """The decision for so many shots; without a job, a press or a weight it says what is missing.

    Whether the resins may meet is said whatever is missing.
    """
    press, job = chosen.press, chosen.job
    if press is None:
        return ColourChosen(planned=None, decision=None)
    barrel = barrel_steps(job.resin if job is not None else None, chosen.resin, press.code)
    if job is None:
        return _nothing_runs(press.code, chosen.resin, barrel)
    if chosen.shot_g is None or shots is None:
        return _without_amounts(request, job, chosen.resin, barrel)
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
        missing=tuple(_missing(decision, known.missing, press.code, nobody_asks=_colour_not_asked(request))),
        cautions=tuple(dict.fromkeys((*decision.cautions, *known.cautions))),
        barrel=barrel,
    )


def _nothing_runs(press: str, resin: str, barrel: BarrelSteps) -> ColourChosen:
    missing = Missing(
        what=f"what is in the barrel of {press}",
        spoils="its colour and the way there cannot be said, nor whether the resins may meet",
        who_knows="the setter of the press knows; write the job down",
        leads_to="press",
        name=press,
    )
    return ColourChosen(
        planned=None,
        decision=None,
        missing=(missing,),
        cautions=about_meeting("", resin, old_name=f"what is in the barrel of {press}"),
        barrel=barrel,
    )


def _without_amounts(request: TrialRequest, job: Job, resin: str, barrel: BarrelSteps) -> ColourChosen:
    """Nothing can be reckoned, but the resins are known, or known not to be."""
    never = never_together(job.resin, resin)
    asked = [one.purpose for one in request.wants.all()]
    return ColourChosen(
        planned=_emptied(never, job, resin, asked) if never is not None else None,
        decision=None,
        cautions=about_meeting(job.resin, resin, old_name=job.code, new_name="the trial"),
        barrel=barrel,
    )


def _emptied(never: NeverTogether, job: Job, resin: str, asked: Sequence[str]) -> ColourPlanned:
    """Resins that must never meet, where the way to an empty barrel cannot be reckoned."""
    return ColourPlanned(
        what=_EMPTIED,
        colour="",
        changes=False,
        says="what the emptying and the full purge take is not counted, neither there nor back: ask the shop",
        minutes_there=_NOTHING,
        minutes_back=_NOTHING,
        purge_kg=0.0,
        right_for=tuple(asked),
        wrong_for=(),
        never=f"{never.why}. {never.do}",
        never_pair=f"{job.resin} and {resin}",
    )


def _planned(decision: ColourDecision, job: Job, request: TrialRequest, resin: str) -> ColourPlanned:
    option = decision.recommended
    asked = [one for one in TRIAL_PURPOSES if one in decision.purposes]
    never = next(iter(_never(decision)), None)
    return ColourPlanned(
        what=_WAYS[option.way] if never is None else _EMPTIED,
        colour=_called(option, job, request),
        changes=option.way is not ColourWay.AS_IT_IS,
        says=decision.why,
        minutes_there=_three(option.there.minutes) if option.way is not ColourWay.AS_IT_IS else _NOTHING,
        minutes_back=_three(option.back.minutes) if option.way is not ColourWay.AS_IT_IS else _NOTHING,
        purge_kg=_finite(option.purge_kg.value),
        right_for=tuple(one.value for one in asked if one not in option.cannot),
        wrong_for=tuple(one.value for one in asked if one in option.cannot),
        never=f"{never.why}. {never.do}" if never is not None else "",
        never_pair=f"{job.resin} and {resin}" if never is not None else "",
        others=tuple(_other(one) for one in decision.options[1:]),
        there_kg=_finite(option.there.kg.value) if option.way is not ColourWay.AS_IT_IS else 0.0,
    )


def _other(option: ColourOption) -> str:
    """A way that was not taken; a cheaper one that does not answer what is asked says so."""
    if not option.cannot:
        return option.words
    return f"{option.words}; no answer to {listed([one.value for one in option.cannot])}"


def _never(decision: ColourDecision) -> Iterator[NeverTogether]:
    """Resins that would meet on any of the ways and must never: of the recommended one first."""
    for one in decision.options:
        yield from (never for never in (one.there.never, one.back.never) if never is not None)


def _called(option: ColourOption, job: Job, request: TrialRequest) -> str:
    """The colour by name; that of the product has none where nobody gave it one."""
    if option.way is ColourWay.PRODUCT:
        return request.colour or "the product's colour"
    return option.plastic.name or job.colour


def _shot_as_it_is(decision: ColourDecision) -> bool:
    return decision.recommended.way is ColourWay.AS_IT_IS


def _finite(kg: float) -> float:
    return kg if isfinite(kg) else 0.0


def _three(found: Amount) -> tuple[float, float, float]:
    return found.value, found.low, found.high


def _colour_not_asked(request: TrialRequest) -> str:
    """What need not be written down: the product's colour of a trial that runs in any; else empty."""
    needs = any(TRIAL_PURPOSES[TrialPurpose(one.purpose)].right_colour for one in request.wants.all())
    return "" if request.wish != ColourWish.ANY or needs else plastic_of_request(request).name


def _missing(
    decision: ColourDecision, of_washout: Sequence[str], press: str, *, nobody_asks: str
) -> Iterator[Missing]:
    """What core says is missing reads "what: what it would settle"."""
    nobody = f"the colour of {nobody_asks}: " if nobody_asks and _shot_as_it_is(decision) else ""
    for one in dict.fromkeys((*decision.missing, *of_washout)):
        if nobody and one.startswith(nobody):
            continue
        what, _, settles = one.replace("the colour of the colour of", "the colour of").partition(": ")
        asks = settles.startswith(("how", "what", "whether"))
        yield Missing(
            what=what,
            spoils=f"nobody can say {settles}" if asks else settles or "the ways are only partly said",
            who_knows="the shop knows it",
            leads_to="prices" if what.startswith("the price") else "press",
            name=press,
        )
