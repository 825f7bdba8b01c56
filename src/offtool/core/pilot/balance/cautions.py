"""What must be known before a balanced line is built."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.results import StationLoad
from offtool.core.values import Caution
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Side

FEW_READINGS = 10
"""A task is timed over so many pieces before its mean is trusted."""
NAMED = 5
"""So many tasks are named, the rest counted."""
MEANS = Caution(
    "a balance counts mean times: it knows nothing of waiting, stoppages, rework or learning; simulate the "
    "line and time it in the pilot"
)
NORMAL_SUM = Caution(
    "how often a station is over the cycle is an approximation: tasks are taken as independent and their sum "
    "as normal, and what one person's delay does to the other is left out"
)
AT_THE_EQUIPMENT = Caution(
    "welders, heated and moving tools, solvents and spray booths need their guards, extraction and trained "
    "people; local rules decide which work may stand side by side",
    PRACTICE,
)


def cautions_of(problem: Problem, loads: Sequence[StationLoad]) -> tuple[Caution, ...]:
    """Every caution that stands on a line."""
    return tuple(_each(problem, loads))


def _each(problem: Problem, loads: Sequence[StationLoad]) -> Iterator[Caution]:
    yield from _readings(problem)
    if any(one.over for one in loads):
        yield NORMAL_SUM
    if problem.rounded:
        yield Caution(
            f"times are counted in steps of {problem.step_s:g} s and rounded up; proofs hold for these"
        )
    sided = [one.task for one in problem.line.tasks if one.side is not Side.EITHER]
    if sided and not problem.any_two_sided:
        yield Caution("sides play no part: at no station do two people face each other")
    empty = [str(one.station) for one in loads if not one.tasks]
    if empty:
        yield Caution(f"nothing is done at {_listed(empty, 'station')}: it needs nobody")
    yield from _shared_equipment(problem, loads)
    yield MEANS
    if any(one.equipment for one in problem.line.tasks):
        yield AT_THE_EQUIPMENT


def _shared_equipment(problem: Problem, loads: Sequence[StationLoad]) -> Iterator[Caution]:
    """Several people at a one-sided station work on a piece each: the rate counts equipment for each."""
    for one in problem.line.equipment:
        there = [load for load in loads if one.equipment in load.equipment]
        needed = sum(1 if load.two_sided else load.people for load in there)
        if one.at_most is not None and needed > one.at_most:
            where = _listed([str(load.station) for load in there], "station")
            yield Caution(
                f"{one.equipment}: {needed} people at {where} need it and {one.at_most} can be had; the rate "
                "counts one for each of them, and is lower where they wait for each other"
            )


def _readings(problem: Problem) -> Iterator[Caution]:
    guessed = [one.task for one in problem.line.tasks if one.readings == 0]
    few = [one.task for one in problem.line.tasks if 0 < one.readings < FEW_READINGS]
    if guessed:
        yield Caution(f"the time of {_listed(guessed, 'task')} is an estimate: time it", PRACTICE)
    if few:
        said = f"the time of {_listed(few, 'task')} rests on fewer than {FEW_READINGS} readings"
        yield Caution(said, PRACTICE)


def _listed(names: Sequence[str], noun: str) -> str:
    rest = len(names) - NAMED
    said = ", ".join(names[:NAMED])
    return f"{noun}{'' if len(names) == 1 else 's'} {said}{f' and {rest} more' if rest > 0 else ''}"
