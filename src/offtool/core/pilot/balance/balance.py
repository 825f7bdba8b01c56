"""A line balanced: the fewest stations for a rate, or the best rate of so many stations."""

from __future__ import annotations

from offtool.core.formulas import formula
from offtool.core.pilot.balance.checks import MOST_STATIONS, require_possible
from offtool.core.pilot.balance.given import LineGiven
from offtool.core.pilot.balance.placing import slowest
from offtool.core.pilot.balance.problem import Problem, problem_of
from offtool.core.pilot.balance.reasons import no_line, require_fits, require_room
from offtool.core.pilot.balance.results import LineBalance
from offtool.core.pilot.balance.search import Budget, Found, NoLine, evened, fewest, shortest
from offtool.core.pilot.balance.told import Proved, told
from offtool.core.values import ImpossibleInput, Range

SECONDS = 10.0
WORKERS = 8
SOURCE = (
    "Salveson 1955, Journal of Industrial Engineering 6:18; ranked weights Helgeson and Birnie 1961; "
    "bounds by bin packing, Martello and Toth 1990, and by one machine with heads and tails, Johnson 1988, "
    "Management Science 34:240 (all from memory); solver CP-SAT; put together by offtool"
)

LINE = Range(meaning="the line: tasks with times, order, stations, equipment")
SEARCH_SECONDS = Range(meaning="how long to search", unit="s", above=0, at_most=3600)
SEARCHES = Range(meaning="searches at once", at_least=1, at_most=64)
EXAMPLE = [
    {"task": "clip hull", "time_s": 12, "spread_s": 1.5, "readings": 12},
    {"task": "weld seam", "time_s": 18, "spread_s": 1.0, "readings": 12, "after": ["clip hull"],
     "equipment": ["welder"]},
    {"task": "fit arms", "time_s": 16, "spread_s": 2.0, "readings": 12, "after": ["weld seam"]},
    {"task": "print eyes", "time_s": 9, "spread_s": 0.8, "readings": 12, "equipment": ["pad printer"]},
    {"task": "fit head", "time_s": 14, "spread_s": 1.8, "readings": 12, "after": ["print eyes", "weld seam"]},
    {"task": "pack", "time_s": 11, "spread_s": 1.2, "readings": 12, "after": ["fit arms", "fit head"]},
]  # fmt: skip
EQUIPMENT = [{"equipment": "welder", "at_most": 1}, {"equipment": "pad printer"}]


@formula(
    limits={
        "line": LINE,
        "rate_per_h": Range(
            meaning="pieces that the line must make", unit="1/h", above=0, at_most=1e6, remedy="give the rate"
        ),
        "seconds": SEARCH_SECONDS,
        "workers": SEARCHES,
    },
    example={"line": {"tasks": EXAMPLE, "equipment": EQUIPMENT}, "rate_per_h": 120.0},
    source=SOURCE,
)
def fewest_stations(
    line: LineGiven, *, rate_per_h: float, seconds: float = SECONDS, workers: int = WORKERS
) -> LineBalance:
    """The shortest line that makes so many pieces an hour, with what is proved of it.

    Cycle = 3600 / rate; the work of each station is at most its people times the cycle. Of the shortest lines
    the one whose slowest station is fastest is taken, and of those the one with the least sum of squared
    loads of the people. Bounds say from below what no line can do; the solver closes what is left between.

    Returns: LineBalance; `bound` and `is_proved` say how far the line can be from the best.
    Raises: ImpossibleInput for a task that is longer than the cycle, a circle in the order, a rule that
    breaks another, each by its task; NotEnoughData for a line without tasks; OfftoolError where no line keeps
    all rules, and where the solver is not installed.

    Holds when: times are those of the people who will work there; a task is done by one person without a
    break; a line is as long as its last station, one that stands empty between included.

    Example: seven tasks of 1, 5, 4, 3, 5, 6, 5 s in their published order need 6 stations at a cycle of 6 s.
    """
    require_possible(line)
    problem, budget = problem_of(line), Budget(seconds, workers)
    cycle_s = 3600 / rate_per_h
    cycle = problem.cycle(cycle_s)
    require_fits(problem, cycle, cycle_s)
    try:
        found = fewest(problem, cycle, budget)
    except NoLine as none:
        raise no_line(problem, none, cycle) from None
    stations = found.placing.stations
    faster = shortest(problem, stations, budget, found.placing, part=0.5)
    return _told(problem, found, faster, stations, budget, cycle_s)


