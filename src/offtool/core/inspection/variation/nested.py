"""Spread of batches, of what is inside them, and of what is left: random groups, one level or two."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.inspection.mean_squares import (
    MeanSquare,
    chance_of_ratio,
    combination_interval,
    ratio_interval,
)
from offtool.core.inspection.variation.nested_reml import Tree, likeliest_variances
from offtool.core.inspection.variation.table import centred, coded, finite
from offtool.core.values import Caution, Interval, NotEnoughData, Range

Array = NDArray[np.float64]
Level = Literal["groups", "subgroups", "rest"]
FEW_GROUPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One level: its variance and standard deviation, its share of the total, and its mean square.

    `p` is the chance of such a spread where the level adds nothing; None for the rest. The mean square is
    that of unweighted means where group sizes differ.
    """

    level: Level
    variance: float
    sd: float
    of_total: float
    interval: Interval
    of_total_interval: Interval | None
    mean_square: float
    freedom: int
    p: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedComponents:
    """Components from the outermost level to the rest."""

    components: tuple[Component, ...]
    total_sd: float
    mean: float
    method: Literal["analysis of variance", "REML"]
    readings: int
    confidence: float
    cautions: tuple[Caution, ...] = ()

    def component(self, level: Level) -> Component | None:
        """The component of a level; None where it was not asked."""
        return next((one for one in self.components if one.level == level), None)


@formula(
    limits={
        "values": VALUES,
        "groups": Range(meaning="group of each reading: batch, day, set-up"),
        "subgroups": Range(meaning="subgroup inside its group: cask, bag, shot; blank for one level"),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [15.45, 14.40, 15.20, 15.40, 15.55, 14.90, 15.95, 15.50, 16.05],
        "groups": ["A", "A", "A", "B", "B", "B", "C", "C", "C"],
    },
    source="Searle, Casella and McCulloch 1992, Variance Components; intervals as in Burdick and Graybill "
    "1992, with unweighted means where sizes differ (Thomas and Hultquist 1978)",
)
def nested_components(
    values: Numbers, groups: Texts, subgroups: Texts | None = None, *, confidence: float = 0.95
) -> NestedComponents:
    """How much random groups, and subgroups inside them, add to the spread.

    Reading = mean + group + subgroup + rest, all random. Equal sizes: mean squares, (MS above - MS below) /
    readings behind it. Unequal sizes: restricted maximum likelihood. A subgroup's name counts
    inside its group.

    Returns: NestedComponents; an estimate below zero is zero and its interval says what it can be.
    Raises: NotEnoughData where a level has no degrees of freedom; ImpossibleInput for unequal lists.

    Holds when: groups are a random few of many, all levels roughly normal. For the cavities of one tool,
    which are all there are, use `variation_shares`.

    Example: Dyestuff (Davies), 6 batches of 5: variance of batches 1764.05, of the rest 2451.25.
    """
    reading = np.asarray(values, dtype=float)
    group, _ = coded(groups, reading.size, "groups")
    inner = group
    if subgroups is not None:
        own, names = coded(subgroups, reading.size, "subgroups")
        inner = np.unique(group * len(names) + own, return_inverse=True)[1]
    apart, centre = centred(reading)
    tree = Tree.of(apart, group, inner if subgroups is not None else None)
    squares = _mean_squares(tree)
    by_squares = [
        sum(c * square.value for c, square in zip(row, squares, strict=True)) for row in _coefficients(tree)
    ]
    variances = [max(0.0, finite(one)) for one in by_squares]
    if not tree.balanced and sum(variances) > 0:
        variances = likeliest_variances(tree, variances)
    total = sum(variances)
    levels: tuple[Level, ...] = ("groups", "subgroups", "rest") if tree.two_levels else ("groups", "rest")
    return NestedComponents(
        components=tuple(
            _component(level, i, variances, tree, squares, confidence) for i, level in enumerate(levels)
        ),
        total_sd=sqrt(total),
        mean=centre + tree.mean(variances),
        method="analysis of variance" if tree.balanced else "REML",
        readings=reading.size,
        confidence=confidence,
        cautions=tuple(_cautions(tree, total)),
    )


def _mean_squares(tree: Tree) -> list[MeanSquare]:
    """Of unweighted means, outermost level first; in units of one reading where sizes are equal."""
    count = len(tree.group_size)
    leaves = len(tree.leaf_size)
    freedoms = [count - 1, *([leaves - count] if tree.two_levels else []), tree.readings - leaves]
    if min(freedoms) < 1:
        raise NotEnoughData(
            "a level has no two members to compare",
            remedy="give at least two groups, two subgroups in one of them, two readings in one of those",
        )
    squares = [tree.between_squares, *([tree.inside_squares] if tree.two_levels else []), tree.rest_squares]
    return [MeanSquare(s / f, f) for s, f in zip(squares, freedoms, strict=True)]


def _coefficients(tree: Tree) -> list[list[float]]:
    """Each level's variance as a sum of the mean squares."""
    if not tree.two_levels:
        return [[1.0, -tree.rest_in_between], [0.0, 1.0]]
    inside, rest = tree.inside_in_between, tree.rest_in_inside
    return [
        [1.0, -inside, inside * rest - tree.rest_in_between],
        [0.0, 1.0, -rest],
        [0.0, 0.0, 1.0],
    ]


def _component(
    level: Level,
    place: int,
    variances: list[float],
    tree: Tree,
    squares: list[MeanSquare],
    confidence: float,
) -> Component:
    rows = _coefficients(tree)
    row, total = rows[place], sum(variances)
    variance, square = variances[place], squares[place]
    between = combination_interval(row, squares, confidence)
    share = None
    if total > 0:
        every = [sum(column) for column in zip(*rows, strict=True)]
        found = ratio_interval(row, [a - b for a, b in zip(every, row, strict=True)], squares, confidence)
        share = Interval(
            low=min(_of_one(found.low), variance / total),
            high=max(_of_one(found.high), variance / total),
            confidence=confidence,
        )
    return Component(
        level=level,
        variance=variance,
        sd=sqrt(variance),
        of_total=variance / total if total > 0 else 0.0,
        interval=Interval(
            low=sqrt(min(between.low, variance)),
            high=sqrt(max(between.high, variance)),
            confidence=confidence,
        ),
        of_total_interval=share,
        mean_square=square.value * tree.units[place],
        freedom=int(square.freedom),
        p=None if level == "rest" else _chance(place, row, squares),
    )


def _chance(place: int, row: list[float], squares: list[MeanSquare]) -> float:
    """F of the level over what it would be by the levels below; exact with equal sizes."""
    below = -sum(c * square.value for c, square in zip(row[place + 1 :], squares[place + 1 :], strict=True))
    above = squares[place]
    return chance_of_ratio(above.value, below, above.freedom, squares[place + 1].freedom)


def _of_one(ratio: float) -> float:
    """A share of the total from its ratio to all others."""
    return 1.0 if np.isinf(ratio) else ratio / (1 + ratio)


def _cautions(tree: Tree, total: float) -> list[Caution]:
    cautions = []
    count = len(tree.group_size)
    if total == 0:
        cautions.append(Caution("all readings are equal: the gauge is too coarse to see any variation"))
    if count < FEW_GROUPS:
        cautions.append(Caution(f"{count} groups say little of how groups spread: see the interval"))
    if not tree.balanced:
        cautions.append(
            Caution("groups differ in size: intervals from unweighted means are close, not exact")
        )
    return cautions
