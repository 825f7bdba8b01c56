"""A bound that no plan can go below, and what each column costs beyond it: the plan with shares of columns.

The linear programme leaves out what ties gaps and jobs together; what it says is therefore never too high.
A column whose extra cost is more than a plan that is known lies above the bound is in no better plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.slots.columns import Column, PressHours, told_end
from offtool.core.planning.slots.ways import Shop

STRIDE = 4
"""Rooms are counted at every second step only: the bound stays true, and is found sooner."""


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The bound, and for each column how much dearer than it a plan with that column is at least."""

    bound: float
    extra: NDArray[np.float64]


def relaxed_plan(
    shop: Shop, columns: Sequence[Column], hours: dict[str, PressHours], *, unplaced: int
) -> Relaxed | None:
    """The linear programme with exactly so many trials unplaced; None where it is not solved."""
    from scipy.optimize import linprog  # loading it takes longer than most commands
    from scipy.sparse import csr_array

    trials, count = len(shop.trials), len(columns)
    costs = np.array([*(one.cost for one in columns), *([0.0] * trials)])
    # Each trial is on one column or unplaced; so many are unplaced.
    rows, cells = [], []
    for place, one in enumerate(columns):
        for number in one.trials:
            rows.append(number)
            cells.append(place)
    rows += [*range(trials), *([trials] * trials)]
    cells += [*range(count, count + trials), *range(count, count + trials)]
    shape = (trials + 1, count + trials)
    each = csr_array((np.ones(len(rows)), (rows, cells)), shape=shape)
    wanted = np.array([*([1.0] * trials), float(unplaced)])
    room, limit = _rooms(shop, columns, hours, count + trials)
    found = linprog(  # type: ignore[call-overload]  # sparse tables are taken, its types do not say so
        costs, A_ub=room, b_ub=limit, A_eq=each, b_eq=wanted, bounds=(0, 1), method="highs"
    )
    if found.status != 0:
        return None
    # The upper limit of 1 is kept by the rows of the trials: its price is not needed.
    extra = costs - each.T @ found.eqlin.marginals - room.T @ found.ineqlin.marginals
    slack = float(np.minimum(extra, 0.0)[:count].sum())
    bound = float(found.eqlin.marginals @ wanted + found.ineqlin.marginals @ limit)
    bound += float(np.minimum(extra[count:], 0.0).sum()) + slack
    return Relaxed(bound=bound, extra=np.maximum(extra[:count], 0.0))


def _rooms(shop: Shop, columns: Sequence[Column], hours: dict[str, PressHours], width: int):  # type: ignore[no-untyped-def]
    """One column at a time on a press, so many runs at once as engineers are there, one head to a gap."""
    from scipy.sparse import csr_array

    names: dict[tuple[object, ...], int] = {}
    limits: list[float] = []
    rows: list[int] = []
    cells: list[int] = []
    shares: list[float] = []
    for place, one in enumerate(columns):
        for name, limit in _taken(shop, one):
            row = names.setdefault(name, len(names))
            if row == len(limits):
                limits.append(limit)
            rows.append(row)
            cells.append(place)
            shares.append(1.0)
    for row, place, share in _later(shop, columns, names, limits):
        rows.append(row)
        cells.append(place)
        shares.append(share)
    matrix = csr_array((np.array(shares), (rows, cells)), shape=(len(names), width))
    return matrix, np.array(limits)


def _taken(shop: Shop, one: Column) -> Iterator[tuple[tuple[object, ...], float]]:
    press = one.stage.press
    for step in range(-(-one.worked // STRIDE) * STRIDE, one.gone, STRIDE):
        yield ("press", press, step), 1.0
    for number, (first, last) in zip(one.trials, one.runs, strict=True):
        if shop.trials[number].needs_engineer:
            for step in range(-(-first // STRIDE) * STRIDE, last, STRIDE):
                yield ("engineer", step), float(shop.grid.engineers[step])
    if not one.stage.stops and one.leader is None:
        yield ("head", press, one.stage.index), 1.0


def _later(
    shop: Shop, columns: Sequence[Column], names: dict[tuple[object, ...], int], limits: list[float]
) -> Iterator[tuple[int, int, float]]:
    """A job runs on past the end that was told by no more than the jobs up to it have stood."""
    for press, stages in shop.stages.items():
        here = [
            (place, one) for place, one in enumerate(columns) if one.stage.press == press and one.stage.stops
        ]
        for stage in (one for one in stages if one.stops):
            end = told_end(shop, stage)
            late = [(place, one) for place, one in here if one.stage == stage and one.gone > end]
            for step in sorted({one.gone - 1 for _, one in late})[::STRIDE]:
                covers = [place for place, one in late if one.worked <= step < one.gone]
                row = names.setdefault(("later", press, stage.index, step), len(names))
                limits.append(0.0)
                for place in covers:
                    yield row, place, float(step + 1 - end)
                for place, one in here:
                    if one.stage.index <= stage.index:
                        yield row, place, -float(one.steps)
