"""The outline of a part in the gauge: what fits stays inside it, and what stands out stands out as far."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import strategies as st

from offtool.core.pilot.safety import judge_small_part
from offtool.core.pilot.safety.gauge import DEPTH, FLOOR, RADIUS
from offtool.core.pilot.safety.side_view import DIRECTIONS, seen_from_the_side
from tests.core.laws import law
from tests.labels import independent


def block(*size: float) -> np.ndarray:
    return np.array(list(product(*((0.0, one) for one in size))))


def stands_out(outline: tuple[tuple[float, float], ...]) -> float:
    """How far the outline stands beyond the walls that are seen from the side."""
    return max(max(abs(x) - RADIUS, y, (-y - x - DEPTH) / FLOOR) for x, y in outline)


@law(examples=12, a=st.floats(2, 45), b=st.floats(2, 30), c=st.floats(2, 20))
def test_it_stands_out_no_farther_than_the_part(a: float, b: float, c: float) -> None:
    corners = block(a, b, c)
    found = judge_small_part(corners)
    assert found.held is not None
    outline = seen_from_the_side(corners, found.held)
    assert stands_out(outline) <= found.out_mm + 0.02, "the outline is rounded to a hundredth"
    assert 3 <= len(outline) <= DIRECTIONS


def test_its_size_is_that_of_the_corners_in_the_axes_of_the_gauge() -> None:
    corners = block(40, 12, 9)
    held = judge_small_part(corners).held
    assert held is not None
    outline = np.array(seen_from_the_side(corners, held))
    seen = (corners - held.rim) @ np.column_stack([held.deep_side, held.up])
    wanted = [*seen.min(axis=0), *seen.max(axis=0)]
    got = [*outline.min(axis=0), *outline.max(axis=0)]
    assert got == independent(wanted, way="every corner turned by hand", within=0.006)


def test_a_long_rod_is_seen_to_stand_out() -> None:
    corners = block(100, 5, 5)
    found = judge_small_part(corners)
    assert found.held is not None
    assert 0.5 * found.out_mm < stands_out(seen_from_the_side(corners, found.held)) <= found.out_mm + 0.02
