"""How many parts to measure before the trial, for what is to be shown after it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass
from math import inf, isfinite, sqrt

from scipy import special

from offtool.core.formulas import formula
from offtool.core.inspection.capability import MOST_PARTS_WORTH_PLANNING
from offtool.core.inspection.limits import CONFIDENCE, PARTS, too_few
from offtool.core.inspection.tolerance import chance_below, one_sided_factor
from offtool.core.values import Caution, Range

MOST_PIECES = 10**7
FAR_ABOVE = 3.0
"""An observed index that must be so many times the required one is not met by good luck."""

SD = Range(meaning="standard deviation of the parts of one cavity", unit="as measured", above=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredIndex:
    """The index that must be observed so that the required one is shown."""

    observed_index: float
    required_index: float
    parts: int
    cavities: int
    degrees_of_freedom: int
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsToFindDifference:
    """Parts of each cavity, and the power that so many reach; both None beyond 1000 a cavity."""

    parts: int | None
    power_reached: float | None
    sd: float
    difference: float
    cavities: int
    pairs: int
    power: float
    significance: float
    method: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsToBoundFraction:
    """Parts to look at, and the confidence that they reach when no more than `seen` of them are bad."""

    parts: int | None
    confidence_reached: float | None
    fraction: float
    confidence: float
    seen: int
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsForMean:
    """Parts of a cavity, and half the width of the interval that they give."""

    parts: int | None
    half_width_reached: float | None
    sd: float
    half_width: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "required_index": Range(
            meaning="Ppk to be shown", above=0, usual=(0.67, 2.0), source="common practice, no source"
        ),
        "parts": PARTS,
        "cavities": Range(meaning="cavities over which the standard deviation is pooled", at_least=1),
        "confidence": CONFIDENCE,
    },
    example={"required_index": 1.33, "parts": 30},
    source="noncentral t distribution, as for performance_index",
)
def required_observed_index(
    required_index: float, parts: int, *, cavities: int = 1, confidence: float = 0.95
) -> RequiredIndex:
    """The Ppk that so many parts must give before a required one is shown.

    The index C0 whose lower bound is the required C: sqrt(n) 3 C0 is the quantile of the noncentral t with
    noncentrality 3 sqrt(n) C. `parts_to_show` asks it the other way round.

    Returns: RequiredIndex. Raises: NotEnoughData for one part.

    Holds when: as for performance_index.

    Example: 30 parts must give 1.72 to show 1.33 (the approximation of Bissell 1990 gives 1.71).
    """
    freedom = int(cavities) * (int(parts) - 1)
    if freedom < 1:
        raise too_few()
    observed = one_sided_factor(3 * required_index, int(parts), freedom, confidence) / 3
    far = Caution(
        f"{observed / required_index:.1f} times the required index must be seen: measure more parts",
        "common practice, no source",
    )
    return RequiredIndex(
        observed_index=observed,
        required_index=required_index,
        parts=int(parts),
        cavities=int(cavities),
        degrees_of_freedom=freedom,
        confidence=confidence,
        cautions=(far,) if observed > FAR_ABOVE * required_index else (),
    )


@formula(
    limits={
        "sd": SD,
        "difference": Range(
            meaning="difference of two cavity means that must not be missed", unit="as measured", above=0
        ),
        "cavities": Range(meaning="cavities of the tool, all compared with each other", at_least=2),
        "power": Range(meaning="how surely such a difference is to be found", above=0, below=1),
        "significance": Range(
            meaning="how often any pair of equal cavities may be said to differ", above=0, below=0.5
        ),
    },
    example={"sd": 0.01, "difference": 0.015, "cavities": 4},
    source="noncentral t distribution; the pairs by Bonferroni",
)
def parts_to_find_difference(
    sd: float, difference: float, *, cavities: int = 2, power: float = 0.9, significance: float = 0.05
) -> PartsToFindDifference:
    """How many parts of each cavity, so that a difference between two of them is found.

    Fewest n with P(|t| > t(1 - a / 2m, f)) >= power, t noncentral with d / (s sqrt(2 / n)), m pairs and
    f = cavities (n - 1) behind the pooled deviation. Exact for two cavities; for more, Bonferroni's limit for
    m pairs stands in for Tukey's, which is smaller, so that the number is on the safe side.

    Returns: PartsToFindDifference; `parts` is None beyond 1000 a cavity.

    Example: one standard deviation between two cavities, power 0.9: 23 of each (R, power.t.test: 22.02).
    """
    cavities = int(cavities)
    pairs = cavities * (cavities - 1) // 2
    ratio = difference / sd

    def reached(parts: int) -> float:
        return _power(ratio * sqrt(parts / 2), cavities * (parts - 1), significance / pairs)

    parts = _fewest(2, MOST_PARTS_WORTH_PLANNING, lambda n: reached(n) >= power)
    return PartsToFindDifference(
        parts=parts,
        power_reached=None if parts is None else reached(parts),
        sd=sd,
        difference=difference,
        cavities=cavities,
        pairs=pairs,
        power=power,
        significance=significance,
        method="exact" if pairs == 1 else "Bonferroni over all pairs: on the safe side",
    )


@formula(
    limits={
        "fraction": Range(meaning="share of bad parts that is to be ruled out", above=0, below=1),
        "confidence": CONFIDENCE,
        "seen": Range(meaning="bad parts that may be seen on the way", at_least=0, at_most=10**6),
    },
    example={"fraction": 0.05},
    source="binomial distribution, exact (Clopper and Pearson 1934, Biometrika 26:404)",
)
def parts_to_bound_fraction(
    fraction: float, *, confidence: float = 0.95, seen: int = 0
) -> PartsToBoundFraction:
    """How many parts to look at, so that few or no bad ones show the share of bad ones to be smaller.

    Fewest n with P(at most `seen` of n | fraction) <= 1 - confidence; without a bad one,
    n = ln(1 - confidence) / ln(1 - fraction).

    Returns: PartsToBoundFraction; `parts` is None beyond ten million.

    Holds when: every part is as likely to be bad as another, and every bad one is seen.

    Example: 59 parts without a bad one show less than 5 % with 95 % confidence; 299 show less than 1 %.
    """
    seen = int(seen)

    def reached(parts: int) -> float:
        return float(special.betainc(seen + 1, parts - seen, fraction))

    parts = _fewest(seen + 1, MOST_PIECES, lambda n: reached(n) >= confidence)
    return PartsToBoundFraction(
        parts=parts,
        confidence_reached=None if parts is None else reached(parts),
        fraction=fraction,
        confidence=confidence,
        seen=seen,
    )


@formula(
    limits={
        "sd": SD,
        "half_width": Range(meaning="how far the true mean may lie away", unit="as measured", above=0),
        "confidence": CONFIDENCE,
    },
    example={"sd": 0.01, "half_width": 0.005},
    source="NIST/SEMATECH e-Handbook 1.3.5.2, confidence limits for the mean, solved for the number",
)
def parts_for_mean(sd: float, half_width: float, confidence: float = 0.95) -> PartsForMean:
    """How many parts of a cavity, so that its mean is known to within a stated distance.

    Fewest n with t(1 - a/2, n - 1) s / sqrt(n) <= half width.

    Returns: PartsForMean; `parts` is None beyond 1000.

    Holds when: the parts spread as planned; a spread found larger widens the interval in proportion.

    Example: half a standard deviation either way takes 18 parts (independent bisection in the tests).
    """
    ratio = half_width / sd

    def reached(parts: int) -> float:
        return float(special.stdtrit(parts - 1, (1 + confidence) / 2)) / sqrt(parts)

    parts = _fewest(2, MOST_PARTS_WORTH_PLANNING, lambda n: reached(n) <= ratio)
    return PartsForMean(
        parts=parts,
        half_width_reached=None if parts is None else reached(parts) * sd,
        sd=sd,
        half_width=half_width,
        confidence=confidence,
    )


def _power(shift: float, freedom: int, significance: float) -> float:
    """P(|t| beyond its two-sided limit), t noncentral by `shift`."""
    if not isfinite(shift):
        return 1.0
    limit = -float(special.stdtrit(freedom, significance / 2))
    if not limit < inf:
        return 0.0
    return chance_below(limit, shift, 1, freedom) + chance_below(limit, -shift, 1, freedom)


def _fewest(least: int, most: int, enough: Callable[[int], bool]) -> int | None:
    """The smallest number that is enough, where every larger one is too; None beyond `most`."""
    count = bisect_left(range(least, most + 1), True, key=enough) + least
    return count if count <= most else None
