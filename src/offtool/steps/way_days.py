"""Working days from a day on: Monday to Friday, as toolmakers and laboratories work."""

from __future__ import annotations

from datetime import date
from math import ceil, floor

import numpy as np

ROUNDING = 1e-6
"""A step that is over by less than this has ended the day before."""


def day_begun(on: date, days: float) -> date:
    """The day on which something begins, so many working days from a day on."""
    return _shifted(on, floor(days + ROUNDING))


def day_done(on: date, days: float) -> date:
    """The day on whose evening so many working days are over."""
    return _shifted(on, max(ceil(days - ROUNDING) - 1, 0))


def days_until(on: date, day: date) -> float:
    """Working days from a day on until the morning of another; 0 where it lies before."""
    return max(float(np.busday_count(_first(on), day)), 0.0)


def days_through(on: date, day: date) -> float:
    """Working days from a day on until the evening of another; 0 where it lies before."""
    first = _first(on)
    return float(np.busday_count(first, day + (date.resolution))) if day >= first else 0.0


def _first(on: date) -> date:
    """The day itself, or the Monday after a weekend."""
    return _shifted(on, 0)


def _shifted(on: date, days: int) -> date:
    shifted: date = np.busday_offset(on, days, roll="forward").astype(object)
    return shifted


def day_in_words(day: date) -> str:
    """14 March 2026."""
    return f"{day.day} {day:%B} {day.year}"
