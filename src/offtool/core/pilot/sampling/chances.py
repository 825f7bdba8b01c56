"""How often a lot with so many bad pieces passes: from a large lot, from a small one, and for flaws."""

from __future__ import annotations

from math import ceil, floor

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]

NEARLY_WHOLE = 1e-9
"""0.1 of 30 pieces is 3.0000000000000004 in binary."""


def passes(shares: Floats | float, pieces: int, accept: int, counted: str = "pieces") -> Floats:
    """P(at most `accept`) in a sample from a large lot: binomial for pieces, Poisson for flaws."""
    p = np.asarray(shares, dtype=float)
    if counted == "flaws":
        return np.asarray(special.pdtr(accept, pieces * p))
    if accept >= pieces:
        return np.ones_like(p)
    return np.asarray(special.betaincc(accept + 1, pieces - accept, p))


def passes_of_lot(bad: int, pieces: int, accept: int, lot: int) -> float:
    """P(at most `accept` of the `bad` in the lot are drawn): hypergeometric, summed on the shorter side."""
    least, most = max(0, pieces - (lot - bad)), min(pieces, bad)
    if accept >= most:
        return 1.0
    if accept < least:
        return 0.0
    fewer = accept - least <= most - accept
    drawn = np.arange(least, accept + 1) if fewer else np.arange(accept + 1, most + 1)
    log_p = _ways(bad, drawn) + _ways(lot - bad, pieces - drawn) - _ways(lot, pieces)
    total = min(1.0, float(np.exp(log_p).sum()))
    return total if fewer else 1 - total


def bad_in_lot(share: float, lot: int, *, up: bool) -> int:
    """Whole bad pieces of a share: never more than it for a good lot, never fewer for a bad one."""
    exact = share * lot
    return ceil(exact - NEARLY_WHOLE * lot) if up else floor(exact + NEARLY_WHOLE * lot)


def share_passing(chance: float, pieces: int, accept: int, counted: str = "pieces") -> float:
    """The share of bad pieces at which a lot passes with that chance."""
    if counted == "flaws":
        return float(special.pdtri(accept, chance)) / pieces
    return 1.0 if accept >= pieces else float(special.betainccinv(accept + 1, pieces - accept, chance))


def _ways(n: int | Floats, k: int | NDArray[np.int64]) -> Floats:
    n, k = np.asarray(n, dtype=float), np.asarray(k, dtype=float)
    return np.asarray(special.gammaln(n + 1) - special.gammaln(k + 1) - special.gammaln(n - k + 1))
