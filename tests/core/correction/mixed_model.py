"""Henderson's mixed model equations, written from the book with incidence matrices: a second way to BLUPs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def incidence(groups: Sequence[object]) -> NDArray[np.float64]:
    """One column for each group, 1 where an observation belongs to it."""
    names = sorted(set(groups), key=str)
    return np.array([[float(group == name) for name in names] for group in groups])


def solve(
    observed: NDArray[np.float64],
    fixed: NDArray[np.float64],
    random: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
    noise: NDArray[np.float64],
    kept: list[int],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Prediction and its variance for each observation: the fixed effects and the `kept` random terms.

    `random` holds (incidence, variance of each level). The coefficient matrix is
    [X'R-X, X'R-Z; Z'R-X, Z'R-Z + G-]; its inverse is the covariance of estimated less true effects.
    """
    design = np.hstack([fixed, *(z for z, _ in random)])
    weighted = design / noise[:, None]
    penalty = np.concatenate([np.zeros(fixed.shape[1]), *(1 / variance for _, variance in random)])
    covariance = np.linalg.inv(design.T @ weighted + np.diag(penalty))
    effects = covariance @ (weighted.T @ observed)
    wanted = np.hstack([fixed, *(z * float(i in kept) for i, (z, _) in enumerate(random))])
    return wanted @ effects, np.einsum("ij,jk,ik->i", wanted, covariance, wanted)
