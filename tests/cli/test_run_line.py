"""offtool run-line: verdict, gains and reasons on the terminal, the same as JSON, stopped by hand."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import pytest

from offtool.cli.run_line import USUAL_RUNS, USUAL_SEED, stopped_by_hand
from offtool.steps import executors
from offtool.steps.plain import as_plain
from offtool.steps.run_line import RUNS, SEED, run_line
from tests.cli.conftest import Run
from tests.steps.run_lines import SLUG, a_line


@pytest.fixture
def line(record: Path) -> None:
    a_line([20, 30, 24], planned_per_h=130.0, tasks={"spread_s": 4.0})


def test_what_help_says_is_what_the_step_takes() -> None:
    assert (USUAL_RUNS, USUAL_SEED) == (RUNS, SEED)


@pytest.mark.usefixtures("line")
def test_it_says_verdict_gains_reasons_and_cautions(run: Run) -> None:
    answer = run("run-line", SLUG, "--runs", "6", "--more")
    assert answer.exit_code == 0
    said = " ".join(answer.out.split())
    found = run_line(SLUG, runs=6, more=True)
    assert said.startswith(found.headline)
    for words in (
        "What to do 1. Add one more person at s2.",
        "One more of each thing",
        "Station by station",
        "s2, limits",
        "Not written down",
        "What it rests on",
        "With care",
    ):
        assert words in said


@pytest.mark.usefixtures("line")
def test_json_is_the_result_of_the_step_on_as_many_processes_as_are_asked_for(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Real processes, which take long to start, are held where they are chosen."""
    asked: list[int | None] = []

    @contextmanager
    def threads(expected_s: float, *, workers: int | None, cluster: str) -> Iterator[ThreadPoolExecutor]:
        asked.append(workers)
        with ThreadPoolExecutor(workers) as pool:
            yield pool

    wanted = as_plain(run_line(SLUG, runs=4, seed=3))
    assert run("run-line", SLUG, "--runs", "4", "--seed", "3", "--json").json == wanted
    monkeypatch.setattr(executors, "executor_for", threads)
    assert run("run-line", SLUG, "--runs", "4", "--seed", "3", "--workers", "2", "--json").json == wanted
    assert asked == [2]


@pytest.mark.usefixtures("line")
@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--hours", "0"), 2, "not above 0"),
        (("--runs", "1", "--more"), 1, "must be at least 2 to compare"),
        (("--workers", "2", "--cluster", "tcp://127.0.0.1:9"), 2, "a cluster has its own workers"),
        (("--pilot", "P9"), 1, "no pilot"),
        (("line 2",), 1, "no line 'line 2'"),
    ],
)
def test_what_cannot_be_is_refused_in_words(run: Run, words: tuple[str, ...], code: int, said: str) -> None:
    answer = run("run-line", SLUG, *words)
    assert answer.exit_code == code
    assert said in answer.err


def test_the_first_interrupt_stops_the_runs_and_the_second_everything() -> None:
    with stopped_by_hand() as stop:
        assert not stop()
        os.kill(os.getpid(), signal.SIGINT)
        assert stop()
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
