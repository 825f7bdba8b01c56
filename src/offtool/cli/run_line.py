"""offtool run-line: what a line will make, what limits it, and what one more of something gives."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from offtool.cli.options import ABOVE_ZERO, command, open_for_reading, shared_options
from offtool.cli.terminal import say, say_json

USUAL_RUNS, USUAL_SEED = 20, 1
"""As in the step, written here so that help stays quick; a test holds them."""


@command(example="offtool run-line harbour-otter --runs 40 --more")
@click.argument("programme")
@click.argument("line", required=False)
@click.option("--hours", type=ABOVE_ZERO, help="Hours of a run; else the hours of a day of the line.")
@click.option("--runs", type=click.IntRange(min=1), default=USUAL_RUNS, show_default=True,
              help="How many runs.")  # fmt: skip
@click.option("--seed", type=click.IntRange(min=0), default=USUAL_SEED, show_default=True,
              help="Of the random numbers.")  # fmt: skip
@click.option("--pilot", default="", help="Take the station times of this pilot.")
@click.option("--more", is_flag=True, help="Try one more person, place and fixture at every station.")
@click.option("--workers", type=click.IntRange(min=1), help="Processes; else the cores where it pays.")
@click.option("--cluster", default="", metavar="ADDRESS",
              help="Spread the runs on a cluster, by the address of its scheduler.")  # fmt: skip
@shared_options
def run_line(
    programme: str,
    line: str | None,
    hours: float | None,
    runs: int,
    seed: int,
    pilot: str,
    more: bool,
    workers: int | None,
    cluster: str,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say what a line will make, and what limits it.

    LINE may be left out where there is one. Ctrl-C stops it, and what is done so far is shown. The same seed
    gives the same numbers, on one core, on many or on a cluster.
    """
    if cluster and workers is not None:
        raise click.UsageError("give --workers or --cluster: a cluster has its own workers")
    open_for_reading(record)
    from offtool.steps.executors import executor_for
    from offtool.steps.plain import as_plain
    from offtool.steps.run_line import plan_line_run

    planned = plan_line_run(programme, line, hours=hours, runs=runs, seed=seed, pilot=pilot, more=more)
    with (
        executor_for(planned.expected_s, workers=workers, cluster=cluster) as executor,
        stopped_by_hand() as stop,
        progress_told() as progress,
    ):
        found = planned.run(executor=executor, progress=progress, stop=stop)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_line_run import line_run_lines

    say(line_run_lines(found))


@contextmanager
def stopped_by_hand() -> Iterator[Callable[[], bool]]:
    """Whether Ctrl-C was pressed: the first time it stops the runs, the second time everything."""
    pressed: list[int] = []

    def note(number: int, frame: object) -> None:
        if pressed:
            raise KeyboardInterrupt
        pressed.append(number)

    before = signal.signal(signal.SIGINT, note)
    try:
        yield lambda: bool(pressed)
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def progress_told() -> Iterator[Callable[[int, int], None] | None]:
    """Tells a terminal how far it is, on a line that is gone afterwards; anything else is told nothing."""
    if not sys.stderr.isatty():
        yield None
        return

    def tell(done: int, of: int) -> None:
        sys.stderr.write(f"\r{done} of {of} runs are done; Ctrl-C stops and shows them ")
        sys.stderr.flush()

    try:
        yield tell
    finally:
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()
