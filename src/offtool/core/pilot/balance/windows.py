"""The stations between which each task must lie: after the work before it, and before the work behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from offtool.core.pilot.balance.problem import Problem


@dataclass(frozen=True, slots=True)
class Windows:
    """For each task the stations it can be at, in order."""

    places: tuple[tuple[int, ...], ...]


def capacity(problem: Problem, station: int, cycle: int) -> int:
    """Ticks of work that the people of a station have in one cycle."""
    return problem.people(station) * cycle


def longest(problem: Problem, station: int, cycle: int) -> int:
    """Ticks of the longest task that one person can do there: facing another, they share the piece."""
    return cycle if problem.is_two_sided(station) else capacity(problem, station, cycle)


def tails(problem: Problem, cycle: int, *, heads: bool = False) -> list[int]:
    """For each block the ticks of line that lie at least behind it, were every station the strongest.

    On one machine, what follows is done in the order of falling tails: the work up to each and the tail of
    that is a bound. A block that does not fit beside its tail in a station leaves it to whole stations.
    """
    room = problem.most_people * cycle
    behind = problem.blocks_before if heads else problem.blocks_after
    order = problem.block_order if heads else reversed(problem.block_order)
    found = [0] * len(problem.blocks)
    for b in order:
        tail = one_machine(problem.block_ticks, found, behind[b])
        whole = -(-tail // room) * room
        found[b] = whole if tail + problem.block_ticks[b] > whole else tail
    return found


def one_machine(ticks: Sequence[int], tail: Sequence[int], blocks: Iterable[int]) -> int:
    """The least time until the last tail ends, done one after the other."""
    order = sorted(blocks, key=lambda b: -tail[b])
    done = accumulate(ticks[b] for b in order)
    return max((end + tail[b] for end, b in zip(done, order, strict=True)), default=0)


def windows_of(problem: Problem, cycle: int, stations: int) -> Windows | None:
    """Where each task can be on a line of so many stations at a cycle, in ticks; None: some task nowhere."""
    early = _needed(problem, cycle, range(1, stations + 1), heads=True)
    late = [stations + 1 - one for one in _needed(problem, cycle, range(stations, 0, -1), heads=False)]
    allowed = [
        {
            k
            for k in range(early[b], late[b] + 1)
            if problem.block_ticks[b] <= capacity(problem, k, cycle)
            and max(problem.ticks[i] for i in block) <= longest(problem, k, cycle)
            and all(problem.is_allowed(i, k) for i in block)
        }
        for b, block in enumerate(problem.blocks)
    ]
    if not _narrowed(problem, allowed):
        return None
    return Windows(tuple(tuple(sorted(allowed[problem.block_of[i]])) for i in range(problem.size)))


def _needed(problem: Problem, cycle: int, stations: range, *, heads: bool) -> list[int]:
    """Stations that each block and all before it fill at least, or with all behind it, from that end."""
    room = problem.most_people * cycle
    tail = tails(problem, cycle, heads=heads)
    filled = list(accumulate(capacity(problem, k, cycle) for k in stations))
    beyond = problem.blocks_before if heads else problem.blocks_after
    chains, ticks = _chains(problem, heads=heads), problem.block_ticks
    found = []
    for b, block in enumerate(problem.blocks):
        work = ticks[b] + sum(ticks[a] for a in beyond[b])
        by_work = 1 + sum(1 for one in filled if one < work)
        by_chain = -(-max(chains[i] for i in block) // _fastest(problem, cycle))
        found.append(max(by_work, by_chain, -(-(tail[b] + ticks[b]) // room)))
    return found


def _fastest(problem: Problem, cycle: int) -> int:
    """Ticks of a piece's own time at the station where it can stay longest."""
    said = [one.station for one in problem.line.stations]
    one_sided = [problem.people(k) for k in said if not problem.is_two_sided(k)]
    usual = 1 if problem.line.two_sided else problem.line.people
    return max([usual, *one_sided]) * cycle


def _chains(problem: Problem, *, heads: bool) -> list[int]:
    """The longest chain of work up to and with each task, or from it on: nobody can shorten it by helping."""
    direct = problem.before if heads else problem.after
    found = [0] * problem.size
    for i in problem.order if heads else reversed(problem.order):
        found[i] = problem.ticks[i] + max((found[j] for j in direct[i]), default=0)
    return found


def _narrowed(problem: Problem, allowed: list[set[int]]) -> bool:
    """Take out what the windows of the blocks before leave no place for; whether each still has one."""
    changed = True
    while changed:
        if not all(allowed):
            return False
        changed = False
        for b, befores in enumerate(problem.blocks_before):
            for a in befores:
                more = 1 if (a, b) in problem.blocks_apart else 0
                low, high = min(allowed[a]) + more, max(allowed[b]) - more
                if min(allowed[b]) < low or max(allowed[a]) > high:
                    allowed[b] = {k for k in allowed[b] if k >= low}
                    allowed[a] = {k for k in allowed[a] if k <= high}
                    changed = True
                    if not (allowed[a] and allowed[b]):
                        return False
    return True
