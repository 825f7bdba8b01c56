"""Cavities kept apart and paired on purpose: which pairs make the most good joints, and what it gains.

A transport programme: f_ij >= 0, every cavity's share of its part used up, sum f_ij good_ij as large as it
can be. With as many cavities on both sides it pairs them one to one.
"""

from __future__ import annotations

import numpy as np
from scipy import optimize

from offtool.core.joints.assembled.results import PairFlow, Pairing
from offtool.core.joints.assembled.sizes import Array
from offtool.core.values import Interval, OfftoolError

UNUSED_BELOW = 1e-9


def best_flows(good: Array) -> Array:
    """Shares of all joints to make of each pair of cavities, so that the share of good ones is largest."""
    rows, columns = good.shape
    each_first = np.kron(np.eye(rows), np.ones((1, columns)))
    each_second = np.kron(np.ones((1, rows)), np.eye(columns))
    shares = np.concatenate([np.full(rows, 1 / rows), np.full(columns, 1 / columns)])
    found = optimize.linprog(
        -good.ravel(), A_eq=np.vstack([each_first, each_second]), b_eq=shares, method="highs"
    )
    if not found.success or found.x is None:
        raise OfftoolError("no pairing of cavities was found", remedy="check the shares of good joints")
    return np.asarray(found.x.reshape(good.shape))


def pair_cavities(
    good: Array, plausible: Array, firsts: tuple[str, ...], seconds: tuple[str, ...], confidence: float
) -> Pairing:
    """The best pairing for shares of good joints, and its gain over plausible ones [draw, first, second]."""
    flows = best_flows(good)
    at_random, paired = float(good.mean()), float((flows * good).sum())
    gains = ((flows - 1 / good.size) * plausible).sum(axis=(1, 2))
    gain = max(paired - at_random, 0.0)
    low, high = np.quantile(gains, [(1 - confidence) / 2, (1 + confidence) / 2])
    return Pairing(
        flows=tuple(
            PairFlow(first=firsts[i], second=seconds[j], share=float(flows[i, j]), good=float(good[i, j]))
            for i, j in zip(*np.nonzero(flows > UNUSED_BELOW), strict=True)
        ),
        good=max(paired, at_random),
        good_at_random=at_random,
        gain=gain,
        interval=Interval(low=min(float(low), gain), high=max(float(high), gain), confidence=confidence),
    )
