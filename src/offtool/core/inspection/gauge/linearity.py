"""Linearity: whether a gauge reads off by the same amount over its whole range."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.gauge.shares import rooted
from offtool.core.inspection.gauge.study import PRACTICE
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.inspection.mean_squares import MeanSquare, mean_square_interval
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range

FEWEST_REFERENCES = 5
NOT_STRAIGHT_BELOW = 0.05
ROUNDING = 1e-14
"""Of the size of a reading: what arithmetic alone leaves between numbers that are equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineValue:
    """A coefficient of the line of bias; interval and p are None where the readings lie exactly on it."""

    value: float
    standard_error: float
    interval: Interval | None
    p: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BiasAt:
    """Bias at one reference: the mean found, and the line with its simultaneous band."""

    reference: float
    readings: int
    mean_bias: float
    line_bias: float
    band: Interval | None
    bias_shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearityStudy:
    """The line of bias over the reference.

    `band` of each point holds at all references together. `bias_shown` is whether zero lies outside the band
    somewhere, for any reference; `zero_p` tests intercept and slope together. `lack_of_fit_p` is None without
    repeats, or with two references only.
    """

    slope: LineValue
    intercept: LineValue
    residual_sd: float
    residual_sd_interval: Interval | None
    points: tuple[BiasAt, ...]
    bias_shown: bool
    zero_p: float | None
    lack_of_fit_p: float | None
    worst: BiasAt
    worst_of_tolerance: float | None
    readings: int
    references: int
    freedom: int
    tolerance: float | None
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A least squares line through (x, y), from the mean of x."""

    centre: float
    height: float
    slope: float
    squares_of_x: float
    residual_squares: float
    count: int

    @property
    def freedom(self) -> int:
        return self.count - 2

    @property
    def variance(self) -> float:
        return self.residual_squares / self.freedom

    def at(self, x: NDArray[np.float64] | float) -> NDArray[np.float64]:
        return np.asarray(self.height + self.slope * (x - self.centre))

    def error_at(self, x: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Standard error of the line."""
        share = 1 / self.count + (np.asarray(x) - self.centre) ** 2 / self.squares_of_x
        return np.asarray(np.sqrt(self.variance * share))


