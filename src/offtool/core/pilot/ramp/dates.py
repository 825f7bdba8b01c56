"""The days of a ramp on the calendar of the shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import ceil

from offtool.core.pilot.ramp.ramp import Ramp
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData


@dataclass(frozen=True, slots=True, kw_only=True)
class RampDates:
    """The dates of a ramp; None where the working days given end before."""

    starts: date
    earliest: date | None
    middle: date | None
    latest: date | None
    plateau: date | None
    words: str
    cautions: tuple[Caution, ...] = ()


def ramp_dates(ramp: Ramp, working_days: Sequence[date]) -> RampDates:
    """The dates of a ramp on the caller's working days, the first of which is day 1.

    Returns: RampDates. Raises: NotEnoughData without a day; ImpossibleInput for days that are not in order.
    """
    if not working_days:
        raise NotEnoughData("no working days", remedy="give the days on which the line runs")
    for before, after in pairwise(working_days):
        if not before < after:
            raise ImpossibleInput("working_days", after, "", f"must be after {before}", "put them in order")

    def on(day: float) -> date | None:
        return working_days[ceil(day) - 1] if day <= len(working_days) else None

    earliest, middle, latest = on(ramp.earliest_day), on(ramp.middle_day), on(ramp.latest_day)
    short = Caution(f"the {len(working_days)} working days given end before the last of these dates")
    said = [str(one) if one else "after the days given" for one in (middle, earliest, latest)]
    return RampDates(
        starts=working_days[0],
        earliest=earliest,
        middle=middle,
        latest=latest,
        plateau=on(max(ramp.plateau_middle, 1.0)),
        words=f"{ramp.quantity} good pieces on {said[0]}; between {said[1]} and {said[2]}",
        cautions=(*ramp.cautions, *(() if latest else (short,))),
    )
