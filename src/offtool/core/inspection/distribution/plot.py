"""The probability plot: readings against the family, with the band that such samples stay in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.distribution.choice import BOUNDED, FAMILY, coarse_step
from offtool.core.inspection.distribution.correlation import (
    SAMPLES,
    axis,
    correlation,
    median_positions,
    ranks,
    standard,
)
from offtool.core.inspection.distribution.families import FAMILIES, Family, FamilyChoice, estimated, readings
from offtool.core.inspection.distribution.location_scale import Array, Parameters
from offtool.core.inspection.distribution.percentile import family_of
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.values import Caution, NotEnoughData

FEWEST_PLOTTED = 4
BAND_SEED = 95
MOST_SAMPLES, FEWEST_SAMPLES = 1999, 99
NUMBERS_DRAWN = 1_000_000
"""Readings simulated for a band at most; with more readings in a sample fewer samples are drawn."""
ONE_IN = 0.025
"""Each side of the pointwise band that is widened until whole samples stay inside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbabilityPlot:
    """All that a drawing needs; the arrays run over the points, smallest reading first.

    A point stands at (`values`, `scores`), `scores` being the standard quantile of its `positions` (exact
    medians of the ordered uniforms); the family's line runs through (`line`, `scores`). Between `band_low`
    and `band_high` all points of a sample of this family lie at once, with the confidence. `on_logs` says
    that the line is straight on a logarithmic value axis.
    """

    family: str
    why: str
    parameters: tuple[float, ...]
    parameter_names: tuple[str, ...]
    on_logs: bool
    values: NDArray[np.float64] = field(repr=False)
    positions: NDArray[np.float64] = field(repr=False)
    scores: NDArray[np.float64] = field(repr=False)
    line: NDArray[np.float64] = field(repr=False)
    band_low: NDArray[np.float64] = field(repr=False)
    band_high: NDArray[np.float64] = field(repr=False)
    outside_band: int
    correlation: float
    p: float
    parts: int
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"values": VALUES, "family": FAMILY, "bounded_by_zero": BOUNDED, "confidence": CONFIDENCE},
    example={
        "values": [9.262, 9.273, 9.256, 9.261, 9.268, 9.259, 9.264, 9.266, 9.258, 9.27],
        "family": "normal",
    },
    source="Filliben 1975, Technometrics 17:111, with exact medians; NIST/SEMATECH e-Handbook 1.3.3.21; the "
    "band by simulation, offtool's own",
)
def probability_plot(
    values: Numbers,
    family: FamilyChoice = "chosen by the data",
    *,
    bounded_by_zero: bool = False,
    confidence: float = 0.95,
) -> ProbabilityPlot:
    """Where each reading stands against where the family expects it.

    Point i of n stands at the median of the beta distribution (i, n + 1 - i). The band is simultaneous: made
    of seeded samples of the family, each fitted anew, so wide that this share of them stays inside with every
    point. For the normal, lognormal, Weibull and Rayleigh it does not depend on the parameters; for the gamma
    and folded normal it is made at the fitted shape.

    Returns: ProbabilityPlot. Raises: NotEnoughData for fewer than 4 readings, or equal ones; OfftoolError for
    a family that the readings cannot be of.

    Holds when: readings are independent. Of more than 200 readings 200 are shown, evenly spaced in rank.

    Example: the 195 readings of e-Handbook 1.3.5.2 have a normal correlation of 0.999.
    """
    array = np.sort(readings(values))
    if array.size < FEWEST_PLOTTED:
        raise NotEnoughData(
            f"{array.size} readings make no plot", remedy=f"measure at least {FEWEST_PLOTTED} parts"
        )
    one, why, cautions = family_of(array, family, bounded_by_zero)
    parameters = estimated(one, array)
    shown = array[ranks(array.size).astype(int) - 1]
    positions = median_positions(array.size)
    low, high = _band(one, array.size, parameters, confidence)
    straight, p = correlation(one, array, one.fit(array))
    if (step := coarse_step(array)) and not any("steps" in str(caution) for caution in cautions):
        cautions = (*cautions, Caution(f"readings come in steps of {step:.3g}: points stand in columns"))
    return ProbabilityPlot(
        family=one.name,
        why=why,
        parameters=tuple(float(value) for value in parameters),
        parameter_names=one.parameters,
        on_logs=one.on_logs,
        values=shown,
        positions=positions,
        scores=axis(one, positions, standard(one, parameters)),
        line=one.quantile(positions, *parameters),
        band_low=low,
        band_high=high,
        outside_band=int(np.count_nonzero((shown < low) | (shown > high))),
        correlation=straight,
        p=p,
        parts=array.size,
        confidence=confidence,
        cautions=cautions,
    )


def _band(family: Family, count: int, parameters: Parameters, confidence: float) -> tuple[Array, Array]:
    """Lower and upper end at each point, on the scale of the readings."""
    if family.shape_free:
        scores = _scores_by_chance("normal" if family.name == "lognormal" else family.name, count)
    else:
        scores = _scores(family, count, standard(family, parameters))
    middle = np.median(scores, axis=0)
    down, up = np.quantile(scores, [ONE_IN, 1 - ONE_IN], axis=0) - middle
    farthest = np.maximum((scores - middle) / up, (scores - middle) / down).max(axis=1)
    stretch = float(np.quantile(farthest, confidence))
    ends = (special.ndtr(middle + stretch * side) for side in (down, up))
    low, high = (family.quantile(np.clip(end, 1e-300, 1 - 1e-16), *parameters) for end in ends)
    return low, high


@lru_cache(maxsize=16)
def _scores_by_chance(name: str, count: int) -> Array:
    family = FAMILIES[name]
    unit = tuple(np.ones(()) for _ in family.parameters)
    return _scores(family, count, standard(family, unit))


def _scores(family: Family, count: int, parameters: Parameters) -> Array:
    """Ordered readings of seeded samples as normal scores under the family fitted to each sample."""
    most = MOST_SAMPLES if family.shape_free else SAMPLES  # drawn once, or for each set of readings
    samples = int(np.clip(NUMBERS_DRAWN // count, FEWEST_SAMPLES, most))
    rng = np.random.default_rng(BAND_SEED)
    drawn = _DRAWN[family.name](rng, (samples, count), parameters)
    drawn.sort(axis=1)
    fitted = tuple(one[:, None] for one in estimated(family, drawn))
    shown = drawn[:, ranks(count).astype(int) - 1]
    below, above = family.cdf(shown, *fitted), family.outside(shown, *fitted)
    # From the nearer end, so that neither tail loses its digits.
    scores = np.where(below < above, special.ndtri(below), -special.ndtri(above))
    return np.clip(scores, -30.0, 30.0)


_DRAWN: Mapping[str, Callable[[np.random.Generator, tuple[int, int], Parameters], Array]] = {
    "normal": lambda rng, size, _: rng.standard_normal(size),
    "Weibull": lambda rng, size, p: rng.standard_exponential(size),
    "gamma": lambda rng, size, p: np.maximum(rng.standard_gamma(p[0], size), 1e-300),
    "folded normal": lambda rng, size, p: np.abs(p[0] + rng.standard_normal(size)),
    "Rayleigh": lambda rng, size, _: np.sqrt(2 * rng.standard_exponential(size)),
}
"""How each family is drawn at its standard parameters."""
