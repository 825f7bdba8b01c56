"""The ratio of two means, and where it can lie: for a share that is lost, and for a change in per cent."""

from __future__ import annotations

from math import inf, sqrt

from scipy import special

from offtool.core.values import Interval


def quantile(freedom: float, confidence: float) -> float:
    """Standard errors of a mean at which a two-sided interval ends, by Student's t."""
    return float(special.stdtrit(freedom, (1 + confidence) / 2))


def interval_of_ratio(
    top: float,
    bottom: float,
    *,
    top_variance: float,
    bottom_variance: float,
    covariance: float = 0.0,
    freedom: float,
    confidence: float,
) -> Interval:
    """All r for which top - r bottom does not differ from zero (Fieller); variances are those of the means.

    Where the mean below may be zero, nothing can be said: both ends are infinite.
    """
    t2 = quantile(freedom, confidence) ** 2
    a = bottom**2 - t2 * bottom_variance
    b = top * bottom - t2 * covariance
    c = top**2 - t2 * top_variance
    if not a > 0:
        return Interval(low=-inf, high=inf, confidence=confidence)
    # Equal pieces leave b^2 = a c, less rounding.
    width = sqrt(max(b * b - a * c, 0.0))
    return Interval(low=(b - width) / a, high=(b + width) / a, confidence=confidence)
