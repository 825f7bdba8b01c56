"""Which family of distributions the readings are described by."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.distribution.correlation import correlation
from offtool.core.inspection.distribution.families import (
    CHOSEN,
    FAMILIES,
    Family,
    FamilyChoice,
    readings,
    usable,
)
from offtool.core.inspection.distribution.location_scale import Array
from offtool.core.inspection.distribution.normality import FEWEST_TESTED, p_normal, squared_distance
from offtool.core.inspection.limits import VALUES
from offtool.core.values import Caution, NotEnoughData, Range

MARGIN = 4.0
"""AICc by which another family must beat the normal. Common practice: a difference of 4 to 7 is taken as
clearly less support (Burnham and Anderson 2002, from memory); preferring the normal is our own rule."""
ENOUGH_TO_CHOOSE = 25
DOUBTFUL_BELOW = 0.05
COARSE_STEP = 0.5
"""Gauge step over standard deviation from which the steps alone look crooked in any test. Our own rule."""
BELOW_ZERO_SHARE = 1e-4

FAMILY = Range(meaning="family of distributions")
BOUNDED = Range(meaning="whether zero is the best there is: flatness, run-out, position")


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One family as fitted by maximum likelihood; the smaller its AICc, the better supported."""

    family: str
    parameters: tuple[float, ...]
    parameter_names: tuple[str, ...]
    log_likelihood: float
    aicc: float
    correlation: float
    p: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DistributionFit:
    """The family taken, why, and all that were compared, best supported first."""

    family: str
    why: str
    candidates: tuple[Candidate, ...]
    refused: tuple[str, ...]
    parts: int
    anderson_darling: float | None
    anderson_darling_p: float | None
    bounded_by_zero: bool
    cautions: tuple[Caution, ...] = ()

    @property
    def chosen(self) -> Candidate:
        """The candidate of the family taken."""
        return next(one for one in self.candidates if one.family == self.family)


@formula(
    limits={"values": VALUES, "family": FAMILY, "bounded_by_zero": BOUNDED},
    example={
        "values": [0.012, 0.031, 0.008, 0.022, 0.017, 0.041, 0.015, 0.026, 0.005, 0.019],
        "bounded_by_zero": True,
    },
    source="AICc (Hurvich and Tsai 1989); probability plot correlation (Filliben 1975; "
    "NIST/SEMATECH e-Handbook 1.3.3.22); the preference for the normal is offtool's own rule",
)
def choose_distribution(
    values: Numbers, *, family: FamilyChoice = "chosen by the data", bounded_by_zero: bool = False
) -> DistributionFit:
    """Which family of distributions describes the readings, and how well.

    All families that may describe them are fitted by maximum likelihood. The least
    AICc = -2 ln L + 2k + 2k(k + 1) / (n - k - 1) wins, but the normal stays unless it is beaten by more than
    4. The one taken is checked by the correlation of its probability plot (p from 999 seeded samples of that
    family) and, where it is the normal, by Anderson and Darling.

    Returns: DistributionFit. Raises: NotEnoughData for fewer than 4 readings, or equal ones; OfftoolError for
    a family that the readings cannot be of.

    Holds when: readings are independent and of one cavity: a mixture of cavities is none of these families.
    Folded normal and Rayleigh join only where zero is the best there is; they can also be asked for by name.

    Example: the 23 ball bearings of Lieblein and Zelen 1956 have Weibull shape 2.102 and scale 81.87.
    """
    array = readings(values)
    if array.size < 4:
        raise NotEnoughData(
            f"{array.size} readings cannot choose a family", remedy="measure at least 4 parts, better 25"
        )
    asked = None if family == CHOSEN else usable(family, array)
    ordered = np.sort(array)
    tried, refused = _may_be_used(ordered, bounded_by_zero, asked)
    candidates = sorted((_candidate(one, ordered) for one in tried), key=lambda one: one.aicc)
    taken, why = _taken(candidates, asked)
    statistic = squared_distance(array)[0] if taken == "normal" and array.size >= FEWEST_TESTED else None
    found = DistributionFit(
        family=taken,
        why=why,
        candidates=tuple(candidates),
        refused=tuple(refused),
        parts=array.size,
        anderson_darling=statistic,
        anderson_darling_p=None if statistic is None else p_normal(statistic, array.size),
        bounded_by_zero=bounded_by_zero,
    )
    return replace(found, cautions=tuple(_cautions(found, ordered, chosen=asked is None)))


