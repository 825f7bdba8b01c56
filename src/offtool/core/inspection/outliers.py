"""Readings that stand out of the rest are pointed at; leaving one out is a person's decision."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import VALUES
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range

FEWEST = 3
ROSNER_FROM = 25
"""Readings from which the critical values of the generalised test are good (Rosner 1983)."""
MOST_SHARE = 0.1
MOST_STEPS = 100

RESOLUTION = Range(
    meaning="smallest step of the gauge; blank: the smallest difference between two readings",
    unit="as measured",
    above=0,
)
SIGNIFICANCE = Range(
    meaning="how often clean readings may be pointed at", above=0, below=0.5, usual=(0.001, 0.1)
)
POINTED_AT = Caution(
    "pointed at, not dropped: a reading is left out by a person, with a reason found at the part or the gauge"
)
ALL_EQUAL = Caution("all values are equal: the gauge is too coarse to see the spread")


@dataclass(frozen=True, slots=True, kw_only=True)
class StandsOut:
    """One step of the test: the reading farthest from the mean of those left, and whether it is too far.

    `position` counts from 0 in the order given; `statistic` is its distance in standard deviations, in which
    a step of the gauge is allowed for.
    """

    position: int
    value: float
    statistic: float
    critical: float
    exceeds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Outliers:
    """The positions pointed at, and every step of the test that led to them."""

    positions: tuple[int, ...]
    steps: tuple[StandsOut, ...]
    test: str
    sides: str
    readings: int
    most: int
    significance: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupOutliers:
    """The positions pointed at over many groups, at most one a group."""

    positions: tuple[int, ...]
    readings: int
    groups: int
    groups_tested: int
    significance: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": VALUES,
        "sides": Range(meaning="where a reading may stand out: on both sides, below or above the others"),
        "significance": SIGNIFICANCE,
        "resolution": RESOLUTION,
    },
    example={"values": [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]},
    source="Grubbs 1969, Technometrics 11:1; NIST/SEMATECH e-Handbook 1.3.5.17.1",
)
def grubbs_test(
    values: Numbers,
    *,
    sides: Literal["both", "below", "above"] = "both",
    significance: float = 0.05,
    resolution: float | None = None,
) -> Outliers:
    """Whether the one reading farthest from the mean stands out.

    G = max |x - mean| / s against (n - 1) / sqrt(n) sqrt(t^2 / (n - 2 + t^2)), t the Student quantile at
    a / 2n with n - 2 degrees of freedom (a / n for one side). To s^2 the gauge's step adds w^2 / 12: one
    reading a step away from equal ones would always stand out otherwise.

    Returns: Outliers with one position, or none. Raises: NotEnoughData under three readings.

    Holds when: the other readings are alike and normal. Two that stand out together hide each other: then
    `point_at_outliers`.

    Example: 245.57 among eight readings: G 2.4687 against 2.1266 (e-Handbook 1.3.5.17.1, one side 2.032).
    """
    array = _enough(values)
    test = "Grubbs"
    order = np.argsort(array, kind="stable")
    ordered = array[order]
    step = _farthest(ordered, order, sides, significance, _step(ordered, resolution))
    return _found((step,) if step else (), test, sides, array.size, 1, significance, ())


@formula(
    limits={
        "values": VALUES,
        "most": Range(
            meaning="most readings that may stand out; blank: a tenth of them, at most 100, and one under 25",
            at_least=1,
        ),
        "significance": SIGNIFICANCE,
        "resolution": RESOLUTION,
    },
    example={"values": [4.01, 4.02, 4.00, 4.01, 3.99, 4.01, 4.02, 4.00, 4.01, 4.31, 4.00, 4.02], "most": 2},
    source="generalised extreme Studentised deviate: Rosner 1983, Technometrics 25:165; "
    "NIST/SEMATECH e-Handbook 1.3.5.17.3",
)
def point_at_outliers(
    values: Numbers,
    *,
    most: int | None = None,
    significance: float = 0.05,
    resolution: float | None = None,
) -> Outliers:
    """Which readings, up to a number said beforehand, stand out of the rest.

    R_i = max |x - mean| / s of what is left after i - 1 readings were set aside, against Grubbs' two-sided
    value for so many; as many stand out as the last i with R_i above it, so that two do not hide each other.
    The gauge's step is allowed for as in `grubbs_test`.

    Returns: Outliers. Raises: NotEnoughData under three readings; ImpossibleInput for `most` above half.

    Holds when: the others are alike and normal, and at least 25 of them; with one at most it is Grubbs' test.

    Example: Rosner's 54 readings, ten at most: three (e-Handbook 1.3.5.17.3).
    """
    array = _enough(values)
    usual = max(1, min(int(MOST_SHARE * array.size), MOST_STEPS)) if array.size >= ROSNER_FROM else 1
    limit = usual if most is None else int(most)
    if limit > max(array.size // 2, 1):
        raise ImpossibleInput("most", limit, "", f"must be at most half of {array.size} readings")
    order = np.argsort(array, kind="stable")
    left, steps = array[order], list[StandsOut]()
    width = _step(left, resolution)
    while len(steps) < limit and left.size >= FEWEST:
        step = _farthest(left, order, "both", significance, width)
        if step is None:
            break
        steps.append(step)
        kept = slice(1, None) if step.position == order[0] else slice(None, -1)
        left, order = left[kept], order[kept]
    cautions: tuple[Caution, ...] = ()
    if limit > 1 and array.size < ROSNER_FROM:
        cautions = (Caution(f"critical values are rough under {ROSNER_FROM} readings", "Rosner 1983"),)
    test = "generalised extreme Studentised deviate"
    return _found(tuple(steps), test, "both", array.size, limit, significance, cautions)


@formula(
    limits={
        "values": VALUES,
        "groups": Range(meaning="what each reading belongs to: size and cavity"),
        "significance": SIGNIFICANCE,
        "resolution": RESOLUTION,
    },
    example={
        "values": [4.01, 4.02, 4.00, 4.01, 4.31, 3.99, 3.98, 4.00, 3.99, 3.98],
        "groups": ["peg 1"] * 5 + ["peg 2"] * 5,
    },
    source="Grubbs 1969, Technometrics 11:1, in every group at the significance over the number of groups "
    "(Bonferroni)",
)
def outliers_by_group(
    values: Numbers, groups: Texts, *, significance: float = 0.05, resolution: float | None = None
) -> GroupOutliers:
    """Which readings stand out of their own group, over all groups of a trial at once.

    Grubbs' two-sided test in each group of three or more readings, at a / groups: over the whole trial clean
    readings raise a false alarm with probability a at most.

    Returns: GroupOutliers, at most one reading a group. Raises: ImpossibleInput for unequal lengths.

    Holds when: readings of a group are alike and normal; a blank step is each group's own. A group of five
    must stray far before it is seen.
    """
    array = np.asarray(values, dtype=float)
    if array.size != len(groups):
        raise ImpossibleInput("groups", len(groups), "", f"must name the group of each of {array.size}")
    labels, codes = np.unique(np.asarray(groups, dtype=str), return_inverse=True)
    steps = None if resolution is None else np.full(len(labels), resolution)
    mask, tested = outlying(array, codes, len(labels), significance=significance, steps=steps)
    found = tuple(int(position) for position in np.flatnonzero(mask))
    return GroupOutliers(
        positions=found,
        readings=array.size,
        groups=len(labels),
        groups_tested=tested,
        significance=significance,
        cautions=(POINTED_AT,) if found else (),
    )


def outlying(
    values: NDArray[np.float64],
    codes: NDArray[np.integer],
    groups: int,
    *,
    significance: float = 0.05,
    steps: NDArray[np.float64] | None = None,
) -> tuple[NDArray[np.bool_], int]:
    """`outliers_by_group` for groups numbered 0, 1, ...: a mask over the readings, and the groups tested.

    `steps` are the gauge's steps group by group, NaN where not known.
    """
    mask = np.zeros(values.size, dtype=bool)
    if not values.size:
        return mask, 0
    count = np.bincount(codes, minlength=groups)
    first = np.zeros(groups)
    first[codes[::-1]] = values[::-1]
    apart = values - first[codes]  # equal readings then differ by nothing
    mean = np.bincount(codes, weights=apart, minlength=groups) / np.maximum(count, 1)
    apart -= mean[codes]
    squares = np.bincount(codes, weights=apart**2, minlength=groups)
    tested = (count >= FEWEST) & (squares > 0)
    critical = np.full(groups, inf)
    sizes, which = np.unique(count[tested], return_inverse=True)
    if sizes.size:
        by_size = np.array([critical_distance(int(n), significance / tested.sum()) for n in sizes])
        critical[tested] = by_size[which]
    variance = np.where(tested, squares / np.maximum(count - 1, 1), 1.0)
    far = np.flatnonzero(np.abs(apart) > (critical * np.sqrt(variance))[codes])
    # In the order of their group, the farthest first: the first of each group is the one.
    far = far[np.lexsort((-np.abs(apart[far]), codes[far]))]
    few, first_of_group = np.unique(codes[far], return_index=True)
    far = far[first_of_group]
    # The steps take a sort, so only those that stand out without them are looked at again.
    width = _steps(values, codes, few, steps)
    mask[far[np.abs(apart[far]) > critical[few] * np.sqrt(variance[few] + width**2 / 12)]] = True
    return mask, int(tested.sum())


def critical_distance(readings: int, significance: float, ends: int = 2) -> float:
    """Standard deviations that the farthest of so many clean readings passes with this probability."""
    t = -float(special.stdtrit(readings - 2, significance / (ends * readings)))
    return (readings - 1) / sqrt(readings) / sqrt(1 + (readings - 2) / t**2)


def _step(ordered: NDArray[np.float64], resolution: float | None) -> float:
    """The gauge's step, or the smallest difference between two readings that differ."""
    if resolution is not None:
        return resolution
    between = np.diff(ordered)
    return float(between[between > 0].min(initial=inf))


