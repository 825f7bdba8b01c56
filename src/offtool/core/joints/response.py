"""What every kind of joint answers, for one pair of pieces or for a million at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from offtool.core.joints.evidence import JointMaterial
from offtool.handbook.terms import JointKind

Values: TypeAlias = NDArray[np.float64]
Sizes: TypeAlias = Mapping[str, Values]
"""Sizes by role; all of one shape, or single values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """Both sides of a joint; None for kinds that need none."""

    inner: JointMaterial | None = None
    outer: JointMaterial | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """The measure of a joint (torque, force, clearance), and how much of the allowed strain is used.

    `strain_use` is the largest strain of either side over what that side may bear: above 1 is overstrained.
    A peg with clearance has measure 0 and strain 0.
    """

    measure: Values
    strain_use: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class JointModel:
    """How one kind of joint answers. `respond(sizes, materials, friction)` is elementwise and raises nothing.

    Sizes that cannot be (a socket thinner than nothing) answer NaN.
    """

    kind: JointKind
    respond: Callable[[Sizes, Materials, Values], Response]
