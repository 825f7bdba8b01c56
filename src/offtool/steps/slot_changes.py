"""What it takes on a press to come from a job to a trial, to the next, and back: tool and colour together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import isfinite

from offtool.core.planning.colour_change import (
    ColourChange,
    ColourDecision,
    ColourOption,
    Interrupted,
    Plastic,
    ShotCosts,
    WashoutBelief,
    about_meeting,
    colour_change,
    decide_colour,
)
from offtool.core.planning.shots import TimeOn, set_up_line
from offtool.core.planning.slots import NOTHING, Change
from offtool.core.values import Caution
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.records.models import Job, Press, TrialRequest
from offtool.steps.colour_known import (
    plastic_of_job,
    plastic_of_request,
    shot_costs,
    shot_taken,
    washout_known,
)
from offtool.steps.plan_time import LEAST_RUN_H, PressTime, asked_run_h

AN_HOUR = 60.0
UNKNOWN = "what ran last"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialTimes:
    """A trial in hours: setting it up, and from the first shot to the last."""

    request: TrialRequest
    name: str
    set_up_h: float
    run_h: float
    shots: int
    missing: tuple[str, ...] = ()
    """What nobody has said, and what is taken for it."""


def trial_times(request: TrialRequest, name: str, needed: PressTime) -> TrialTimes:
    """The hours of a trial: as they are asked for, else as computed; the way back belongs to the job."""
    set_up = request.tool.setup_h if request.tool.setup_h is not None else set_up_line(None).minutes / AN_HOUR
    lines = needed.time.lines if needed.time is not None else ()
    running = sum(one.minutes for one in lines if one.what in (TimeOn.SETTLE, TimeOn.SHOTS)) / AN_HOUR
    asked = asked_run_h(request)
    if asked is not None:
        running = asked
    return TrialTimes(
        request=request,
        name=name,
        set_up_h=set_up,
        run_h=max(running, LEAST_RUN_H),
        shots=needed.shots.shots if needed.shots is not None else 1,
        missing=tuple(_taken(request, name, needed, set_up, running)),
    )


def _taken(
    request: TrialRequest, name: str, needed: PressTime, set_up_h: float, running_h: float
) -> Iterator[str]:
    if request.tool.setup_h is None:
        yield f"how long {request.tool.code} takes to set up: {set_up_h * AN_HOUR:.0f} min are taken"
    least = f"{LEAST_RUN_H * AN_HOUR:.0f} min of shots are planned"
    if request.hours is not None and running_h < LEAST_RUN_H:
        yield f"enough hours for {name}: {request.hours:g} h hardly set it up and back, {least}"
    elif request.hours is None and needed.shots is None:
        yield f"what {name} is for, or its hours: {least}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Purged:
    """A full purge between two resins that must never meet, in hours and what is used up."""

    old: str
    new: str
    hours: float
    cost: float | None
    """None where the new resin has no price."""


@dataclass
class PressChanges:
    """The changes of one press, with the colour of each trial beside each job.

    `last` is the job that ended last before the plan begins: what it ran is in the barrel of the free press.
    """

    press: Press
    jobs: Sequence[tuple[str, Job]]
    trials: Sequence[TrialTimes]
    last: Job | None = None
    colours: dict[tuple[str, str], ColourOption] = field(default_factory=dict)
    """By what ran before (job or trial) and trial, the way recommended; the free press has no name."""
    never: dict[tuple[str, str], tuple[Caution, ...]] = field(default_factory=dict)
    """By what ran before and trial, the rules that hurt people when they are broken."""
    purges: dict[tuple[str, str], Purged] = field(default_factory=dict)
    """By what is before and what follows, the full purge between them."""
    cautions: dict[tuple[str, str], tuple[Caution, ...]] = field(default_factory=dict)
    """By what ran before and trial, what must be minded on the way there and back."""
    missing: list[str] = field(default_factory=list)

    def changes(self) -> Iterator[Change]:
        """Every change of this press."""
        for trial in self.trials:
            belief, costs = self._press_with(trial)
            yield self._from_free(trial, belief, costs)
            yield self._change(trial.name, NOTHING, 0.0, 0.0)
            for name, job in self.jobs:
                decision = self._decide(plastic_of_job(job), trial, belief, costs, job)
                option = decision.recommended
                self.colours[name, trial.name] = option
                self._mind(name, trial.name, decision)
                there, there_cost = self._purged(name, trial.name, option.there, costs.price_per_kg)
                back_price = shot_costs(self.press, shot_g=1, cycle_s=1, resin=job.resin).price_per_kg
                if back_price is None and option.back.kg.value > 0:
                    self._not_priced(job.resin)
                back, back_cost = self._purged(trial.name, name, option.back, back_price)
                yield self._change(name, trial.name, trial.set_up_h + there, there_cost)
                tool_back = set_up_line(None).minutes / AN_HOUR + (job.restart_min or 0.0) / AN_HOUR
                yield self._change(trial.name, name, tool_back + back, back_cost)
        yield from self._between()

    def _from_free(self, trial: TrialTimes, belief: WashoutBelief, costs: ShotCosts) -> Change:
        """From what the last job left in the barrel; where none is written down, by the shop's rule."""
        if self.last is not None:
            decision = self._decide(plastic_of_job(self.last), trial, belief, costs, None)
            self.colours[NOTHING, trial.name] = decision.recommended
            self._mind(NOTHING, trial.name, decision)
            there = decision.recommended.there
        else:
            wanted = plastic_of_request(trial.request)
            left = f"{UNKNOWN} on {self.press.code} is not written down"
            self.cautions[NOTHING, trial.name] = about_meeting("", wanted.resin, old_name=left)
            self.missing.append(f"{UNKNOWN} on {self.press.code}: the change there is by the shop's rule")
            there = colour_change(Plastic(name=UNKNOWN, lab=None), wanted, belief=belief, costs=costs)
        hours, cost = self._purged(NOTHING, trial.name, there, costs.price_per_kg)
        return self._change(NOTHING, trial.name, trial.set_up_h + hours, cost)

    def _not_priced(self, resin: str) -> None:
        self.missing.append(f"what a kg of {resin or 'the resin'} costs: purging is not in the money")

    def _mind(self, before: str, trial: str, decision: ColourDecision) -> None:
        self.cautions[before, trial] = decision.cautions
        self.never[before, trial] = decision.never

    def _purged(
        self, before: str, after: str, change: ColourChange, price: float | None
    ) -> tuple[float, float]:
        """Hours and money of a change; a full purge is kept by itself."""
        hours, cost = _of(change.minutes.value, change.kg.value, price)
        if change.never is not None:
            old, new = change.old.resin, change.new.resin
            self.purges[before, after] = Purged(
                old=old, new=new, hours=hours, cost=cost if price is not None else None
            )
        return hours, cost

    def _between(self) -> Iterator[Change]:
        """From one trial to the next: in the colour that the first leaves; a tool that hangs stays in."""
        for first in self.trials:
            left = self._left_by(first)
            for second in self.trials:
                if first is second:
                    continue
                belief, costs = self._press_with(second)
                decision = self._decide(left, second, belief, costs, None)
                self.colours[first.name, second.name] = decision.recommended
                self._mind(first.name, second.name, decision)
                there = decision.recommended.there
                set_up = 0.0 if first.request.tool_id == second.request.tool_id else second.set_up_h
                hours, cost = self._purged(first.name, second.name, there, costs.price_per_kg)
                yield self._change(first.name, second.name, set_up + hours, cost)

    def _left_by(self, trial: TrialTimes) -> Plastic:
        """What is in the barrel after a trial: of its way beside the first job, else its own plastic."""
        for name, _ in self.jobs:
            return self.colours[name, trial.name].plastic
        return plastic_of_request(trial.request)

    def _press_with(self, trial: TrialTimes) -> tuple[WashoutBelief, ShotCosts]:
        tool = trial.request.tool
        taken = shot_taken(self.press, tool)
        resin = plastic_of_request(trial.request).resin
        costs = shot_costs(self.press, shot_g=taken.shot_g, cycle_s=taken.cycle_s, resin=resin)
        if costs.price_per_kg is None:
            self._not_priced(resin)
        known = washout_known(self.press, tool)
        self.missing += [*taken.missing, *known.missing]
        return known.belief, costs

    def _decide(
        self, running: Plastic, trial: TrialTimes, belief: WashoutBelief, costs: ShotCosts, job: Job | None
    ) -> ColourDecision:
        back = None
        if job is not None:
            back = Interrupted(restart_min=job.restart_min, margin_per_h=job.margin_per_h)
        return decide_colour(
            running,
            plastic_of_request(trial.request),
            belief=belief,
            costs=costs,
            trial_shots=trial.shots,
            purposes=[TrialPurpose(one.purpose) for one in trial.request.wants.all()],
            wish=ColourWish(trial.request.wish),
            job=back,
        )

    def _change(self, before: str, after: str, hours: float, cost: float) -> Change:
        return Change(press=self.press.code, before=before, after=after, hours=hours, cost=cost)


def _of(minutes: float, kg: float, price: float | None) -> tuple[float, float]:
    """Hours and money of a change of colour; one that never comes to an end takes a day."""
    hours = minutes / AN_HOUR if isfinite(minutes) else 24.0
    return hours, (kg if isfinite(kg) else 0.0) * (price or 0.0)