def _steps(
    values: NDArray[np.float64],
    codes: NDArray[np.integer],
    groups: NDArray[np.integer],
    steps: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """The gauge's step of each of a few groups, from their own readings where it is not known."""
    width = np.full(len(groups), np.nan) if steps is None else steps[groups]
    blank = groups[np.isnan(width)]
    if blank.size:
        picked = np.isin(codes, blank)
        reading, code = values[picked], codes[picked]
        order = np.lexsort((reading, code))
        between, same = np.diff(reading[order]), np.diff(code[order]) == 0
        smallest = np.full(int(codes.max()) + 1, inf)
        np.minimum.at(smallest, code[order][1:][same & (between > 0)], between[same & (between > 0)])
        width = np.where(np.isnan(width), smallest[groups], width)
    return width


def _enough(values: Numbers) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=float)
    if array.size < FEWEST:
        raise NotEnoughData(
            f"{array.size} reading{'s' * (array.size != 1)} cannot say what stands out",
            remedy="measure at least three parts",
        )
    return array


def _farthest(
    ordered: NDArray[np.float64], order: NDArray[np.intp], sides: str, significance: float, step: float
) -> StandsOut | None:
    """The farthest of readings sorted by size; None where all are equal."""
    apart = ordered - ordered[0]
    mean, sd = float(apart.mean()), float(apart.std(ddof=1))
    if not 0 < sd < inf:
        return None
    below, above = mean, float(apart[-1]) - mean
    lowest = sides == "below" or (sides == "both" and below > above)
    statistic = (below if lowest else above) / sqrt(sd**2 + step**2 / 12)
    critical = critical_distance(ordered.size, significance, 2 if sides == "both" else 1)
    return StandsOut(
        position=int(order[0 if lowest else -1]),
        value=float(ordered[0 if lowest else -1]),
        statistic=statistic,
        critical=critical,
        exceeds=statistic > critical,
    )


def _found(
    steps: tuple[StandsOut, ...],
    test: str,
    sides: str,
    readings: int,
    most: int,
    significance: float,
    cautions: tuple[Caution, ...],
) -> Outliers:
    last = max((i + 1 for i, step in enumerate(steps) if step.exceeds), default=0)
    pointed = (POINTED_AT,) if last else ()
    equal = () if steps else (ALL_EQUAL,)
    return Outliers(
        positions=tuple(step.position for step in steps[:last]),
        steps=steps,
        test=test,
        sides=sides,
        readings=readings,
        most=most,
        significance=significance,
        cautions=(*pointed, *equal, *cautions),
    )
