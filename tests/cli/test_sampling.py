"""offtool sampling: one question at a time, the same result as the page."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.cli.sampling import BELONGS, LEVELS
from offtool.cli.sampling_typed import ASKED
from offtool.cli.typeset import columns_of
from offtool.handbook.sampling_plans import LEVELS as KNOWN
from offtool.steps.plain import as_plain
from offtool.steps.plan_sampling import plan_sampling
from offtool.steps.sampling_asked import (
    Asked,
    FindAsked,
    LotAsked,
    LotsAsked,
    MeasuredAsked,
    OwnAsked,
    ZeroAsked,
)
from tests.cli.conftest import Run


def test_the_questions_and_levels_are_those_that_there_are() -> None:
    assert set(ASKED) == set(BELONGS)
    assert LEVELS == KNOWN


def test_a_lot_is_answered_in_words(run: Run) -> None:
    out = run("sampling", "--lot", "2000", "--aql", "0.65").out
    assert out.startswith("Look at 125 of 2,000, drawn at random: accept with up to 2 bad pieces")
    assert "passes 8.86 times in 100, the sample drawn from 2,000." in " ".join(out.split())
    assert "What it does not promise" in out
    assert "left to a" in out
    assert max(columns_of(line) for line in out.splitlines()) <= 100


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        (("--lot", "2000", "--aql", "0.65"), LotAsked(lot=2000, aql=0.65)),
        (("--lot", "90", "--aql", "1,5", "--level", "S-3"), LotAsked(lot=90, aql=1.5, level="S-3")),
        (
            ("--pieces", "89", "--accept", "2", "--good", "1", "--bad", "6"),
            OwnAsked(pieces=89, accept=2, good=0.01, bad=0.06),
        ),
        (("--find", "1", "6", "--lot", "5000"), FindAsked(good=0.01, bad=0.06, lot=5000)),
        (
            ("--find", "1", "6", "--risks", "1", "5"),
            FindAsked(good=0.01, bad=0.06, producer_risk=0.01, consumer_risk=0.05),
        ),
        (("--zero", "95"), ZeroAsked(reliability=0.95)),
        (
            ("--zero", "90", "--confidence", "90", "--failures", "1"),
            ZeroAsked(reliability=0.9, confidence=0.9, failures=1),
        ),
        (("--measure", "1", "10", "--known-spread"), MeasuredAsked(good=0.01, bad=0.1, spread="known")),
    ],
)
def test_json_is_the_result_of_the_step(run: Run, words: tuple[str, ...], asked: Asked) -> None:
    assert run("sampling", *words, "--json").json == as_plain(plan_sampling(asked))


def test_lots_come_from_a_file(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "lots.csv"
    file.write_text("lot,found\n2000,1\n2000,3\n2000,0\n2000,4\n", encoding="utf-8")
    answer = run("sampling", "--lots", file, "--aql", "0.65", "--json")
    asked = LotsAsked(lots=(2000,) * 4, found=(1, 3, 0, 4), aql=0.65)
    assert answer.json == as_plain(plan_sampling(asked))
    assert (
        "lot 4: 4 of 125, refused; tightened from here on"
        in run("sampling", "--lots", file, "--aql", "0.65").out
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--lot", "0", "--aql", "1"), "lot = 0: must be at least 2"),
        (("--lot", "-5", "--aql", "1"), "lot = -5: must be at least 2"),
        (("--zero", "0.9"), "0.9 of all pieces is 90 %: type 90"),
        (("--zero", "90", "--confidence", "0.95"), "must be above 50; 95 % is 95"),
        (("--lot", "100", "--aql", "0.7"), "the nearest on the list is 0.65"),
        (("--pieces", "50", "--accept", "1", "--lot", "40"), "must be at most the 40 in the lot"),
        (("--find", "6", "1"), "good = 6 %: must be below that of a bad lot, 1 %"),
        (("--zero", "100"), "must be below 100"),
        (("--zero", "95", "--confidence", "30"), "confidence = 30 %: must be above 50"),
    ],
)
def test_what_cannot_be_is_one_sentence(run: Run, words: tuple[str, ...], said: str) -> None:
    answer = run("sampling", *words)
    assert answer.exit_code == 1
    assert answer.out == ""
    assert said in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say what you want to know"),
        (("--lot", "5"), "--lot needs --aql, or --pieces and --accept"),
        (("--aql", "1"), "--aql needs --lot"),
        (("--pieces", "5"), "--pieces needs --accept"),
        (("--pieces", "5", "--accept", "0", "--zero", "95"), "does not belong to"),
        (("--lot", "50", "--aql", "1", "--confidence", "90"), "--confidence does not belong to --aql"),
    ],
)
def test_wrong_usage_is_said(run: Run, words: tuple[str, ...], said: str) -> None:
    answer = run("sampling", *words)
    assert answer.exit_code == 2
    assert said in answer.err
