"""What the table of cavities by shots says: variances of its sources, and the sums of squares behind them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.variation.crossed import fit_crossed, line, within_blocks
from offtool.core.inspection.variation.table import Parts
from offtool.core.values import NotEnoughData

Array = NDArray[np.float64]
Method = Literal["analysis of variance", "REML"]


@dataclass(frozen=True, slots=True)
class Squares:
    """What the table says: estimates, and sums of squares with what each is the expectation of."""

    rest_squares: float
    rest_freedom: int
    rest: float
    method: Method
    cavity: float | None = None
    cavity_squares: float = 0.0
    cavity_factor: float = 0.0
    shot: float | None = None
    shot_squares: float = 0.0
    shot_freedom: int = 0
    shot_factor: float = 0.0
    drift: float | None = None
    slope: float = 0.0
    slope_squares: float = 0.0
    slope_factor: float = 0.0
    """Variance of the drift's estimate over that of a shot's mean, or the rest where shots are not told."""


def mean_squares(parts: Parts) -> Squares:
    width, count, n = len(parts.labels), len(parts.shots), parts.value.size
    blocks = within_blocks(parts) if width > 1 and count > 1 else None
    if blocks is None or blocks.freedom < 1:
        return _without_shots(parts, n - width, line_possible=count > 2)
    with_line = count > 2
    x = line(parts.shots)
    x_squares = float(x @ x)
    where = parts.measured
    a_shot = where.sum(axis=1)
    shot = blocks.shot - blocks.shot.mean()
    slope = float(x @ shot) / x_squares if with_line else 0.0
    shot_squares = float(np.square(shot - slope * x).sum())
    freedom = count - 1 - with_line
    # Variance of the shots' own values, averaged over what is left when the mean and the line are taken out.
    spread = where / a_shot[:, None]
    kept = spread - spread.mean(axis=0)
    own = float((1 / a_shot).sum()) * (1 - 1 / count)
    if with_line:
        kept = kept - np.outer(x, x @ kept) / x_squares
        own -= float(x**2 @ (1 / a_shot)) / x_squares
    shot_factor = (own + float(np.sum(kept.T @ kept * blocks.cavity_factor))) / freedom
    rest = blocks.squares / blocks.freedom
    shot_square = shot_squares / freedom
    ratio_cavity, ratio_slope = 0.0, shot_square
    method: Method = "analysis of variance"
    shot_variance = shot_square - shot_factor * rest
    cavity_value = blocks.cavity
    if parts.complete:
        ratio_cavity = 1 / count
    else:
        method = "REML"
        fit = fit_crossed(parts, with_shot=True, with_line=with_line)
        rest, shot_variance, cavity_value = fit.rest, fit.ratio * fit.rest, fit.cavity
        if with_line:
            slope, ratio_slope = fit.slope, fit.rest * fit.slope_factor * x_squares
        ratio_cavity = _average_factor(fit.cavity_factor)
    cavity_squares = float(np.square(cavity_value - cavity_value.mean()).sum())
    return Squares(
        rest_squares=blocks.squares,
        rest_freedom=blocks.freedom,
        rest=rest,
        method=method,
        cavity=max(0.0, cavity_squares / (width - 1) - ratio_cavity * rest),
        cavity_squares=cavity_squares,
        cavity_factor=ratio_cavity,
        shot=max(0.0, shot_variance),
        shot_squares=shot_squares,
        shot_freedom=freedom,
        shot_factor=shot_factor,
        drift=max(0.0, slope**2 * x_squares - ratio_slope) / (count - 1) if with_line else None,
        slope=slope,
        slope_squares=slope**2 * x_squares,
        slope_factor=ratio_slope / shot_square if shot_square > 0 else 1.0,
    )


def _without_shots(parts: Parts, freedom: int, *, line_possible: bool) -> Squares:
    """One part a shot, or one shot: what the shot does is in the part's share."""
    width = len(parts.labels)
    if freedom < 1:
        raise NotEnoughData(
            "every cavity was measured once: a part cannot be told from its cavity",
            remedy="measure at least two shots, better ten",
        )
    x = line(parts.shots)[parts.shot]
    inside = x - (np.bincount(parts.cavity, x) / np.bincount(parts.cavity))[parts.cavity]
    with_line = line_possible and freedom > 1 and float(inside @ inside) > 1e-9
    fit = fit_crossed(parts, with_shot=False, with_line=with_line)
    cavity_squares = float(np.square(fit.cavity - fit.cavity.mean()).sum())
    factor = _average_factor(fit.cavity_factor) if width > 1 else 0.0
    over_shots = line(parts.shots)
    x_squares = float(over_shots @ over_shots)
    squares, error = fit.slope**2 * x_squares, fit.rest * fit.slope_factor * x_squares
    return Squares(
        rest_squares=fit.rest * fit.freedom,
        rest_freedom=fit.freedom,
        rest=fit.rest,
        method="analysis of variance" if width == 1 or parts.complete else "REML",
        cavity=max(0.0, cavity_squares / (width - 1) - factor * fit.rest) if width > 1 else None,
        cavity_squares=cavity_squares,
        cavity_factor=factor,
        drift=max(0.0, squares - error) / (len(parts.shots) - 1) if with_line else None,
        slope=fit.slope,
        slope_squares=squares,
        slope_factor=fit.slope_factor * x_squares,
    )


def _average_factor(factor: Array) -> float:
    """Variance of one cavity's distance from their mean, averaged so that sums of squares come out right."""
    width = len(factor)
    return float((np.trace(factor) - factor.sum() / width) / (width - 1))
