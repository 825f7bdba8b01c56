"""What it takes on a press to come from a job to a trial, to the next, and back: tool and colour together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import isfinite

from offtool.core.planning.colour_change import (
    ColourDecision,
    ColourOption,
    Interrupted,
    Plastic,
    ShotCosts,
    WashoutBelief,
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
from offtool.steps.plan_time import PressTime

AN_HOUR = 60.0
LEAST_RUN_H = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialTimes:
    """A trial in hours: setting it up, and from the first shot to the last."""

    request: TrialRequest
    name: str
    set_up_h: float
    run_h: float
    shots: int


def trial_times(request: TrialRequest, name: str, needed: PressTime) -> TrialTimes:
    """The hours of a trial: as they are asked for, else as computed; the way back belongs to the job."""
    set_up = request.tool.setup_h if request.tool.setup_h is not None else set_up_line(None).minutes / AN_HOUR
    lines = needed.time.lines if needed.time is not None else ()
    running = sum(one.minutes for one in lines if one.what in (TimeOn.SETTLE, TimeOn.SHOTS)) / AN_HOUR
    if request.hours is not None:
        running = request.hours - set_up - set_up_line(None).minutes / AN_HOUR
    return TrialTimes(
        request=request,
        name=name,
        set_up_h=set_up,
        run_h=max(running, LEAST_RUN_H),
        shots=needed.shots.shots if needed.shots is not None else 1,
    )


@dataclass
class PressChanges:
    """The changes of one press, with the colour of each trial beside each job."""

    press: Press
    jobs: Sequence[tuple[str, Job]]
    trials: Sequence[TrialTimes]
    colours: dict[tuple[str, str], ColourOption] = field(default_factory=dict)
    """By job and trial, the way that is recommended."""
    cautions: dict[tuple[str, str], tuple[Caution, ...]] = field(default_factory=dict)
    """By what ran before and trial, what must be minded on the way there and back."""
    missing: list[str] = field(default_factory=list)

    def changes(self) -> Iterator[Change]:
        """Every change of this press."""
        for trial in self.trials:
            belief, costs = self._press_with(trial)
            yield self._change(NOTHING, trial.name, trial.set_up_h, 0.0)
            yield self._change(trial.name, NOTHING, 0.0, 0.0)
            for name, job in self.jobs:
                decision = self._decide(plastic_of_job(job), trial, belief, costs, job)
                option = decision.recommended
                self.colours[name, trial.name] = option
                self.cautions[name, trial.name] = decision.cautions
                there, there_cost = _of(option.there.minutes.value, option.there.kg.value, costs.price_per_kg)
                back_price = shot_costs(self.press, shot_g=1, cycle_s=1, resin=job.resin).price_per_kg
                back, back_cost = _of(option.back.minutes.value, option.back.kg.value, back_price)
                yield self._change(name, trial.name, trial.set_up_h + there, there_cost)
                tool_back = set_up_line(None).minutes / AN_HOUR + (job.restart_min or 0.0) / AN_HOUR
                yield self._change(trial.name, name, tool_back + back, back_cost)
        yield from self._between()

    def _between(self) -> Iterator[Change]:
        """From one trial to the next: in the colour that the first leaves."""
        for first in self.trials:
            left = self._left_by(first)
            for second in self.trials:
                if first is second:
                    continue
                belief, costs = self._press_with(second)
                decision = self._decide(left, second, belief, costs, None)
                self.cautions[first.name, second.name] = decision.cautions
                option = decision.recommended
                hours, cost = _of(option.there.minutes.value, option.there.kg.value, costs.price_per_kg)
                yield self._change(first.name, second.name, second.set_up_h + hours, cost)

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
            self.missing.append(f"what a kg of {resin or 'the resin'} costs: purging is not in the money")
        return washout_known(self.press, tool).belief, costs

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
