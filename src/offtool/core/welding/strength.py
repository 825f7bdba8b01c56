"""Whether a seam holds its requirement: from a few pulls, with a stated share and confidence."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.sample_size import parts_to_bound_fraction
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.inspection.tolerance import tolerance_interval
from offtool.core.values import Caution, Range, Verdict
from offtool.core.welding.cautions import PULLING
from offtool.core.welding.normal_bounds import (
    normal_quantile_bound,
    normal_quantile_upper,
    pulls_for_normal,
)
from offtool.core.welding.pulls import REQUIRED, SHARE, STOPPED, pulls, spread_seen
from offtool.core.welding.weibull import strength_below, weibull_mle
from offtool.core.welding.weibull_bounds import WeibullBounds

Method: TypeAlias = Literal["normal", "Weibull", "distribution-free"]

MOST_PULLS = 2000
"""Nobody pulls more seams apart to settle one question; our own limit."""

Pulled = NDArray[np.float64]
Stopped = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthBound:
    """What one way of looking says: the share asked for holds at least `low_n`, surely no more than `high_n`.

    Each with the confidence, on its own side. None where the pulls cannot say it.
    """

    method: Method
    low_n: float | None
    high_n: float | None
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthFinding:
    """The verdict, the bound that decides it, and how many more pulls would settle it.

    `more_pulls` is planned as if the next pulls were like those seen; None where the verdict stands, or no
    number of such pulls would show the requirement.
    """

    verdict: Verdict
    decided_by: Method | None
    bounds: tuple[StrengthBound, ...]
    low_n: float | None
    required_n: float
    share: float
    confidence: float
    mean_n: float
    sd_n: float | None
    smallest_n: float
    pulls: int
    stopped: int
    below_required: int
    share_below_low: float
    more_pulls: int | None
    cautions: tuple[Caution, ...] = ()

    def bound(self, method: Method) -> StrengthBound:
        """One of the three."""
        return next(one for one in self.bounds if one.method == method)


@formula(
    limits={
        "strengths_n": Range(
            meaning="pull at which each seam came apart, or was stopped", unit="N", at_least=0
        ),
        "required_n": REQUIRED,
        "stopped": STOPPED,
        "share": SHARE,
        "confidence": CONFIDENCE,
    },
    example={"strengths_n": [112, 96, 121, 104, 88, 117, 109, 99, 126, 130], "required_n": 60},
    source="ISO 16269-6:2014 (normal, distribution-free); Lawless 1978, Technometrics 20:355 (Weibull); "
    "put together by offtool",
)
def judge_strength(
    strengths_n: Numbers,
    required_n: float,
    *,
    stopped: Numbers | None = None,
    share: float = 0.99,
    confidence: float = 0.95,
) -> StrengthFinding:
    """Whether a share of all seams holds the requirement, shown with the confidence.

    The lower bound of the strength that the share exceeds, as normal (mean - k s), as Weibull, and with
    nothing assumed (the r-th smallest pull). The lower of normal and Weibull decides; where there are pulls
    enough for the bound without a distribution, that one alone. Holds: it reaches the requirement. Does not
    hold: even the higher of the upper bounds stays below it, or the pulls that came apart below it show too
    large a share. Anything else is not shown.

    Returns: StrengthFinding. Raises: NotEnoughData for no pull; ImpossibleInput where `stopped` does not fit.

    Holds when: seams are alike, welded at one setting, pulled at the speed and age that the requirement
    means. Stopped pulls count as "at least so strong", never as breaks: that would hide the spread above them
    and raise the normal bound. Without a distribution they stand at their stopped value, which is safe.

    Example: ten pulls of mean 110.2 and s 13.60, share 0.99: k 3.981, bound 56.1 (k: ISO 16269-6).
    """
    strengths, halted = pulls(strengths_n, stopped)
    below = int((strengths[~halted] < required_n).sum())
    bounds = (
        _normal(strengths, halted, share, confidence),
        _weibull(strengths, halted, share, confidence),
        _free(strengths, halted, share, confidence),
    )
    held = int((~(halted & (strengths < required_n))).sum())
    share_low = _share_at_least(below, held, confidence)
    decider = _decider(bounds)
    verdict = _verdict(bounds, decider, required_n, share_low > 1 - share)
    found = StrengthFinding(
        verdict=verdict,
        decided_by=None if decider is None else decider.method,
        bounds=bounds,
        low_n=None if decider is None else decider.low_n,
        required_n=required_n,
        share=share,
        confidence=confidence,
        mean_n=mean_and_sd(strengths)[0],
        sd_n=mean_and_sd(strengths)[1] if strengths.size > 1 else None,
        smallest_n=float(strengths.min()),
        pulls=strengths.size,
        stopped=int(halted.sum()),
        below_required=below,
        share_below_low=share_low,
        more_pulls=None,
        cautions=_cautions(strengths, halted, required_n, bounds),
    )
    if verdict is not Verdict.NOT_SHOWN:
        return found
    more = _more_pulls(strengths, halted, found)
    return replace(found, more_pulls=more, cautions=(*found.cautions, PULLING) if more else found.cautions)


def _normal(strengths: Pulled, halted: Stopped, share: float, confidence: float) -> StrengthBound:
    if why := _no_spread(strengths, halted):
        return StrengthBound(method="normal", low_n=None, high_n=None, why_not=why)
    return StrengthBound(
        method="normal",
        low_n=normal_quantile_bound(strengths, halted, 1 - share, confidence),
        high_n=normal_quantile_upper(strengths, halted, 1 - share, confidence),
    )


def _weibull(strengths: Pulled, halted: Stopped, share: float, confidence: float) -> StrengthBound:
    why = _no_spread(strengths, halted)
    if not why and strengths.min() <= 0:
        why = "a seam that held nothing is of no Weibull"
    if why:
        return StrengthBound(method="Weibull", low_n=None, high_n=None, why_not=why)
    found = WeibullBounds.of(strengths, halted)
    return StrengthBound(
        method="Weibull",
        low_n=found.strength_quantile(1 - share, 1 - confidence),
        high_n=found.strength_quantile(1 - share, confidence),
    )


def _free(strengths: Pulled, halted: Stopped, share: float, confidence: float) -> StrengthBound:
    found = tolerance_interval(
        strengths, share=share, confidence=confidence, sides="below", method="distribution-free"
    )
    if found.low_rank is not None:
        return StrengthBound(method="distribution-free", low_n=found.interval.low, high_n=None)
    needed = found.parts_needed or "too many"
    why = f"{strengths.size} pulls are too few: {needed} are needed"
    return StrengthBound(method="distribution-free", low_n=None, high_n=None, why_not=why)


def _no_spread(strengths: Pulled, halted: Stopped) -> str:
    if spread_seen(strengths, halted):
        return ""
    return "fewer than two pulls came apart, or all at one value: no spread is seen"


def _decider(bounds: tuple[StrengthBound, ...]) -> StrengthBound | None:
    """The bound without a distribution where there is one; else the lower of the others."""
    free = bounds[-1]
    if free.low_n is not None:
        return free
    known = [one for one in bounds[:-1] if one.low_n is not None]
    return min(known, key=lambda one: one.low_n or 0.0) if known else None


def _verdict(
    bounds: tuple[StrengthBound, ...], decider: StrengthBound | None, required: float, too_many: bool
) -> Verdict:
    highs = [one.high_n for one in bounds if one.high_n is not None]
    if too_many or (highs and max(highs) < required):
        return Verdict.FAILS
    if decider is not None and decider.low_n is not None and decider.low_n >= required:
        return Verdict.HOLDS
    return Verdict.NOT_SHOWN


def _share_at_least(below: int, of: int, confidence: float) -> float:
    """The share below the requirement is shown to be at least this; pulls stopped short are left out."""
    return float(special.betaincinv(below, of - below + 1, 1 - confidence)) if below else 0.0


def _more_pulls(strengths: Pulled, halted: Stopped, found: StrengthFinding) -> int | None:
    """As if the next were like those seen: normal and Weibull both, or enough for no distribution at all."""
    free = None
    if not found.below_required:
        free = parts_to_bound_fraction(1 - found.share, confidence=found.confidence).parts
    planned = [
        total
        for total in (_for_both(strengths, halted, found), free)
        if total is not None and total <= MOST_PULLS
    ]
    return max(min(planned) - strengths.size, 1) if planned else None


def _for_both(strengths: Pulled, halted: Stopped, found: StrengthFinding) -> int | None:
    if not spread_seen(strengths, halted) or strengths.min() <= 0:
        return None
    mean, sd = mean_and_sd(strengths)
    margin = (mean - found.required_n) / sd
    normal = pulls_for_normal(margin, found.share, found.confidence, MOST_PULLS)
    weibull = _pulls_for_weibull(strengths, halted, found)
    return None if normal is None or weibull is None else max(normal, weibull)


def _pulls_for_weibull(strengths: Pulled, halted: Stopped, found: StrengthFinding) -> int | None:
    """Fewest pulls that, lying at the fitted line's even shares, have a bound at the requirement."""
    shape, scale = weibull_mle(strengths, halted)
    if strength_below(1 - found.share, shape, scale) <= found.required_n:
        return None

    def reached(n: int) -> bool:
        even = scale * (-np.log1p(-(np.arange(n) + 0.5) / n)) ** (1 / shape)
        if not (even.min() > 0 and np.isfinite(even).all()):
            return False
        bound = WeibullBounds.of(even, np.zeros(n, dtype=bool))
        return bound.strength_quantile(1 - found.share, 1 - found.confidence) >= found.required_n

    few, many = 2, 4
    while not reached(many):
        few, many = many, many * 2
        if many > MOST_PULLS:
            return None
    while many - few > 1:
        middle = (few + many) // 2
        few, many = (few, middle) if reached(middle) else (middle, many)
    return many


def _cautions(
    strengths: Pulled, halted: Stopped, required: float, bounds: tuple[StrengthBound, ...]
) -> tuple[Caution, ...]:
    said = []
    if short := int((halted & (strengths < required)).sum()):
        said.append(Caution(f"{short} pulls were stopped below the requirement: they show little, pull on"))
    if halted.all():
        said.append(Caution("no pull came apart: how much stronger the seams are is not seen"))
    elif halted.any():
        said.append(
            Caution("stopped pulls count as at least so strong: wrong if they were stopped as they gave")
        )
    if (strengths == 0).any():
        said.append(Caution("a seam held nothing: find out why before any bound is believed"))
    normal, weibull = bounds[0].low_n, bounds[1].low_n
    if normal is not None and weibull is not None and (normal >= required) != (weibull >= required):
        said.append(
            Caution(
                f"normal ({normal:.3g} N) and Weibull ({weibull:.3g} N) disagree about the requirement: "
                "so few pulls cannot choose between them, the lower decides"
            )
        )
    return tuple(said)
