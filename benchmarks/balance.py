"""Published lines balanced to a proved optimum, beside the rule of thumb."""

from __future__ import annotations

import json
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

FOLDER = Path(__file__).resolve().parents[1] / "tests" / "published" / "salbp"
LIMIT_S = 20.0
"""What a line counts that is not proved, whatever it took."""
SEARCH_S = 3.0
"""The solver is told to stop after this, so that the whole table takes some two minutes."""
CYCLES = {
    "SAWYER30": (25, 27, 30, 33, 36, 41, 47, 54, 75),
    "HAHN": (2004, 2338, 2806, 3507, 4676),
    "WARNECKE": (54, 56, 58, 60, 62, 65, 68, 71, 74, 78, 82, 86, 92, 97, 104, 111),
    "TONGE70": (160, 168, 176, 185, 195, 207, 220, 234, 251, 270, 293, 320, 364, 410, 468, 527),
    "WEE-MAG": (*range(28, 44), 45, 46, 47, 49, 50, 52, 54, 56),
}  # fmt: skip
"""Cycles of the larger graphs for which the fewest stations are published."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """One line, and how it went."""

    graph: str
    took_s: float
    thumb_s: float
    stations: int
    bound: int
    by_thumb: int

    @property
    def is_proved(self) -> bool:
        """Whether no line is shorter."""
        return self.bound == self.stations

    @property
    def proved_after_s(self) -> float:
        """How long it took to a proved optimum; where there is none, the limit."""
        return self.took_s if self.is_proved else LIMIT_S


def balance(file: str, cycle: int) -> Balanced:
    """The fewest stations of a graph at a cycle; and those of the rule of thumb."""
    from offtool.core.pilot.balance.balance import WORKERS
    from offtool.core.pilot.balance.by_weight import place_by_weight
    from offtool.core.pilot.balance.given import LineGiven, LineTask
    from offtool.core.pilot.balance.problem import problem_of
    from offtool.core.pilot.balance.search import Budget, fewest

    size, *rest = (FOLDER / file).read_text(encoding="utf-8").split()
    times, pairs = rest[: int(size)], [one.split(",") for one in rest[int(size) :]]
    line = LineGiven(
        tasks=tuple(
            LineTask(task=str(i), time_s=float(time), after=tuple(a for a, b in pairs if b == str(i)))
            for i, time in enumerate(times, start=1)
        )
    )
    problem, found = problem_of(line), []
    ticks = problem.cycle(float(cycle))
    took = seconds(lambda: found.append(fewest(problem, ticks, Budget(SEARCH_S, WORKERS))))
    thumb = seconds(lambda: place_by_weight(problem, ticks, problem.size))
    best = found[0]
    return Balanced(
        graph=file.partition(".")[0],
        took_s=took,
        thumb_s=thumb,
        stations=best.placing.stations,
        bound=best.bound,
        by_thumb=best.by_weight or problem.size,
    )


def balanced_lines(folder: Path) -> Iterator[Figure]:
    """Every graph up to 45 tasks at its published cycles, and the graphs from 30 to 75 tasks."""
    cases = json.loads((FOLDER / "optima.json").read_text(encoding="utf-8"))["salbp1"]
    balance(cases[0]["file"], cases[0]["c"])  # loads the solver
    small = [balance(case["file"], case["c"]) for case in cases]
    yield from _told(f"{len(small)} published lines of 7 to 45 tasks", small)
    large = [balance(f"{name}.IN2", cycle) for name, cycles in CYCLES.items() for cycle in cycles]
    yield from _told(f"{len(large)} published lines of 30 to 75 tasks", large)


def _told(what: str, found: Sequence[Balanced]) -> Iterator[Figure]:
    took, thumb = [one.proved_after_s for one in found], [one.thumb_s for one in found]
    proved, reached = (
        _share(one.is_proved for one in found),
        _share(one.bound == one.by_thumb for one in found),
    )
    slowest_s, slowest = max(
        (statistics.median(one.proved_after_s for one in found if one.graph == graph), graph)
        for graph in {one.graph for one in found}
    )
    above, thumb_above = (
        sum(one.stations - one.bound for one in found),
        sum(one.by_thumb - one.bound for one in found),
    )
    yield Figure(
        what=f"{what}, median", value=statistics.median(took), unit="s", goal=LIMIT_S,
        beside="ranked weights", baseline=statistics.median(thumb),
    )  # fmt: skip
    yield Figure(
        what=f"  of its slowest graph, {slowest}; {LIMIT_S:g} s where unproved", value=slowest_s, unit="s",
        goal=LIMIT_S, beside="ranked weights",
        baseline=statistics.median(one.thumb_s for one in found if one.graph == slowest),
    )  # fmt: skip
    yield Figure(
        what=f"  proved to be the fewest stations in {SEARCH_S:g} s", value=proved, unit="%",
        beside="ranked weights reach the bound in", baseline=reached,
    )  # fmt: skip
    yield Figure(
        what="  above the bound, all lines together", value=float(above), unit="stations",
        beside="ranked weights", baseline=float(thumb_above),
    )  # fmt: skip


def _share(yes: Iterator[bool]) -> float:
    return 100 * statistics.fmean(yes)


if __name__ == "__main__":
    for figure in balanced_lines(Path()):
        print(figure.line(), flush=True)
