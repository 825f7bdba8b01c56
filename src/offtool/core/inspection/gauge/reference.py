"""The reference study: one part of known size read again and again by one person with one gauge."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.capability import index_bounds, parts_to_show
from offtool.core.inspection.gauge.judgement import percent
from offtool.core.inspection.gauge.results import GaugeJudgement, GaugeReason
from offtool.core.inspection.gauge.shares import SPREAD, rooted, scaled
from offtool.core.inspection.gauge.study import PRACTICE
from offtool.core.inspection.limits import CONFIDENCE, VALUES, coarse_step
from offtool.core.inspection.mean_squares import MeanSquare, mean_square_interval
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.values import Caution, Interval, NotEnoughData, Range

ROOM = 0.20
"""Share of the tolerance that six deviations are compared with; common practice."""
INDEX_WANTED = 1.33
"""Common practice."""
FEWEST_READINGS = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyPart:
    """One contribution to a combined standard uncertainty."""

    source: str
    standard_uncertainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceStudy:
    """Bias and repeatability on one reference part.

    `repeatability_index` is 20 % of the tolerance over six deviations, `index_with_bias` what a bias leaves
    of it. Where all readings are equal, what rests on their spread is None.
    """

    mean: float
    reference: float
    bias: float
    bias_interval: Interval | None
    bias_p: float | None
    sd: float
    sd_interval: Interval | None
    of_tolerance: float | None
    of_tolerance_interval: Interval | None
    repeatability_index: float | None
    repeatability_index_interval: Interval | None
    index_with_bias: float | None
    index_with_bias_interval: Interval | None
    standard_uncertainty: float
    uncertainty_parts: tuple[UncertaintyPart, ...]
    judgement: GaugeJudgement
    reason: GaugeReason
    readings: int
    freedom: int
    tolerance: float | None
    reference_uncertainty: float
    resolution: float | None
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Index:
    """An index of the gauge and where it lies."""

    value: float
    interval: Interval


@formula(
    limits={
        "values": VALUES,
        "reference": Range(meaning="known size of the reference part", unit="as measured"),
        "tolerance": Range(
            meaning="upper less lower limit of the size; blank for no indices", unit="as measured", above=0
        ),
        "reference_uncertainty": Range(
            meaning="standard uncertainty of the reference", unit="as measured", at_least=0
        ),
        "resolution": Range(
            meaning="smallest step the gauge shows; blank when not known", unit="as measured", at_least=0
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [6.001, 6.002, 5.999, 6.001, 6.003, 6.000, 6.001, 6.002, 6.000, 6.001],
        "reference": 6.0,
        "tolerance": 0.06,
        "resolution": 0.001,
    },
    source="Student's t and chi-square; indices: common practice, bounds from chi-square and noncentral t",
)
def reference_gauge_study(
    values: Numbers,
    reference: float,
    *,
    tolerance: float | None = None,
    reference_uncertainty: float = 0.0,
    resolution: float | None = None,
    confidence: float = 0.95,
) -> ReferenceStudy:
    """How far readings of one known part scatter, and how far they lie off.

    Repeatability index 0.2 T / 6 s; with bias (0.1 T - |bias|) / 3 s. Combined standard uncertainty of one
    uncorrected reading: u = sqrt(s^2 + bias^2 + u_ref^2 + resolution^2 / 12).

    Returns: ReferenceStudy. Raises: NotEnoughData for fewer than two readings.

    Holds when: the part was taken out and put back before each reading; the interval of the index with bias
    is on the safe side, because the index is the smaller of two.

    Example: 10 readings of 6 mm, mean 6.001, s 0.00115 show an index of 1.73 with T 0.06 (by hand).
    """
    array = np.asarray(values, dtype=float)
    if array.size < 2:
        raise NotEnoughData(
            "one reading shows no repeatability", remedy=f"read the reference {FEWEST_READINGS} times or more"
        )
    (mean, sd), n = mean_and_sd(array), array.size
    bias, _ = mean_and_sd(array - reference)  # not mean less reference: that would lose digits
    interval, p = _bias(bias, sd, n, confidence)
    spread = rooted(mean_square_interval(MeanSquare(sd**2, n - 1), confidence)) if sd > 0 else None
    repeat = _repeatability_index(spread, sd, tolerance)
    with_bias = _index_with_bias(bias, sd, n, tolerance, confidence)
    judgement, reason = _judged(repeat, with_bias, tolerance, confidence)
    parts = _uncertainty(sd, bias, reference_uncertainty, resolution)
    return ReferenceStudy(
        mean=mean,
        reference=reference,
        bias=bias,
        bias_interval=interval,
        bias_p=p,
        sd=sd,
        sd_interval=spread,
        of_tolerance=None if tolerance is None else SPREAD * sd / tolerance,
        of_tolerance_interval=spread and (None if tolerance is None else scaled(spread, SPREAD / tolerance)),
        repeatability_index=repeat.value if repeat else None,
        repeatability_index_interval=repeat.interval if repeat else None,
        index_with_bias=with_bias.value if with_bias else None,
        index_with_bias_interval=with_bias.interval if with_bias else None,
        standard_uncertainty=hypot(*(part.standard_uncertainty for part in parts)),
        uncertainty_parts=parts,
        judgement=judgement,
        reason=reason,
        readings=n,
        freedom=n - 1,
        tolerance=tolerance,
        reference_uncertainty=reference_uncertainty,
        resolution=resolution,
        confidence=confidence,
        cautions=_cautions(n, sd, interval, bias, tolerance, reference_uncertainty, resolution),
    )


def _bias(bias: float, sd: float, n: int, confidence: float) -> tuple[Interval | None, float | None]:
    if not sd > 0:
        return None, None
    error = sd / sqrt(n)
    reach = float(special.stdtrit(n - 1, (1 + confidence) / 2)) * error
    p = 2 * float(special.stdtr(n - 1, -abs(bias) / error))
    return Interval(low=bias - reach, high=bias + reach, confidence=confidence), p


def _repeatability_index(spread: Interval | None, sd: float, tolerance: float | None) -> _Index | None:
    if spread is None or tolerance is None:
        return None
    room = ROOM * tolerance / SPREAD
    return _Index(
        value=room / sd,
        interval=Interval(low=room / spread.high, high=room / spread.low, confidence=spread.confidence),
    )


def _index_with_bias(
    bias: float, sd: float, n: int, tolerance: float | None, confidence: float
) -> _Index | None:
    if not sd > 0 or tolerance is None:
        return None
    value = (ROOM * tolerance / 2 - abs(bias)) / (SPREAD / 2 * sd)
    # A bound on each side: each takes half the risk.
    each = (1 + confidence) / 2
    low, high = index_bounds(np.array([value]), np.array([n]), n - 1, each, two_limits=True)
    return _Index(
        value=value, interval=Interval(low=float(low[0]), high=float(high[0]), confidence=confidence)
    )


def _judged(
    repeat: _Index | None, with_bias: _Index | None, tolerance: float | None, confidence: float
) -> tuple[GaugeJudgement, GaugeReason]:
    """By the index with bias; where only the bias keeps a steady gauge from it, it is fit for some uses."""
    if repeat is None or with_bias is None:
        return GaugeJudgement.NOT_SHOWN, _nothing_to_judge_by(tolerance)
    if with_bias.interval.low >= INDEX_WANTED:
        return GaugeJudgement.FIT, _reason("index with bias", with_bias)
    if with_bias.interval.high < INDEX_WANTED:
        if repeat.interval.low >= INDEX_WANTED:
            return GaugeJudgement.FIT_FOR_SOME, _reason(
                "index with bias", with_bias, "take out the bias: set the gauge, or correct every reading"
            )
        return GaugeJudgement.NOT_FIT, _reason("index with bias", with_bias)
    needed = None
    if with_bias.value > INDEX_WANTED:
        needed = parts_to_show(with_bias.value, INDEX_WANTED, confidence=(1 + confidence) / 2).parts
    settle = f"{needed} readings, if they scatter as these do" if needed else "take out bias, or scatter less"
    return GaugeJudgement.NOT_SHOWN, _reason("index with bias", with_bias, settle)


def _nothing_to_judge_by(tolerance: float | None) -> GaugeReason:
    sentence, settle = "no tolerance to compare with", "give the tolerance of the size"
    if tolerance is not None:
        sentence = "all readings are equal: the gauge is too coarse to show its own spread"
        settle = "read one digit more, or use a finer gauge"
    return GaugeReason(ratio="index with bias", value=None, interval=None, sentence=sentence, settle=settle)


def _reason(ratio: str, index: _Index, settle: str = "") -> GaugeReason:
    low, high = index.interval.low, index.interval.high
    sentence = (
        f"{ratio}: {index.value:.2f}, {low:.2f} to {high:.2f} with "
        f"{percent(index.interval.confidence)} confidence; {INDEX_WANTED} wanted"
    )
    return GaugeReason(
        ratio=ratio, value=index.value, interval=index.interval, sentence=sentence, settle=settle
    )


def _uncertainty(
    sd: float, bias: float, reference: float, resolution: float | None
) -> tuple[UncertaintyPart, ...]:
    sizes = {
        "repeatability": sd,
        "bias": abs(bias),
        "reference": reference,
        "resolution": (resolution or 0.0) / sqrt(12),
    }
    return tuple(UncertaintyPart(source=name, standard_uncertainty=size) for name, size in sizes.items())


def _cautions(
    n: int,
    sd: float,
    interval: Interval | None,
    bias: float,
    tolerance: float | None,
    reference: float,
    resolution: float | None,
) -> tuple[Caution, ...]:
    said = []
    if n < FEWEST_READINGS:
        said.append(Caution(f"only {n} readings: {FEWEST_READINGS} to 50 are usual", PRACTICE))
    if not sd > 0:
        said.append(Caution("all readings are equal: the gauge is too coarse to show its own spread"))
    said += coarse_step(resolution, tolerance)
    if interval is not None and 0 not in interval and abs(bias) <= 2 * reference:
        said.append(Caution("the bias is no larger than the reference may be off: check the reference first"))
    return tuple(said)
