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
UNSETTLED_BELOW = 0.05
SHUFFLES = 199
"""Orders of the shots that the found one is compared with; the smallest p is then 0.005."""
FLOOR = 0.05
"""Share of a size's variance below which it cannot be seen to move: a coarse gauge."""


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
    "pooled over sizes and confirmed by permutation: our own",
)
def find_settled_shot(shots: Numbers, values: Numbers, sizes: Texts) -> Settled:
    """The shot from which every size and the part weight stopped moving.

    Each size is put on its own spread over all shots. Of all beginnings up to half the shots, the one is
    dropped that leaves the least sum of SS / n^2, if it leaves so much less than the same shots do in other
    orders (199 seeded shuffles of whole shots: sizes that move together count once), or if the mean over all
    sizes of the dropped shots differs (Student's t, over all beginnings); p < 0.05.

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
    errors = _errors_by_start(series[None])[0]
    start = int(np.argmin(errors)) if width else 0
    p_same = min(_p_in_other_orders(series, errors), _p_of_shots(series, start)) if start else 1.0
    if p_same >= UNSETTLED_BELOW:
        start = 0
    cautions: tuple[Caution, ...] = ()
    if start >= count // 2:
        cautions = (
            Caution("sizes still moved half way through the measured shots: run longer before sampling"),
        )
    return Settled(
        settled=int(order[start]),
        discarded=start,
        shots=count,
        sizes=width,
        p_same=p_same,
        cautions=cautions,
    )


def _series(
    shots: NDArray[np.float64], values: NDArray[np.float64], sizes: NDArray[np.str_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean of each size at each shot, on its spread over all shots; NaN where not measured. And the shots."""
    order, row = np.unique(shots, return_inverse=True)
    labels, column = np.unique(sizes, return_inverse=True)
    shape = (len(order), len(labels))
    cell = row * shape[1] + column
    count = np.bincount(cell, minlength=shape[0] * shape[1])
    total = np.bincount(cell, weights=values, minlength=shape[0] * shape[1])
    series = np.divide(total, count, out=np.full(count.shape, np.nan), where=count > 0).reshape(shape)
    spread = np.zeros(shape[1])
    several = (count.reshape(shape) > 0).sum(axis=0) >= 3
    spread[several] = np.nanstd(series[:, several], axis=0, ddof=1)
    moving = spread > 0
    return (series[:, moving] - np.nanmean(series[:, moving], axis=0)) / spread[moving], order


def _errors_by_start(orders: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sum over sizes of SS / n^2 of what is left when 0, 1, ... shots are dropped; [order, start].

    `orders` is [order, shot, size]; sums from the end make every start one subtraction.
    """
    here = ~np.isnan(orders)
    value = np.where(here, orders, 0.0)
    starts = orders.shape[1] // 2 + 1

    def from_the_end(what: NDArray[np.float64]) -> NDArray[np.float64]:
        return what[:, ::-1].cumsum(axis=1)[:, ::-1][:, :starts]

    n = np.maximum(from_the_end(here.astype(float)), 1.0)
    squares = np.maximum(from_the_end(value**2) - from_the_end(value) ** 2 / n, 0.0)
    return np.asarray(((squares + FLOOR * n) / n**2).sum(axis=2))


def _p_in_other_orders(series: NDArray[np.float64], errors: NDArray[np.float64]) -> float:
    """How often the same shots in another order leave as much less when their best beginning is dropped."""
    rng = np.random.default_rng(0)
    shuffled = np.stack([series[rng.permutation(len(series))] for _ in range(SHUFFLES)])
    others = _errors_by_start(shuffled)
    gain, other_gains = errors[0] / errors.min(), others[:, 0] / others.min(axis=1)
    return float((1 + (other_gains >= gain * (1 - 1e-9)).sum()) / (1 + SHUFFLES))


def _p_of_shots(series: NDArray[np.float64], start: int) -> float:
    """p of the mean over all sizes of the dropped shots: for plain ones that are too few to shuffle."""
    score = np.nanmean(series, axis=1)
    score = score[~np.isnan(score)]
    dropped, rest = score[:start], score[start:]
    spread = float(rest.std(ddof=1)) if len(rest) > 1 else 0.0
    difference = abs(float(dropped.mean() - rest.mean())) if len(dropped) else 0.0
    if spread <= 1e-9 * difference:
        return 0.0 if difference else 1.0
    t = difference / (spread * float(np.sqrt(1 / len(dropped) + 1 / len(rest))))
    return float(min(1.0, (len(series) // 2) * 2 * special.stdtr(len(rest) - 1, -t)))