@formula(
    limits={
        "line": LINE,
        "stations": Range(
            meaning="stations of the line", at_least=1, at_most=MOST_STATIONS, remedy="give one at least"
        ),
        "seconds": SEARCH_SECONDS,
        "workers": SEARCHES,
    },
    example={"line": {"tasks": EXAMPLE, "equipment": EQUIPMENT}, "stations": 3},
    source=SOURCE,
)
def best_rate(
    line: LineGiven, *, stations: int, seconds: float = SECONDS, workers: int = WORKERS
) -> LineBalance:
    """The most pieces an hour that so many stations with their people can make, with what is proved of it.

    Rate = 3600 / cycle, the cycle being that of the slowest station. Of the lines with the best rate the one
    with the least sum of squared loads of the people is taken.

    Returns: LineBalance; `bound` is the cycle that no line of so many stations goes below.
    Raises: as fewest_stations.

    Holds when: as fewest_stations. At mean times the slowest station is over its cycle for every second
    piece: plan on less than the best rate.

    Example: 29 tasks of a published line, 324 s of work, make a piece each 47 s on 7 stations.
    """
    require_possible(line)
    problem, budget = problem_of(line), Budget(seconds, workers)
    require_room(problem, stations)
    try:
        found = shortest(problem, stations, budget, part=0.7)
    except NoLine as none:
        raise no_line(problem, none, problem.work, stations) from None
    cycle_s = problem.seconds(slowest(problem, found.placing))
    return _told(problem, found, found, stations, budget, cycle_s)


@formula(
    limits={
        "line": LINE,
        "rate_per_h": Range(
            meaning="pieces that the line must make", unit="1/h", above=0, at_most=1e6, remedy="give the rate"
        ),
        "seconds": SEARCH_SECONDS,
        "workers": SEARCHES,
    },
    example={
        "line": {
            "tasks": [{**one, "station": at} for one, at in zip(EXAMPLE, (1, 1, 2, 1, 3, 3), strict=True)],
            "equipment": EQUIPMENT,
        },
        "rate_per_h": 75.0,
    },
    source=SOURCE,
)
def line_as_placed(
    line: LineGiven, *, rate_per_h: float, seconds: float = SECONDS, workers: int = WORKERS
) -> LineBalance:
    """What a line makes whose tasks all have their stations, beside the rate that is asked of it.

    Rate = 3600 over the time of the slowest station; idle time and how often a station is over are counted
    against the cycle of the rate asked for, 3600 / rate, whether the line keeps it or not.

    Returns: LineBalance; `cycle_s` is the cycle asked for, `value` the one that is reached.
    Raises: as fewest_stations; ImpossibleInput for a task without a station, and by the task for a place that
    breaks a rule.

    Holds when: as best_rate.

    Example: 12 s, 18 s and 12 s at three stations make 200 an hour; at 150 the first stands idle for 12 s.
    """
    require_possible(line)
    for one in line.tasks:
        if one.station is None:
            limit = "must be given: the line is taken as it is placed"
            raise ImpossibleInput(f"station of {one.task}", "", "", limit, "say where it is done")
    stations = max(one.station or 1 for one in line.tasks)
    problem, budget = problem_of(line), Budget(seconds, workers)
    require_room(problem, stations)
    try:
        found = shortest(problem, stations, budget, part=0.7)
    except NoLine as none:
        raise no_line(problem, none, problem.work, stations) from None
    return _told(problem, found, found, stations, budget, 3600 / rate_per_h)


def _told(
    problem: Problem, found: Found, faster: Found, stations: int, budget: Budget, cycle_s: float
) -> LineBalance:
    """The fastest of the lines, evened, as a result."""
    placing, is_even = evened(problem, faster.placing, stations, budget)
    return told(
        problem,
        placing,
        Proved(least_cycle=faster.bound, spread=is_even),
        goal="best rate" if found is faster else "fewest stations",
        stations=stations,
        cycle_s=cycle_s,
        bounds=found.bounds,
        bound=found.bound,
        by_weight=found.by_weight,
    )
