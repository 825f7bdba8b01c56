"""Blocks: tasks that can only be done at one station together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from offtool.core.pilot.balance.given import LineTask


def blocks_of(tasks: Sequence[LineTask]) -> list[list[LineTask]]:
    """Tied tasks with whatever must be done between them; a task that is not tied is a block of its own.

    These are the circles of the graph in which tied tasks come before each other.
    """
    number = {one.task: i for i, one in enumerate(tasks)}
    found: dict[int, list[LineTask]] = {}
    for task, block in zip(tasks, circles(linked(tasks, number)), strict=True):
        found.setdefault(block, []).append(task)
    return list(found.values())


def linked(tasks: Sequence[LineTask], number: Mapping[str, int]) -> list[tuple[int, int]]:
    """Arrows from before to after, and both ways between tied tasks."""
    arrows = [(i, i) for i in number.values()]
    for task in tasks:
        me = number[task.task]
        arrows += [(number[other], me) for other in task.after]
        arrows += [(number[other], me) for other in task.together]
        arrows += [(me, number[other]) for other in task.together]
    return arrows


def circles(arrows: Sequence[tuple[int, int]]) -> list[int]:
    """For each node the number of its strongly connected component."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    size = max(max(one) for one in arrows) + 1
    rows, columns = zip(*arrows, strict=True)
    graph = coo_array(([1] * len(arrows), (rows, columns)), shape=(size, size))
    return [int(one) for one in connected_components(graph, directed=True, connection="strong")[1]]
