"""Runs of a line behind the pages: begun, joined, stopped, and what is known of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from offtool.core.values import OfftoolError
from offtool.steps.executors import executor_for
from offtool.steps.line_run_found import LineRunFound
from offtool.steps.run_line import LineRun
from offtool.web.long_runs import LONG_RUNS, LongRun

WAITED_FOR_S = 1.0
"""What takes no longer on one core is done while the page is waited for."""
FEWEST = 2
"""Runs of an answer that only stands in for another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRunAnswer:
    """What a page shows: a result, the long run it is of or stands in for, and what must be said of it."""

    found: LineRunFound
    long: LongRun | None = None
    notice: str = ""


def answer_at_once(short: LineRun) -> LineRunAnswer:
    """A short answer."""
    return LineRunAnswer(found=short.run())


def answer_instead_of(planned: LineRun) -> LineRunAnswer:
    """A very short answer in place of a long run of which nothing is known yet, and why that is so."""
    long = LONG_RUNS.find(planned.key)
    notice = ""
    if long is None:
        notice = f"The {planned.runs} runs are not under way, or are kept no longer: start them below."
    elif long.error is not None:
        notice = f"That run gave nothing: {long.error}."
    return LineRunAnswer(found=replace(planned, runs=FEWEST, more=False).run(), long=long, notice=notice)


def answer_known(planned: LineRun, *, as_json: bool) -> LineRunAnswer | None:
    """What is known of a run; None where nothing is.

    Raises OfftoolError where JSON is asked of a run that was never begun and takes too long to wait for:
    fewer runs in its place would be another answer.
    """
    long = LONG_RUNS.find(planned.key)
    if long is not None and long.known is not None:
        return LineRunAnswer(found=long.known, long=long)
    if long is None and planned.expected_s <= WAITED_FOR_S:
        return LineRunAnswer(found=planned.run())
    if as_json:
        raise OfftoolError(
            "nothing is known of that run yet", remedy="start it on the page, or run it with offtool run-line"
        )
    return None


def start(planned: LineRun) -> LongRun:
    """Begin it, or join the one with the same settings. Raises OfftoolError where too many are under way."""

    def work(
        *, progress: Callable[[int, int], None], stop: Callable[[], bool], so_far: Callable[[Any], None]
    ) -> LineRunFound:
        with executor_for(planned.expected_s) as executor:
            return planned.run(executor=executor, progress=progress, stop=stop, so_far=so_far)

    return LONG_RUNS.start(planned.key, work)


def stop(planned: LineRun) -> None:
    """Ask it to stop; what is done so far stays."""
    LONG_RUNS.stop(planned.key)
