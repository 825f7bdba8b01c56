"""The two passes through a network: forwards to the earliest days, backwards to the latest.

All arrays have a row for each way of drawing the days, and a column for each step.
"""

from __future__ import annotations

import numpy as np

from offtool.core.pilot.way.network import Floats, Network


def earliest_starts(network: Network, days: Floats) -> Floats:
    """When each step can begin: when all that it waits for is done, and not before its day."""
    starts = np.empty_like(days)
    for step in network.order:
        begins = np.full(days.shape[0], network.not_before[step])
        for one in network.before[step]:
            np.maximum(begins, starts[:, one] + days[:, one], out=begins)
        starts[:, step] = begins
    return starts


def latest_ends(network: Network, days: Floats, end: Floats) -> Floats:
    """When each step must be done at the latest, if the end is not to move."""
    ends = np.repeat(end[:, None], days.shape[1], axis=1)
    for step in reversed(network.order):
        for one in network.before[step]:
            ends[:, one] = np.minimum(ends[:, one], ends[:, step] - days[:, step])
    return ends


def sooner_without(network: Network) -> Floats:
    """By how many days the end comes sooner if a step took no time at all, for each step; middle days."""
    usual = network.middle
    without = np.tile(usual, (usual.size + 1, 1))
    np.fill_diagonal(without, 0.0)
    ends = (earliest_starts(network, without) + without).max(axis=1)
    return np.asarray(ends[-1] - ends[:-1])


def deciding_path(network: Network, starts: Floats, days: Floats) -> tuple[int, ...]:
    """One chain of steps that decides the end, first step first.

    It begins with a step that waits for nothing, or for its own day. Where chains are equally long, the one
    whose steps were named first.
    """
    ends = starts + days
    step = int(np.argmax(ends))
    path = [step]
    while True:
        waits = [one for one in network.before[step] if ends[one] >= starts[step]]
        if not waits:
            return tuple(reversed(path))
        step = min(waits)
        path.append(step)
