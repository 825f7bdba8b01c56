"""All lines there are, one after the other: the answer of a small line, found in another way."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import permutations, product

from offtool.core.pilot.balance import LineGiven, LineTask, Side


def least_cycle(line: LineGiven, stations: int) -> Fraction | None:
    """The shortest cycle that so many stations can keep; None where no line keeps all rules."""
    busy = _busy(line)
    best: Fraction | None = None
    for places in product(range(1, stations + 1), repeat=len(line.tasks)):
        if not _keeps(line, places):
            continue
        cycle = max(busy(k, _here(places, k)) for k in range(1, stations + 1))
        best = cycle if best is None else min(best, cycle)
    return best


def fewest_stations(line: LineGiven, cycle: Fraction, most: int) -> int | None:
    """The shortest line that keeps a cycle."""
    for stations in range(1, most + 1):
        found = least_cycle(line, stations)
        if found is not None and found <= cycle:
            return stations
    return None


def least_squares(line: LineGiven, stations: int, cycle: Fraction) -> Fraction:
    """The least sum of squared loads of the people of one-sided stations, among lines that keep a cycle."""
    busy = _busy(line)
    return min(
        sum((busy(k, _here(places, k)) ** 2 * line.people_at(k) for k in range(1, stations + 1)), Fraction())
        for places in product(range(1, stations + 1), repeat=len(line.tasks))
        if _keeps(line, places) and all(busy(k, _here(places, k)) <= cycle for k in range(1, stations + 1))
    )


def _here(places: tuple[int, ...], station: int) -> frozenset[int]:
    return frozenset(i for i, k in enumerate(places) if k == station)


def _keeps(line: LineGiven, places: tuple[int, ...]) -> bool:
    at = {one.task: k for one, k in zip(line.tasks, places, strict=True)}
    stands = {one.equipment: one for one in line.equipment}
    for one in line.tasks:
        here = at[one.task]
        if any(at[other] > here for other in one.after) or any(at[other] == here for other in one.apart):
            return False
        if any(at[other] != here for other in one.together) or one.station not in (None, here):
            return False
        if any(stands[name].stations and here not in stands[name].stations for name in one.equipment):
            return False
    return all(
        one.at_most is None or len({at[t.task] for t in line.tasks if name in t.equipment}) <= one.at_most
        for name, one in stands.items()
    )


def _busy(line: LineGiven):  # type: ignore[no-untyped-def] # a cached function
    before = _all_before(line)

    @cache
    def busy(station: int, here: frozenset[int]) -> Fraction:
        tasks = [line.tasks[i] for i in here]
        if not line.is_two_sided(station):
            return Fraction(sum(Fraction(one.time_s) for one in tasks)) / line.people_at(station)
        return min(_last_ends(tasks, before), default=Fraction(0))

    return busy


def _last_ends(tasks: list[LineTask], before: dict[str, set[str]]) -> Iterator[Fraction]:
    """The end of the later person for each order and each choice of sides; each begins as soon as it can."""
    for order in permutations(tasks):
        names = [one.task for one in order]
        if any(later in before[name] for n, name in enumerate(names) for later in names[n + 1 :]):
            continue
        choices = [(Side.LEFT, Side.RIGHT) if one.side is Side.EITHER else (one.side,) for one in order]
        for sides in product(*choices):
            free = {Side.LEFT: Fraction(0), Side.RIGHT: Fraction(0)}
            ends: dict[str, Fraction] = {}
            for one, side in zip(order, sides, strict=True):
                ready = max((ends[name] for name in before[one.task] if name in ends), default=Fraction(0))
                ends[one.task] = free[side] = max(free[side], ready) + Fraction(one.time_s)
            yield max(free.values())


def _all_before(line: LineGiven) -> dict[str, set[str]]:
    found = {one.task: set(one.after) for one in line.tasks}
    for _ in found:
        for name in found:
            found[name] |= {far for near in found[name] for far in found[near]}
    return found
