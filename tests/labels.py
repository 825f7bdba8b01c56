"""Where each expected number in a test comes from, said where it stands.

`published("1.3347", source="Author 2005, table 2, row 4")` equals all numbers that round to what is printed:
the tolerance is half the last printed digit, never chosen. The others are

- `remembered`: a published value written from memory, compared like a published one
- `practice`: a fact of the trade, common practice with no source
- `independent`: recomputed another way, and which
- `held`: our own output, kept only to notice change; never the only test of a formula
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np

ROUNDING = 1e-9
"""Binary fractions: 0.45 lies a hair beside the half digit of "0.5"."""


@dataclass(frozen=True, eq=False)
class Expected:
    """A number or an array with its tolerance and where it comes from; equal to what lies within."""

    value: Any
    tolerance: Any
    label: str
    source: str

    __array_ufunc__ = None  # so that numpy leaves `==` to this class
    __hash__ = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        value = np.asarray(self.value, dtype=float)
        if bool(np.any((np.asarray(self.tolerance) >= np.abs(value)) & (value != 0))):
            raise ValueError(f"a tolerance of {self.tolerance} tests nothing of {self.value}")
        if not self.source:
            raise ValueError(f"{self.label} {self.value}: say where it comes from")

    def __eq__(self, found: object) -> bool:
        found = np.asarray(found, dtype=float)
        expected = np.asarray(self.value, dtype=float)
        if found.shape != expected.shape:
            return False
        return bool((np.abs(found - expected) <= self.tolerance).all())

    def __repr__(self) -> str:
        return f"{self.value} ± {self.tolerance:.2g} ({self.label}: {self.source})"


def published(printed: str, *, source: str) -> Expected:
    """A printed number; `source` names author, edition, table or page."""
    return _printed(printed, "published", source)


def remembered(printed: str, *, source: str) -> Expected:
    """A printed number written from memory: the source was not open when the test was written."""
    return _printed(printed, "published, from memory", source)


def practice(printed: str) -> Expected:
    """A number of the trade."""
    return _printed(printed, "trade", "common practice, no source")


def independent(value: Any, *, way: str, rel: float = 1e-9, within: float = 0.0) -> Expected:
    """A number recomputed by another `way`, equal to `rel` of itself or `within`, whichever is wider."""
    size = float(np.max(np.abs(np.asarray(value, dtype=float)), initial=0.0))
    return Expected(value, max(rel * size, within), "independent", way)


def held(value: Any, *, rel: float = 1e-9) -> Expected:
    """What this program gave when the test was written."""
    return Expected(value, rel * abs(value), "held", "our own output")


def _printed(printed: str, label: str, source: str) -> Expected:
    number = Decimal(printed.replace("−", "-"))
    half_digit = float(Decimal((0, (5,), int(number.as_tuple().exponent) - 1)))
    return Expected(float(number), half_digit * (1 + ROUNDING), label, source)
