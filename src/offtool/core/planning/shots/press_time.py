"""How long a trial takes the press from the job that runs on it, and what that time is spent on."""

from __future__ import annotations

from collections.abc import Iterable

from offtool.core.formulas import formula
from offtool.core.planning.shots.results import MinutesFor, TimeOn, TrialMaterial, TrialTime
from offtool.core.planning.shots.to_run import CYCLE, SLOWEST
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import AT_THE_PRESS, PRACTICE
from offtool.handbook.trial_purposes import SET_UP_MINUTES

NO_WAY_BACK = Caution(
    "no time is counted for the way back: the old tool back in, and until its parts are good again",
    PRACTICE,
)
SHOTS = Range(meaning="all shots of the trial", at_least=1, at_most=1_000_000)


@formula(
    limits={
        "shots": SHOTS,
        "cycle_s": CYCLE,
        "slowest_cycle_s": SLOWEST,
        "set_up_min": Range(
            meaning="from the last part of the job to the first shot of the trial; blank as is usual",
            unit="min",
            at_least=0,
            at_most=100_000,
        ),
        "colour_there_min": Range(
            meaning="until the colour of the trial is there; 0 in the colour that is on the press",
            unit="min",
            at_least=0,
            at_most=100_000,
        ),
        "colour_back_min": Range(
            meaning="until the colour of the job is back", unit="min", at_least=0, at_most=100_000
        ),
        "way_back_min": Range(
            meaning="from the last shot of the trial until the job gives good parts, without the colour",
            unit="min",
            at_least=0,
            at_most=100_000,
        ),
    },
    example={"shots": 50, "cycle_s": 20.0, "set_up_min": 45.0, "way_back_min": 45.0},
    source=PRACTICE,
)
def trial_time(
    shots: int,
    *,
    cycle_s: float,
    slowest_cycle_s: float | None = None,
    set_up_min: float | None = None,
    colour_there_min: float = 0.0,
    colour_back_min: float = 0.0,
    way_back_min: float = 0.0,
) -> TrialTime:
    """How long a trial takes the press, the ways there and back counted.

    t = set-up + colour there + shots x cycle + colour back + way back.

    Returns: TrialTime, what the minutes are spent on, from least to most. Raises: ImpossibleInput where the
    slowest cycle is below the planned one.

    Holds when: tool, water and dried resin are ready beside the press, and nothing breaks.

    Example: 50 shots at 20 s after 45 min of tool change take about an hour, as in a practised shop.
    """
    slowest = cycle_s if slowest_cycle_s is None else slowest_cycle_s
    if slowest < cycle_s:
        limit = f"must not be below the planned {cycle_s:g} s"
        raise ImpossibleInput("slowest_cycle_s", slowest, "s", limit, "swap them")
    run = shots * cycle_s / 60
    lines = (
        set_up_line(set_up_min),
        minutes_for(TimeOn.COLOUR, colour_there_min),
        minutes_for(TimeOn.SHOTS, run, most=shots * slowest / 60, because=f"{int(shots)} of {cycle_s:g} s"),
        minutes_for(TimeOn.COLOUR_BACK, colour_back_min),
        minutes_for(TimeOn.WAY_BACK, way_back_min),
    )
    return press_time(lines)


def press_time(lines: Iterable[MinutesFor]) -> TrialTime:
    """The lines and their sums; lines without time are left out."""
    spent = tuple(one for one in lines if one.most > 0)
    counted_back = any(one.what is TimeOn.WAY_BACK for one in spent)
    return TrialTime(
        lines=spent,
        minutes=sum(one.minutes for one in spent),
        least=sum(one.least for one in spent),
        most=sum(one.most for one in spent),
        cautions=(*(() if counted_back else (NO_WAY_BACK,)), AT_THE_PRESS),
    )


def set_up_line(minutes: float | None, because: str = "as given") -> MinutesFor:
    """The time to hang a tool: as given, else the usual range with its middle."""
    if minutes is not None:
        return minutes_for(TimeOn.SET_UP, minutes, because=because)
    least, most = SET_UP_MINUTES
    return MinutesFor(
        what=TimeOn.SET_UP,
        minutes=(least + most) / 2,
        least=least,
        most=most,
        because=f"not given: {least:g} in a practised shop, {most:g} in a usual one ({PRACTICE})",
    )


def minutes_for(
    what: TimeOn,
    minutes: float,
    *,
    least: float | None = None,
    most: float | None = None,
    because: str = "",
) -> MinutesFor:
    """One line; without ends it is as long as it says."""
    return MinutesFor(
        what=what,
        minutes=minutes,
        least=minutes if least is None else least,
        most=minutes if most is None else most,
        because=because,
    )


@formula(
    limits={
        "shots": SHOTS,
        "shot_g": Range(
            meaning="weight of one shot, parts and runner",
            unit="g",
            above=0,
            at_most=1e6,
            usual=(0.1, 5_000),
            source=PRACTICE,
            remedy="weigh ten shots and divide by ten",
        ),
        "purge_kg": Range(
            meaning="material that is purged, there and back", unit="kg", at_least=0, at_most=1e5
        ),
    },
    example={"shots": 96, "shot_g": 19.0},
    source="weight of a shot times their number",
)
def trial_material(shots: int, *, shot_g: float, purge_kg: float = 0.0) -> TrialMaterial:
    """How much material a trial takes, to be dried before it.

    m = shots x weight of a shot + what is purged.

    Returns: TrialMaterial. Raises: ImpossibleInput for no shots or a shot without weight.

    Holds when: nothing is left in the dryer and the barrel afterwards; those come on top.

    Example: 96 shots of 19 g take 1.8 kg.
    """
    weighed = shots * shot_g / 1000
    return TrialMaterial(
        kg=weighed + purge_kg, shots_kg=weighed, purge_kg=purge_kg, shots=int(shots), shot_g=shot_g
    )
