"""How good probabilities are: right, sure of what is right, and as sure as they are right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.virtual_archive.play import FOUND, Judged

Array = NDArray[np.float64]
BINS = 10
DISTINGUISHABLE = 0.8
"""A truth is distinguishable where the bound itself gives it so much."""


def right(probabilities: Sequence[Array], judged: Sequence[Judged]) -> NDArray[np.bool_]:
    """Whether the top answer is the truth, piece by piece."""
    return np.array(
        [int(np.argmax(one)) == piece.truth for one, piece in zip(probabilities, judged, strict=True)]
    )


def distinguishable(judged: Sequence[Judged]) -> NDArray[np.bool_]:
    """Pieces of which the bound is sure, and rightly."""
    return np.array([one.bound[one.truth] >= DISTINGUISHABLE for one in judged])


def log_scores(probabilities: Sequence[Array], judged: Sequence[Judged]) -> Array:
    """Log-probability of the truth, piece by piece; the nearer to 0 the better."""
    given = [one[piece.truth] for one, piece in zip(probabilities, judged, strict=True)]
    return np.log(np.maximum(given, 1e-12))


def rule_probabilities(named: Sequence[int], judged: Sequence[Judged]) -> list[Array]:
    """A rule made to say how sure it is, in its favour.

    Each answer gets its own precision, measured on these very pieces by the stage that it names; the rest is
    spread over the others as they turn up.
    """
    hits: dict[int, list[bool]] = {}
    for name, one in zip(named, judged, strict=True):
        hits.setdefault(name, []).append(name == one.truth)
    precision = {name: (sum(hit) + 0.5) / (len(hit) + 1) for name, hit in hits.items()}
    found = []
    for name, one in zip(named, judged, strict=True):
        others = one.prior.copy()
        others[name] = 0.0
        spread = (1 - precision[name]) * others / others.sum()
        spread[name] = precision[name]
        found.append(spread)
    return found


def calibration_error(said: Array, happened: Array) -> float:
    """Expected calibration error over ten even bins."""
    bins = np.minimum((said * BINS).astype(int), BINS - 1)
    gap = [abs(said[bins == b].sum() - happened[bins == b].sum()) for b in range(BINS)]
    return float(sum(gap) / said.size)


def top_error(probabilities: Sequence[Array], judged: Sequence[Judged]) -> float:
    """Calibration of the top answer."""
    said = np.array([float(one.max()) for one in probabilities])
    return calibration_error(said, right(probabilities, judged).astype(float))


def every_error(probabilities: Sequence[Array], judged: Sequence[Judged]) -> float:
    """Calibration of all answers, however small."""
    said = np.concatenate(probabilities)
    truth = np.concatenate([np.arange(one.prior.size) == one.truth for one in judged])
    return calibration_error(said, truth.astype(float))


@dataclass(frozen=True, slots=True, kw_only=True)
class Swaps:
    """Parts from elsewhere among the parts of built pieces."""

    parts: int
    swapped: int
    found: int
    wrongly: int
    bound_found: int
    bound_wrongly: int


def swaps(judged: Sequence[Judged]) -> Swaps:
    """How many swapped parts were found, and how many were called swapped that were not."""
    rows = [
        row
        for one in judged
        if len(one.swapped) > 1
        for row in zip(one.swapped, one.swapped_ours, one.swapped_bound, strict=True)
    ]
    truth, ours, bound = (np.array(column) for column in zip(*rows, strict=True))
    return Swaps(
        parts=len(rows),
        swapped=int(truth.sum()),
        found=int((truth & (ours > FOUND)).sum()),
        wrongly=int((~truth & (ours > FOUND)).sum()),
        bound_found=int((truth & (bound > FOUND)).sum()),
        bound_wrongly=int((~truth & (bound > FOUND)).sum()),
    )
