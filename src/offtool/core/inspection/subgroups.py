"""Overall and within-subgroup indices: what production shows, and what it would if nothing wandered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.capability import index_bounds, index_values
from offtool.core.inspection.distribution.plausible import even_scores
from offtool.core.inspection.gauge.ranges import range_moments
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UPPER, VALUES, require_limits
from offtool.core.inspection.mean_squares import chance_of_ratio
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range

WANDERS_BELOW = 0.05
FEW_SUBGROUPS = 20
"""Common practice: 20 to 25 subgroups."""
DRAWS = 2000
SEED = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadIndex:
    """An index from one of the two spreads; `low` and `high` are each a one-sided bound.

    `potential` is None with one limit. `degrees_of_freedom` stand behind `sd`.
    """

    sd: float
    degrees_of_freedom: float
    value: float
    low: float
    high: float
    potential: float | None
    potential_low: float | None
    potential_high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SubgroupIndex:
    """Cp and Cpk from the spread inside subgroups, Pp and Ppk from the spread of all parts.

    `range_sd` is the mean range over d2, a check on the pooled deviation; `wander_p` is the p of equal
    subgroup means, None where subgroups are of one part.
    """

    within: SpreadIndex
    overall: SpreadIndex
    mean: float
    range_mean: float
    range_sd: float
    within_by: str
    wander_p: float | None
    parts: int
    subgroups: int
    smallest: int
    largest: int
    confidence: float
    lower: float | None
    upper: float | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": VALUES,
        "subgroups": Range(
            meaning="subgroup of each reading: consecutive shots of one cavity; all different for single "
            "parts in their order"
        ),
        "lower": LOWER,
        "upper": UPPER,
        "confidence": CONFIDENCE,
    },
    example={
        "values": [4.01, 4.02, 4.01, 3.99, 4.00, 4.00, 4.02, 4.03, 4.02, 4.00, 4.01, 4.00],
        "subgroups": ["1", "1", "1", "2", "2", "2", "3", "3", "3", "4", "4", "4"],
        "lower": 3.95,
        "upper": 4.05,
    },
    source="NIST/SEMATECH e-Handbook 6.1.6 (from memory); bounds from the noncentral t and chi-square "
    "distributions (Kotz and Johnson 1993, Process Capability Indices, ch. 2)",
)
def subgroup_index(
    values: Numbers,
    subgroups: Texts,
    *,
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
) -> SubgroupIndex:
    """What the process could do if its mean stood still, beside what it did.

    Cpk = min(U - mean, mean - L) / 3 s_w, s_w^2 = sum (x - subgroup mean)^2 / sum (n_i - 1); Ppk the same
    with the standard deviation of all parts; Cp, Pp = (U - L) / 6 s. Subgroups of one part: s_w^2 = sum of
    squared steps from one part to the next / 2 (n - 1), and the moving range as the check.

    Returns: SubgroupIndex. Raises: ImpossibleInput for missing or crossed limits, or unequal lists;
    NotEnoughData for fewer than 2 readings, or no spread.

    Holds when: a subgroup is a few consecutive shots of one cavity, made under the same conditions, normal;
    cavities are not mixed in one. Where subgroup means differ by more than the parts inside them explain
    (F, p < 0.05), the bounds count that: variances and mean are drawn from their pivots, the mean being only
    as sure as the number of subgroups makes it.

    Example: 30 published diameters in subgroups of three have s_w 0.0818, Cpk 0.752 and Ppk 0.781.
    """
    require_limits(lower, upper)
    array = np.asarray(values, dtype=float)
    if array.size != len(subgroups):
        raise ImpossibleInput(
            "subgroups", len(subgroups), "", f"must name the subgroup of each of {array.size} readings"
        )
    if array.size < 2:
        raise NotEnoughData("one part shows no spread", remedy="measure at least two parts of a subgroup")
    spreads = _spreads(array, np.unique(np.asarray(subgroups), return_inverse=True)[1])
    if not spreads.within > 0:
        raise NotEnoughData(
            "readings inside every subgroup are equal: they show no spread", remedy="use a finer gauge"
        )
    within, overall = (
        _index(spreads.mean, sd, freedom, array.size, lower, upper, confidence)
        for sd, freedom in (
            (spreads.within, spreads.within_freedom),
            (spreads.overall, array.size - 1.0),
        )
    )
    if spreads.wander:
        within, overall = _wandering(spreads, within, overall, lower, upper, confidence)
    single = spreads.sizes.max() == 1
    return SubgroupIndex(
        within=within,
        overall=overall,
        mean=spreads.mean,
        range_mean=spreads.range_mean,
        range_sd=spreads.range_sd,
        within_by="steps from one part to the next: subgroups of one" if single else "pooled over subgroups",
        wander_p=spreads.wander_p,
        parts=array.size,
        subgroups=spreads.sizes.size,
        smallest=int(spreads.sizes.min()),
        largest=int(spreads.sizes.max()),
        confidence=confidence,
        lower=lower,
        upper=upper,
        cautions=tuple(_cautions(spreads)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spreads:
    """Both spreads, and the sums of squares inside and between subgroups; 0 for subgroups of one."""

    mean: float
    sizes: NDArray[np.int64]
    within: float
    within_freedom: float
    overall: float
    inside: float
    between: float
    range_mean: float
    range_sd: float
    wander_p: float | None

    @property
    def wander(self) -> bool:
        """Whether subgroup means differ by more than chance."""
        return self.wander_p is not None and self.wander_p < WANDERS_BELOW


def _spreads(values: NDArray[np.float64], codes: NDArray[np.integer]) -> _Spreads:
    apart = values - values[0]
    count = values.size
    sizes = np.bincount(codes)
    mean, overall = float(values[0] + apart.mean()), float(apart.std(ddof=1))
    if sizes.max() == 1:
        steps = np.abs(np.diff(apart))
        return _Spreads(
            mean=mean,
            sizes=sizes,
            overall=overall,
            inside=0.0,
            between=0.0,
            within=float(np.sqrt((steps**2).sum() / (2 * (count - 1)))),
            # von Neumann 1941, Annals of Mathematical Statistics 12:367, the variance of squared steps
            within_freedom=2 * (count - 1) ** 2 / (3 * count - 4),
            range_mean=float(steps.mean()),
            range_sd=float(steps.mean() / range_moments(2)[0]),
            wander_p=None,
        )
    means = np.bincount(codes, weights=apart) / sizes
    inside = float(((apart - means[codes]) ** 2).sum())
    between = float((sizes * (means - apart.mean()) ** 2).sum())
    freedom, groups = count - sizes.size, sizes.size
    range_mean, range_sd = _ranges(apart, codes, sizes)
    return _Spreads(
        mean=mean,
        sizes=sizes,
        overall=overall,
        inside=inside,
        between=between,
        within=float(np.sqrt(inside / freedom)),
        within_freedom=float(freedom),
        range_mean=range_mean,
        range_sd=range_sd,
        wander_p=_wander_p(inside, between, freedom, groups),
    )


def _wander_p(inside: float, between: float, freedom: int, groups: int) -> float | None:
    """p of equal subgroup means; None with one subgroup."""
    if groups < 2:
        return None
    return chance_of_ratio(between / (groups - 1), inside / freedom, groups - 1, freedom)


def _ranges(
    values: NDArray[np.float64], codes: NDArray[np.integer], sizes: NDArray[np.int64]
) -> tuple[float, float]:
    """Mean range, and the deviation it stands for: each range over the d2 of its subgroup's size."""
    high, low = np.full(sizes.size, -inf), np.full(sizes.size, inf)
    np.maximum.at(high, codes, values)
    np.minimum.at(low, codes, values)
    several = sizes > 1
    ranges = (high - low)[several]
    expected = np.array([range_moments(int(size))[0] for size in sizes[several]])
    return float(ranges.mean()), float((ranges / expected).mean())


