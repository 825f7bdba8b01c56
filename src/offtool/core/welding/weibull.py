"""The strength of a seam as a Weibull: the weakest place of its length decides."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp, log

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.values import Caution, Interval, Range
from offtool.core.welding.pulls import REQUIRED, STOPPED, pulls, require_two_broken
from offtool.core.welding.weibull_bounds import WeibullBounds

B10 = 0.10
"""The share that lies below the strength named after it."""
LINE_POSITIONS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.99, 0.999)
LARGEST_LOG = 700.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WeibullPoint:
    """One pull that came apart on the probability plot: its strength and the share taken to lie below it."""

    strength_n: float
    position: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeibullLine:
    """The fitted line at one share: the strength below which it lies, and where that may be."""

    position: float
    strength_n: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class WeibullFit:
    """The fit and what few pulls leave open; shape, scale and line are missing where no pull came apart.

    `share_below` is the share of all seams weaker than `required_n`; `share_at_most` is its bound on the one
    side that matters, with the confidence. `b10_n` is the strength that nine of ten seams exceed.
    """

    shape: float | None
    scale_n: float | None
    b10_n: float | None
    shape_interval: Interval | None
    scale_interval: Interval | None
    b10_interval: Interval | None
    required_n: float | None
    share_below: float | None
    share_interval: Interval | None
    share_at_most: float | None
    pulls: int
    came_apart: int
    stopped: int
    confidence: float
    points: tuple[WeibullPoint, ...] = field(repr=False)
    line: tuple[WeibullLine, ...] = field(repr=False)
    stopped_n: tuple[float, ...] = field(default=(), repr=False)
    """Where pulls were stopped, for the plot."""
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "strengths_n": Range(
            meaning="pull at which each seam came apart, or was stopped",
            unit="N",
            above=0,
            remedy="a seam that held nothing was open: leave it out and count it as a failure",
        ),
        "stopped": STOPPED,
        "required_n": REQUIRED,
        "confidence": CONFIDENCE,
    },
    example={"strengths_n": [112, 96, 121, 104, 88, 117, 109, 99, 126, 130], "required_n": 60},
    source="maximum likelihood with stopped pulls; bounds by Lawless 1978, Technometrics 20:355; positions "
    "by Johnson 1964 (adjusted ranks), exact medians",
)
def fit_weibull(
    strengths_n: Numbers,
    *,
    stopped: Numbers | None = None,
    required_n: float | None = None,
    confidence: float = 0.95,
) -> WeibullFit:
    """What Weibull the pulls of a seam come from, and how surely few of them say so.

    P(strength > x) = exp(-(x / scale)^shape). The shape is the root of
    sum x^b ln x / sum x^b - 1/b = mean ln x over those that came apart; sums run over all pulls. Intervals
    are conditional on the pattern of the pulls: exact without stopped ones, or all stopped at the last break.

    Returns: WeibullFit. Raises: NotEnoughData for no pull, one that came apart beside others stopped, or
    equal ones; ImpossibleInput where `stopped` does not fit the strengths.

    Holds when: seams are alike, and a pull was stopped for a reason that has nothing to do with its seam (the
    gauge's end, a proof load). Where all were stopped there is no fit, only the binomial bound on the share.

    Example: ten breaks from 54 to 386 and ten stopped at 500 give shape 1.7208 and scale 606.53
    (NIST/SEMATECH e-Handbook 8.4.1.2).
    """
    strengths, halted = pulls(strengths_n, stopped)
    if halted.all():
        return _all_stopped(strengths, required_n, confidence)
    require_two_broken(strengths, halted)
    shape, scale = weibull_mle(strengths, halted)
    bounds = WeibullBounds.of(strengths, halted)
    low, high = (1 - confidence) / 2, (1 + confidence) / 2

    def strength(share: float) -> Interval:
        return Interval(
            low=bounds.strength_quantile(share, low),
            high=bounds.strength_quantile(share, high),
            confidence=confidence,
        )

    share_interval = None
    if required_n is not None:
        ends = (bounds.share_quantile(required_n, p) for p in (low, high))
        share_interval = Interval(low=next(ends), high=next(ends), confidence=confidence)
    return WeibullFit(
        shape=shape,
        scale_n=scale,
        b10_n=strength_below(B10, shape, scale),
        shape_interval=Interval(
            low=bounds.shape_quantile(low), high=bounds.shape_quantile(high), confidence=confidence
        ),
        scale_interval=strength(1 - exp(-1)),
        b10_interval=strength(B10),
        required_n=required_n,
        share_below=None if required_n is None else share_weaker(required_n, shape, scale),
        share_interval=share_interval,
        share_at_most=None if required_n is None else bounds.share_quantile(required_n, confidence),
        pulls=strengths.size,
        came_apart=int((~halted).sum()),
        stopped=int(halted.sum()),
        confidence=confidence,
        points=plot_points(strengths, halted),
        line=tuple(
            WeibullLine(position=p, strength_n=strength_below(p, shape, scale), interval=strength(p))
            for p in LINE_POSITIONS
        ),
        stopped_n=tuple(sorted(strengths[halted].tolist())),
        cautions=_cautions(strengths, halted),
    )


def weibull_mle(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> tuple[float, float]:
    """Shape and scale; the pulls show a spread."""
    unit = float(strengths.max())
    logs = np.log(strengths) - log(unit)
    mean = float(logs[~stopped].mean())
    spread = max(float(np.std(logs)), 1e-15)

    def excess(log_shape: float) -> float:
        shape = exp(log_shape)
        weight = np.exp(shape * logs)
        return float(weight @ logs / weight.sum()) - mean - 1 / shape

    low = high = -log(spread)
    while excess(low) > 0:
        low -= 1
    while excess(high) < 0 and high < LARGEST_LOG:
        high += 1
    shape = exp(optimize.brentq(excess, low, high, xtol=1e-13, rtol=1e-14))
    level = log(float(np.exp(shape * logs).sum()) / int((~stopped).sum())) / shape
    return shape, unit * exp(min(level, LARGEST_LOG))


def strength_below(share: float, shape: float, scale: float) -> float:
    """The strength below which this share of the seams lies."""
    return scale * exp(max(log(-float(np.log1p(-share))) / shape, -LARGEST_LOG))


def share_weaker(strength: float, shape: float, scale: float) -> float:
    """The share of the seams that lie below this strength."""
    return -float(np.expm1(-exp(min(shape * log(strength / scale), LARGEST_LOG))))


def plot_points(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> tuple[WeibullPoint, ...]:
    """Each break at the median of its rank; a stopped pull shares its rank among the breaks above it."""
    n = strengths.size
    order = np.lexsort((stopped, strengths))  # a pull stopped at the value of a break held longer
    points, rank = [], 0.0
    for place, pull in enumerate(order):
        if not stopped[pull]:
            rank += (n + 1 - rank) / (n - place + 1)
            middle = float(special.betaincinv(rank, n + 1 - rank, 0.5))
            points.append(WeibullPoint(strength_n=float(strengths[pull]), position=middle))
    return tuple(points)


def _all_stopped(strengths: NDArray[np.float64], required_n: float | None, confidence: float) -> WeibullFit:
    """No pull came apart: a bound on the share below what was reached, and no fit."""
    reached = float(strengths.min()) if required_n is None else required_n
    proven = int((strengths >= reached).sum())
    bound = -float(np.expm1(np.log1p(-confidence) / proven)) if proven else 1.0
    two_sided = -float(np.expm1(np.log((1 - confidence) / 2) / proven)) if proven else 1.0
    none = Caution(
        f"no pull came apart: there is no fit; {proven} that held {reached:g} N show at most "
        f"{100 * bound:.2g} % weaker"
    )
    return WeibullFit(
        shape=None,
        scale_n=None,
        b10_n=None,
        shape_interval=None,
        scale_interval=None,
        b10_interval=None,
        required_n=reached,
        share_below=None,
        share_interval=Interval(low=0.0, high=two_sided, confidence=confidence),
        share_at_most=bound,
        pulls=strengths.size,
        came_apart=0,
        stopped=strengths.size,
        confidence=confidence,
        points=(),
        line=(),
        stopped_n=tuple(sorted(strengths.tolist())),
        cautions=(none,),
    )


def _cautions(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> tuple[Caution, ...]:
    said = []
    broken = int((~stopped).sum())
    if broken < 5:
        said.append(Caution(f"{broken} pulls came apart: the line rests on them alone, its ends are wide"))
    early = stopped & (strengths < strengths[~stopped].max())
    if early.any():
        said.append(
            Caution(
                f"{int(early.sum())} pulls were stopped below the strongest break: the bounds are "
                "approximate, and wrong if they were stopped because they began to give"
            )
        )
    return tuple(said)
