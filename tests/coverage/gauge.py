"""Gauge studies: every interval in worlds where the variances, the bias and the line are known.

The studies of a world are made once and asked by all of its cases, each for another interval; the array a
case returns has one entry for each study. What is on the safe side, and by how much, is what the table shows.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial
from math import floor, sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.gauge import (
    GaugeShare,
    GaugeStudy,
    crossed_gauge_study,
    gauge_linearity,
    nested_gauge_study,
    reference_gauge_study,
)
from offtool.core.values import Interval
from tests.coverage.cases import covers

STUDIES = 2000
TOLERANCE = 6.0
World = tuple[str, int, int, int, float, float, float]
"""Method; parts, operators, repeats; standard deviations of operators, interaction and repeats. Parts: 1."""
CROSSED, RANGES, NESTED = "analysis of variance", "average and range", "nested"
SHORT = {CROSSED: "crossed", RANGES: "ranges", NESTED: "nested"}

MAIN = [(CROSSED, 10, 3, 3, 0.2, 0.1, 0.2), (CROSSED, 10, 3, 2, 0.2, 0.1, 0.2)]
OTHER = [(CROSSED, 10, 3, 2, 0.2, 0.0, 0.2), (CROSSED, 10, 3, 2, 0.1, 0.15, 0.1)]
BY_RANGES = [(RANGES, 10, 3, 3, 0.2, 0.0, 0.2), (RANGES, 10, 3, 2, 0.2, 0.0, 0.2)]
IN_BATCHES = [(NESTED, 5, 3, 3, 0.3, 0.0, 0.3)]
NO_OPERATOR = [(CROSSED, 10, 3, 3, 0.0, 0.0, 0.2), (NESTED, 5, 3, 2, 0.0, 0.0, 0.3)]

SOURCES = ("repeatability", "operator", "operator × part", "reproducibility", "gauge", "part", "total")


def truth(world: World) -> dict[str, float]:
    """The variance of each source."""
    _, _, _, _, operator, together, repeat = world
    single = {"repeatability": repeat**2, "operator": operator**2, "operator × part": together**2}
    gauge = sum(single.values())
    return {
        **single,
        "reproducibility": gauge - repeat**2,
        "gauge": gauge,
        "part": 1.0,
        "total": gauge + 1.0,
    }


@lru_cache(maxsize=16)
def studies(world: World) -> list[GaugeStudy]:
    """Seeded studies of a world."""
    rng = np.random.default_rng(1992)
    return [one_study(world, rng) for _ in range(STUDIES)]


def one_study(world: World, rng: np.random.Generator) -> GaugeStudy:
    """Readings drawn by the model of the study."""
    method, p, o, r, operator, together, repeat = world
    part, who = (axis.ravel().astype(str) for axis in np.indices((p, o, r))[:2])
    readings = rng.normal(0, operator, (1, o, 1)) + rng.normal(0, repeat, (p, o, r))
    if method == NESTED:
        readings = readings + rng.normal(0, 1, (p, o, 1))
        return nested_gauge_study(readings.ravel(), who, part, tolerance=TOLERANCE)  # type: ignore[arg-type]
    readings = readings + rng.normal(0, 1, (p, 1, 1)) + rng.normal(0, together, (p, o, 1))
    return crossed_gauge_study(
        readings.ravel(),
        part,  # type: ignore[arg-type]
        who,  # type: ignore[arg-type]
        method=method,  # type: ignore[arg-type]
        tolerance=TOLERANCE,
    )


def sd(source: str, world: World) -> NDArray[np.bool_]:
    """The standard deviation of a source; the share of tolerance holds when it does."""
    true = sqrt(truth(world)[source])
    return held(world, lambda study: (share(study, source).sd_interval, true))


def of_variation(source: str, world: World) -> NDArray[np.bool_]:
    """The share of the whole deviation; its square, the contribution, holds when it does."""
    true = sqrt(truth(world)[source] / truth(world)["total"])
    return held(world, lambda study: (share(study, source).of_variation_interval, true))


def contribution(source: str, world: World) -> NDArray[np.bool_]:
    """The share of the whole variance."""
    true = truth(world)[source] / truth(world)["total"]
    return held(world, lambda study: (share(study, source).contribution_interval, true))


def of_tolerance(source: str, world: World) -> NDArray[np.bool_]:
    """Six deviations over the tolerance."""
    true = 6 * sqrt(truth(world)[source]) / TOLERANCE
    return held(world, lambda study: (share(study, source).of_tolerance_interval, true))


def categories(world: World) -> NDArray[np.bool_]:
    """Whole categories: an interval of whole numbers holds them more often than its ends are exceeded."""
    true = floor(1.41 / sqrt(truth(world)["gauge"]))
    return held(world, lambda study: (study.distinct_categories_interval, true))


def share(study: GaugeStudy, source: str) -> GaugeShare:
    found = study.share(source)
    assert found is not None
    return found


def held(world: World, interval: Callable[[GaugeStudy], tuple[Interval | None, float]]) -> NDArray[np.bool_]:
    """Whether the interval of each study holds the truth."""
    pairs = [interval(study) for study in studies(world)]
    return np.array([found is not None and true in found for found, true in pairs])


def register(name: str, ask: Callable[[], NDArray[np.bool_]], *, safe_side: bool) -> None:
    """Under the claimed 95 %; the studies of a world are its own seeded ones."""
    covers(name, worlds=1, safe_side=safe_side)(lambda rng: ask())


def register_world(world: World, sources: tuple[str, ...], safe: frozenset[str]) -> None:
    """Every interval of these sources."""
    method, p, o, r, operator, together, _ = world
    words = f"{SHORT[method]} {p}×{o}×{r}"
    words += f", interaction {together:g}" * (method == CROSSED) + ", no operator" * (operator == 0)
    for source in sources:
        name = f"{source}, sd"
        register(f"{words}: {name}", partial(sd, source, world), safe_side=name in safe)
        if source != "total":
            name = f"{source}, of variation"
            register(f"{words}: {name}", partial(of_variation, source, world), safe_side=name in safe)
    register(f"{words}: gauge, contribution", partial(contribution, "gauge", world), safe_side=False)
    register(f"{words}: gauge, of tolerance", partial(of_tolerance, "gauge", world), safe_side=False)
    register(f"{words}: distinct categories", partial(categories, world), safe_side=True)


SAFE = frozenset(
    {
        "repeatability, of variation",
        "reproducibility, sd",
        "reproducibility, of variation",
        "total, sd",
    }
)
"""Modified-large-sample intervals that cover 96 to 98 % in some of these worlds."""
NO_INTERACTION = frozenset({"operator × part, sd", "operator × part, of variation"})
"""A variance of zero is missed on one side only: 97.5 %."""
WITHOUT_INTERACTION = tuple(one for one in SOURCES if one != "operator × part")

for one in MAIN:
    register_world(one, SOURCES, SAFE)
for one in (*BY_RANGES, *IN_BATCHES):
    register_world(one, WITHOUT_INTERACTION, SAFE)
register_world(OTHER[0], ("operator × part", "reproducibility", "gauge"), SAFE | NO_INTERACTION)
register_world(OTHER[1], ("operator × part", "reproducibility", "gauge"), SAFE)
for one in NO_OPERATOR:
    register_world(one, ("gauge",), frozenset())


@covers("reference study of 25: bias")
def reference_bias(rng: np.random.Generator) -> bool:
    found = reference_gauge_study(rng.normal(6.02, 0.01, 25), 6.0)
    return found.bias_interval is not None and 0.02 in found.bias_interval


@covers("reference study of 25: standard deviation and share of tolerance")
def reference_sd(rng: np.random.Generator) -> NDArray[np.bool_]:
    found = reference_gauge_study(rng.normal(6.02, 0.01, 25), 6.0, tolerance=0.6)
    assert found.sd_interval is not None
    assert found.of_tolerance_interval is not None
    return np.array([0.01 in found.sd_interval, 0.1 in found.of_tolerance_interval])


@covers("reference study of 25: repeatability index")
def repeatability_index(rng: np.random.Generator) -> bool:
    found = reference_gauge_study(rng.normal(6.02, 0.01, 25), 6.0, tolerance=0.6)
    return found.repeatability_index_interval is not None and 2.0 in found.repeatability_index_interval


@covers("reference study of 25: index with bias", safe_side=True)
def index_with_bias(rng: np.random.Generator) -> bool:
    found = reference_gauge_study(rng.normal(6.02, 0.01, 25), 6.0, tolerance=0.6)
    true = (0.06 - 0.02) / 0.03
    return found.index_with_bias_interval is not None and true in found.index_with_bias_interval


LEVELS = np.repeat([2.0, 4.0, 6.0, 8.0, 10.0], 6)


@covers("linearity of 5×6: slope, intercept")
def line_of_bias(rng: np.random.Generator) -> NDArray[np.bool_]:
    found = gauge_linearity(LEVELS * 1.004 - 0.01 + rng.normal(0, 0.02, LEVELS.size), LEVELS)
    assert found.slope.interval is not None
    assert found.intercept.interval is not None
    return np.array([0.004 in found.slope.interval, -0.01 in found.intercept.interval])


@covers("linearity of 5×6: residual standard deviation")
def residual_sd(rng: np.random.Generator) -> bool:
    found = gauge_linearity(LEVELS + rng.normal(0, 0.02, LEVELS.size), LEVELS)
    return found.residual_sd_interval is not None and 0.02 in found.residual_sd_interval


@covers("linearity of 5×6: band at all references together", safe_side=True)
def band(rng: np.random.Generator) -> bool:
    """Exact for the whole line from end to end of all numbers; five references ask a little less."""
    found = gauge_linearity(LEVELS * 1.004 - 0.01 + rng.normal(0, 0.02, LEVELS.size), LEVELS)
    return all(one.band is not None and 0.004 * one.reference - 0.01 in one.band for one in found.points)


@covers("linearity of 5×6: band along the whole line")
def band_everywhere(rng: np.random.Generator) -> bool:
    """No bias anywhere is found exactly where the band holds zero for every size there could be."""
    return not gauge_linearity(LEVELS + rng.normal(0, 0.02, LEVELS.size), LEVELS).bias_shown
