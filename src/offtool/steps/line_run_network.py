"""Which station hands on to which: from what must be done before what to one way for every piece."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """From which stations each takes, by number; `loose` hand on only because the next stands there."""

    takes: Mapping[int, tuple[int, ...]]
    loose: tuple[int, ...]


def ways_between(numbers: Sequence[int], before: Mapping[int, Sequence[int]]) -> Ways:
    """The ways of a line whose stations stand in this order; `before` says on whose work each builds.

    What two stations give is put together at the first station that builds on both. A station on whose work
    nothing builds that stands further on hands to the next one in the row, so that nothing is lost.
    """
    flows: list[_Flow] = []
    takes: dict[int, tuple[int, ...]] = {}
    loose: list[int] = []
    builds_on = {k: [i for i in numbers if k in before.get(i, ())] for k in numbers}
    for k in numbers:
        ending = [one for one in flows if not one.awaited]
        coming = [one for one in flows if k in one.awaited or one in ending]
        loose += [one.head for one in ending]
        takes[k] = tuple(one.head for one in coming)
        awaited = {*builds_on[k], *(i for one in coming for i in one.awaited)} - {k}
        flows = [one for one in flows if one not in coming] + [_Flow(k, frozenset(awaited))]
    return Ways(takes=takes, loose=tuple(loose))


@dataclass(frozen=True, slots=True)
class _Flow:
    """Pieces that grow along the line: the station they leave last, and the stations that build on them."""

    head: int
    awaited: frozenset[int]
