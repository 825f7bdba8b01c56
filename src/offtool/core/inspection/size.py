"""The judgement of one size over its cavities: what holds, what does not, what is not shown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.capability import (
    PerformanceIndex,
    index_highs,
    index_lows,
    index_values,
    parts_to_show,
)
from offtool.core.inspection.conformity import Conformity, coverage_factor, zones
from offtool.core.inspection.limits import (
    CONFIDENCE,
    LOWER,
    UNCERTAINTY,
    UPPER,
    VALUES,
    require_limits,
)
from offtool.core.inspection.size_cautions import cautions_of_readings, leans_on_pooling
from offtool.core.inspection.spread import (
    CavitySpreads,
    mean_reach,
    spreads_by_code,
)
from offtool.core.values import Caution, ImpossibleInput, Interval, Range, Verdict

MUCH_FREEDOM = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityFinding:
    """One cavity: where its mean lies, how its parts spread, what is shown.

    The lower bound of `index` is this cavity's own; the upper holds for all cavities of the size at once.
    """

    cavity: str
    parts: int
    mean: float
    sd: float
    offset: float
    interval: Interval
    index: PerformanceIndex | None
    conformity: Conformity
    parts_outside: int
    parts_unsure: int
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeFinding:
    """One size over all its cavities; the verdict is that of its worst cavity."""

    verdict: Verdict
    cavities: tuple[CavityFinding, ...]
    lower: float | None
    upper: float | None
    target: float
    required_index: float | None
    gauge_uncertainty: float | None
    spread_pooled: bool
    confidence: float
    parts_needed: int | None = None
    cautions: tuple[Caution, ...] = ()

    @property
    def inside_so_far(self) -> bool:
        """Whether no reading was proven outside the limits."""
        return all(cavity.parts_outside == 0 for cavity in self.cavities)


@formula(
    limits={
        "values": VALUES,
        "cavities": Range(meaning="cavity of each reading"),
        "lower": LOWER,
        "upper": UPPER,
        "target": Range(
            meaning="where the mean should stand; the middle of the limits when blank", unit="as measured"
        ),
        "required_index": Range(
            meaning="Ppk that must be shown; blank: every reading must lie inside",
            above=0,
            usual=(0.67, 2.0),
            source="common practice, no source",
        ),
        "gauge_uncertainty": UNCERTAINTY,
        "gauge_freedom": Range(
            meaning="degrees of freedom behind that uncertainty; blank when it is well known", above=0
        ),
        "gauge_resolution": Range(meaning="smallest step of the gauge", unit="as measured", above=0),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [3.971, 3.968, 3.973, 3.970, 3.969, 3.972, 3.975, 3.974, 3.977, 3.973],
        "cavities": ["1", "1", "1", "1", "1", "2", "2", "2", "2", "2"],
        "lower": 3.98,
        "upper": 4.03,
        "required_index": 1.33,
        "gauge_uncertainty": 0.002,
    },
    source="ISO 22514-2 and ISO 14253-1, put together by offtool",
)
def judge_size(
    values: Numbers,
    cavities: Texts,
    *,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    required_index: float | None = None,
    gauge_uncertainty: float | None = None,
    gauge_freedom: float | None = None,
    gauge_resolution: float | None = None,
    confidence: float = 0.95,
) -> SizeFinding:
    """Whether a size holds in every cavity, does not hold in one, or is not shown.

    With a required index: holds when its lower bound reaches it in every cavity; does not hold when the upper
    bound stays below it, or a mean is proven outside. Without one: holds when every reading is proven inside
    by ISO 14253-1, does not hold when one is proven outside. Anything else is not shown, and `parts_needed`
    says how many parts a cavity would settle it.

    Returns: SizeFinding. Raises: ImpossibleInput for missing or crossed limits, unequal lists, no readings.

    Holds when: parts of a cavity are alike and roughly normal, from settled shots. Where the spread is
    pooled, the cavities spread alike; with few parts no test sees a spread of less than twice the others'.
    The verdict speaks for the set-up of the press that was measured: another one moves the means.
    """
    array = np.asarray(values, dtype=float)
    if array.size == 0 or array.size != len(cavities):
        raise ImpossibleInput(
            "cavities", len(cavities), "", f"must name the cavity of each of {array.size} readings"
        )
    labels, codes = np.unique(np.asarray(cavities), return_inverse=True)
    return judge_coded_size(
        array,
        codes,
        tuple(str(label) for label in labels),
        lower=lower,
        upper=upper,
        target=target,
        required_index=required_index,
        gauge_uncertainty=gauge_uncertainty,
        gauge_freedom=gauge_freedom,
        gauge_resolution=gauge_resolution,
        confidence=confidence,
    )


def judge_coded_size(
    values: NDArray[np.float64],
    codes: NDArray[np.integer],
    labels: tuple[str, ...],
    *,
    lower: float | None,
    upper: float | None,
    target: float | None,
    required_index: float | None,
    gauge_uncertainty: float | None,
    gauge_resolution: float | None,
    gauge_freedom: float | None = None,
    confidence: float = 0.95,
) -> SizeFinding:
    """`judge_size` for readings whose cavities are already numbered 0, 1, ... as in `labels`."""
    require_limits(lower, upper)
    aim = middle(lower, upper) if target is None else target
    spreads = spreads_by_code(values, codes, labels)
    uncertainty = gauge_uncertainty or 0.0
    # Equal readings show where the gauge's steps are, not how surely the mean is known.
    blind = np.where(spreads.sd > 0, spreads.sd, np.nan)
    reach = mean_reach(blind, spreads.parts, spreads.freedom, confidence)
    guard_band = coverage_factor(confidence, gauge_freedom) * uncertainty
    inside, outside = zones(values, guard_band, lower, upper)
    mean_inside, mean_outside = _mean_zones(
        spreads, uncertainty, gauge_freedom or MUCH_FREEDOM, lower, upper, confidence
    )
    parts_outside = np.bincount(codes, weights=outside, minlength=len(labels)).astype(int)
    parts_unsure = np.bincount(codes, weights=~(inside | outside), minlength=len(labels)).astype(int)
    index = _indices(spreads, lower, upper, confidence)

    found = tuple(
        CavityFinding(
            cavity=label,
            parts=int(spreads.parts[i]),
            mean=float(spreads.mean[i]),
            sd=float(spreads.sd[i]),
            offset=float(spreads.mean[i] - aim),
            interval=Interval(
                low=float(spreads.mean[i] - reach[i]),
                high=float(spreads.mean[i] + reach[i]),
                confidence=confidence,
            ),
            index=index[i],
            conformity=(
                Conformity.CONFORMS
                if mean_inside[i]
                else Conformity.NOT
                if mean_outside[i]
                else Conformity.UNSURE
            ),
            parts_outside=int(parts_outside[i]),
            parts_unsure=int(parts_unsure[i]),
            verdict=_verdict(
                index[i],
                required_index,
                mean_inside=bool(mean_inside[i]),
                mean_outside=bool(mean_outside[i]),
                outside=int(parts_outside[i]),
                unsure=int(parts_unsure[i]),
            ),
        )
        for i, label in enumerate(labels)
    )
    verdict = _worst(found)
    return SizeFinding(
        verdict=verdict,
        cavities=found,
        lower=lower,
        upper=upper,
        target=aim,
        required_index=required_index,
        gauge_uncertainty=gauge_uncertainty,
        spread_pooled=spreads.pooled,
        confidence=confidence,
        parts_needed=_parts_needed(found, required_index, spreads, confidence)
        if verdict is Verdict.NOT_SHOWN
        else None,
        cautions=(
            *leans_on_pooling(
                spreads, lower, upper, required_index, confidence, holds=verdict is Verdict.HOLDS
            ),
            *cautions_of_readings(spreads, lower, upper, gauge_uncertainty, gauge_resolution),
        ),
    )


def middle(lower: float | None, upper: float | None) -> float:
    """The middle of two limits; with one limit there is no middle, so the limit itself."""
    if lower is None or upper is None:
        return float(lower if lower is not None else upper)  # type: ignore[arg-type]
    return (lower + upper) / 2


def _mean_zones(
    spreads: CavitySpreads,
    uncertainty: float,
    gauge_freedom: float,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Means proven inside, and proven outside over all cavities, with gauge and sampling (GUM G.4)."""
    sampling = np.nan_to_num(spreads.sd**2 / spreads.parts, nan=0.0)
    combined = sampling + uncertainty**2
    effective = np.full(len(sampling), MUCH_FREEDOM)
    known = combined > 0
    shares = sampling[known] / combined[known], uncertainty**2 / combined[known]
    effective[known] = 1 / (
        shares[0] ** 2 / np.maximum(spreads.freedom[known], 1) + shares[1] ** 2 / gauge_freedom
    )
    effective = np.minimum(effective, MUCH_FREEDOM)
    u = np.sqrt(combined)
    inside, _ = zones(spreads.mean, special.stdtrit(effective, confidence) * u, lower, upper)
    over_all = over_cavities(confidence, len(sampling))
    _, outside = zones(spreads.mean, special.stdtrit(effective, over_all) * u, lower, upper)
    return inside & (spreads.freedom > 0), outside


