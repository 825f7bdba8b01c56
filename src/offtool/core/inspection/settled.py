"""From which shot on nothing moved any more."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import VALUES
from offtool.core.inspection.variation.approach import Approach, find_approach, is_curved, line_chance
from offtool.core.values import Caution, ImpossibleInput, Interval, Range

FEWEST_SHOTS = 8
UNSETTLED_BELOW = 0.05
SHUFFLES = 199
"""Orders of the shots that the found one is compared with; the smallest p is then 0.005."""
MOVED_LATER_BELOW = 0.01
"""p under which the exponential alone may drop shots: settled trials lose shots no oftener for it."""
STILL_MOVING_BELOW = 0.01
LINE_SHUFFLES = 999
CONFIDENCE = 0.95
FEW_PATTERNS = 4
FLOOR = 0.05
"""Share of a size's variance below which it cannot be seen to move: a coarse gauge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The first settled shot; `settled` is None where too few shots were measured to tell.

    `time_constant_shots` is None where no exponential approach is seen; `settled_by_approach` is the shot
    from which the drift that it leaves is below the standard error of the mean. `still_moving_p` is the
    chance of such a straight trend in the kept shots were they settled.
    """

    settled: int | None
    discarded: int
    shots: int
    sizes: int
    p_same: float
    time_constant_shots: float | None = None
    time_constant_interval: Interval | None = None
    approach_p: float | None = None
    settled_by_approach: int | None = None
    still_moving_p: float | None = None
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
    "pooled over sizes, confirmed by permutation, beside a common exponential: our own",
)
def find_settled_shot(shots: Numbers, values: Numbers, sizes: Texts) -> Settled:
    """The shot from which every size and the part weight stopped moving.

    Each size is put on its own spread over all shots. Of all beginnings up to half the shots, the one is
    dropped that leaves the least sum of SS / n^2, if it leaves so much less than the same shots do in other
    orders (199 seeded shuffles of whole shots: sizes that move together count once), or if the mean over all
    sizes of the dropped shots differs (Student's t, over all beginnings); p < 0.05. Beside it one exponential
    a + b exp(-(shot - first) / tau) is fitted, tau common to all; where it says otherwise by more than tau,
    the later shot is taken. A straight trend in the shots that are kept (p < 0.01) is cautioned of.

    Returns: Settled; `settled` is None under 8 measured shots. Raises: ImpossibleInput for unequal lengths.

    Holds when: drift dies out within the first half of what was measured.
    """
    number = np.asarray(shots, dtype=float)
    reading = np.asarray(values, dtype=float)
    if not number.size == reading.size == len(sizes):
        raise ImpossibleInput("shots", number.size, "", "shots, values and sizes must be equally many")
    series, order = _series(number, reading, np.asarray(sizes).tolist())
    count, width = series.shape
    if count < FEWEST_SHOTS:
        too_few = Caution(f"{count} shots measured: settling cannot be told under {FEWEST_SHOTS}")
        return Settled(settled=None, discarded=0, shots=count, sizes=width, p_same=1.0, cautions=(too_few,))
    orders = _orders(count)
    errors = _errors_by_start(series[None])[0]
    start = int(np.argmin(errors)) if width else 0
    p_same = min(_p_in_other_orders(series, errors, orders), _p_of_shots(series, start)) if start else 1.0
    if p_same >= UNSETTLED_BELOW:
        start = 0
    approach = find_approach(order, series, orders, CONFIDENCE)
    seen = approach if approach and approach.p < UNSETTLED_BELOW and is_curved(approach, order) else None
    start, cautions = _later_of_both(start, seen, order)
    if start >= count // 2:
        cautions.insert(
            0, Caution("sizes still moved half way through the measured shots: run longer before sampling")
        )
    still = _still_moving(order[start:], series[start:], None if seen is None else seen.shape[start:])
    if still is not None and still < STILL_MOVING_BELOW:
        cautions.append(Caution("sizes still move at the last shot, slowly and straight: look what drifts"))
    return Settled(
        settled=int(order[start]),
        discarded=start,
        shots=count,
        sizes=width,
        p_same=p_same,
        time_constant_shots=None if seen is None else seen.time_constant,
        time_constant_interval=None if seen is None else seen.interval,
        approach_p=None if approach is None else approach.p,
        settled_by_approach=None if seen is None or seen.place is None else int(order[seen.place]),
        still_moving_p=still,
        cautions=tuple(cautions),
    )


def _later_of_both(
    start: int, seen: Approach | None, order: NDArray[np.float64]
) -> tuple[int, list[Caution]]:
    """The later of the truncation and the exponential where they disagree by more than a time constant."""
    if seen is None:
        return start, []
    if seen.place is None:
        return start, [Caution("the exponential approach was not over within the measured shots: run longer")]
    apart = float(order[seen.place] - order[start])
    if abs(apart) <= seen.time_constant:
        return start, []
    if apart > 0 and start == 0 and seen.p >= MOVED_LATER_BELOW:
        return start, []
    words = f"its scatter had settled at shot {order[start]:g}, its creep at shot {order[seen.place]:g}"
    return max(start, seen.place), [Caution(f"{words}: the later is taken")]


def _still_moving(
    order: NDArray[np.float64], kept: NDArray[np.float64], shape: NDArray[np.float64] | None
) -> float | None:
    """p of a straight trend over the kept shots; None with too few of them."""
    measured = (~np.isnan(kept)).sum(axis=0) >= FEWEST_SHOTS
    if len(order) < FEWEST_SHOTS or not measured.any():
        return None
    return line_chance(order, kept[:, measured], shape, np.random.default_rng(2), LINE_SHUFFLES)


@lru_cache(maxsize=8)
def _orders(count: int) -> NDArray[np.intp]:
    """Seeded shuffles of the shots; [shuffle, shot]."""
    rng = np.random.default_rng(0)
    return np.stack([rng.permutation(count) for _ in range(SHUFFLES)])


def _series(
    shots: NDArray[np.float64], values: NDArray[np.float64], sizes: list[object]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean of each size at each shot, on its spread over all shots; NaN where not measured. And the shots."""
    order, row = np.unique(shots, return_inverse=True)
    code = {name: i for i, name in enumerate(dict.fromkeys(sizes))}
    column = np.fromiter(map(code.__getitem__, sizes), dtype=np.intp, count=len(sizes))
    shape = (len(order), len(code))
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


def _p_in_other_orders(
    series: NDArray[np.float64], errors: NDArray[np.float64], orders: NDArray[np.intp]
) -> float:
    """How often the same shots in another order leave as much less when their best beginning is dropped."""
    here = ~np.isnan(series)
    patterns, of_series = np.unique(here, axis=1, return_inverse=True)
    if patterns.shape[1] > FEW_PATTERNS:
        others = _errors_by_start(series[orders])
    else:
        others = np.zeros((SHUFFLES, len(series) // 2 + 1))
        for i in range(patterns.shape[1]):
            others += _errors_by_products(series[:, of_series == i], patterns[:, i], orders)
    gain, other_gains = errors[0] / errors.min(), others[:, 0] / others.min(axis=1)
    return float((1 + (other_gains >= gain * (1 - 1e-9)).sum()) / (1 + SHUFFLES))


def _errors_by_products(
    series: NDArray[np.float64], here: NDArray[np.bool_], orders: NDArray[np.intp]
) -> NDArray[np.float64]:
    """`_errors_by_start` of many orders for series measured at the same shots.

    What the shots from a start on add up to is minus what those before add up to, since series lie about
    their means; its square over all series is a sum of products of shots, made once for all orders.
    """
    value = np.where(here[:, None], series, 0.0)
    products = value @ value.T
    early = orders[:, : len(here) // 2]
    ordered = products[early[:, :, None], early[:, None, :]]
    own = np.diagonal(ordered, axis1=1, axis2=2)
    before = np.einsum("sij,ij->sj", ordered, np.triu(np.ones(ordered.shape[1:]), 1))

    def up_to(what: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.pad(what.cumsum(axis=1), ((0, 0), (1, 0)))

    n = np.maximum(float(here.sum()) - up_to(here[early].astype(float)), 1.0)
    squares = np.maximum(float(np.trace(products)) - up_to(own) - up_to(own + 2 * before) / n, 0.0)
    return np.asarray((squares + FLOOR * n * series.shape[1]) / n**2)


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
