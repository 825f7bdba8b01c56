"""Shots of a press whose washout is known, measured with noise: what a fit must find again. Invented."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.difference import axis_scales
from offtool.core.planning.colour_change import MeasuredShot, ObservedChange, Plastic, WashoutBelief
from offtool.core.planning.colour_change.belief import from_scale, washout_of
from offtool.core.planning.colour_change.fit import SPREAD_DE
from offtool.core.planning.colour_change.mixing import mixed_lab

USUAL_SHOTS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40)


def drawn_press(belief: WashoutBelief, rng: np.random.Generator) -> NDArray[np.float64]:
    """The numbers of one press out of those that are believed, the strength last."""
    root = np.linalg.cholesky(np.array(belief.covariance))
    return from_scale(np.array(belief.middle) + root @ rng.standard_normal(len(belief.middle)))


def measured_change(
    numbers: NDArray[np.float64],
    old: Plastic,
    new: Plastic,
    rng: np.random.Generator | None,
    *,
    shots: Sequence[int] = USUAL_SHOTS,
    shot_g: float = 25.0,
    name: str = "1",
) -> ObservedChange:
    """Shots of that press, with the usual scatter where a generator is given."""
    assert old.lab is not None
    assert new.lab is not None
    share = washout_of(numbers[None, :]).old_in_shot(np.array(shots), shot_g)
    lab = mixed_lab(old.lab, new.lab, share, float(numbers[-1]))
    if rng is not None:
        lab = lab + _scatter(lab, rng)
    return ObservedChange(
        name=name,
        old_name=old.name,
        new_name=new.name,
        old=old.lab,
        new=new.lab,
        shot_g=shot_g,
        shots=tuple(
            MeasuredShot(number=number, lab=(float(one[0]), float(one[1]), float(one[2])))
            for number, one in zip(shots, lab, strict=True)
        ),
    )


def _scatter(lab: NDArray[np.float64], rng: np.random.Generator) -> NDArray[np.float64]:
    """The same spread along lightness, chroma and hue, each as the eye weighs it."""
    along = SPREAD_DE * rng.standard_normal(lab.shape) * axis_scales(lab)
    hue = np.arctan2(lab[:, 2], lab[:, 1])
    a = along[:, 1] * np.cos(hue) - along[:, 2] * np.sin(hue)
    b = along[:, 1] * np.sin(hue) + along[:, 2] * np.cos(hue)
    return np.stack([along[:, 0], a, b], axis=1)
