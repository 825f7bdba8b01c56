"""Performance index by the quantiles of a fitted family (ISO 22514-2), with its bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.capability import index_bounds
from offtool.core.inspection.distribution.choice import BOUNDED, FAMILY, choose_distribution
from offtool.core.inspection.distribution.families import (
    CHOSEN,
    FAMILIES,
    Family,
    FamilyChoice,
    estimated,
    readings,
    usable,
)
from offtool.core.inspection.distribution.indices import HIGH, LOW, MIDDLE, IndexArrays, indices
from offtool.core.inspection.distribution.location_scale import Array
from offtool.core.inspection.distribution.plausible import plausible, weighted_quantile
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UPPER, VALUES, require_limits
from offtool.core.values import Caution

ENOUGH_TO_CHECK = 25
"""Below, readings cannot show that a shape is another. Common practice, no source."""

HOW_BOUNDED = {
    "normal": "noncentral t: exact for one limit, on the safe side for two",
    "lognormal": "pivots of the logs, given the sample",
    "Weibull": "pivots of the logs, given the sample (Lawless)",
    "gamma": "distribution of the ratio of means, then of the mean",
    "folded normal": "likelihood over mean and standard deviation, coverage measured",
    "Rayleigh": "chi-square of the sum of squares: exact",
}
"""How the bounds of each family come about."""

HALVED = {"folded normal"}
"""Families whose flattering bounds, index high and share low, take half the risk: measured to be needed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PercentileIndex:
    """Ppk by quantiles, `low` and `high` each a one-sided bound at the confidence; Pp likewise.

    `lower_index` and `upper_index` are the two sides; `quantiles` those at 0.135, 50 and 99.865 %.
    """

    value: float
    low: float
    high: float
    potential: float | None
    potential_low: float | None
    potential_high: float | None
    lower_index: float | None
    upper_index: float | None
    quantiles: tuple[float, float, float]
    family: str
    why: str
    parameters: tuple[float, ...]
    parameter_names: tuple[str, ...]
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
    example={
        "values": [0.012, 0.031, 0.008, 0.022, 0.017, 0.041, 0.015, 0.026, 0.005, 0.019],
        "upper": 0.08,
        "family": "Weibull",
    },
    source="ISO 22514-2, percentile method (from memory); bounds by the pivots of the family "
    "(Lawless 2003, Statistical Models and Methods for Lifetime Data)",
)
def percentile_index(
    values: Numbers,
    *,
    lower: float | None = None,
    upper: float | None = None,
    family: FamilyChoice = "chosen by the data",
    bounded_by_zero: bool = False,
    confidence: float = 0.95,
) -> PercentileIndex:
    """How the middle and the tails of the parts stand to the limits, whatever their shape.

    Pp = (U - L) / (x99.865 - x0.135); Ppk = min((U - x50) / (x99.865 - x50), (x50 - L) / (x50 - x0.135)),
    x from the fitted family. The normal takes s with n - 1 and gives `performance_index` again.

    Returns: PercentileIndex. Raises: ImpossibleInput for missing or crossed limits; NotEnoughData for fewer
    than 2 readings (4 where the family is to be chosen) or equal ones; OfftoolError for a family that the
    readings cannot be of.

    Holds when: parts are independent and of the family; the bounds do not count that it was chosen by the
    same readings. One cavity at a time: for several see `shipped_mix`.

    Example: an exponential of mean 1 (Weibull shape 1) against 0 and 8 has Pp 1.2110 and Ppk 1.0020.
    """
    require_limits(lower, upper)
    array = readings(values)
    one, why, cautions = family_of(array, family, bounded_by_zero)
    parameters = estimated(one, array)
    found = indices(one, parameters, lower, upper)
    low, high, potential = _bounds(one, array, found, lower, upper, confidence)
    return PercentileIndex(
        value=float(found.smaller),
        low=low,
        high=high,
        potential=None if found.potential is None else float(found.potential),
        potential_low=potential[0],
        potential_high=potential[1],
        lower_index=None if found.lower is None else float(found.lower),
        upper_index=None if found.upper is None else float(found.upper),
        quantiles=tuple(float(one.quantile(np.asarray(p), *parameters)) for p in (LOW, MIDDLE, HIGH)),  # type: ignore[arg-type]
        family=one.name,
        why=why,
        parameters=tuple(float(value) for value in parameters),
        parameter_names=one.parameters,
        bounds_by=HOW_BOUNDED[one.name],
        parts=array.size,
        confidence=confidence,
        lower=lower,
        upper=upper,
        cautions=cautions,
    )


def family_of(
    values: Array, family: FamilyChoice, bounded_by_zero: bool
) -> tuple[Family, str, tuple[Caution, ...]]:
    """The family to judge by, why, and what to beware of."""
    if family != CHOSEN:
        one = usable(family, values)
        cautions: tuple[Caution, ...] = ()
        if values.size < ENOUGH_TO_CHECK:
            said = f"{values.size} readings cannot show whether the {family} is right: its tails are on trust"
            cautions = (Caution(said, "common practice, no source"),)
        return one, "asked for", cautions
    fit = choose_distribution(values, bounded_by_zero=bounded_by_zero)
    same = Caution(f"the bounds take the {fit.family} as known, though the same readings chose it")
    return FAMILIES[fit.family], fit.why, (*fit.cautions, same)


def _bounds(
    family: Family,
    values: Array,
    found: IndexArrays,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> tuple[float, float, tuple[float | None, float | None]]:
    """Lower and upper bound of Ppk and of Pp."""
    if family.name == "normal":
        return _normal_bounds(values.size, found, confidence)
    clouds = [
        (indices(family, parameters, lower, upper), weights)
        for parameters, weights in plausible(family, values)
    ]
    # The smaller of two sides falls low more often: the upper bound takes half the risk, as elsewhere.
    halved = found.potential is not None or family.name in HALVED
    sure = (1 + confidence) / 2 if halved else confidence
    low = min(
        weighted_quantile(side, weights, 1 - confidence) for cloud, weights in clouds for side in cloud.sides
    )
    high = min(
        max(weighted_quantile(cloud.sides[i], weights, sure) for cloud, weights in clouds)
        for i in range(len(found.sides))
    )
    potentials = [(cloud.potential, weights) for cloud, weights in clouds if cloud.potential is not None]
    if not potentials:
        return low, high, (None, None)
    below = min(weighted_quantile(potential, weights, 1 - confidence) for potential, weights in potentials)
    above = max(weighted_quantile(potential, weights, confidence) for potential, weights in potentials)
    return low, high, (below, above)


def _normal_bounds(
    count: int, found: IndexArrays, confidence: float
) -> tuple[float, float, tuple[float | None, float | None]]:
    value = np.atleast_1d(found.smaller)
    two_limits = found.potential is not None
    low, high = index_bounds(value, np.array([count]), count - 1, confidence, two_limits=two_limits)
    if found.potential is None:
        return float(low[0]), float(high[0]), (None, None)
    stretch = np.sqrt(special.chdtri(count - 1, np.array([confidence, 1 - confidence])) / (count - 1))
    return float(low[0]), float(high[0]), tuple(float(found.potential * one) for one in stretch)  # type: ignore[return-value]
