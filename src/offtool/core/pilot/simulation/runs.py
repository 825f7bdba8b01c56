"""Many runs, one after the other or on an executor that the caller gives: the same answer either way."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from typing import TypeVar

from offtool.core.pilot.simulation.asked import Asked
from offtool.core.pilot.simulation.given import Line
from offtool.core.pilot.simulation.run import Trace, run_line

Progress = Callable[[int, int], None]
Stop = Callable[[], bool]
Result = TypeVar("Result")
SoFar = Callable[[Result], None]
Seen = Callable[[list[list[Trace]]], None]

LOOK_S = 0.2
"""How often to ask whether to stop while runs are under way elsewhere."""
FIRST_SEEN = 4
"""Runs after which there is something to show; then after twice as many, and so on."""


def run_all(
    lines: Sequence[Line],
    asked: Asked,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
    seen: Seen | None = None,
) -> list[list[Trace]]:
    """Every run of every line, [line][run]; where it is stopped, the first runs that all lines have done.

    The first line is read in full, the others by their books alone: of many lines, more would not be kept.
    Each run draws from the seed and its own number alone, so that neither the order nor the process matters.
    """
    jobs = [(run, which) for run in range(asked.runs) for which in range(len(lines))]
    count = Counted(len(jobs), progress)
    if executor is None:
        coming = _here(lines, jobs, asked, count, stop)
    else:
        coming = _elsewhere(lines, jobs, asked, count, stop, executor)
    done, show_at = Runs(len(lines)), FIRST_SEEN
    for (run, which), trace in coming:
        done.add(run, which, trace)
        if seen is not None and show_at <= done.whole < asked.runs:
            seen(done.traces())
            show_at = 2 * done.whole
    return done.traces()


class Runs:
    """What is done; of that, the first runs that all lines have done."""

    def __init__(self, lines: int) -> None:
        self._lines, self._done = lines, dict[tuple[int, int], Trace]()
        self.whole = 0

    def add(self, run: int, which: int, trace: Trace) -> None:
        """Another run of a line."""
        self._done[run, which] = trace
        while all((self.whole, which) in self._done for which in range(self._lines)):
            self.whole += 1

    def traces(self) -> list[list[Trace]]:
        """[line][run]."""
        return [[self._done[run, which] for run in range(self.whole)] for which in range(self._lines)]


class Counted:
    """Tells how many of all runs are done."""

    def __init__(self, total: int, progress: Progress | None) -> None:
        self.done, self.total, self.progress = 0, total, progress

    def one_more(self) -> None:
        """Another run is done."""
        self.done += 1
        if self.progress is not None:
            self.progress(self.done, self.total)


Jobs = Sequence[tuple[int, int]]
Done = Iterator[tuple[tuple[int, int], Trace]]


def _here(lines: Sequence[Line], jobs: Jobs, asked: Asked, count: Counted, stop: Stop | None) -> Done:
    for run, which in jobs:
        trace = run_line(lines[which], asked.hours, asked.seed, run, which > 0, stop)
        if trace is None:
            return
        count.one_more()
        yield (run, which), trace


def _elsewhere(
    lines: Sequence[Line],
    jobs: Jobs,
    asked: Asked,
    count: Counted,
    stop: Stop | None,
    executor: Executor,
) -> Done:
    waiting: dict[Future[Trace | None], tuple[int, int]] = {
        executor.submit(run_line, lines[which], asked.hours, asked.seed, run, which > 0): (run, which)
        for run, which in jobs
    }
    try:
        while waiting and not (stop is not None and stop()):
            ready, _ = wait(waiting, timeout=LOOK_S, return_when=FIRST_COMPLETED)
            for future in ready:
                trace = future.result()
                count.one_more()
                if trace is not None:
                    yield waiting.pop(future), trace
    finally:
        for future in waiting:
            future.cancel()
