"""How many shots a trial takes and for how long the press: what a slot needs to know of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from offtool.core.planning.bracket import Bracket
from offtool.core.planning.shots import (
    MinutesFor,
    PurposeShots,
    TimeOn,
    TrialShots,
    TrialTime,
    minutes_for,
    press_time,
    set_up_line,
    shots_to_run,
)
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.records.models import TrialRequest
from offtool.steps.plan_evidence import Settles, ToolBefore
from offtool.steps.plan_found import ColourPlanned, SizeToMeasure
from offtool.steps.trial_press import PressChosen, press_of_request

LEAST_RUN_H = 0.25
"""Shots that are planned at the least, however few hours were asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressTime:
    """Shots, press time and melt of a trial before anything is said of them; what a slot needs to know."""

    shots: TrialShots | None
    time: TrialTime | None
    hours: float
    """For how long the press is taken, without the change of colour: as asked, else as computed."""
    settles: Settles | None
    to_measure: tuple[SizeToMeasure, ...]


def press_time_of(
    request: TrialRequest,
    before: ToolBefore | None = None,
    chosen: PressChosen | None = None,
    on: date | None = None,
) -> PressTime:
    """The shots of a request and for how long the press is taken, without the change of colour.

    `on` is the day of planning where the press is yet to be chosen.
    """
    before = before or ToolBefore(request.tool, request.name)
    chosen = chosen or press_of_request(request, on or date.min)
    purposes = [one.purpose for one in request.wants.all()]
    settles, to_measure = before.settles(), tuple(before.to_measure(purposes))
    shots = _shots(request, chosen.cycle_s, settles, to_measure)
    time = time_of(request, chosen, None, shots)
    computed = time.hours if time is not None else 0.0
    return PressTime(
        shots=shots,
        time=time,
        hours=request.hours if request.hours is not None else computed,
        settles=settles,
        to_measure=to_measure,
    )


def _shots(
    request: TrialRequest, cycle_s: Bracket, settles: Settles | None, measure: Sequence[SizeToMeasure]
) -> TrialShots | None:
    """None where nothing is asked of the trial."""
    wants = {one.purpose: one.pieces for one in request.wants.all()}
    if not wants:
        return None
    found = shots_to_run(
        list(wants),
        cycle_s=cycle_s.usual,
        quickest_cycle_s=cycle_s.low,
        slowest_cycle_s=cycle_s.high,
        cavities=max(request.tool.cavities.count(), 1),
        pieces=[pieces or _pieces(purpose, measure) for purpose, pieces in wants.items()],
        settles_after=settles.after if settles is not None else None,
    )
    because = [_because(one, wants[one.purpose.value], measure) for one in found.purposes]
    return replace(found, purposes=tuple(because))


def _because(one: PurposeShots, pieces: int | None, measure: Sequence[SizeToMeasure]) -> PurposeShots:
    """Where the number was neither asked for nor the handbook's, the size that asks for it."""
    if pieces is not None or one.pieces == TRIAL_PURPOSES[one.purpose].usual:
        return replace(one, usual=pieces is None, source="as asked" if pieces is not None else PRACTICE)
    of_it = [size for size in measure if size.purpose == one.purpose.value and size.parts]
    size = max(of_it, key=lambda size: size.parts or 0)
    says = f"{size.size}: {size.because}"
    if size.parts != one.pieces:
        says = (
            f"{one.pieces} are kept, the most that is usual ({PRACTICE}). {size.size} takes {size.parts}: "
            f"{size.because}. Ask for {one.purpose.value}:{size.parts} to have them"
        )
    return replace(one, source=says)


def _pieces(purpose: str, measure: Sequence[SizeToMeasure]) -> int:
    """Where no number is asked for: what the size takes that needs most, within the usual; 0: the usual."""
    words = TRIAL_PURPOSES[TrialPurpose(purpose)]
    if words.purpose not in (TrialPurpose.SIZES, TrialPurpose.CAPABILITY):
        return 0
    needed = max((one.parts for one in measure if one.parts and one.purpose == purpose), default=0)
    return min(max(needed, words.usual), words.most)


def time_of(
    request: TrialRequest, chosen: PressChosen, colour: ColourPlanned | None, shots: TrialShots | None
) -> TrialTime | None:
    """What the press is taken for; `colour` None leaves its change out."""
    if shots is None:
        return None
    return press_time(_lines(request, chosen, colour, shots))


def asked_run_h(request: TrialRequest) -> float | None:
    """What the hours that were asked for leave for shots: hanging the tool, and that of the job after it, are
    inside. A change of colour, and until the parts of the job are good, come on top.
    """
    if request.hours is None:
        return None
    back = set_up_line(None).minutes / 60
    return request.hours - (request.tool.setup_h if request.tool.setup_h is not None else back) - back


def _lines(
    request: TrialRequest, chosen: PressChosen, colour: ColourPlanned | None, shots: TrialShots
) -> Iterator[MinutesFor]:
    set_up = request.tool.setup_h * 60 if request.tool.setup_h is not None else None
    yield set_up_line(set_up, "as written down for the tool")
    if colour is not None:
        there, least, most = colour.minutes_there
        yield minutes_for(TimeOn.COLOUR, there, least=least, most=most, because=f"to {colour.colour}")
    yield from _run(chosen, shots, asked_run_h(request))
    if colour is not None:
        back, least, most = colour.minutes_back
        yield minutes_for(
            TimeOn.COLOUR_BACK, back, least=least, most=most, because="to the colour of the job"
        )
    yield from _way_back(chosen)


def _run(chosen: PressChosen, shots: TrialShots, asked_h: float | None) -> Iterator[MinutesFor]:
    """Settling and the shots that follow; where hours were asked for, in the time that they leave."""
    settle = shots.settle_minutes
    if asked_h is not None:
        run = max(asked_h, LEAST_RUN_H) * 60
        settle = min(settle, run)
        yield minutes_for(TimeOn.SETTLE, settle, because=f"{shots.settle} shots: {shots.settle_says}")
        kept, minutes = shots.shots - shots.settle, shots.minutes - shots.settle_minutes
        computed = f"{kept} shots of {shots.cycle_s:.0f} s take {minutes:.0f} min"
        yield minutes_for(
            TimeOn.SHOTS, run - settle, because=f"left of the hours that were asked for; {computed}"
        )
        return
    quick, slow = chosen.cycle_s.low / 60, chosen.cycle_s.high / 60
    yield minutes_for(
        TimeOn.SETTLE,
        settle,
        least=shots.settle_least * quick,
        most=max(shots.minutes_most - (shots.shots - shots.settle) * slow, settle),
        because=f"{shots.settle} shots: {shots.settle_says}",
    )
    kept = shots.shots - shots.settle
    yield minutes_for(
        TimeOn.SHOTS,
        kept * shots.cycle_s / 60,
        least=(shots.short + shots.keep) * quick,
        most=kept * slow,
        because=f"{kept} shots of {shots.cycle_s:.0f} s",
    )


def _way_back(chosen: PressChosen) -> Iterator[MinutesFor]:
    """The tool of the job back in, and until its parts are good; nothing where nothing runs."""
    if chosen.job is None:
        return
    line = set_up_line(None)
    restart = chosen.job.restart_min or 0.0
    told = f"and {restart:g} until its parts are good" if restart else "until its parts are good is not given"
    yield MinutesFor(
        what=TimeOn.WAY_BACK,
        minutes=line.minutes + restart,
        least=line.least + restart,
        most=line.most + restart,
        because=f"tool of the job back in, {line.least:g} to {line.most:g} min ({PRACTICE}), {told}",
    )
