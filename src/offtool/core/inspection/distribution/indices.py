"""Indices and shares outside from quantiles and tails, for one set of parameters or a cloud of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from offtool.core.inspection.distribution.families import Family
from offtool.core.inspection.distribution.location_scale import Array, Parameters

LOW, MIDDLE, HIGH = (float(special.ndtr(z)) for z in (-3, 0, 3))
"""0.135, 50 and 99.865 %: where the normal has its mean and three standard deviations to each side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexArrays:
    """Pp, the two sides of Ppk and the smaller of them; None for what a missing limit leaves out."""

    potential: Array | None
    lower: Array | None
    upper: Array | None

    @property
    def sides(self) -> tuple[Array, ...]:
        """The sides that have a limit."""
        return tuple(side for side in (self.lower, self.upper) if side is not None)

    @property
    def smaller(self) -> Array:
        """Ppk."""
        return self.sides[0] if len(self.sides) == 1 else np.minimum(*self.sides)


def index_from_quantiles(
    low: Array, middle: Array, high: Array, lower: float | None, upper: float | None
) -> IndexArrays:
    """ISO 22514-2: Pp = (U - L) / (x99.865 - x0.135), PpkU = (U - x50) / (x99.865 - x50), PpkL alike."""
    both = None not in (lower, upper)
    return IndexArrays(
        potential=_ratio((upper or 0.0) - (lower or 0.0), high - low) if both else None,
        lower=None if lower is None else _ratio(middle - lower, middle - low),
        upper=None if upper is None else _ratio(upper - middle, high - middle),
    )


def indices(family: Family, parameters: Parameters, lower: float | None, upper: float | None) -> IndexArrays:
    """The indices of a family with these parameters."""
    low, middle, high = (family.quantile(np.asarray(p), *parameters) for p in (LOW, MIDDLE, HIGH))
    return index_from_quantiles(low, middle, high, lower, upper)


def shares_outside(
    family: Family, parameters: Parameters, lower: float | None, upper: float | None
) -> tuple[Array, Array]:
    """Share below the lower and above the upper limit; 0 where there is no such limit."""
    none = np.zeros(np.shape(parameters[0]))
    below = none if lower is None else family.cdf(np.asarray(lower), *parameters)
    above = none if upper is None else family.outside(np.asarray(upper), *parameters)
    return below, above


def _ratio(room: float | Array, width: Array) -> Array:
    """Room over width; a width of nothing leaves any room infinite."""
    room, width = np.broadcast_arrays(np.asarray(room, dtype=float), np.asarray(width, dtype=float))
    far = np.where(room > 0, np.inf, np.where(room < 0, -np.inf, 0.0))
    return np.divide(room, width, out=far, where=width > 0)
