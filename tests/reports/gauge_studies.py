"""Gauge studies for the tests of their drawings: invented ones of any shape, and the published one."""

from __future__ import annotations

import numpy as np

from offtool.core.inspection.gauge import (
    GaugeStudy,
    LinearityStudy,
    ReferenceStudy,
    crossed_gauge_study,
    gauge_linearity,
    nested_gauge_study,
    reference_gauge_study,
)
from tests import published


def printed_study(tolerance: float | None = 8.0) -> GaugeStudy:
    """10 parts, 3 operators, 3 repeats, as published."""
    rows = published.table("gauge_10x3x3.csv")
    values, parts, people = (
        [float(row[3]) for row in rows],
        [row[2] for row in rows],
        [row[0] for row in rows],
    )
    return crossed_gauge_study(values, parts, people, tolerance=tolerance)


def crossed(
    parts: int, people: int, repeats: int, *, tolerance: float | None = None, seed: int = 1
) -> GaugeStudy:
    """An invented crossed study."""
    rng = np.random.default_rng(1)
    sizes = rng.normal(4.0, 0.01, parts)
    labels = [(f"P{p}", f"person {w}") for p in range(parts) for w in range(people) for _ in range(repeats)]
    values = [sizes[int(p[1:])] + rng.normal(0, 0.002) for p, _ in labels]
    return crossed_gauge_study(values, [p for p, _ in labels], [w for _, w in labels], tolerance=tolerance)


def nested() -> GaugeStudy:
    """Three people with four batches of their own, two pulls each; the names of batches repeat."""
    rng = np.random.default_rng(2)
    labels = [(who, f"B{b}") for who in "ABC" for b in range(4) for _ in range(2)]
    level = {key: 90 + rng.normal(0, 5) for key in dict.fromkeys(labels)}
    values = [level[key] + rng.normal(0, 1) for key in labels]
    return nested_gauge_study(values, [who for who, _ in labels], [b for _, b in labels])


def line(*, scatter: float = 0.001) -> LinearityStudy:
    """A gauge that reads the more large the larger the part."""
    rng = np.random.default_rng(3)
    known = [float(size) for size in (2, 4, 6, 8, 10) for _ in range(4)]
    return gauge_linearity([size * 1.0005 + rng.normal(0, scatter) for size in known], known, tolerance=0.1)


def run(readings: int = 25, tolerance: float | None = 0.06) -> tuple[ReferenceStudy, tuple[float, ...]]:
    """One block of 6 mm, read again and again."""
    rng = np.random.default_rng(4)
    values = tuple(np.round(6.001 + rng.normal(0, 0.001, readings), 3).tolist())
    return reference_gauge_study(list(values), 6.0, tolerance=tolerance, resolution=0.001), values
