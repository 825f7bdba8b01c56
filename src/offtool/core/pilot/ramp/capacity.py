"""How many good pieces a day's people, stations and hours can give."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import PRACTICE

MOST_PEOPLE = 10_000
HOURS_OF_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCapacity:
    """Pieces that the people could finish, that the slowest station lets through, and good ones a day."""

    by_people: float
    by_station: float
    pieces_per_day: float
    good_per_day: float
    people_needed: float
    limited_by: str
    words: str
    work_s: float
    slowest_s: float
    people: int
    hours: float
    share_running: float
    final_yield: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "work_s": Range(meaning="work in one piece, all stations together", unit="s", above=0, at_most=1e6),
        "slowest_s": Range(
            meaning="time a piece takes at the slowest station, divided by its people",
            unit="s",
            above=0,
            at_most=1e6,
        ),
        "people": Range(meaning="people on the line", at_least=1, at_most=MOST_PEOPLE),
        "hours": Range(
            meaning="hours worked in a day, breaks left out", unit="h", above=0, at_most=HOURS_OF_DAY
        ),
        "share_running": Range(
            meaning="share of that time in which the line runs",
            above=0,
            at_most=1,
            usual=(0.5, 1),
            source=PRACTICE,
        ),
        "final_yield": Range(
            meaning="share of pieces good in the end",
            above=0,
            at_most=1,
            usual=(0.8, 1),
            source=PRACTICE,
            remedy="98 % is 0.98",
        ),
    },
    example={
        "work_s": 540.0,
        "slowest_s": 27.0,
        "people": 24,
        "hours": 9.0,
        "share_running": 0.9,
        "final_yield": 0.98,
    },
    source="time balance of a line",
)
def day_capacity(
    work_s: float,
    *,
    slowest_s: float,
    people: int,
    hours: float,
    share_running: float,
    final_yield: float,
) -> DayCapacity:
    """How many good pieces a day gives, and whether people or one station set the limit.

    By people: people x time / work; by station: time / slowest; pieces a day are the smaller, good ones that
    times the final yield. Time is hours x 3600 x the share in which the line runs.

    Returns: DayCapacity. Raises: ImpossibleInput for a slowest station that takes longer than all work.

    Holds when: people have learned: before that, read the ramp.

    Example: 540 s of work, 24 people, a slowest station of 27 s, 9 h at 90 %: 1080 pieces, by the station.
    """
    if slowest_s > work_s:
        limit = f"must be at most all the work in a piece, {work_s:g} s"
        raise ImpossibleInput("slowest_s", slowest_s, "s", limit, "correct one of the two")
    seconds = hours * 3600 * share_running
    by_people, by_station = people * seconds / work_s, seconds / slowest_s
    pieces = min(by_people, by_station)
    limited = "people" if by_people < by_station else "the slowest station"
    return DayCapacity(
        by_people=by_people,
        by_station=by_station,
        pieces_per_day=pieces,
        good_per_day=pieces * final_yield,
        people_needed=pieces * work_s / seconds,
        limited_by=limited,
        words=f"{pieces * final_yield:.4g} good pieces a day, limited by {limited}",
        work_s=work_s,
        slowest_s=slowest_s,
        people=int(people),
        hours=hours,
        share_running=share_running,
        final_yield=final_yield,
    )
