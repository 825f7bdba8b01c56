"""The wedge: how a force across an edge becomes a push or a pull along the way past it."""

from __future__ import annotations

from math import acos, atan, cos, inf, pi, sin, tan

import numpy as np
from scipy.optimize import brentq

from offtool.core.joints.response import Values

ROUNDING = 1e-12
"""The tangent of 45 degrees comes out a hair below 1."""


def wedge_factor(angle_deg: Values, friction: Values) -> Values:
    """Push along the way over the force across it, (mu + tan a) / (1 - mu tan a); infinite where it locks.

    An edge locks where mu tan a reaches 1, and from 90 degrees on whatever the friction.
    """
    slope = np.tan(np.radians(np.minimum(angle_deg, 89.999999)))
    locks = (friction * slope >= 1 - ROUNDING) | (angle_deg >= 90)
    rest = np.where(locks, 1.0, 1 - friction * slope)
    return np.asarray(np.where(locks, np.inf, (friction + slope) / rest), dtype=np.float64)


def greatest_push(opening_share: float, friction: float) -> float:
    """Greatest of (cos b - c) tan(b + rho) on the way of a round body between two square edges.

    c is the opening over the diameter, tan rho the friction; b is the angle between the line across and the
    line from the body's middle to the edge, which falls from arccos c to 0 while the edges give way by
    r (cos b - c) each. Times radius and stiffness across it is the push. 0 where the opening is wide enough,
    infinite where the first touch already locks.
    """
    if opening_share >= 1:
        return 0.0
    rho, first = atan(friction), acos(max(opening_share, 0.0))
    if first + rho >= pi / 2:
        return inf

    # The derivative: 1 - c at the end of the way, below 0 at its beginning, one zero between.
    def falls(b: float) -> float:
        return cos(b) - opening_share - sin(b) * sin(b + rho) * cos(b + rho)

    steepest = brentq(falls, 0.0, first) if falls(first) < 0 else first
    return (cos(steepest) - opening_share) * tan(steepest + rho)
