"""The linear relaxation: the least cycle of a line whose tasks could be divided over stations."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.windows import Windows, windows_of
from offtool.handbook.terms import Side


def relaxed_cycle(problem: Problem, cycle: int, stations: int) -> float | None:
    """Ticks below which no cycle of so many stations lies, if it is `cycle` at most; None: it cannot be."""
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    windows = windows_of(problem, cycle, stations)
    if windows is None:
        return None
    column = {place: n for n, place in enumerate(_places(windows))}
    rows = [*_rooms(problem, column, stations), *_orders(problem, windows, column)]
    entries = [(r, c, value) for r, row in enumerate(rows) for c, value in row]
    r, c, value = zip(*entries, strict=True)
    width = len(column) + 1
    once = [(i, column[i, k]) for i, k in column]
    found = linprog(  # type: ignore[call-overload] # the stubs leave out sparse matrices
        np.eye(1, width, width - 1)[0],
        A_ub=coo_array((value, (r, c)), shape=(len(rows), width)).tocsr(),
        b_ub=np.zeros(len(rows)),
        A_eq=coo_array(
            (np.ones(len(once)), tuple(zip(*once, strict=True))), shape=(problem.size, width)
        ).tocsr(),
        b_eq=np.ones(problem.size),
        bounds=[(0, 1)] * len(column) + [(0, None)],
    )
    return float(found.fun) if found.status == 0 else None if found.status == 2 else 0.0


def _places(windows: Windows) -> Iterator[tuple[int, int]]:
    for i, places in enumerate(windows.places):
        for k in places:
            yield i, k


Row = list[tuple[int, float]]
"""Columns with their factors; the row is at most 0. The last column is the cycle."""


def _rooms(problem: Problem, column: dict[tuple[int, int], int], stations: int) -> Iterator[Row]:
    """The work of a station, and of each side of it, is at most its people times the cycle."""
    cycle, size = len(column), problem.size
    for k in range(1, stations + 1):
        here = [(i, column[i, k]) for i in range(size) if (i, k) in column]
        yield [*((c, problem.ticks[i]) for i, c in here), (cycle, -problem.people(k))]
        if not problem.is_two_sided(k):
            continue
        for side in (Side.LEFT, Side.RIGHT):
            yield [*((c, problem.ticks[i]) for i, c in here if problem.side(i) is side), (cycle, -1.0)]


def _orders(problem: Problem, windows: Windows, column: dict[tuple[int, int], int]) -> Iterator[Row]:
    """Up to each station no more is done of a task than of those before it."""
    for j, befores in enumerate(problem.before):
        for i in befores:
            for last in windows.places[j]:
                if last >= windows.places[i][-1]:
                    continue
                yield [
                    *((column[j, k], 1.0) for k in windows.places[j] if k <= last),
                    *((column[i, k], -1.0) for k in windows.places[i] if k <= last),
                ]