def _indices(
    spreads: CavitySpreads, lower: float | None, upper: float | None, confidence: float
) -> list[PerformanceIndex | None]:
    """Each cavity's index; upper bounds hold for all cavities at once, since one suffices to fail a size."""
    known = (spreads.freedom > 0) & (np.nan_to_num(spreads.sd) > 0)
    if not known.any():
        return [None] * len(known)
    sd, freedom = np.where(known, spreads.sd, 1.0), np.maximum(spreads.freedom, 1)
    value = index_values(spreads.mean, sd, lower, upper)
    two_limits = lower is not None and upper is not None
    low = index_lows(value, spreads.parts, freedom, confidence)
    over_all = over_cavities(confidence, len(known))
    high = index_highs(value, spreads.parts, freedom, over_all, two_limits=two_limits)
    return [
        PerformanceIndex(
            value=float(value[i]),
            low=float(low[i]),
            high=float(high[i]),
            confidence=confidence,
            mean=float(spreads.mean[i]),
            sd=float(sd[i]),
            parts=int(spreads.parts[i]),
            degrees_of_freedom=int(freedom[i]),
            lower=lower,
            upper=upper,
        )
        if known[i]
        else None
        for i in range(len(known))
    ]


def over_cavities(confidence: float, cavities: int) -> float:
    """The confidence at which each of several cavities is judged so that all together keep it."""
    return 1 - (1 - confidence) / cavities


