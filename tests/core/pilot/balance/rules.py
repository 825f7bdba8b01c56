"""Whether a balanced line could be built: every rule read back from the result."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from offtool.core.pilot.balance import LineBalance, PlacedTask, Side, StationLoad

HAIR = 1e-9


def broken(found: LineBalance) -> list[str]:
    """Every rule that a line does not keep; none where it can be built."""
    return [
        *_order(found),
        *_rules(found),
        *(said for one in found.stations for said in _station(found, one)),
    ]


def _where(found: LineBalance) -> dict[str, tuple[StationLoad, PlacedTask]]:
    return {placed.task: (one, placed) for one in found.stations for placed in one.tasks}


def _order(found: LineBalance) -> Iterator[str]:
    where = _where(found)
    if sorted(where) != sorted(one.task for one in found.line.tasks):
        yield "not every task stands once"
    for task in found.line.tasks:
        station, placed = where[task.task]
        for name in task.after:
            first, before = where[name]
            if first.station > station.station:
                yield f"{name} is behind {task.task}"
            if first.station == station.station and before.ends_s > placed.begins_s + HAIR:
                yield f"{task.task} begins before {name} ends"


def _rules(found: LineBalance) -> Iterator[str]:
    at = {name: one.station for name, (one, _) in _where(found).items()}
    for task in found.line.tasks:
        here = at[task.task]
        if task.station not in (None, here):
            yield f"{task.task} is not at its station"
        if any(at[other] != here for other in task.together) or any(
            at[other] == here for other in task.apart
        ):
            yield f"{task.task} is with the wrong tasks"
    for one in found.line.equipment:
        used = {at[task.task] for task in found.line.tasks if one.equipment in task.equipment}
        if (one.stations and not used <= set(one.stations)) or (one.at_most and len(used) > one.at_most):
            yield f"{one.equipment} is at {used}"


def _station(found: LineBalance, one: StationLoad) -> Iterator[str]:
    sides = {task.task: task.side for task in found.line.tasks}
    for placed in one.tasks:
        if one.two_sided and (
            placed.side is Side.EITHER or sides[placed.task] not in (Side.EITHER, placed.side)
        ):
            yield f"{placed.task} is on the wrong side"
    for side in {placed.side for placed in one.tasks}:
        mine = sorted((p for p in one.tasks if p.side is side), key=lambda p: p.begins_s)
        for first, then in pairwise(mine):
            if first.ends_s > then.begins_s + HAIR:
                yield f"{then.task} begins before {first.task} ends"
        room = found.cycle_s * (1 if one.two_sided else one.people)
        if mine[-1].ends_s > room * (1 + HAIR):
            yield f"station {one.station} ends after the cycle"
