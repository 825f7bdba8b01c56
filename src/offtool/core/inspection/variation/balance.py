"""How evenly cavities fill, from their part weights."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import spreads_by_code
from offtool.core.inspection.variation.differences import CavityOffset, offsets_of
from offtool.core.inspection.variation.means import of_readings
from offtool.core.inspection.variation.table import CAVITIES, centred, coded, finite
from offtool.core.values import Caution, Interval, NotEnoughData, Range, Verdict

Array = NDArray[np.float64]
FILL_ONLY_PERCENT = 5.0
"""Common practice: 3 to 5 % between the lightest and the heaviest, hold pressure off; no source."""
STRICT_PERCENT = 3.0
PACKED_PERCENT = 2.0
"""Common practice: each cavity within 2 % of the mean of all, packed; no source."""
DRAWS = 4000
MAY_BE_EQUAL = 2.5
"""Standard errors of a difference."""
STEPS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityBalance:
    """Imbalance 100 (heaviest - lightest) / heaviest, and each cavity against the mean of all in per cent.

    `interval` is None where every cavity was weighed once. `offsets` hold for all cavities at once; their
    `offset` and `interval` are per cent, their `mean` is a weight.
    """

    imbalance_percent: float
    interval: Interval | None
    heaviest: str
    lightest: str
    offsets: tuple[CavityOffset, ...]
    limit_percent: float
    fill_only: bool
    verdict: Verdict
    to_do: str
    weights: int
    cavities: int
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": Range(meaning="part weights, one a part", unit="g", above=0),
        "cavities": CAVITIES,
        "fill_only": Range(meaning="whether the parts were filled without hold pressure"),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [2.41, 2.40, 2.42, 2.38, 2.37, 2.38, 2.44, 2.45, 2.44],
        "cavities": ["1", "1", "1", "2", "2", "2", "3", "3", "3"],
    },
    source="limits: common practice, no source; interval: our own, by what other imbalances would have shown",
)
def cavity_balance(
    values: Numbers, cavities: Texts, *, fill_only: bool = False, confidence: float = 0.95
) -> CavityBalance:
    """How evenly the cavities fill, from part weights.

    Imbalance = 100 (max - min) / max of the cavities' mean weights. Its interval: the cavities' distances are
    stretched and shrunk together, and kept are the imbalances under which what was found is no rarer than the
    confidence allows on either side (4000 seeded draws); for the lower end, cavities that may be as heavy as
    the heaviest or as light as the lightest count as such: chance differences are not taken for imbalance.
    Fill-only: holds at 5 % or less. Packed: holds where every cavity is within 2 % of the mean of all. Does
    not hold where the opposite is sure, else it is not shown.

    Returns: CavityBalance. Raises: NotEnoughData for one cavity.

    Holds when: parts of a cavity are alike and roughly normal, all from one setting.
    """
    weight = np.asarray(values, dtype=float)
    codes, labels = coded(cavities, weight.size, "cavities")
    if len(labels) < 2:
        raise NotEnoughData("one cavity has no balance", remedy="weigh parts of every cavity")
    apart, centre = centred(weight)
    found = of_readings(apart, codes, labels)
    spreads = spreads_by_code(apart, codes, labels)
    mean = centre + spreads.mean
    imbalance = finite(100 * float(np.ptp(mean) / mean.max()))
    interval, offsets = None, _bare_offsets(mean, labels, confidence)
    if found is not None:
        offsets = tuple(
            _percent(one, float(mean.mean())) for one in offsets_of(found, labels, centre, confidence)
        )
        sd = spreads.sd if found.sd is None else np.full(len(labels), found.sd)
        freedom = spreads.freedom if found.sd is None else np.array([int((spreads.parts - 1).sum())])
        errors = np.nan_to_num(sd) / np.sqrt(spreads.parts)
        interval = _imbalance_interval(mean, errors, freedom, imbalance, confidence)
    heaviest, lightest = labels[int(mean.argmax())], labels[int(mean.argmin())]
    verdict = _verdict(interval, offsets, fill_only=fill_only)
    return CavityBalance(
        imbalance_percent=imbalance,
        interval=interval,
        heaviest=heaviest,
        lightest=lightest,
        offsets=offsets,
        limit_percent=FILL_ONLY_PERCENT if fill_only else PACKED_PERCENT,
        fill_only=fill_only,
        verdict=verdict,
        to_do=_to_do(verdict, heaviest, lightest, fill_only=fill_only),
        weights=weight.size,
        cavities=len(labels),
        confidence=confidence,
        cautions=tuple(_cautions(interval, imbalance, labels, fill_only=fill_only)),
    )


def _imbalance_interval(
    mean: Array, errors: Array, freedom: NDArray[np.integer], found: float, confidence: float
) -> Interval:
    """Imbalances under which the found one is not too rare; distances are stretched along what was found."""
    if not (errors > 0).any():
        return Interval(low=found, high=found, confidence=confidence)
    noise = _noise(len(mean)) * errors[:, None] * _stretch(tuple(int(f) for f in freedom))
    centre, span = float(mean.mean()), float(np.ptp(mean))
    way = mean - centre
    if span <= 1e-12 * centre:  # equal means show no way: the widest, first against last
        way = np.zeros(len(mean))
        way[0], way[-1] = -centre / 100, centre / 100
        span = centre / 50
    widest = (span + 40 * float(errors.max())) / span
    tail = (1 - confidence) / 2

    def imbalance(stretch: float) -> float:
        there = centre + stretch * way
        return 100 * float(np.ptp(there) / there.max())

    def end(way: Array, wanted: float) -> float:
        """The stretch under which an imbalance as large as found comes with the wanted chance."""

        def as_large(stretch: float) -> float:
            drawn = (centre + stretch * way)[:, None] + noise
            most = drawn.max(axis=0)
            return float((100 * (most - drawn.min(axis=0)) >= found * most).mean())

        low, high = 0.0, widest
        if as_large(low) >= wanted:
            return 0.0
        for _ in range(STEPS):
            middle = (low + high) / 2
            low, high = (low, middle) if as_large(middle) >= wanted else (middle, high)
        return (low + high) / 2

    return Interval(
        low=min(imbalance(end(_drawn_to_ends(way, errors), tail)), found),
        high=max(imbalance(end(way, 1 - tail)), found),
        confidence=confidence,
    )


def _drawn_to_ends(way: Array, errors: Array) -> Array:
    """Cavities that may be as heavy as the heaviest, or as light as the lightest, are taken to be.

    Many equal cavities make the heaviest look heavier than it is: the lower end must allow for that.
    """
    top, bottom = int(way.argmax()), int(way.argmin())
    from_top = (way[top] - way) / np.maximum(np.hypot(errors, errors[top]), 1e-300)
    from_bottom = (way - way[bottom]) / np.maximum(np.hypot(errors, errors[bottom]), 1e-300)
    drawn = np.where(from_top < MAY_BE_EQUAL, way[top], way)
    lower = (from_bottom < MAY_BE_EQUAL) & (from_bottom < from_top)
    return np.asarray(np.where(lower, way[bottom], drawn))


@lru_cache(maxsize=32)
def _noise(cavities: int) -> Array:
    """Standard normal draws, each cavity's evenly spread, shuffled with a seed; [cavity, draw]."""
    rng = np.random.default_rng(0)
    even = special.ndtri((np.arange(DRAWS) + 0.5) / DRAWS)
    return np.stack([rng.permutation(even) for _ in range(cavities)])


