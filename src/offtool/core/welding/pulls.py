"""The pulls of a seam as arrays, with those that were stopped before the seam came apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers
from offtool.core.values import ImpossibleInput, NotEnoughData, Range

STOPPED = Range(
    meaning="1 for a pull that was stopped before the seam came apart, 0 for one that broke; blank: none was",
    at_least=0,
    at_most=1,
)
REQUIRED = Range(meaning="pull that the seam must hold", unit="N", above=0)
SHARE = Range(meaning="share of all seams that must hold it", at_least=0.5, below=1)
FEWEST_BROKEN = 2


def pulls(strengths_n: Numbers, stopped: Numbers | None) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """The strengths and which of them were stopped; refused where the lists do not belong together."""
    strengths = np.asarray(strengths_n, dtype=float)
    if strengths.size == 0:
        raise NotEnoughData("no pulls", remedy="pull at least two seams apart, better ten")
    marks = np.zeros(strengths.size) if stopped is None else np.asarray(stopped, dtype=float)
    if marks.size != strengths.size:
        said = f"must say of each of {strengths.size} pulls whether it was stopped"
        raise ImpossibleInput("stopped", marks.size, "", said)
    broken = marks[(marks != 0) & (marks != 1)]
    if broken.size:
        raise ImpossibleInput("stopped", float(broken[0]), "", "must be 0 or 1", "1: stopped, 0: came apart")
    return strengths, marks == 1


def require_two_broken(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> None:
    """Refuse pulls that show no spread: one that came apart, or all that did at the largest value."""
    broken = strengths[~stopped]
    if broken.size < FEWEST_BROKEN:
        raise NotEnoughData(
            f"{broken.size} of {strengths.size} pulls came apart: that shows no spread",
            remedy="pull until at least two come apart, better ten",
        )
    if not spread_seen(strengths, stopped):
        raise NotEnoughData(
            "all pulls came apart at one value: they show no spread",
            remedy="read the gauge finer, or pull more",
        )


def spread_seen(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> bool:
    """Whether two pulls came apart, and not all of them at the largest value that was reached."""
    broken = strengths[~stopped]
    top = float(strengths.max())
    return broken.size >= FEWEST_BROKEN and bool(top - broken.min() > 4 * np.spacing(top))
