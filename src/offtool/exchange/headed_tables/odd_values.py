"""Values far from the others of their column, as a slip of the unit or of the decimal mark leaves them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median
from typing import NamedTuple

from offtool.core.values import Caution
from offtool.exchange.headed_tables.fields import Told

FEWEST = 4
"""With fewer values a median says little."""
FAR = 100.0
"""Units beside each other lie a thousand apart; what one joint or seam holds varies far less."""
ALONE = 5.0
"""A lost decimal mark makes a value ten times as large (common practice, no source)."""
_LISTED = 5


class ValueRead(NamedTuple):
    """A value in the unit that is kept; rows count from 1."""

    row: int
    value: float


def far_from_median(told: Told, values: Sequence[ValueRead], *, or_else: str = "") -> Iterator[Caution]:
    """A caution for each value more than 100 times above or below the median of its column.

    `or_else` is what else a value so small may mean, such as an open seam.
    """
    above_nothing = [one for one in values if one.value > 0]
    if len(above_nothing) < FEWEST:
        return
    middle = median(one.value for one in above_nothing)
    odd = [one for one in above_nothing if not middle / FAR <= one.value <= FAR * middle]
    for one in odd[:_LISTED]:
        asked = f"another unit, or {or_else}?" if or_else and one.value < middle else "another unit?"
        yield Caution(f"{_named(told, one)} {_against(one.value / middle)}: {asked}")
    if len(odd) > _LISTED:
        yield Caution(f"{_column(told)}: {len(odd) - _LISTED:,} more rows like that: another unit?")


def far_above_the_next(told: Told, values: Sequence[ValueRead]) -> Iterator[Caution]:
    """A caution where the highest value is far above the next, and not so far as to be of another unit."""
    if len(values) < FEWEST:
        return
    next_highest, highest = sorted(values, key=lambda one: one.value)[-2:]
    middle = median(one.value for one in values if one.value > 0) if highest.value > 0 else 0.0
    if ALONE * next_highest.value < highest.value <= FAR * middle and next_highest.value > 0:
        times = _about(highest.value / next_highest.value)
        yield Caution(
            f"{_named(told, highest)} is about {times} times the next highest of the column: is the decimal "
            "mark in its place?"
        )


def _named(told: Told, one: ValueRead) -> str:
    return f"{_column(told)}: row {one.row}"


def _column(told: Told) -> str:
    return f"column {told.column + 1}, {told.text!r}"


def _against(ratio: float) -> str:
    if ratio > 1:
        return f"is about {_about(ratio)} times the median of the column"
    return f"is so small that the median of the column is about {_about(1 / ratio)} times as large"


def _about(ratio: float) -> str:
    """To two digits that count: 1,000; 9.7."""
    return f"{float(f'{ratio:.2g}'):,g}" if ratio < 100_000 else f"{ratio:.1e}"
