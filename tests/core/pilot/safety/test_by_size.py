"""What the largest size of a piece says of the small-parts cylinder, and what it cannot say."""

from __future__ import annotations

from math import hypot

import numpy as np
from hypothesis import strategies as st

from offtool.core.pilot.safety import judge_small_part, small_part_by_size
from offtool.core.values import Verdict
from tests.core.laws import law
from tests.labels import independent

INCH = 25.4


def test_the_two_ends_follow_from_the_gauge() -> None:
    found = small_part_by_size(40)
    longest = hypot(1.25 * INCH, 2.25 * INCH)
    assert found.surely_not_mm == independent(longest, way="rim to the deepest point")
    # a regular tetrahedron is the worst shape: its corners lie on a ball of sqrt(3 / 8) of its edge
    edge = 1.25 * INCH / (2 * np.sqrt(3 / 8))
    assert found.surely_fits_mm == independent(edge, way="a tetrahedron in a ball as wide as the gauge")


def test_small_sure_large_sure_and_between_nothing() -> None:
    verdicts = [small_part_by_size(size).verdict for size in (22, 25.9, 26, 40, 65.3, 65.5)]
    assert verdicts == [Verdict.FAILS] * 2 + [Verdict.NOT_SHOWN] * 3 + [Verdict.HOLDS]
    assert "put it into the cylinder" in small_part_by_size(40).words


@law(examples=15, seed=st.integers(0, 10**6), size=st.floats(5, 90))
def test_it_never_contradicts_the_shape_itself(seed: int, size: float) -> None:
    """Random bodies of that largest size, tried in the gauge."""
    points = np.random.default_rng(seed).normal(size=(8, 3))
    apart = np.linalg.norm(points[:, None] - points[None], axis=2).max()
    shape = judge_small_part(points * size / apart)
    by_size = small_part_by_size(size)
    if by_size.verdict is Verdict.FAILS:
        assert shape.fits is True
    if by_size.verdict is Verdict.HOLDS:
        assert shape.fits is False


@law(a=st.floats(1, 200), b=st.floats(1, 200))
def test_a_larger_piece_is_never_judged_smaller(a: float, b: float) -> None:
    order = [Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS]
    small, large = (order.index(small_part_by_size(size).verdict) for size in sorted((a, b)))
    assert small <= large