def _verdict(
    index: PerformanceIndex | None,
    required: float | None,
    *,
    mean_inside: bool,
    mean_outside: bool,
    outside: int,
    unsure: int,
) -> Verdict:
    """An index counts only where the gauge can show the mean inside: spread tells nothing of its bias."""
    if required is None:
        return Verdict.FAILS if outside else Verdict.NOT_SHOWN if unsure else Verdict.HOLDS
    if mean_outside or (index is not None and index.high < required):
        return Verdict.FAILS
    shown = index is not None and index.low >= required and mean_inside
    return Verdict.HOLDS if shown else Verdict.NOT_SHOWN


def _worst(found: tuple[CavityFinding, ...]) -> Verdict:
    verdicts = {cavity.verdict for cavity in found}
    return next(v for v in (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS) if v in verdicts)


def _parts_needed(
    found: tuple[CavityFinding, ...], required: float | None, spreads: CavitySpreads, confidence: float
) -> int | None:
    """Parts a cavity to show the index of the worst cavity that is still open; None where parts cannot show
    it."""
    if required is None:
        return None
    open_ = [c.index for c in found if c.index is not None and c.verdict is Verdict.NOT_SHOWN]
    if any(index.low >= required for index in open_):  # it is the gauge that cannot tell
        return None
    observed = [index.value for index in open_]
    if not observed or min(observed) <= required:
        return None
    cavities = len(found) if spreads.pooled else 1
    return parts_to_show(min(observed), required, cavities=cavities, confidence=confidence).parts
