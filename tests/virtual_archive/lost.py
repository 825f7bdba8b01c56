"""Which sheets of the record are lost."""

from __future__ import annotations

from dataclasses import dataclass

from numpy.random import default_rng

from tests.virtual_archive.worlds import World

SHARE_LOST = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Sheets of sizes and of details by tool and state; colours of trials by run and tool."""

    sizes: frozenset[tuple[int, int]] = frozenset()
    details: frozenset[tuple[int, int]] = frozenset()
    colours: frozenset[tuple[int, int]] = frozenset()


NOTHING_LOST = Lost()


def lose_a_third(world: World) -> Lost:
    """Each sheet is lost by itself; one sheet of sizes of each tool is always left."""
    rng = default_rng([world.seed, 3])
    sheets = [(j, k) for j, tool in enumerate(world.tools) for k in range(tool.states)]
    kept = {(j, int(rng.integers(tool.states))) for j, tool in enumerate(world.tools)}
    trials = [
        (r, j) for r, run in enumerate(world.runs) for j in range(len(world.tools)) if _is_trial(run.name)
    ]
    return Lost(
        sizes=frozenset(one for one in sheets if rng.random() < SHARE_LOST and one not in kept),
        details=frozenset(one for one in sheets if rng.random() < SHARE_LOST),
        colours=frozenset(one for one in trials if rng.random() < SHARE_LOST),
    )


def _is_trial(name: str) -> bool:
    return name.startswith("T")
