"""A line beside itself with one thing more, run by run with the same random numbers."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import replace
from math import sqrt

from offtool.core.pilot.simulation.additions import check_addition, with_addition
from offtool.core.pilot.simulation.asked import SEED, Asked
from offtool.core.pilot.simulation.check import check_line
from offtool.core.pilot.simulation.given import Addition, Line
from offtool.core.pilot.simulation.reading import Array, Readings, check_hours_left
from offtool.core.pilot.simulation.results import Gain, WhatMoreGives
from offtool.core.pilot.simulation.run import Trace
from offtool.core.pilot.simulation.runs import Progress, SoFar, Stop, run_all
from offtool.core.pilot.simulation.simulate import simulated
from offtool.core.pilot.simulation.told import gain_cautions, gains_words
from offtool.core.values import ImpossibleInput, Interval, Verdict


def what_more_gives(
    line: Line,
    additions: Sequence[Addition],
    *,
    hours: float,
    runs: int,
    seed: int = SEED,
    confidence: float = 0.95,
    warm_up_h: float | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
    so_far: SoFar[WhatMoreGives] | None = None,
) -> WhatMoreGives:
    """What one more person, buffer place or fixture gives, each tried alone.

    Each run of a changed line has the random numbers of the same run of the line as it is, so that the
    difference shows what was added and not the luck of the day. Student's interval of the differences, at a
    confidence that holds for all additions together (Bonferroni). The warm-up is that of the line as it is.

    Returns: WhatMoreGives, the largest gain first. Raises: as simulate_line; ImpossibleInput for an addition
    to what is not there, or fewer than two runs.

    Holds when: as simulate_line. The gain is in good pieces per hour worked.
    """
    asked = Asked(hours=hours, runs=runs, seed=seed, confidence=confidence, warm_up_h=warm_up_h)
    _check(line, additions, asked)
    lines = [line, *(with_addition(line, one) for one in additions)]
    traces = run_all(
        lines,
        asked,
        executor=executor,
        progress=progress,
        stop=stop,
        seen=so_far and (lambda done: so_far(_compared(lines, additions, done, asked))),
    )
    return _compared(lines, additions, traces, asked)


def _compared(
    lines: Sequence[Line], additions: Sequence[Addition], traces: Sequence[Sequence[Trace]], asked: Asked
) -> WhatMoreGives:
    """The result of runs that are done."""
    line, confidence = lines[0], asked.confidence
    base = simulated(line, traces[0], asked)
    alike = replace(asked, warm_up_h=base.warm_up_h, confidence=1 - (1 - confidence) / max(len(additions), 1))
    before = Readings(line, traces[0], alike).rates()
    gains = sorted(
        (
            _gain(addition, before, Readings(changed, found, alike))
            for addition, changed, found in zip(additions, lines[1:], traces[1:], strict=True)
        ),
        key=lambda one: -one.gain_per_h.value,
    )
    return WhatMoreGives(
        words=gains_words(gains),
        base=base,
        gains=tuple(gains),
        confidence=confidence,
        runs=base.runs,
        runs_asked=asked.runs,
        cautions=(*base.cautions, *gain_cautions(len(gains), confidence)),
    )


def _check(line: Line, additions: Sequence[Addition], asked: Asked) -> None:
    asked.check()
    if asked.runs < 2:
        limit = "must be at least 2 to compare"
        raise ImpossibleInput("runs", asked.runs, "", limit, "30 is a usual beginning")
    check_line(line)
    check_hours_left(line, asked)
    for one in additions:
        check_addition(line, one)


def _gain(addition: Addition, before: Array, changed: Readings) -> Gain:
    after = changed.rates()
    gain = changed.estimate(after - before)
    apart, together = sqrt(float(after.var() + before.var())), float((after - before).std())
    return Gain(
        addition=addition,
        gain_per_h=gain,
        per_h=changed.estimate(after),
        shown=_shown(gain.interval),
        interval_apart=apart / together if together > 0 else 1.0,
    )


def _shown(gain: Interval | None) -> Verdict:
    if gain is None or 0 in gain:
        return Verdict.NOT_SHOWN
    return Verdict.HOLDS if gain.low > 0 else Verdict.FAILS
