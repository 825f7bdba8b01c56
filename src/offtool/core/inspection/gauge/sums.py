"""Sums of squares of balanced crossed and nested studies."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from scipy import special

from offtool.core.inspection.gauge.design import Design
from offtool.core.inspection.gauge.layout import Layout
from offtool.core.inspection.gauge.results import INTERACTION, OPERATOR, PART, REPEATABILITY, TOTAL, AnovaRow

POOL_ABOVE = 0.25
"""p of the interaction above which it is taken as repeatability; common practice, no source."""
POOLED = "repeatability with interaction"

Sums = Mapping[str, tuple[float, int]]
"""Sum of squares and freedom of each source."""


def crossed_sums(layout: Layout) -> Sums:
    """Two-way: parts, operators, what the two do together, and repeats."""
    p, o, r = layout.readings.shape
    cell = layout.cell_means
    part, operator, mean = cell.mean(axis=1), cell.mean(axis=0), cell.mean()
    together = cell - part[:, None] - operator[None, :] + mean
    return {
        PART: (o * r * _squares(part - mean), p - 1),
        OPERATOR: (p * r * _squares(operator - mean), o - 1),
        INTERACTION: (r * _squares(together), (p - 1) * (o - 1)),
        REPEATABILITY: (_within(layout), p * o * (r - 1)),
        TOTAL: (_squares(layout.readings - mean), p * o * r - 1),
    }


def nested_sums(layout: Layout) -> Sums:
    """Operators, parts within an operator, repeats within a part."""
    o, p, r = layout.readings.shape
    part = layout.cell_means
    operator, mean = part.mean(axis=1), part.mean()
    return {
        OPERATOR: (p * r * _squares(operator - mean), o - 1),
        PART: (r * _squares(part - operator[:, None]), o * (p - 1)),
        REPEATABILITY: (_within(layout), o * p * (r - 1)),
        TOTAL: (_squares(layout.readings - mean), p * o * r - 1),
    }


def pooled_sums(sums: Sums) -> tuple[float, int]:
    """Repeatability and interaction together."""
    both = sums[INTERACTION], sums[REPEATABILITY]
    return both[0][0] + both[1][0], both[0][1] + both[1][1]


def interaction_p(sums: Sums) -> float | None:
    """p of the interaction against repeatability; None where they cannot be told apart."""
    return row(INTERACTION, sums[INTERACTION], sums[REPEATABILITY]).p


def mean_squares(design: Design, sums: Sums) -> tuple[float, ...]:
    """In the order of the design."""
    return tuple(sums[source][0] / sums[source][1] for source in design.sources)


def row(source: str, own: tuple[float, int], against: tuple[float, int] | None = None) -> AnovaRow:
    """One line, with F and p against another source where both have freedom and the other is not zero."""
    squares, freedom = own
    mean_square = squares / freedom if freedom else None
    if mean_square is None or against is None or against[1] == 0 or not against[0] > 0:
        return AnovaRow(source=source, sum_of_squares=squares, freedom=freedom, mean_square=mean_square)
    f = mean_square / (against[0] / against[1])
    return AnovaRow(
        source=source,
        sum_of_squares=squares,
        freedom=freedom,
        mean_square=mean_square,
        f=f,
        p=float(special.fdtrc(freedom, against[1], f)),
    )


def crossed_rows(sums: Sums, *, pool: bool) -> tuple[AnovaRow, ...]:
    """The table; main effects are tested against the interaction, or against what it was pooled into."""
    if sums[OPERATOR][1] == 0:
        return (
            row(PART, sums[PART], sums[REPEATABILITY]),
            row(REPEATABILITY, sums[REPEATABILITY]),
            row(TOTAL, sums[TOTAL]),
        )
    against = pooled_sums(sums) if pool else sums[INTERACTION]
    rows = [
        row(PART, sums[PART], against),
        row(OPERATOR, sums[OPERATOR], against),
        row(INTERACTION, sums[INTERACTION], sums[REPEATABILITY]),
        row(REPEATABILITY, sums[REPEATABILITY]),
        row(POOLED, against),
        row(TOTAL, sums[TOTAL]),
    ]
    if not pool:
        del rows[4]
    return tuple(rows)


def nested_rows(sums: Sums) -> tuple[AnovaRow, ...]:
    """The table; each source is tested against the one inside it."""
    rows = (
        row(OPERATOR, sums[OPERATOR], sums[PART]),
        row(PART, sums[PART], sums[REPEATABILITY]),
        row(REPEATABILITY, sums[REPEATABILITY]),
        row(TOTAL, sums[TOTAL]),
    )
    return rows if sums[OPERATOR][1] else rows[1:]


def _squares(apart: np.ndarray) -> float:
    return float((apart**2).sum())


def _within(layout: Layout) -> float:
    if not layout.ranges.any():
        return 0.0  # exactly, so that a gauge that shows no spread is seen as one
    return _squares(layout.readings - layout.cell_means[:, :, None])
