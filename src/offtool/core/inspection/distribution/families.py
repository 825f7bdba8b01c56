"""The families of distributions as one table: dispatch, choices, help and tests read it and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

import numpy as np

from offtool.core.inspection.distribution import location_scale as ls
from offtool.core.inspection.distribution import shaped
from offtool.core.inspection.distribution.location_scale import Array, Parameters
from offtool.core.values import NotEnoughData, OfftoolError

FamilyName: TypeAlias = Literal["normal", "lognormal", "Weibull", "gamma", "folded normal", "Rayleigh"]
FamilyChoice: TypeAlias = Literal[
    "chosen by the data", "normal", "lognormal", "Weibull", "gamma", "folded normal", "Rayleigh"
]
CHOSEN: FamilyChoice = "chosen by the data"

TOO_FAR_FROM_ZERO = 1e-3
"""Spread over size below which a family that starts at zero is the normal, to all digits that matter."""
WEIBULL_TOO_FAR = 1e-7
"""The Weibull leans to small values however far it stands from zero; here the digits run out."""
FEWEST = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """One family: its parameters, how it is fitted, what it says, and which readings it may describe.

    `fit` is maximum likelihood along the last axis; `outside` is the share above a value, kept exact where it
    is small. `drawn` is what the probability plot shows on its value axis.
    """

    name: FamilyName
    parameters: tuple[str, ...]
    fit: Callable[[Array], Parameters]
    quantile: Callable[..., Array]
    cdf: Callable[..., Array]
    outside: Callable[..., Array]
    log_density: Callable[..., Array]
    lowest: Literal["any", "zero", "above zero"]
    bounded_by_zero_only: bool
    on_logs: bool
    shape_free: bool
    nearest_to_zero: float
    use: str

    def refusal(self, values: Array) -> str:
        """Why readings cannot be of this family; empty where they can."""
        lowest, spread = float(values.min()), float(values.std())
        if self.lowest == "above zero" and lowest <= 0:
            return "it needs readings above zero"
        if self.lowest == "zero" and lowest < 0:
            return "it needs readings not below zero"
        if self.lowest != "any" and spread < self.nearest_to_zero * abs(float(values.mean())):
            return "so far from zero it is the same as the normal"
        return ""


FAMILIES: Mapping[str, Family] = {
    one.name: one
    for one in (
        Family(
            name="normal",
            parameters=("mean", "standard deviation"),
            fit=ls.fit_normal,
            quantile=ls.normal_quantile,
            cdf=ls.normal_cdf,
            outside=ls.normal_outside,
            log_density=ls.normal_log_density,
            lowest="any",
            bounded_by_zero_only=False,
            on_logs=False,
            shape_free=True,
            nearest_to_zero=0.0,
            use="a size held by many small influences",
        ),
        Family(
            name="lognormal",
            parameters=("mean of the logs", "standard deviation of the logs"),
            fit=ls.fit_lognormal,
            quantile=ls.lognormal_quantile,
            cdf=ls.lognormal_cdf,
            outside=ls.lognormal_outside,
            log_density=ls.lognormal_log_density,
            lowest="above zero",
            bounded_by_zero_only=False,
            on_logs=True,
            shape_free=True,
            nearest_to_zero=TOO_FAR_FROM_ZERO,
            use="influences that multiply: a long tail to large values",
        ),
        Family(
            name="Weibull",
            parameters=("shape", "scale"),
            fit=ls.fit_weibull,
            quantile=ls.weibull_quantile,
            cdf=ls.weibull_cdf,
            outside=ls.weibull_outside,
            log_density=ls.weibull_log_density,
            lowest="above zero",
            bounded_by_zero_only=False,
            on_logs=True,
            shape_free=True,
            nearest_to_zero=WEIBULL_TOO_FAR,
            use="the weakest of many places: strength, life",
        ),
        Family(
            name="gamma",
            parameters=("shape", "scale"),
            fit=shaped.fit_gamma,
            quantile=shaped.gamma_quantile,
            cdf=shaped.gamma_cdf,
            outside=shaped.gamma_outside,
            log_density=shaped.gamma_log_density,
            lowest="above zero",
            bounded_by_zero_only=False,
            on_logs=False,
            shape_free=False,
            nearest_to_zero=TOO_FAR_FROM_ZERO,
            use="sums of waiting times; a moderate tail to large values",
        ),
        Family(
            name="folded normal",
            parameters=("mean before folding", "standard deviation before folding"),
            fit=shaped.fit_folded,
            quantile=shaped.folded_quantile,
            cdf=shaped.folded_cdf,
            outside=shaped.folded_outside,
            log_density=shaped.folded_log_density,
            lowest="zero",
            bounded_by_zero_only=True,
            on_logs=False,
            shape_free=False,
            nearest_to_zero=TOO_FAR_FROM_ZERO,
            use="a normal whose sign is lost: flatness, symmetry, run-out",
        ),
        Family(
            name="Rayleigh",
            parameters=("standard deviation of a coordinate",),
            fit=shaped.fit_rayleigh,
            quantile=shaped.rayleigh_quantile,
            cdf=shaped.rayleigh_cdf,
            outside=shaped.rayleigh_outside,
            log_density=shaped.rayleigh_log_density,
            lowest="above zero",
            bounded_by_zero_only=True,
            on_logs=False,
            shape_free=True,
            nearest_to_zero=0.0,
            use="distance from the right place in two directions: position",
        ),
    )
}

if (CHOSEN, *FAMILIES) != get_args(FamilyChoice) or tuple(FAMILIES) != get_args(FamilyName):
    raise RuntimeError("the table of families and the names of its choices differ")


def readings(values: object) -> Array:
    """The readings as an array that has a spread; refused otherwise."""
    array = np.asarray(values, dtype=float)
    if array.size < FEWEST:
        raise NotEnoughData(
            f"{array.size} reading{'s' * (array.size != 1)} have no distribution",
            remedy="measure at least 2 parts, better 25",
        )
    if float(np.ptp(array)) <= 4 * np.spacing(float(np.abs(array).max())):
        raise NotEnoughData("all readings are equal: they have no distribution", remedy="use a finer gauge")
    return array


def usable(name: str, values: Array) -> Family:
    """The family of that name, refused where the readings cannot be of it."""
    family = FAMILIES[name]
    if why := family.refusal(values):
        raise OfftoolError(f"the {name} does not fit these readings: {why}", remedy="choose another family")
    return family


def estimated(family: Family, values: Array) -> Parameters:
    """Parameters to judge by: maximum likelihood, but deviations of the normal and its log from n - 1."""
    found = family.fit(values)
    if family.name in ("normal", "lognormal"):
        n = values.shape[-1]
        return found[0], found[1] * np.sqrt(n / (n - 1))
    return found
