"""The share of parts outside the limits, with bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.capability import index_bounds
from offtool.core.inspection.distribution.choice import BOUNDED, FAMILY
from offtool.core.inspection.distribution.families import Family, FamilyChoice, estimated, readings
from offtool.core.inspection.distribution.indices import shares_outside
from offtool.core.inspection.distribution.location_scale import Array, Parameters
from offtool.core.inspection.distribution.percentile import HALVED, HOW_BOUNDED, family_of
from offtool.core.inspection.distribution.plausible import plausible, weighted_quantile
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UPPER, VALUES, require_limits
from offtool.core.values import Caution

ONE_LIMIT = "noncentral t: exact"
TWO_LIMITS = "pivots of mean and standard deviation, given the sample"


@dataclass(frozen=True, slots=True, kw_only=True)
class FractionOutside:
    """Share of parts below, above and outside; `low` and `high` are each a one-sided bound of the total.

    `estimate_by` says how the shares were estimated; `unbiased` is the minimum-variance unbiased total, which
    only the normal has and which is 0 where even the farthest possible part would lie inside.
    """

    total: float
    low: float
    high: float
    below: float
    above: float
    unbiased: float | None
    counted: int
    family: str
    why: str
    parameters: tuple[float, ...]
    parameter_names: tuple[str, ...]
    estimate_by: str
    bounds_by: str
    parts: int
    confidence: float
    lower: float | None
    upper: float | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": VALUES,
        "lower": LOWER,
        "upper": UPPER,
        "family": FAMILY,
        "bounded_by_zero": BOUNDED,
        "confidence": CONFIDENCE,
    },
    example={"values": [3.971, 3.968, 3.973, 3.970, 3.969, 3.972, 3.975], "upper": 3.98, "family": "normal"},
    source="noncentral t (Owen 1968, Technometrics 10:445); pivots of the family for two limits and other "
    "families; the unbiased share by Lieberman and Resnikoff 1955",
)
def fraction_outside(
    values: Numbers,
    *,
    lower: float | None = None,
    upper: float | None = None,
    family: FamilyChoice = "chosen by the data",
    bounded_by_zero: bool = False,
    confidence: float = 0.95,
) -> FractionOutside:
    """What share of the parts lies outside the limits, and how large it may still be.

    F(L) + 1 - F(U), F the fitted family: maximum likelihood, with s from n - 1 for the normal and the
    lognormal. `high` is the figure to act on: few parts say little of a small share.

    Returns: FractionOutside. Raises: ImpossibleInput for missing or crossed limits; NotEnoughData for fewer
    than 2 readings (4 where the family is to be chosen) or equal ones; OfftoolError for a family that the
    readings cannot be of.

    Holds when: parts are independent and of the family, far beyond where any part was measured. The bounds do
    not count that the family was chosen by the same readings.

    Example: a normal whose limits stand 3 s to each side has 2700 parts per million outside.
    """
    require_limits(lower, upper)
    array = readings(values)
    one, why, cautions = family_of(array, family, bounded_by_zero)
    parameters = estimated(one, array)
    below, above = (float(share) for share in shares_outside(one, parameters, lower, upper))
    low, high = _bounds(one, array, parameters, lower, upper, confidence)
    normal = one.name == "normal"
    return FractionOutside(
        total=below + above,
        low=low,
        high=high,
        below=below,
        above=above,
        unbiased=_unbiased(array, parameters, lower, upper) if normal and array.size > 2 else None,
        counted=_counted(array, lower, upper),
        family=one.name,
        why=why,
        parameters=tuple(float(value) for value in parameters),
        parameter_names=one.parameters,
        estimate_by="mean and s (n - 1) in place of the true ones"
        if one.name in ("normal", "lognormal")
        else "maximum likelihood",
        bounds_by=(ONE_LIMIT if None in (lower, upper) else TWO_LIMITS) if normal else HOW_BOUNDED[one.name],
        parts=array.size,
        confidence=confidence,
        lower=lower,
        upper=upper,
        cautions=cautions,
    )


def _bounds(
    family: Family,
    values: Array,
    parameters: Parameters,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> tuple[float, float]:
    one_limit = upper if lower is None else lower if upper is None else None
    if family.name == "normal" and one_limit is not None:
        mean, sd = parameters
        index = np.atleast_1d(abs(one_limit - mean) / (3 * sd))
        inside = (one_limit > mean) == (lower is None)
        index = index if inside else -index
        count = values.size
        ends = index_bounds(index, np.array([count]), count - 1, confidence, two_limits=False)
        return float(special.ndtr(-3 * ends[1][0])), float(special.ndtr(-3 * ends[0][0]))
    # Either limit may be the nearer, which lifts the total by chance: the lower bound takes half the risk.
    halved = one_limit is None or family.name in HALVED
    risk = (1 - confidence) / (2 if halved else 1)
    totals = [
        (np.add(*shares_outside(family, cloud, lower, upper)), weights)
        for cloud, weights in plausible(family, values)
    ]
    return (
        max(0.0, min(weighted_quantile(total, weights, risk) for total, weights in totals)),
        min(1.0, max(weighted_quantile(total, weights, confidence) for total, weights in totals)),
    )


def _unbiased(values: Array, parameters: Parameters, lower: float | None, upper: float | None) -> float:
    """Lieberman and Resnikoff's share: a beta in the distance of each limit in s."""
    n = values.size
    mean, sd = (float(one) for one in parameters)
    total = 0.0
    for limit, side in ((lower, -1), (upper, 1)):
        if limit is not None:
            at = 0.5 - side * (limit - mean) / sd * np.sqrt(n) / (2 * (n - 1))
            total += float(special.betainc(n / 2 - 1, n / 2 - 1, np.clip(at, 0.0, 1.0)))
    return min(total, 1.0)


def _counted(values: Array, lower: float | None, upper: float | None) -> int:
    """Readings outside."""
    below = 0 if lower is None else np.count_nonzero(values < lower)
    above = 0 if upper is None else np.count_nonzero(values > upper)
    return int(below + above)
