"""What the judgement of a size warns of."""

from __future__ import annotations

import numpy as np

from offtool.core.inspection.capability import index_lows, index_values
from offtool.core.inspection.limits import coarse_step
from offtool.core.inspection.spread import NINE_OUT_OF_TEN, CavitySpreads, chance_to_see_wide
from offtool.core.values import Caution

FEWEST_PARTS = 5


def cautions_of_readings(
    spreads: CavitySpreads,
    lower: float | None,
    upper: float | None,
    uncertainty: float | None,
    resolution: float | None,
) -> list[Caution]:
    """What the readings themselves warn of: too few, all alike, a gauge unknown or too coarse."""
    cautions = []
    fewest = int(spreads.parts.min())
    if fewest < FEWEST_PARTS:
        cautions.append(
            Caution(
                f"only {fewest} part{'s' * (fewest > 1)} in a cavity: fewer than {FEWEST_PARTS} say little"
            )
        )
    if uncertainty is None:
        cautions.append(
            Caution("no gauge study: the gauge is taken as exact", "ISO 14253-1 asks for its uncertainty")
        )
    if "" in spreads.cavities:
        cautions.append(Caution("cavity not recorded: a bad cavity cannot be told from spread"))
    if spreads.parts.max() > 1 and np.nansum(spreads.own_sd) == 0:
        cautions.append(Caution("all values are equal: the gauge is too coarse to see the spread"))
    tolerance = None if lower is None or upper is None else upper - lower
    return [*cautions, *coarse_step(resolution, tolerance)]


def leans_on_pooling(
    spreads: CavitySpreads,
    lower: float | None,
    upper: float | None,
    required: float | None,
    confidence: float,
    *,
    holds: bool,
) -> list[Caution]:
    """Where a size holds by the pooled spread and would not by a cavity's own: what pooling may overlook."""
    fewest, cavities = int(spreads.parts.min()), len(spreads.cavities)
    if required is None or not (spreads.pooled and holds) or fewest < 2:
        return []
    chance = chance_to_see_wide(fewest, cavities)
    sd = np.where(spreads.own_sd > 0, spreads.own_sd, np.inf)
    value = index_values(spreads.mean, sd, lower, upper)
    alone = index_lows(value, spreads.parts, spreads.parts - 1, confidence)
    if chance >= NINE_OUT_OF_TEN or (alone >= required).all():
        return []
    return [
        Caution(
            f"holds by the spread pooled over {cavities} cavities, not by each cavity's own: {fewest} parts "
            f"of each overlook one that spreads twice as wide in {100 * (1 - chance):.0f} of 100 cases"
        )
    ]
