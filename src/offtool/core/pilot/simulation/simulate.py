"""Run a line many times and say what it gives."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor

from offtool.core.pilot.simulation.asked import SEED, Asked
from offtool.core.pilot.simulation.check import check_line
from offtool.core.pilot.simulation.given import Line
from offtool.core.pilot.simulation.reading import Readings, check_hours_left
from offtool.core.pilot.simulation.results import LineSimulated
from offtool.core.pilot.simulation.run import Trace
from offtool.core.pilot.simulation.runs import Progress, SoFar, Stop, run_all
from offtool.core.pilot.simulation.told import line_cautions, line_words, plan_verdict
from offtool.core.values import OfftoolError


def simulate_line(
    line: Line,
    *,
    hours: float,
    runs: int,
    seed: int = SEED,
    confidence: float = 0.95,
    warm_up_h: float | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
    so_far: SoFar[LineSimulated] | None = None,
) -> LineSimulated:
    """How many good pieces an hour the line gives, where it waits, and how full its places are.

    Each run begins with an empty line. The warm-up is cut where the mean of the rest is known best (MSER-5),
    by output and by pieces inside, whichever is later, unless `warm_up_h` says where. The interval is
    Student's over runs; of a single long run, over 10 batches. `progress(done, of)` is called after
    each run and `stop()` asked again and again; with an `executor` the runs are spread, and the numbers are
    the same. `so_far(result)` is given what is known after 4, 8, 16 … runs.

    Returns: LineSimulated, of the runs that were done where it was stopped. Raises: ImpossibleInput for a
    line that cannot run, naming the station; OfftoolError where it was stopped before the first run was done.

    Holds when: a station blocks after service; a stoppage comes with work and not with waiting; people finish
    what is in hand before a break; items wait first come, first served, and rework goes first.

    Example: two stations with exponential times of the same mean and no place between them give 2/3 of what
    one alone would (Hunt 1956, from memory).
    """
    asked = Asked(hours=hours, runs=runs, seed=seed, confidence=confidence, warm_up_h=warm_up_h)
    asked.check()
    check_line(line)
    check_hours_left(line, asked)
    traces = run_all(
        [line],
        asked,
        executor=executor,
        progress=progress,
        stop=stop,
        seen=so_far and (lambda done: so_far(simulated(line, done[0], asked))),
    )
    return simulated(line, traces[0], asked)


def simulated(line: Line, traces: Sequence[Trace], asked: Asked) -> LineSimulated:
    """The result of runs that are done."""
    if not traces:
        remedy = "let it run longer, or ask for a shorter run"
        raise OfftoolError("stopped before a run was done: nothing can be said", remedy=remedy)
    found = Readings(line, traces, asked)
    per_h, places = found.per_h(), found.places()
    busiest, counted = found.busiest(places), found.counted()
    short = found.limiting(busiest, counted)
    plan = plan_verdict(per_h, line.planned_per_h)
    first, last = found.first_and_last_hour()
    return LineSimulated(
        words=line_words(per_h, busiest, short, plan, line),
        per_h=per_h,
        good=found.estimate(found.good[:, -1]),
        one_run_per_h=found.one_run(),
        plan=plan,
        time_inside_s=found.time_inside_s(),
        inside=found.inside(),
        scrap_share=found.scrap_share(),
        first_hour_per_h=found.estimate(first),
        last_hour_per_h=found.estimate(last),
        last_less_first_per_h=found.estimate(last - first),
        warm_up_h=float(found.at_h[found.cut]),
        settled=found.settled,
        limited_by=tuple(one.name for one in short or busiest),
        places=places,
        stores=found.stores(),
        counted=counted,
        most_rework=found.most_rework(),
        at_h=tuple(found.at_h.tolist()),
        output=tuple(found.good.mean(axis=0).tolist()),
        output_least=tuple(found.good.min(axis=0).tolist()),
        output_most=tuple(found.good.max(axis=0).tolist()),
        counts=found.counts(),
        runs=len(traces),
        runs_asked=asked.runs,
        hours=asked.hours,
        seed=asked.seed,
        confidence=asked.confidence,
        line=line,
        cautions=tuple(line_cautions(line, found)),
    )
