"""Shrinkage pooled over the sizes of one direction, so that one odd size does not pull it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.values import Caution, ImpossibleInput, Interval, Range

HUBER = 1.345
"""Tuning for 95 % efficiency at the normal (Huber 1981)."""
MAD_TO_SD = float(1 / special.ndtri(0.75))

MAD_OF_FEW = (1.0, 1.0, 1.196, 1.495, 1.363, 1.206, 1.200, 1.140, 1.129, 1.107)
"""Factors by which the median absolute deviation of 2 to 9 values is too small (Croux and Rousseeuw 1992,
from memory; simulated in the tests)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledShrinkage:
    """Shrinkage of one direction, with its interval and how far single sizes stray from it."""

    value: float
    interval: Interval
    between_sizes_sd: float
    weight: tuple[float, ...]
    sizes: int
    cautions: tuple[Caution, ...] = ()

    @property
    def odd(self) -> tuple[int, ...]:
        """Places of the sizes that were turned down to less than half their weight."""
        return tuple(i for i, weight in enumerate(self.weight) if weight < 0.5)


@formula(
    limits={
        "shrinkages": Range(meaning="shrinkage of each size, as a fraction", above=-0.2, below=0.2),
        "uncertainties": Range(meaning="standard uncertainty of each shrinkage, as a fraction", above=0),
        "confidence": CONFIDENCE,
    },
    example={
        "shrinkages": [0.0072, 0.0074, 0.0073, 0.0071, 0.0120],
        "uncertainties": [0.0001, 0.0002, 0.0001, 0.0002, 0.0001],
    },
    source="Huber 1981, Robust Statistics, sec. 7.8 (M-estimate, scale by the median absolute deviation)",
)
def pool_shrinkage(
    shrinkages: Numbers, uncertainties: Numbers, *, confidence: float = 0.95
) -> PooledShrinkage:
    """What one shrinkage explains over all sizes of a direction, odd sizes turned down.

    Huber's M-estimate of location with known relative uncertainties: iterated weighted means, weight
    min(1, 1.345 / |z|), scale by the median absolute deviation. A long size has a sharper shrinkage than a
    short one, but none counts for more than the spread between sizes allows: that spread is added to each.

    Returns: PooledShrinkage. Raises: ImpossibleInput for unequal lists or none.

    Holds when: most sizes of the direction shrink alike. With one size its own uncertainty is all there is.
    """
    value = np.asarray(shrinkages, dtype=float)
    own = np.asarray(uncertainties, dtype=float)
    if value.size == 0 or value.shape != own.shape:
        raise ImpossibleInput(
            "uncertainties", own.size, "", f"must be one for each of {value.size} shrinkages"
        )
    between = spread_between(value, own)
    total = np.sqrt(own**2 + between**2)
    centre, weight = huber_mean(value, total)
    weighted = weight / total**2
    # Huber's sandwich: the weights say how much of each size is in the mean.
    error = float(np.sqrt((weight**2 / total**2).sum()) / weighted.sum())
    # A few sizes may stray more than their median says: their own scatter is the least to allow for.
    error = max(error, _scatter_error(value - centre, weight, total))
    # A few sharp sizes among blurred ones count for fewer (Kish's effective number).
    effective = float(weighted.sum() ** 2 / (weighted**2).sum())
    reach = float(special.stdtrit(max(effective - 1, 1.0), (1 + confidence) / 2)) * error
    few: tuple[Caution, ...] = ()
    if value.size <= 2:
        sizes = "size" if value.size == 1 else "sizes"
        few = (Caution(f"only {value.size} {sizes} in this direction: shrinkage is not well pooled"),)
    return PooledShrinkage(
        value=centre,
        interval=Interval(low=centre - reach, high=centre + reach, confidence=confidence),
        between_sizes_sd=between,
        weight=tuple(float(one) for one in weight),
        sizes=value.size,
        cautions=few,
    )


def _scatter_error(
    apart: NDArray[np.float64], weight: NDArray[np.float64], total: NDArray[np.float64]
) -> float:
    """Standard error of Huber's mean from how its sizes scatter (Huber 1981, sec. 6.3): the turned-down ones
    pull with all their weight and hold with none."""
    holding = float((weight >= 1.0).astype(float) @ (1 / total**2))
    if apart.size < 2 or not holding:
        return 0.0
    pulls = float(((weight * apart / total**2) ** 2).sum())
    return float(np.sqrt(apart.size / (apart.size - 1) * pulls)) / holding


def huber_mean(
    value: NDArray[np.float64], uncertainty: NDArray[np.float64], *, steps: int = 100
) -> tuple[float, NDArray[np.float64]]:
    """Huber's M-estimate of location and the final weights; residuals are scaled by their median size."""
    precision = 1 / uncertainty**2
    # The median, so that exact data with one odd size end where most of them are.
    centre = float(np.median(value))
    weight = np.ones_like(value)
    for _ in range(steps):
        z = (value - centre) / uncertainty
        scale = MAD_TO_SD * float(np.median(np.abs(z)))
        if scale == 0:
            return centre, np.where(z == 0, 1.0, 0.0)
        weight = np.minimum(1.0, HUBER * scale / np.maximum(np.abs(z), 1e-300))
        moved = float((weight * precision * value).sum() / (weight * precision).sum())
        if abs(moved - centre) <= 1e-15 + 1e-12 * abs(centre):
            return moved, weight
        centre = moved
    return centre, weight


def spread_between(value: NDArray[np.float64], own: NDArray[np.float64]) -> float:
    """Robust standard deviation between sizes beyond their own uncertainty; 0 for fewer than three."""
    if value.size < 3:
        return 0.0
    return float(np.sqrt(max(robust_sd(value) ** 2 - float(np.median(own)) ** 2, 0.0)))


def robust_sd(value: NDArray[np.float64]) -> float:
    """Standard deviation by the median absolute deviation, made right for a few normal values."""
    few = MAD_OF_FEW[value.size] if value.size < len(MAD_OF_FEW) else value.size / (value.size - 0.8)
    return MAD_TO_SD * few * float(np.median(np.abs(value - np.median(value))))
