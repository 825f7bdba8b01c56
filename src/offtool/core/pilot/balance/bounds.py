"""Stations that no line can do without, and the cycle that none goes below, each way of seeing it by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import accumulate

from offtool.core.pilot.balance.given import FACING
from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.relaxed import relaxed_cycle
from offtool.core.pilot.balance.windows import capacity, one_machine, tails, windows_of
from offtool.handbook.terms import Side

NONE_FITS = 10**6
"""Stations said where no number of them is enough."""


def by_work(problem: Problem, cycle: int) -> int:
    """All work over the time that the stations have, from the first on."""
    filled = accumulate(capacity(problem, k, cycle) for k in range(1, problem.most_stations + 1))
    return next((k for k, room in enumerate(filled, start=1) if room >= problem.work), NONE_FITS)


def by_halves(problem: Problem, cycle: int) -> int:
    """No two that are longer than half of the room share it; two that are half of it just do."""
    room, bins = _bins(problem, cycle)
    items = _items(problem)
    more, half = sum(2 * one > room for one in items), sum(2 * one == room for one in items)
    return _stations(more + -(-half // 2), bins)


def by_thirds(problem: Problem, cycle: int) -> int:
    """Longer than two thirds needs a room, longer than one third half of it; at the thirds, the third."""
    room, bins = _bins(problem, cycle)
    sixths = sum(_sixths(3 * one, room) for one in _items(problem))
    return _stations(-(-sixths // 6), bins)


def by_packing(problem: Problem, cycle: int) -> int:
    """Beside the longer half, each in a room of its own, only so much of the shorter ones finds a place.

    For each length: what is shorter is left out, and what is so long that none of the rest fits beside it has
    its room alone.
    """
    room, bins = _bins(problem, cycle)
    items = _items(problem)
    short = {one for one in items if 2 * one <= room}
    return _stations(max(_packed(items, least, room) for least in {0, *short}), bins)


def _packed(items: Sequence[int], least: int, room: int) -> int:
    """Rooms of the items that are not shorter than the least."""
    longer = [one for one in items if 2 * one > room]
    beside = sum(room - one for one in longer if one <= room - least)
    rest = sum(one for one in items if least <= one and 2 * one <= room)
    return len(longer) + max(0, -(-(rest - beside) // room))


def by_order(problem: Problem, cycle: int) -> int:
    """What lies before and behind each block, in whole stations where it leaves no room beside."""
    room = problem.most_people * cycle
    every = range(len(problem.blocks))
    ends = max(
        one_machine(problem.block_ticks, tails(problem, cycle, heads=heads), every) for heads in (False, True)
    )
    return -(-ends // room)


def by_windows(problem: Problem, cycle: int) -> int:
    """The shortest line on which every task has a station left between the work before and behind it."""
    least = by_work(problem, cycle)
    return _first(problem, lambda m: windows_of(problem, cycle, m) is not None, least)


def by_sides(problem: Problem, cycle: int) -> int:
    """The work of each side, where people face each other at every station."""
    if not problem.line.two_sided or any(one.two_sided is False for one in problem.line.stations):
        return 1
    work = [
        sum(one for i, one in enumerate(problem.ticks) if problem.side(i) is side)
        for side in (Side.LEFT, Side.RIGHT)
    ]
    return max(1, *(-(-one // cycle) for one in work))


def by_relaxation(problem: Problem, cycle: int, least: int) -> int:
    """The shortest line whose tasks, were they divisible, keep the cycle, the windows and the order."""

    def fits(stations: int) -> bool:
        found = relaxed_cycle(problem, cycle, stations)
        return found is not None and found <= cycle * (1 + 1e-6)

    return _first(problem, fits, least)


BOUNDS: Mapping[str, Callable[[Problem, int], int]] = {
    "all work": by_work,
    "halves": by_halves,
    "thirds": by_thirds,
    "packing": by_packing,
    "order": by_order,
    "windows": by_windows,
    "sides": by_sides,
}
"""Each gives stations for a cycle. What is called the relaxation begins where these end."""
RELAXATION = "relaxation"


def station_bounds(problem: Problem, cycle: int) -> dict[str, int]:
    """Every bound on the number of stations but the relaxation, which takes longer."""
    return {name: bound(problem, cycle) for name, bound in BOUNDS.items()}


def cycle_bounds(problem: Problem, stations: int, high: int) -> dict[str, int]:
    """Every bound on the cycle of so many stations, where a cycle of `high` is known to do.

    The relaxation is left out where the others reach that cycle.
    """
    found = {name: _least_cycle(problem, bound, stations, high) for name, bound in BOUNDS.items()}
    if max(found.values()) >= high:
        return found
    relaxed = relaxed_cycle(problem, high, stations)
    return found if relaxed is None else {**found, RELAXATION: max(1, -int(-relaxed * (1 - 1e-7) // 1))}


def _least_cycle(problem: Problem, bound: Callable[[Problem, int], int], stations: int, high: int) -> int:
    """A shorter cycle needs more stations; a cycle at which the bound says so can be no shorter line."""
    low = 1
    while low < high:
        middle = (low + high) // 2
        if bound(problem, middle) > stations:
            low = middle + 1
        else:
            high = middle
    return low


def _first(problem: Problem, fits: Callable[[int], bool], least: int) -> int:
    return next((m for m in range(least, problem.most_stations + 1) if fits(m)), NONE_FITS)


def _items(problem: Problem) -> Sequence[int]:
    """What is not divided: tied tasks may stand on two sides where people face each other."""
    return problem.ticks if problem.any_two_sided else problem.block_ticks


def _bins(problem: Problem, cycle: int) -> tuple[int, int]:
    """The largest room, and how many a station has at most: one, or one on each side."""
    if not problem.any_two_sided:
        return problem.most_people * cycle, 1
    said = [one.station for one in problem.line.stations]
    one_sided = [problem.people(k) for k in said if not problem.is_two_sided(k)]
    usual = 1 if problem.line.two_sided else problem.line.people
    return max([usual, *one_sided]) * cycle, FACING


def _stations(rooms: int, bins: int) -> int:
    return -(-rooms // bins)


def _sixths(thirds: int, room: int) -> int:
    """Sixths of a room that an item takes at least, by three times its length."""
    if thirds > 2 * room:
        return 6
    if thirds == 2 * room:
        return 4
    if thirds > room:
        return 3
    return 2 if thirds == room else 0
