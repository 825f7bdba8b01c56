"""The search for cuts: every feature in every cavity, each given the others."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from math import hypot, inf

import numpy as np

from offtool.core.correction.choice import LEAST_GAIN, LOOPS_TO_ADD, CutChoice, choose_cut, further_loops
from offtool.core.correction.evidence import Feature
from offtool.core.correction.tool_knowledge import Place, ToolKnowledge
from offtool.core.values import Verdict

MOST_SWEEPS = 8
OPEN_GAIN = 0.15
"""Loops that a cut must be expected to save where no size it moves was shown to fail: else measure first."""

Group = list[tuple[Feature, str]]


def choose_all(known: ToolKnowledge, overshoot_probability: float) -> dict[Place, CutChoice]:
    """A choice for each feature and cavity, each given all the others, until none changes.

    Where features share sizes, the search also starts from the cuts that centre every size at once, and the
    better of the two ends is kept: two cuts may help each other that do not help alone.
    """
    chosen: dict[Place, CutChoice] = {}
    for group in _groups(known):
        ends = [_settle(known, group, {}, overshoot_probability)]
        if len(group) > 1:
            ends.append(_settle(known, group, _centred(known, group), overshoot_probability))
        best: dict[Place, CutChoice] = min(ends, key=partial(_loops_expected, known))
        chosen |= best
    return chosen


def _groups(known: ToolKnowledge) -> list[Group]:
    """Features with measured steel, gathered where they move a common size, cavity by cavity."""
    groups: list[tuple[set[Place], Group]] = []
    for feature in known.evidence.features:
        for cavity in known.cavities_of(feature):
            if known.steel_today(feature, cavity) is None:
                continue
            cells = {(move.size, cavity) for move in feature.moves}
            joined = [group for group in groups if group[0] & cells]
            groups = [group for group in groups if not group[0] & cells]
            places = [place for _, group in joined for place in group] + [(feature, cavity)]
            groups.append((cells.union(*(moved for moved, _ in joined)), places))
    return [places for _, places in groups]


def _settle(
    known: ToolKnowledge, group: Group, start: Mapping[Place, float], overshoot_probability: float
) -> dict[Place, CutChoice]:
    """One choice after the other, each given the rest, until nothing changes."""
    chosen: dict[Place, CutChoice] = {}
    amounts = dict(start)
    for _ in range(MOST_SWEEPS if len(group) > 1 else 1):
        before = dict(amounts)
        for feature, cavity in group:
            choice = _choose(known, feature, cavity, amounts, overshoot_probability)
            chosen[feature.feature, cavity] = choice
            amounts[feature.feature, cavity] = choice.amount_mm
        if amounts == before:
            break
    return chosen


def _centred(known: ToolKnowledge, group: Group) -> dict[Place, float]:
    """The amounts that bring every size of a group to its target at once (least squares), in whole steps."""
    moved = [known.moved(feature, cavity) for feature, cavity in group]
    cells = sorted({(standing.size, standing.cavity) for one in moved for _, standing in one})
    effect = np.zeros((len(cells), len(group)))
    for column, one in enumerate(moved):
        for move, standing in one:
            effect[cells.index((standing.size, standing.cavity)), column] = known.part_change(move, standing)
    wanted = [known.asked[size].target - known.standing[size, cavity].mean_mm for size, cavity in cells]
    amounts = np.linalg.lstsq(effect, np.array(wanted), rcond=None)[0]
    step = known.evidence.step_mm
    return {
        (feature.feature, cavity): min(
            float(round(amount / step) * step),
            known.steel[feature.feature, cavity, known.evidence.state].allowance_mm,
        )
        for (feature, cavity), amount in zip(group, amounts, strict=True)
    }


def _loops_expected(known: ToolKnowledge, chosen: Mapping[Place, CutChoice]) -> float:
    """Further loops of a group under its choices, with what adding steel costs."""
    can_add = {feature.feature: feature.can_add for feature in known.evidence.features}
    holding = np.array([choice.holds_after for choice in chosen.values()])
    added = sum(LOOPS_TO_ADD[can_add[name]] for (name, _), c in chosen.items() if c.amount_mm < 0)
    return float(further_loops(holding).sum()) + added


def _choose(
    known: ToolKnowledge,
    feature: Feature,
    cavity: str,
    amounts: Mapping[Place, float],
    overshoot_probability: float,
) -> CutChoice:
    steel = known.steel[feature.feature, cavity, known.evidence.state]
    moved = known.moved(feature, cavity)
    asked = [known.asked[standing.size] for _, standing in moved]
    return choose_cut(
        [standing.mean_mm + known.shift(standing, amounts, but=feature.feature) for _, standing in moved],
        [hypot(s.sd_mm, a.gauge_uncertainty) for (_, s), a in zip(moved, asked, strict=True)],
        [standing.setup_sd_mm for _, standing in moved],
        [standing.spread_mm or 0.0 for _, standing in moved],
        [-inf if one.lower is None else one.lower for one in asked],
        [inf if one.upper is None else one.upper for one in asked],
        [one.required_index or 1.0 for one in asked],
        [known.part_change(move, standing) for move, standing in moved],
        step_mm=known.evidence.step_mm,
        allowance_mm=steel.allowance_mm,
        can_add=feature.can_add,
        cut_sd_mm=known.cut_sd_mm,
        cut_bias_mm=known.cutting.bias_mm,
        overshoot_probability=overshoot_probability,
        least_gain=LEAST_GAIN if any(s.verdict is Verdict.FAILS for _, s in moved) else OPEN_GAIN,
    )
