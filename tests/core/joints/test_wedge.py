"""The wedge: push along the way for a force across it, and the greatest push past square edges."""

from __future__ import annotations

from math import acos, atan, inf, radians, tan

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.wedge import greatest_push, wedge_factor
from tests.core.laws import law
from tests.labels import independent, remembered


def factor(angle_deg: float, friction: float) -> float:
    return float(wedge_factor(np.array(angle_deg), np.array(friction)))


def test_the_factor_is_the_published_one() -> None:
    source = "a resin maker's public snap-fit design guide, calculation example I"
    assert factor(30, 0.6) == remembered("1.8", source=source)


@law(angle=st.floats(1.0, 80.0), friction=st.floats(0.0, 0.17))
def test_the_factor_is_the_tangent_of_both_angles(angle: float, friction: float) -> None:
    expected = tan(radians(angle) + atan(friction))
    assert factor(angle, friction) == independent(expected, way="the friction cone", rel=1e-9)


@pytest.mark.parametrize(("angle", "friction"), [(60, 0.6), (45, 1.0), (90, 0.0), (120, 0.1)])
def test_an_edge_locks_where_friction_holds_it_and_from_a_right_angle_on(
    angle: float, friction: float
) -> None:
    assert factor(angle, friction) == inf
    assert factor(30, 0.1) < inf


@law(share=st.floats(0.35, 0.999), friction=st.floats(0.0, 0.35))
def test_the_greatest_push_is_that_of_a_fine_grid(share: float, friction: float) -> None:
    angles = np.linspace(0, acos(share), 20_001)
    expected = float(np.max((np.cos(angles) - share) * np.tan(angles + atan(friction))))
    assert greatest_push(share, friction) == independent(expected, way="20 001 angles", rel=1e-6)


def test_a_wide_opening_asks_no_push_and_a_narrow_one_locks() -> None:
    assert greatest_push(1.0, 0.5) == 0.0
    assert greatest_push(1.3, 0.5) == 0.0
    assert greatest_push(0.2, 0.5) == inf
    assert greatest_push(0.2, 0.1) < inf