def _may_be_used(
    values: Array, bounded_by_zero: bool, asked: Family | None
) -> tuple[list[Family], list[str]]:
    tried, refused = [], []
    for one in FAMILIES.values():
        why = one.refusal(values)
        if not why and one.bounded_by_zero_only and not bounded_by_zero and one is not asked:
            why = "only for a size that is at best zero"
        if why:
            refused.append(f"{one.name}: {why}")
        else:
            tried.append(one)
    return tried, refused


def _candidate(family: Family, ordered: Array) -> Candidate:
    parameters = family.fit(ordered)
    log_likelihood = float(family.log_density(ordered, *parameters).sum())
    k, n = len(family.parameters), ordered.size
    straight, p = correlation(family, ordered, parameters)
    return Candidate(
        family=family.name,
        parameters=tuple(float(one) for one in parameters),
        parameter_names=family.parameters,
        log_likelihood=log_likelihood,
        aicc=-2 * log_likelihood + 2 * k + 2 * k * (k + 1) / (n - k - 1),
        correlation=straight,
        p=p,
    )


def _taken(candidates: list[Candidate], asked: Family | None) -> tuple[str, str]:
    """The name of the family and the reason in words."""
    best = candidates[0]
    if asked is not None:
        return asked.name, "asked for"
    if len(candidates) == 1:
        return best.family, "no other family may describe these readings"
    normal = next(one for one in candidates if one.family == "normal")
    lead = normal.aicc - best.aicc
    if best is normal:
        return "normal", "no other family is better supported"
    if lead > MARGIN:
        return best.family, f"its AICc is {lead:.1f} less than the normal's, more than {MARGIN:g}"
    return (
        "normal",
        f"the {best.family} leads by only {lead:.1f} in AICc; {MARGIN:g} are asked to leave the normal",
    )


def _cautions(found: DistributionFit, ordered: Array, *, chosen: bool) -> list[Caution]:
    cautions = []
    if found.parts < ENOUGH_TO_CHOOSE and chosen:
        cautions.append(
            Caution(
                f"{found.parts} readings cannot tell one shape from another: {ENOUGH_TO_CHOOSE} at least",
                "common practice, no source",
            )
        )
    if found.chosen.p < DOUBTFUL_BELOW:
        cautions.append(
            Caution(
                f"the {found.family} does not describe these readings well: so crooked a probability plot "
                f"comes by chance once in {1 / found.chosen.p:.0f} samples; look for mixed cavities, drift, "
                "outliers"
            )
        )
    if found.anderson_darling_p is not None and found.anderson_darling_p < DOUBTFUL_BELOW <= found.chosen.p:
        cautions.append(
            Caution(f"Anderson-Darling speaks against the normal (p = {found.anderson_darling_p:.2g})")
        )
    if step := coarse_step(ordered):
        cautions.append(
            Caution(
                f"readings come in steps of {step:.3g}, half the standard deviation or more: the steps hide "
                "the shape and make every p smaller"
            )
        )
    if found.family == "normal" and found.bounded_by_zero:
        share = float(FAMILIES["normal"].cdf(np.zeros(()), *map(np.asarray, found.chosen.parameters)))
        if share > BELOW_ZERO_SHARE:
            cautions.append(Caution(f"the normal puts {100 * share:.2g} % of the parts below zero"))
    return cautions


def coarse_step(ordered: Array) -> float:
    """The gauge's step where readings repeat and it reaches half the standard deviation; 0 otherwise."""
    gaps = np.diff(ordered)
    real = gaps > 1e-9 * (ordered[-1] - ordered[0])
    if real.all() or not real.any():
        return 0.0
    step = float(gaps[real].min())
    return step if step >= COARSE_STEP * float(ordered.std()) else 0.0
