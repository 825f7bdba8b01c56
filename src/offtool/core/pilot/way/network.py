"""Steps and what each waits for, checked, and in an order in which they can be gone through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts
from offtool.core.values import ImpossibleInput, NotEnoughData, Range, nearest

Floats = NDArray[np.float64]

MOST_STEPS = 300
LONGEST_DAYS = 10_000.0
DAYS = Range(meaning="working days", unit="d", at_least=0, at_most=LONGEST_DAYS)
BETWEEN = "|"
"""Stands between the names of the steps that one waits for."""
NOTHING = ("", "-")
"""Stands where a step waits for nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """The steps, by number: days at least and at most, what each waits for, and in which order they stand."""

    names: tuple[str, ...]
    low: Floats
    high: Floats
    not_before: Floats
    before: tuple[tuple[int, ...], ...]
    """For each step the numbers of those that must be done before."""
    order: tuple[int, ...]
    """Every step after all that it waits for."""

    @property
    def middle(self) -> Floats:
        """Days in the middle of what is given."""
        return (self.low + self.high) / 2


def network_of(steps: Texts, low: Numbers, high: Numbers, after: Texts, not_before: Numbers) -> Network:
    """The network of the columns. Raises: ImpossibleInput, naming the step; NotEnoughData without one."""
    names = _names(steps)
    least, most = _column("low_days", low, names), _column("high_days", high, names)
    for place in np.flatnonzero(most < least)[:1]:
        limit = f"must be at least the low {least[place]:g} of {names[place]!r}"
        raise ImpossibleInput("high_days", float(most[place]), "d", limit, "correct one of the two")
    begins = _column("not_before", not_before, names) if len(not_before) else np.zeros(len(names))
    before = _before(names, [str(one) for one in after])
    return Network(
        names=names,
        low=least,
        high=most,
        not_before=begins,
        before=tuple(tuple(names.index(one) for one in waits) for waits in before),
        order=_in_order(names, before),
    )


def _names(steps: Texts) -> tuple[str, ...]:
    names = tuple(str(one).strip() for one in steps)
    if not names:
        raise NotEnoughData("no step is named", remedy="name what is still to be done")
    if len(names) > MOST_STEPS:
        raise ImpossibleInput("steps", len(names), "", f"must be at most {MOST_STEPS}", "take some together")
    for place, name in enumerate(names, start=1):
        if not name:
            raise ImpossibleInput("steps", "blank", "", f"must be named, in row {place}")
        if BETWEEN in name:
            limit = f"must not have {BETWEEN!r} in it, which stands between the names of several steps"
            raise ImpossibleInput("steps", name, "", limit, "write it without")
        if name in names[: place - 1]:
            raise ImpossibleInput("steps", name, "", "stands twice", "give each once, or two names")
    return names


def _column(argument: str, values: Numbers, names: Sequence[str]) -> Floats:
    array = np.asarray(values, dtype=float)
    if array.size != len(names):
        limit = f"must be {len(names)} numbers, one for each step"
        raise ImpossibleInput(argument, array.size, "", limit, "give each step its own")
    return array


def _before(names: Sequence[str], after: Sequence[str]) -> list[list[str]]:
    """The names of what each step waits for, in the order in which they are written, each once."""
    if after and len(after) != len(names):
        limit = f"must be {len(names)} lists, one for each step, - where it waits for nothing"
        raise ImpossibleInput("after", len(after), "", limit)
    told = [
        [one.strip() for one in waits.split(BETWEEN) if one.strip() not in NOTHING]
        for waits in after or [""] * len(names)
    ]
    for name, waits in zip(names, told, strict=True):
        for one in waits:
            if one == name:
                limit = f"is the step itself, of which {name!r} cannot wait for the end"
                raise ImpossibleInput("after", one, "", limit, "take it out")
            if one not in names:
                raise ImpossibleInput(
                    "after", one, "", f"is no step; {name!r} waits for it", nearest(one, names)
                )
    return [list(dict.fromkeys(waits)) for waits in told]


def _in_order(names: Sequence[str], before: Sequence[Sequence[str]]) -> tuple[int, ...]:
    try:
        ordered = [*TopologicalSorter(dict(zip(names, before, strict=True))).static_order()]
    except CycleError as error:
        ring = " → ".join(error.args[1])
        remedy = "take one of these out of what another waits for"
        raise ImpossibleInput("after", ring, "", "each would wait for its own end", remedy) from None
    return tuple(names.index(one) for one in ordered)
