"""Readings of a gauge study put in order: part by operator by repeat, or refused cell by cell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.gauge.results import GaugeCell
from offtool.core.inspection.names import names_in_order
from offtool.core.values import ImpossibleInput, NotEnoughData

NAMED_IN_A_REFUSAL = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Readings as [first, second, repeat] with the labels of the first two in order of appearance.

    Crossed: first is the part, second the operator. Nested: first is the operator, second its own parts.
    """

    readings: NDArray[np.float64]
    zero: float
    first: tuple[str, ...]
    second: tuple[tuple[str, ...], ...]

    @property
    def cell_means(self) -> NDArray[np.float64]:
        """Of the readings taken from `zero`."""
        return np.asarray(self.readings.mean(axis=2))

    @property
    def ranges(self) -> NDArray[np.float64]:
        """Largest less smallest reading of each cell."""
        return np.asarray(np.ptp(self.readings, axis=2))


def crossed_layout(
    values: Sequence[float] | NDArray[np.float64], parts: Sequence[str], operators: Sequence[str]
) -> Layout:
    """Every part by every operator equally often."""
    array = _readings(values, parts, operators)
    part_names, part = names_in_order(parts)
    operator_names, operator = names_in_order(operators)
    count = _counts(part, operator, len(part_names), len(operator_names))
    _refuse_uneven(
        count,
        lambda p, o: f"part {part_names[p]} by operator {operator_names[o]}",
        "measure what is missing, or leave that part out for all operators",
    )
    return _arranged(array, part, operator, count, part_names, (operator_names,) * len(part_names))


def nested_layout(
    values: Sequence[float] | NDArray[np.float64], operators: Sequence[str], parts: Sequence[str]
) -> Layout:
    """Every operator with equally many parts of their own, each read equally often.

    The same part name with two operators means two parts.
    """
    array = _readings(values, parts, operators)
    operator_names, operator = names_in_order(operators)
    _, part = names_in_order(parts)
    pairs, place = np.unique(
        operator * (part.max(initial=0) + 1) + part, return_inverse=True
    )  # sorted by operator, then by appearance of the part
    owner = pairs // (part.max(initial=0) + 1)
    each = np.bincount(owner, minlength=len(operator_names))
    if each.min() < each.max():
        few = operator_names[int(each.argmin())]
        raise NotEnoughData(
            f"operator {few} has {each.min()} of {each.max()} parts",
            remedy="give every operator equally many parts",
        )
    within = place - operator * each[0]
    names = [
        [str(label) for label in dict.fromkeys(np.asarray(parts, dtype=str)[operator == o])]
        for o in range(len(operator_names))
    ]
    count = _counts(operator, within, len(operator_names), int(each[0]))
    _refuse_uneven(
        count,
        lambda o, p: f"part {names[o][p]} of operator {operator_names[o]}",
        "measure what is missing, or leave out one part of every operator",
    )
    return _arranged(array, operator, within, count, operator_names, tuple(tuple(one) for one in names))


def cells(layout: Layout, *, parts_first: bool) -> tuple[GaugeCell, ...]:
    """Mean and range of each part and operator, for drawings."""
    mean, spread = (layout.zero + layout.cell_means).tolist(), layout.ranges.tolist()
    return tuple(
        GaugeCell(
            part=first if parts_first else second,
            operator=second if parts_first else first,
            mean=mean[i][j],
            range=spread[i][j],
        )
        for i, first in enumerate(layout.first)
        for j, second in enumerate(layout.second[i])
    )


def _readings(
    values: Sequence[float] | NDArray[np.float64], parts: Sequence[str], operators: Sequence[str]
) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=float)
    if array.size == 0:
        raise NotEnoughData("no readings", remedy="let two or three operators measure ten parts twice")
    for name, labels in (("parts", parts), ("operators", operators)):
        if np.shape(labels) != array.shape:
            raise ImpossibleInput(
                name, len(labels), "names", f"must name one for each of {array.size} readings"
            )
    if not np.ptp(array) > 0:
        raise NotEnoughData("all readings are equal", remedy="use a finer gauge, or parts that differ")
    return array


def _counts(
    first: NDArray[np.int64], second: NDArray[np.int64], rows: int, columns: int
) -> NDArray[np.int64]:
    return np.bincount(first * columns + second, minlength=rows * columns).reshape(rows, columns)


def _refuse_uneven(count: NDArray[np.int64], cell: Callable[[int, int], str], remedy: str) -> None:
    """Refuse a table whose cells hold unlike numbers of readings, naming the odd ones."""
    usual = int(np.bincount(count.ravel())[1:].argmax()) + 1
    odd = np.argwhere(count != usual)
    if not len(odd):
        return
    named = [f"{cell(int(i), int(j))} has {count[i, j]}" for i, j in odd[:NAMED_IN_A_REFUSAL]]
    more = f" (and {len(odd) - NAMED_IN_A_REFUSAL} more)" * (len(odd) > NAMED_IN_A_REFUSAL)
    raise NotEnoughData(
        f"unequal numbers of readings: {', '.join(named)}{more}, where others have {usual}", remedy=remedy
    )


def _arranged(
    array: NDArray[np.float64],
    first: NDArray[np.int64],
    second: NDArray[np.int64],
    count: NDArray[np.int64],
    names: tuple[str, ...],
    inner: tuple[tuple[str, ...], ...],
) -> Layout:
    order = np.lexsort((second, first))
    zero = float(array[0])  # a large size then loses no digit of its spread
    readings = (array[order] - zero).reshape(*count.shape, -1)
    return Layout(readings=readings, zero=zero, first=names, second=inner)
