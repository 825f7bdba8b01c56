"""One tool played to its release by one decider."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.inspection import judge_size
from offtool.core.values import Verdict
from tests.virtual_moulder.deciders import DECIDERS, Offtool
from tests.virtual_moulder.moulder import VirtualTool, make_tool
from tests.virtual_moulder.worlds import (
    ADD_PIN_COST,
    CHECK_PARTS,
    CUT_COST,
    CUT_DAYS,
    MOST_LOOPS,
    TRIAL_COST,
    TRIAL_DAYS,
    WELD_COST,
    WELD_DAYS,
    WORLDS,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """How it went."""

    decider: str
    seed: int
    loops: int
    released: bool
    cost: float
    days: float
    overcut: bool
    predicted: int
    held: int


def play(world: str, decider: str, seed: int) -> Played:
    """Trial, check, cut, again, until the tool is released or the loops run out."""
    tool = make_tool(WORLDS[world], seed)
    mind = DECIDERS[decider]()
    cost, days, overcut, predicted, held = 0.0, 0.0, False, 0, 0
    expected: dict[tuple[str, str], tuple[float, float]] = {}
    for loop in range(MOST_LOOPS + 1):
        cost, days = cost + TRIAL_COST, days + TRIAL_DAYS
        trial = tool.trial()
        asked = mind.decide(tool, trial)
        if isinstance(mind, Offtool):
            found = {(m.size, m.cavity): m.mean for m in mind.means if m.trial == str(mind.trials)}
            predicted += len(expected)
            held += sum(low <= found[cell] <= high for cell, (low, high) in expected.items())
            expected = _expected(mind)
        if is_released(tool) or loop == MOST_LOOPS:
            return Played(
                decider=decider,
                seed=seed,
                loops=loop,
                released=loop < MOST_LOOPS,
                cost=cost,
                days=days,
                overcut=overcut,
                predicted=predicted,
                held=held,
            )
        mind.told(asked, tool.cut(asked))
        cost, days = cost + _cost(tool, asked), days + _days(tool, asked)
        overcut |= _past_far_limit(tool, asked)
    raise AssertionError("the loop returns")


def is_released(tool: VirtualTool) -> bool:
    """Whether every size shows its index in an independent check run."""
    run = tool.check_run(CHECK_PARTS)
    cavities = [str(c) for _ in range(CHECK_PARTS) for c in range(tool.cavities)]
    return all(
        judge_size(
            run[:, i, :].ravel(),
            cavities,
            lower=d.lower,
            upper=d.upper,
            required_index=d.required_index,
            gauge_uncertainty=0.0,
        ).verdict
        is Verdict.HOLDS
        for i, d in enumerate(tool.drawn)
    )


def _expected(mind: Offtool) -> dict[tuple[str, str], tuple[float, float]]:
    return {
        (one.size, one.cavity): (one.interval.low, one.interval.high)
        for cut in (mind.plan.cuts if mind.plan else ())
        for one in cut.expected
    }


def _past_far_limit(tool: VirtualTool, asked: np.ndarray) -> bool:
    """Whether a cut took a true mean past the limit on the side that removing steel leads to."""
    mean = tool.true_mean()
    return any(
        (drawn.sign > 0 and mean[i, c] > drawn.upper) or (drawn.sign < 0 and mean[i, c] < drawn.lower)
        for i, drawn in enumerate(tool.drawn)
        for c in range(tool.cavities)
        if asked[i, c] > 0
    )


def _cost(tool: VirtualTool, asked: np.ndarray) -> float:
    cost = 0.0
    for i, drawn in enumerate(tool.drawn):
        cost += CUT_COST * bool((asked[i] > 0).any())
        cost += (ADD_PIN_COST if drawn.can_add else WELD_COST) * bool((asked[i] < 0).any())
    return cost


def _days(tool: VirtualTool, asked: np.ndarray) -> float:
    weld = any((asked[i] < 0).any() and not drawn.can_add for i, drawn in enumerate(tool.drawn))
    return WELD_DAYS if weld else CUT_DAYS if asked.any() else 0.0
