"""offtool safety: for whom the toy is, its own tests read and kept, the same result as the page."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from offtool.cli.safety import TESTS
from offtool.cli.typeset import columns_of
from offtool.handbook.toy_law import TOY_TESTS_NAMED
from offtool.records.models import ToyTestRun
from offtool.steps.plain import as_plain
from offtool.steps.toy_safety import know_safety
from tests.cli.conftest import Run
from tests.steps.toyed import torque_file


@pytest.fixture
def toy(run: Run, flipper: str) -> str:
    """The flipper, sold in the United States from three years on."""
    answer = run("safety", flipper, "--market", "US", "--from-months", "36", "--to-months", "96")
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("For whom it is, is kept.")
    return flipper


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Eleven pieces that stood the torque, and one that did not."""
    path = tmp_path / "torque.csv"
    path.write_bytes(torque_file(11, 1))
    return path


def test_the_tests_in_help_are_those_that_there_are() -> None:
    assert set(TESTS) == set(TOY_TESTS_NAMED)


def test_before_anything_is_said_it_asks_for_market_and_age(run: Run, flipper: str) -> None:
    out = run("safety", flipper).out
    assert out.startswith("Say where it will be sold")
    assert "An accredited laboratory and the law of the place decide" in out
    assert f"offtool safety {flipper} --market US,EU --from-months 36" in " ".join(out.split())
    assert "Small parts: none may fit for children under three; the age is not said" in out
    assert "not asked for these ages" not in out


def test_a_file_is_shown_and_kept_only_when_asked_for(run: Run, toy: str, file: Path) -> None:
    shown = run("safety", toy, "--read", file)
    assert "12 pieces of a torque test understood, 11 held" in shown.out
    assert "Nothing is kept yet." in shown.out
    assert "Gauge" not in shown.out
    assert ToyTestRun.objects.count() == 0
    kept = run("safety", toy, "--read", file, "--name", "L1", "--done-on", "2026-03-04", "--keep")
    assert kept.out.startswith("Kept: 12 pieces of torque.csv as torque test L1")
    out = run("safety", toy).out
    assert out.startswith("Own tests: torque does not hold, 1 of 12 failed")
    assert "4 in·lbf" in out
    assert "from memory" in out
    assert "L1: US, torque, 12 pieces, 4 March 2026; counts" in out
    assert max(columns_of(line) for line in out.splitlines()) <= 100


def test_json_is_the_result_of_the_step(run: Run, toy: str, file: Path) -> None:
    run("safety", toy, "--read", file, "--done-on", "2026-03-04", "--keep")
    today = datetime.now().astimezone().date()
    assert run("safety", toy, "--json").json == as_plain(know_safety(toy, today))
    assert run("safety", toy, "--share", "75", "--json").json == as_plain(know_safety(toy, today, share=0.75))


def test_a_test_is_set_aside(run: Run, toy: str, file: Path) -> None:
    run("safety", toy, "--read", file, "--keep")
    answer = run("safety", toy, "--set-aside", "torque", "--because", "the gauge slipped")
    assert answer.out.startswith("Test torque counts no more.")
    assert "set aside: the gauge slipped" in answer.out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--market", "MOON"), 1, "no market 'MOON'"),
        (("--from-months", "120"), 1, "must be above the youngest age, 120"),
        (("--share", "100"), 1, "must be below 100"),
        (("--keep",), 2, "--keep belongs to --read"),
        (("--because", "x"), 2, "--because belongs to --set-aside"),
        (("--set-aside", "L9", "--because", "x"), 1, "no toy test 'L9'"),
    ],
)
def test_what_cannot_be_is_said(run: Run, toy: str, words: tuple[str, ...], code: int, said: str) -> None:
    answer = run("safety", toy, *words)
    assert answer.exit_code == code
    assert said in answer.err


def test_reading_and_saying_are_two_things(run: Run, toy: str, file: Path) -> None:
    answer = run("safety", toy, "--read", file, "--market", "EU")
    assert answer.exit_code == 2
    assert "one at a time" in answer.err
