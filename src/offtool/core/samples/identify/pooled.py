"""What all runs in one state of the steel say together of their sizes: steadier than a few shots of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify.hypotheses import Make
from offtool.core.samples.identify.sizes import SCALE_SD, SizeRecord

ROUNDS = 3
"""Scale and sizes are fitted in turn; they are nearly independent."""

Array = NDArray[np.float64]


def pool_runs(
    records: Sequence[SizeRecord], makes: Sequence[Make], shots: int, *, scale_sd: float = SCALE_SD
) -> tuple[SizeRecord, ...]:
    """The means of every run, steadied by the other runs of the same tool in the same state.

    m_rci = M_ci (1 + g_i s_r) + d_rci + e_rci: the steel's own M, one scale s for a run, what a size does by
    itself in a run, and the chance of so few shots, sd / sqrt(n). s is fitted against its usual spread; of
    what is left each mean keeps what is more than chance. The spreads are pooled over all runs and widened by
    what the shots leave open, sqrt(1 + 1 / n).

    `shots` is how many were measured of a run, each cavity.

    Returns: the records in their order, with the same places not recorded; a run of which a size is not
    recorded stays as it is.
    """
    runs = _numbers([(make.tool, make.state, make.run) for make in makes])
    states = _numbers([(make.tool, make.state) for make in makes])
    sds = np.array([_pooled(one.sds) for one in records])
    means = np.stack([one.means for one in records])
    grows = np.array([one.grows for one in records])
    steadied = means.copy()
    left_open = np.full(means.shape, 1 / shots)
    for state in range(states.max() + 1):
        rows = np.flatnonzero(states == state)
        rows = rows[np.isfinite(means[:, rows]).all(axis=(0, 2))]
        first = rows[np.unique(runs[rows], return_index=True)[1]]
        fitted, open_share = _of_state(means[:, first], sds, grows, shots, scale_sd)
        back = np.searchsorted(runs[first], runs[rows])
        steadied[:, rows] = fitted[:, back]
        left_open[:, rows] = open_share / shots
    spread = sds[:, None, None] * np.sqrt(1 + left_open)
    return tuple(
        replace(one, means=steadied[i], sds=np.where(np.isnan(one.sds), np.nan, spread[i]))
        for i, one in enumerate(records)
    )


def _of_state(means: Array, sds: Array, grows: Array, shots: int, scale_sd: float) -> tuple[Array, float]:
    """Means of sizes × runs × cavities in one state, steadied; and how much of the chance is left."""
    runs = means.shape[1]
    if runs < 2:
        return means, 1.0
    chance = sds[:, None, None] ** 2 / shots
    scale = np.zeros(runs)
    for _ in range(ROUNDS):
        steel = (means / (1 + grows[:, None, None] * scale[:, None])).mean(axis=1, keepdims=True)
        lever = steel * grows[:, None, None]
        weight = (lever**2 / chance).sum(axis=(0, 2))
        scale = ((means - steel) * lever / chance).sum(axis=(0, 2)) / (weight + 1 / scale_sd**2)
    fitted = steel * (1 + grows[:, None, None] * scale[:, None])
    rest = means - fitted
    own = np.mean(rest**2 / chance) * runs / (runs - 1) - 1
    keeps = max(own, 0.0) / (1 + max(own, 0.0))
    return fitted + keeps * rest, float(1 / runs + keeps * (1 - 1 / runs))


def _pooled(sds: Array) -> float:
    return float(np.sqrt(np.nanmean(sds**2))) if np.isfinite(sds).any() else float("nan")


def _numbers(keys: list[tuple[str, ...]]) -> NDArray[np.int64]:
    first = {key: k for k, key in enumerate(dict.fromkeys(keys))}
    return np.array([first[key] for key in keys])
