"""The Anderson-Darling test of the normal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.distribution.families import readings
from offtool.core.inspection.distribution.location_scale import Array
from offtool.core.inspection.limits import VALUES
from offtool.core.values import Caution, NotEnoughData

FEWEST_TESTED = 8
"""The p is published for 8 readings and more."""
LARGEST_STATISTIC = 10.0
"""Beyond it the published p would turn round: p is below 1e-20 there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Normality:
    """Anderson-Darling's A squared, against the normal with mean and s of the readings, and its p."""

    statistic: float
    p: float
    mean: float
    sd: float
    parts: int
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"values": VALUES},
    example={"values": [9.262, 9.273, 9.256, 9.261, 9.268, 9.259, 9.264, 9.266, 9.258, 9.27]},
    source="NIST/SEMATECH e-Handbook 1.3.5.14; p by D'Agostino and Stephens 1986, Goodness-of-Fit "
    "Techniques, table 4.9",
)
def anderson_darling(values: Numbers) -> Normality:
    """Whether readings could be normal, judged most of all by the tails.

    A^2 = -n - (1/n) sum (2i - 1) (ln F(x_i) + ln(1 - F(x_(n+1-i)))), F normal with mean and s (n - 1).

    Returns: Normality. Raises: NotEnoughData for fewer than 8 readings, or equal ones.

    Holds when: readings are independent; coarse gauge steps alone make p small.

    Example: the 195 readings of e-Handbook 1.4.2.8 give A^2 0.126 (statsmodels agrees).
    """
    array = readings(values)
    if array.size < FEWEST_TESTED:
        raise NotEnoughData(
            f"{array.size} readings cannot be tested for the normal",
            remedy=f"measure at least {FEWEST_TESTED} parts",
        )
    statistic, mean, sd = squared_distance(array)
    return Normality(
        statistic=statistic, p=p_normal(statistic, array.size), mean=mean, sd=sd, parts=array.size
    )


def squared_distance(values: Array) -> tuple[float, float, float]:
    """A squared, mean, s."""
    n = values.size
    apart = np.sort(values) - values.min()
    sd = float(apart.std(ddof=1))
    z = (apart - apart.mean()) / sd
    i = np.arange(1, n + 1)
    total = ((2 * i - 1) * (special.log_ndtr(z) + special.log_ndtr(-z[::-1]))).sum()
    return float(-n - total / n), float(values.min() + apart.mean()), sd


def p_normal(statistic: float, count: int) -> float:
    """D'Agostino and Stephens' p for mean and deviation from the readings."""
    a = min(statistic * (1 + 0.75 / count + 2.25 / count**2), LARGEST_STATISTIC)
    if a >= 0.6:
        return float(np.exp(1.2937 - 5.709 * a + 0.0186 * a**2))
    if a >= 0.34:
        return float(np.exp(0.9177 - 4.279 * a - 1.38 * a**2))
    if a >= 0.2:
        return float(1 - np.exp(-8.318 + 42.796 * a - 59.938 * a**2))
    return float(1 - np.exp(-13.436 + 101.14 * a - 223.73 * a**2))
