"""From which shot on nothing moved any more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import VALUES
from offtool.core.values import Caution, ImpossibleInput, Range

FEWEST_SHOTS = 8
UNSETTLED_BELOW = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The first settled shot; `settled` is None where too few shots were measured to tell."""

    settled: int | None
    discarded: int
    shots: int
    sizes: int
    p_same: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "shots": Range(
            meaning="shot number of each reading, counted from the start of the press", at_least=0
        ),
        "values": VALUES,
        "sizes": Range(meaning="which size (and cavity) each reading is of; part weight counts as one"),
    },
    example={
        "shots": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12],
        "values": [3.90, 3.94, 3.97, 3.99, 4.001, 3.999, 4.0, 4.002, 3.998, 4.001, 4.0, 3.999],
        "sizes": ["peg"] * 12,
    },
    source="truncation at the least squared standard error of the mean (White 1997, Simulation 69:323); "
    "pooled over sizes and confirmed by a chi-squared test: our own",
)
def find_settled_shot(shots: Numbers, values: Numbers, sizes: Texts) -> Settled:
    """The shot from which every size and the part weight stopped moving.

    Each size is put on its own spread over the later half of the shots. Of all beginnings up to half the
    shots, the one is dropped that leaves the least sum of SS / n^2; it is dropped only when the dropped means
    differ from the rest (p < 0.01), so that a settled trial loses nothing.

    Returns: Settled; `settled` is None under 8 measured shots. Raises: ImpossibleInput for unequal lengths.

    Holds when: drift dies out within the first half of what was measured.
    """
    number = np.asarray(shots, dtype=float)
    reading = np.asarray(values, dtype=float)
    if not number.size == reading.size == len(sizes):
        raise ImpossibleInput("shots", number.size, "", "shots, values and sizes must be equally many")
    series, order = _series(number, reading, np.asarray(sizes))
    count, width = series.shape
    if count < FEWEST_SHOTS:
        too_few = Caution(f"{count} shots measured: settling cannot be told under {FEWEST_SHOTS}")
        return Settled(settled=None, discarded=0, shots=count, sizes=width, p_same=1.0, cautions=(too_few,))
    start = _least_error_start(series)
    p_same = _p_same(series, start) if start else 1.0
    if p_same >= UNSETTLED_BELOW:
        start = 0
    cautions: tuple[Caution, ...] = ()
    if start >= count // 2:
        cautions = (
            Caution("sizes still moved half way through the measured shots: run longer before sampling"),
        )
    return Settled(
        settled=int(order[start]), discarded=start, shots=count, sizes=width, p_same=p_same, cautions=cautions
    )


def _series(
    shots: NDArray[np.float64], values: NDArray[np.float64], sizes: NDArray[np.str_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean of each size at each shot, standardised on the later half; NaN where not measured."""
    order, row = np.unique(shots, return_inverse=True)
    labels, column = np.unique(sizes, return_inverse=True)
    shape = (len(order), len(labels))
    cell = row * shape[1] + column
    count = np.bincount(cell, minlength=shape[0] * shape[1])
    total = np.bincount(cell, weights=values, minlength=shape[0] * shape[1])
    series = np.divide(total, count, out=np.full(count.shape, np.nan), where=count > 0).reshape(shape)
    later = series[len(order) // 2 :]
    usable = (~np.isnan(later)).sum(axis=0) >= 3
    series, later = series[:, usable], later[:, usable]
    spread = np.nanstd(later, axis=0, ddof=1)
    moving = spread > 0
    return (series[:, moving] - np.nanmean(later[:, moving], axis=0)) / spread[moving], order


def _least_error_start(series: NDArray[np.float64]) -> int:
    errors = []
    for start in range(len(series) // 2 + 1):
        rest = series[start:]
        here = ~np.isnan(rest)
        count = here.sum(axis=0)
        squares = np.nansum((rest - np.nansum(rest, axis=0) / np.maximum(count, 1)) ** 2, axis=0)
        errors.append(float((squares / np.maximum(count, 1) ** 2).sum()))
    return int(np.argmin(errors)) if errors else 0


def _p_same(series: NDArray[np.float64], start: int) -> float:
    """Probability of dropped means this far from the rest if nothing had moved (F over all sizes)."""
    dropped, rest = series[:start], series[start:]
    n_dropped, n_rest = (~np.isnan(dropped)).sum(axis=0), (~np.isnan(rest)).sum(axis=0)
    both = (n_dropped > 0) & (n_rest > 1)
    if not both.any():
        return 1.0
    difference = np.nanmean(dropped[:, both], axis=0) - np.nanmean(rest[:, both], axis=0)
    variance = np.nanvar(rest[:, both], axis=0, ddof=1) * (1 / n_dropped[both] + 1 / n_rest[both])
    usable = variance > 0
    if not usable.any():
        return 1.0
    ratio = float((difference[usable] ** 2 / variance[usable]).mean())
    return float(special.fdtrc(usable.sum(), (n_rest[both][usable] - 1).sum(), ratio))
