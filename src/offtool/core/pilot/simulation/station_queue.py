"""One station alone, without a simulation: how long pieces wait before it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.pilot.simulation.asked import LARGEST_CREW
from offtool.core.values import Caution, ImpossibleInput, Range

LONGEST_S = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class StationQueue:
    """How busy a station is and how long pieces wait before it, in the long run."""

    share_busy: float
    wait_s: float
    time_there_s: float
    pieces_waiting: float
    pieces_there: float
    exact: bool
    words: str
    work_s: float
    work_spread_s: float
    comes_every_s: float
    comes_spread_s: float
    people: int
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "work_s": Range(meaning="mean time of one piece", above=0, unit="s", at_most=LONGEST_S),
        "work_spread_s": Range(
            meaning="standard deviation of that time", at_least=0, unit="s", at_most=LONGEST_S
        ),
        "comes_every_s": Range(
            meaning="mean time between two pieces that come", above=0, unit="s", at_most=LONGEST_S
        ),
        "comes_spread_s": Range(
            meaning="standard deviation of that time; blank where they come at random",
            at_least=0,
            unit="s",
            at_most=LONGEST_S,
        ),
        "people": Range(meaning="people who work side by side", at_least=1, at_most=LARGEST_CREW),
    },
    example={"work_s": 24.0, "work_spread_s": 24.0, "comes_every_s": 30.0, "people": 1},
    source="Pollaczek and Khinchine; Erlang; between them Allen and Cunneen's approximation, from memory",
)
def station_queue(
    work_s: float,
    *,
    work_spread_s: float,
    comes_every_s: float,
    people: int,
    comes_spread_s: float | None = None,
) -> StationQueue:
    """How long pieces wait before a station with room for all of them, and how many lie there.

    wait = C(people, load) work / (people (1 - busy)) (ca² + cs²) / 2, Erlang's chance C that all are
    busy, spread over mean of the time between arrivals, ca, and of the work, cs.

    Returns: StationQueue. Raises: ImpossibleInput where more comes than the people can work: the queue
    grows without end.

    Holds when: it runs for long, nothing stops, pieces are taken in turn. Exact where pieces come at random
    and either one person works or the time is exponential; else an approximation.

    Example: work of 24 s and as much spread, a piece every 30 s at random: busy 0.8, four pieces there.
    """
    load = work_s / comes_every_s
    busy = load / people
    if busy >= 1:
        limit = f"must be below {comes_every_s * people:g} s: more comes than {people} can work"
        raise ImpossibleInput("work_s", work_s, "s", limit, "more people, or fewer pieces")
    comes_spread = comes_every_s if comes_spread_s is None else comes_spread_s
    scatter = ((comes_spread / comes_every_s) ** 2 + (work_spread_s / work_s) ** 2) / 2
    wait = all_busy(people, load) * work_s / (people * (1 - busy)) * scatter
    exact = comes_spread == comes_every_s and (people == 1 or work_spread_s == work_s)
    return StationQueue(
        share_busy=busy,
        wait_s=wait,
        time_there_s=wait + work_s,
        pieces_waiting=wait / comes_every_s,
        pieces_there=(wait + work_s) / comes_every_s,
        exact=exact,
        words=f"a piece waits {wait:.3g} s on average; {wait / comes_every_s:.3g} lie before the station, "
        f"whose people are busy {100 * busy:.3g} % of the time",
        work_s=work_s,
        work_spread_s=work_spread_s,
        comes_every_s=comes_every_s,
        comes_spread_s=comes_spread,
        people=people,
        cautions=() if exact else (APPROXIMATE,),
    )


APPROXIMATE = Caution("an approximation for this case, often 10 to 20 % off: simulate the line to be sure")


def all_busy(people: int, load: float) -> float:
    """Erlang's chance that a piece finds everyone busy; by recursion, so that no factorial overflows."""
    lost = 1.0
    for k in range(1, int(people) + 1):
        lost = load * lost / (k + load * lost)
    return lost / (1 - load / people * (1 - lost))