def _index(
    mean: float,
    sd: float,
    freedom: float,
    parts: int,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> SpreadIndex:
    two_limits = lower is not None and upper is not None
    value = index_values(np.array([mean]), sd, lower, upper)
    low, high = index_bounds(
        value,
        np.array([parts]),
        np.array([freedom]),
        confidence,
        two_limits=two_limits,
    )
    potential = (upper - lower) / (6 * sd) if upper is not None and lower is not None else None
    stretch = np.sqrt(special.chdtri(freedom, np.array([confidence, 1 - confidence])) / freedom)
    return SpreadIndex(
        sd=sd,
        degrees_of_freedom=freedom,
        value=float(value[0]),
        low=float(low[0]),
        high=float(high[0]),
        potential=potential,
        potential_low=None if potential is None else float(potential * stretch[0]),
        potential_high=None if potential is None else float(potential * stretch[1]),
    )


def _wandering(
    spreads: _Spreads,
    within: SpreadIndex,
    overall: SpreadIndex,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> tuple[SpreadIndex, SpreadIndex]:
    """Both with bounds that know of the wander: variances and mean drawn from their pivots, seeded."""
    count, groups = int(spreads.sizes.sum()), spreads.sizes.size
    scores = even_scores(3, DRAWS, SEED)
    share = special.ndtr(scores[:, :2])
    between = spreads.between / special.chdtri(groups - 1, share[:, 0])
    inside = spreads.inside / special.chdtri(spreads.within_freedom, share[:, 1])
    mean = spreads.mean + scores[:, 2] * np.sqrt(between / count)
    size = (count - (spreads.sizes**2).sum() / count) / (groups - 1)  # of an average subgroup
    total = np.sqrt(np.maximum(inside + (between - inside) / size, 0.0))
    return (
        _with_bounds(within, mean, np.sqrt(inside), lower, upper, confidence),
        _with_bounds(overall, mean, total, lower, upper, confidence),
    )


def _with_bounds(
    index: SpreadIndex,
    mean: NDArray[np.float64],
    sd: NDArray[np.float64],
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> SpreadIndex:
    """The index with the bounds that plausible means and deviations leave; the risk as in `index_bounds`."""
    limits = [(lower, None), (None, upper)]
    sides = [index_values(mean, sd, *one) for one in limits if one != (None, None)]
    sure = confidence if len(sides) == 1 else (1 + confidence) / 2
    found = replace(
        index,
        low=min(float(np.quantile(side, 1 - confidence)) for side in sides),
        high=min(float(np.quantile(side, sure)) for side in sides),
    )
    if lower is None or upper is None:
        return found
    low, high = (float(one) for one in np.quantile((upper - lower) / (6 * sd), [1 - confidence, confidence]))
    return replace(found, potential_low=low, potential_high=high)


def _cautions(spreads: _Spreads) -> list[Caution]:
    cautions = []
    if spreads.wander:
        cautions.append(
            Caution(
                f"subgroup means wander by more than the parts in them explain (p = {spreads.wander_p:.2g}): "
                "Cpk is what the process could do if it were held, Ppk what it did"
            )
        )
    if spreads.sizes.max() == 1:
        cautions.append(
            Caution(
                "subgroups of one part: the spread is taken from one part to the next, so their order must "
                "be the order of production"
            )
        )
    elif spreads.sizes.size == 1:
        cautions.append(Caution("one subgroup: within and overall are the same"))
    elif spreads.sizes.size < FEW_SUBGROUPS:
        cautions.append(
            Caution(
                f"{spreads.sizes.size} subgroups say little of how the mean wanders: {FEW_SUBGROUPS} or more",
                "common practice, no source",
            )
        )
    return cautions
