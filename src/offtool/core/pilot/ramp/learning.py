"""How the time of a piece falls with the number made, and what a pilot's hours say of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, log2, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.ramp.asked import LEARNING
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range
from offtool.handbook.defects import PRACTICE

Kind = Literal["unit", "cumulative average"]
Floats = NDArray[np.float64]

ADDED_UP = 10_000
"""Beyond it the sum of unit times is Euler and Maclaurin's, to better than ten digits."""
MOST_PIECES = 10**7
MOST_HOURS = 10_000
LEAST_HOURS = 3
TURNS = 40
STEEPEST, FLAT = 0.9, 1e-6
FASTEST = 0.51
"""No line learns faster; the curve has no end at 0.5."""
STEADY = Caution(
    "the last hours are no quicker than the first: no learning is shown",
    "comparison of the fitted rate with 1",
)
HALF_DOUBLING = Caution(
    "the quantity did not double in these hours: the learning rate is read from little", PRACTICE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LearningCurve:
    """Time of the last piece, mean of all up to it, and their sum."""

    piece_s: float
    average_s: float
    total_h: float
    exponent: float
    words: str
    first_s: float
    learning: float
    pieces: int
    kind: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LearningFound:
    """Learning rate with its interval, and the rate reached at the end of the hours, with its.

    Where the interval of the learning rate reaches 1, no learning is shown.
    """

    learning: float
    learning_interval: Interval
    rate_per_h: float
    rate_interval: Interval
    made: int
    spread: float
    hours: int
    words: str
    confidence: float
    cautions: tuple[Caution, ...] = ()

    @property
    def learning_for_ramp(self) -> tuple[float, float]:
        """Low and high learning rate as ramp_up takes them: at worst no learning, never people who forget."""
        return max(self.learning_interval.low, FASTEST), min(self.learning_interval.high, 1.0)


@formula(
    limits={
        "first_s": Range(meaning="time of the first piece", unit="s", above=0, at_most=1e7),
        "learning": LEARNING,
        "pieces": Range(meaning="pieces made", at_least=1, at_most=MOST_PIECES),
        "kind": Range(meaning="what falls by the learning rate: the time of a piece, or the mean of all"),
    },
    example={"first_s": 100.0, "learning": 0.8, "pieces": 20, "kind": "unit"},
    source="Wright 1936, Journal of the Aeronautical Sciences 3:122 (cumulative average); unit times after "
    "Crawford, from memory",
)
def learning_curve(first_s: float, *, learning: float, pieces: int, kind: Kind) -> LearningCurve:
    """How long the n-th piece takes, and all up to it, when time falls with every doubling.

    n^b with b = log2 of the learning rate. Unit: the n-th piece takes t1 n^b. Cumulative average: the mean of
    the first n is t1 n^b, so that the n-th takes t1 (n n^b - (n - 1) (n - 1)^b).

    Returns: LearningCurve.

    Holds when: the same people go on without a long break. The two kinds differ: a rate read from one must
    not be used in the other.

    Example: 80 %, unit: the 20th piece takes 0.3812 of the first, all twenty 10.485 times the first.
    """
    n, b = int(pieces), log2(learning)
    if kind == "unit":
        piece, total = n**b, sum_of_powers(n, b)
    else:
        total = n ** (1 + b)
        piece = total - (n - 1) ** (1 + b) if n > 1 else 1.0
    return LearningCurve(
        piece_s=first_s * piece,
        average_s=first_s * total / n,
        total_h=first_s * total / 3600,
        exponent=b,
        words=f"piece {n} takes {first_s * piece:.3g} s; all {n} take {first_s * total / 3600:.3g} h",
        first_s=first_s,
        learning=learning,
        pieces=n,
        kind=kind,
    )


def sum_of_powers(n: int, b: float) -> float:
    """1^b + 2^b + ... + n^b for -1 <= b <= 0."""
    few = min(n, ADDED_UP)
    total = float(np.sum(np.arange(1, few + 1, dtype=float) ** b))
    if n == few:
        return total
    # Euler-Maclaurin from the last one added: integral, half the ends, the first derivative
    last, end = float(few), float(n)
    between = log(end / last) if b == -1 else (end ** (1 + b) - last ** (1 + b)) / (1 + b)
    derivative = b * (end ** (b - 1) - last ** (b - 1))
    return float(total + between + (end**b - last**b) / 2 + derivative / 12)


@formula(
    limits={
        "pieces_each_hour": Range(meaning="pieces made in each hour, in order", above=0, at_most=1e6),
        "made_before": Range(
            meaning="pieces that the same people had made on this line before",
            at_least=0,
            at_most=MOST_PIECES,
        ),
        "confidence": CONFIDENCE,
    },
    example={"pieces_each_hour": [31, 39, 43, 48, 50, 54, 55, 58], "made_before": 0},
    source="least squares on the logarithms of rate and quantity, residuals normal",
)
def fit_learning(pieces_each_hour: Numbers, *, made_before: int, confidence: float = 0.95) -> LearningFound:
    """What learning the hours of a pilot show, and how fast the line was at their end.

    log rate = c + m log made by least squares; learning rate = 2^-m. For each hour the quantity is taken at
    which a line with that m has the hour's mean rate.

    Returns: LearningFound. Raises: NotEnoughData for fewer than three hours.

    Holds when: nothing else changed: stoppages and changed staffing are left out, or the hours corrected. The
    curve holds within what was made; carried on far beyond, it must be capped by the planned rate.

    Example: hours of an exact 85 % curve give 85 % back.
    """
    counts = np.asarray(pieces_each_hour, dtype=float)
    if counts.size < LEAST_HOURS:
        raise NotEnoughData(
            f"{counts.size} hours show no learning", remedy=f"count at least {LEAST_HOURS}, better eight"
        )
    if counts.size > MOST_HOURS:
        raise ImpossibleInput("pieces_each_hour", counts.size, "", f"must be at most {MOST_HOURS} hours")
    ends = made_before + np.cumsum(counts)
    x, m, error, sd = _fitted(counts, ends)
    freedom = counts.size - 2
    t = float(special.stdtrit(freedom, (1 + confidence) / 2))
    low, high = 2.0 ** -(m + t * error), 2.0 ** -(m - t * error)
    at_end = np.log(ends[-1]) - x.mean()
    level = float(np.log(counts).mean()) + m * at_end
    reach = t * sd * sqrt(1 / counts.size + at_end**2 / float(((x - x.mean()) ** 2).sum()))
    rate = float(np.exp(level))
    learning = 2.0**-m
    return LearningFound(
        learning=learning,
        learning_interval=Interval(low=low, high=high, confidence=confidence),
        rate_per_h=rate,
        rate_interval=Interval(
            low=rate * float(np.exp(-reach)), high=rate * float(np.exp(reach)), confidence=confidence
        ),
        made=int(ends[-1]),
        spread=sd,
        hours=counts.size,
        words=f"learning rate {100 * learning:.3g} % ({100 * low:.3g} to {100 * high:.3g}); "
        f"{rate:.3g} pieces an hour at the end",
        confidence=confidence,
        cautions=(
            *((STEADY,) if high >= 1 else ()),
            *((HALF_DOUBLING,) if ends[-1] < 2 * (made_before + counts[0]) else ()),
        ),
    )


def _fitted(counts: Floats, ends: Floats) -> tuple[Floats, float, float, float]:
    """Logarithm of the quantity of each hour, slope, its error, and the spread about the line."""
    y, m = np.log(counts), 0.0
    for _ in range(TURNS):  # where an hour stands depends on the slope, weakly: it settles in a few turns
        x = np.log(_stands_for(ends - counts, ends, m))
        apart = x - x.mean()
        m = float(apart @ (y - y.mean()) / (apart @ apart))
    left = y - y.mean() - m * apart
    sd = sqrt(float(left @ left) / (counts.size - 2))
    return x, m, sd / sqrt(float(apart @ apart)), sd


def _stands_for(starts: Floats, ends: Floats, m: float) -> Floats:
    """The quantity at which rate ~ made ** m is the mean rate of the hour, exactly."""
    m = float(np.clip(m, -STEEPEST, STEEPEST))
    m = m if abs(m) > FLAT else FLAT
    return np.asarray(((ends - starts) * (1 - m) / (ends ** (1 - m) - starts ** (1 - m))) ** (1 / m))