@formula(
    limits={
        "values": VALUES,
        "references": Range(meaning="known size behind each reading", unit="as measured"),
        "tolerance": Range(
            meaning="upper less lower limit of the size; blank when not compared", unit="as measured", above=0
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [2.01, 2.00, 4.02, 4.01, 6.02, 6.03, 8.03, 8.05, 10.04, 10.06],
        "references": [2.0, 2.0, 4.0, 4.0, 6.0, 6.0, 8.0, 8.0, 10.0, 10.0],
        "tolerance": 0.5,
    },
    source="least squares; simultaneous band: Working and Hotelling 1929; digits: NIST StRD Norris",
)
def gauge_linearity(
    values: Numbers, references: Numbers, *, tolerance: float | None = None, confidence: float = 0.95
) -> LinearityStudy:
    """Whether the bias of a gauge changes over its range, and where it is worst.

    bias = intercept + slope reference; band: line +- sqrt(2 F(2, n - 2)) standard errors.

    Returns: LinearityStudy. Raises: ImpossibleInput for lists of unequal length; NotEnoughData for fewer than
    three readings or a single reference.

    Holds when: readings scatter alike at all references, and the line fits; where it does not, the mean bias
    of each reference stands and the band does not.

    Example: Norris, 36 ozone readings: slope 1.00211681802045 - 1, residual 0.884796396144373 (NIST StRD).
    """
    x, y = np.asarray(references, dtype=float), np.asarray(values, dtype=float)
    _refuse_too_few(x, y)
    bias = y - x
    line = _fitted(x, bias)
    levels, code = np.unique(x, return_inverse=True)
    points = _points(line, levels, code, bias, confidence)
    zero_p, straight_p = _zero_p(line), _lack_of_fit_p(line, code, bias)
    worst = max(points, key=lambda point: abs(point.mean_bias))
    residual = MeanSquare(line.variance, line.freedom)
    flat = not line.residual_squares > 0
    return LinearityStudy(
        slope=_coefficient(line, line.slope, sqrt(line.variance / line.squares_of_x), confidence),
        intercept=_coefficient(line, float(line.at(0.0)), float(line.error_at(0.0)), confidence),
        residual_sd=sqrt(line.variance),
        residual_sd_interval=None if flat else rooted(mean_square_interval(residual, confidence)),
        points=points,
        bias_shown=any(point.bias_shown for point in points) if zero_p is None else zero_p < 1 - confidence,
        zero_p=zero_p,
        lack_of_fit_p=straight_p,
        worst=worst,
        worst_of_tolerance=None if tolerance is None else abs(worst.mean_bias) / tolerance,
        readings=x.size,
        references=levels.size,
        freedom=line.freedom,
        tolerance=tolerance,
        confidence=confidence,
        cautions=_cautions(levels.size, straight_p, flat=flat),
    )


def _refuse_too_few(x: NDArray[np.float64], y: NDArray[np.float64]) -> None:
    if x.size != y.size:
        raise ImpossibleInput("references", x.size, "", f"must give one for each of {y.size} readings")
    if x.size < 3 or not np.ptp(x) > 0:
        raise NotEnoughData(
            f"{x.size} readings of {np.unique(x).size} references show no line",
            remedy="read five references over the range of the gauge, ten times each",
        )


def _fitted(x: NDArray[np.float64], y: NDArray[np.float64]) -> _Line:
    centre, height = float(x.mean()), float(y.mean())
    apart = x - centre
    squares = float(apart @ apart)
    slope = float(apart @ (y - height)) / squares
    rest = y - height - slope * apart
    left = float(rest @ rest)
    # What rounding alone leaves of readings on a line is no scatter.
    rounding = ROUNDING * (np.abs(x).max() + np.abs(y).max())
    return _Line(
        centre=centre,
        height=height,
        slope=slope,
        squares_of_x=squares,
        residual_squares=left if left > x.size * rounding**2 else 0.0,
        count=x.size,
    )


def _coefficient(line: _Line, value: float, error: float, confidence: float) -> LineValue:
    if not error > 0:
        return LineValue(value=value, standard_error=0.0, interval=None, p=None)
    reach = float(special.stdtrit(line.freedom, (1 + confidence) / 2)) * error
    return LineValue(
        value=value,
        standard_error=error,
        interval=Interval(low=value - reach, high=value + reach, confidence=confidence),
        p=2 * float(special.stdtr(line.freedom, -abs(value) / error)),
    )


def _points(
    line: _Line,
    levels: NDArray[np.float64],
    code: NDArray[np.int64],
    bias: NDArray[np.float64],
    confidence: float,
) -> tuple[BiasAt, ...]:
    count = np.bincount(code)
    mean = np.bincount(code, weights=bias) / count
    fitted = line.at(levels)
    reach = sqrt(2 * special.fdtri(2, line.freedom, confidence)) * line.error_at(levels)
    flat = not line.residual_squares > 0
    reach = np.full(levels.size, ROUNDING * np.abs(levels).max()) if flat else reach
    return tuple(
        BiasAt(
            reference=float(levels[i]),
            readings=int(count[i]),
            mean_bias=float(mean[i]),
            line_bias=float(fitted[i]),
            band=None
            if flat
            else Interval(
                low=float(fitted[i] - reach[i]), high=float(fitted[i] + reach[i]), confidence=confidence
            ),
            bias_shown=bool(abs(fitted[i]) > reach[i]),
        )
        for i in range(levels.size)
    )


def _zero_p(line: _Line) -> float | None:
    """p of a line of zero: F of intercept and slope together. Where it is small, the band leaves zero."""
    if not line.residual_squares > 0:
        return None
    explained = line.count * line.height**2 + line.slope**2 * line.squares_of_x
    return float(special.fdtrc(2, line.freedom, explained / 2 / line.variance))


def _lack_of_fit_p(line: _Line, code: NDArray[np.int64], bias: NDArray[np.float64]) -> float | None:
    """p of the means of the references against the line, by what repeats differ."""
    count = np.bincount(code)
    levels, n = count.size, line.count
    if levels < 3 or n == levels or not line.residual_squares > 0:
        return None
    mean = np.bincount(code, weights=bias) / count
    pure = float(((bias - mean[code]) ** 2).sum())
    if not pure > 0:
        return None
    f = max(0.0, line.residual_squares - pure) / (levels - 2) / (pure / (n - levels))
    return float(special.fdtrc(levels - 2, n - levels, f))


def _cautions(references: int, straight_p: float | None, *, flat: bool) -> tuple[Caution, ...]:
    said = []
    if references < FEWEST_REFERENCES:
        said.append(
            Caution(f"only {references} references: {FEWEST_REFERENCES} over the range are usual", PRACTICE)
        )
    if straight_p is not None and straight_p < NOT_STRAIGHT_BELOW:
        said.append(
            Caution(
                f"a straight line does not fit (p {straight_p:.2g}): go by the mean bias of each reference"
            )
        )
    if flat:
        said.append(Caution("readings lie exactly on a line: the gauge is too coarse to show its own spread"))
    return tuple(said)