@lru_cache(maxsize=64)
def _stretch(freedom: tuple[int, ...]) -> Array:
    """True over found standard deviation, drawn evenly, one row a spread."""
    rng = np.random.default_rng(1)
    even = (np.arange(DRAWS) + 0.5) / DRAWS
    rows = [np.sqrt(f / special.chdtri(f, rng.permutation(even))) for f in np.maximum(freedom, 1)]
    return np.stack(rows)


def _percent(one: CavityOffset, centre: float) -> CavityOffset:
    scale = 100 / centre
    return CavityOffset(
        cavity=one.cavity,
        mean=one.mean,
        offset=one.offset * scale,
        interval=Interval(
            low=one.interval.low * scale, high=one.interval.high * scale, confidence=one.interval.confidence
        ),
        p=one.p,
    )


def _bare_offsets(mean: Array, labels: tuple[str, ...], confidence: float) -> tuple[CavityOffset, ...]:
    """One weight a cavity: offsets without any interval."""
    open_ = Interval(low=-np.inf, high=np.inf, confidence=confidence)
    centre = float(mean.mean())
    return tuple(
        CavityOffset(cavity=label, mean=float(m), offset=100 * (float(m) / centre - 1), interval=open_, p=1.0)
        for label, m in zip(labels, mean, strict=True)
    )


def _verdict(interval: Interval | None, offsets: tuple[CavityOffset, ...], *, fill_only: bool) -> Verdict:
    if interval is None:
        return Verdict.NOT_SHOWN
    if fill_only:
        if interval.high <= FILL_ONLY_PERCENT:
            return Verdict.HOLDS
        return Verdict.FAILS if interval.low > FILL_ONLY_PERCENT else Verdict.NOT_SHOWN
    ends = [one.interval for one in offsets]
    if all(end.low >= -PACKED_PERCENT and end.high <= PACKED_PERCENT for end in ends):
        return Verdict.HOLDS
    outside = any(end.low > PACKED_PERCENT or end.high < -PACKED_PERCENT for end in ends)
    return Verdict.FAILS if outside else Verdict.NOT_SHOWN


def _to_do(verdict: Verdict, heaviest: str, lightest: str, *, fill_only: bool) -> str:
    if verdict is Verdict.HOLDS:
        return "nothing: the cavities fill evenly enough"
    if verdict is Verdict.NOT_SHOWN:
        return "weigh more parts of every cavity, ten each, from the same shots"
    if fill_only:
        return (
            f"even out the filling before any size is cut: cavity {lightest or '?'} lags, "
            f"cavity {heaviest or '?'} leads; compare gates, runners, vents and drop temperatures"
        )
    return (
        f"weigh fill-only parts to tell filling from packing, then compare gates, vents and cooling of "
        f"cavities {lightest or '?'} and {heaviest or '?'}; correct sizes of single cavities after that"
    )


def _cautions(
    interval: Interval | None, imbalance: float, labels: tuple[str, ...], *, fill_only: bool
) -> list[Caution]:
    cautions = []
    if interval is None:
        cautions.append(Caution("one weight a cavity: how sure the imbalance is cannot be said"))
    elif interval.high == interval.low:
        cautions.append(Caution("weights of a cavity are all equal: the balance is too coarse to see spread"))
    if fill_only and STRICT_PERCENT < imbalance <= FILL_ONLY_PERCENT:
        cautions.append(Caution("between 3 and 5 %: some ask for 3 % or less", "common practice, no source"))
    if "" in labels:
        cautions.append(Caution("cavity not recorded: its weights count as a cavity of their own"))
    return cautions
