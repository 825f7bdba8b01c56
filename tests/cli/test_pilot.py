"""offtool pilot and ramp: written down, sheets read and set aside, judged, reported; as the steps say it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from offtool.cli.pilot import KINDS
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Pilot, PilotFile
from offtool.steps.judge_pilot import judge_pilot, pilots_of_programme
from offtool.steps.plain import as_plain
from offtool.steps.ramp_found import RampAsked
from offtool.steps.ramp_from_pilot import ramp_from_pilot
from tests.cli.conftest import Run
from tests.steps import piloted
from tests.web import otter

SLUG = "harbour-otter"


@pytest.fixture
def line(record: Path) -> str:
    """The programme with its line; gives its short name."""
    otter.make_programme()
    piloted.make_line()
    return SLUG


@pytest.fixture
def sheets(tmp_path: Path) -> dict[str, Path]:
    """The sheets as files."""
    texts = {"counts": piloted.COUNTS, "defects": piloted.DEFECTS, "times": piloted.TIMES}
    files = {kind: tmp_path / f"{kind}.csv" for kind in texts}
    for kind, file in files.items():
        file.write_text(texts[kind], encoding="utf-8")
    return files


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert tuple(kind.value for kind in PilotFileKind) == KINDS


def test_a_pilot_from_its_first_word_to_its_report(
    run: Run, line: str, sheets: dict[str, Path], tmp_path: Path
) -> None:
    assert "P1 --define" in run("pilot", line).out
    said = run("pilot", line, "P1", "--define", "--ran-on", "2026-04-09", "--pieces", "152", "--hours", "4")
    assert said.exit_code == 0, said.err
    assert "Pilot P1 is written down." in said.out
    assert "P1 says nothing yet" in said.out
    shown = run("pilot", line, "P1", "--read", "counts", sheets["counts"])
    assert "12 rows of counts of pilot P1. Nothing is kept yet." in shown.out
    assert not PilotFile.objects.exists()
    for kind, file in sheets.items():
        kept = run("pilot", line, "P1", "--read", kind, file, "--keep")
        assert kept.exit_code == 0, kept.err
        assert f"as {kind} 1 of pilot P1" in kept.out
    pdf = tmp_path / "p1.pdf"
    found = run("pilot", line, "P1", "--report", pdf)
    for words in (
        "31 an hour of the 40 planned: paint limits it.",
        "Bring paint from 210.0 s to 174.6 s",
        "whole line the first time: 83.7 % (74.8 to 89.6 %), 90.0 % planned: does not hold",
        "no sheet of audits",
        "152 started: 112 good, 4 scrapped, 36 still in the line",
        "With care",
    ):
        assert words in " ".join(found.out.split()), words
    assert pdf.read_bytes()[:5] == b"%PDF-"
    assert "otter line: P1 made 112 good" in run("pilot", line).out


def test_json_is_the_result_of_the_steps(run: Run, line: str) -> None:
    piloted.make_pilot()
    piloted.keep_all()
    assert run("pilot", line, "P1", "--json").json == as_plain(judge_pilot(line, "P1"))
    assert run("pilot", line, "--json").json == as_plain(pilots_of_programme(line))
    asked = RampAsked(quantity=3000)
    expected = ramp_from_pilot(line, "P1", asked, today=date.today())
    assert run("ramp", line, "P1", "--quantity", "3000", "--json").json == as_plain(expected)


def test_what_is_typed_of_a_pilot_changes_and_the_rest_stays(run: Run, line: str) -> None:
    otter.read_trial(otter.readings_csv())
    run_of = f"{otter.TOOL} {otter.TRIAL}"
    assert run("pilot", line, "P1", "--define", "--pieces", "150", "--trial", run_of).exit_code == 0
    assert run("pilot", line, "P1", "--define", "--hours", "3,5").exit_code == 0
    pilot = Pilot.objects.get()
    assert (pilot.pieces, pilot.hours, pilot.trials.count()) == (150, 3.5, 1)
    wrong = run("pilot", line, "P1", "--define", "--trial", "M9 T1")
    assert wrong.exit_code == 1
    assert "no tool 'M9'" in wrong.err


def test_rows_that_cannot_be_taken_are_shown_and_refused(
    run: Run, line: str, sheets: dict[str, Path]
) -> None:
    piloted.make_pilot()
    file = sheets["counts"]
    file.write_text(piloted.COUNTS.replace("paint,1,26,20", "paint,1,26,29"), encoding="utf-8")
    refused = run("pilot", line, "P1", "--read", "counts", file, "--keep")
    assert refused.exit_code == 1
    assert "is more than the 26 tried: a yield over 1 cannot be" in " ".join(refused.out.split())
    assert not PilotFile.objects.exists()
    kept = run("pilot", line, "P1", "--read", "counts", file, "--keep", "--leave-out", "--json")
    assert (kept.json["rows"], kept.json["left_out"]) == (11, 1)


def test_a_sheet_is_set_aside_with_a_reason(run: Run, line: str) -> None:
    piloted.make_pilot()
    piloted.keep_all()
    assert run("pilot", line, "P1", "--set-aside", "counts", "1").exit_code == 1
    done = run("pilot", line, "P1", "--set-aside", "counts", "1", "--because", "counted twice")
    assert "Sheet counts 1 counts no longer." in done.out
    assert PilotFile.objects.get(kind="counts").set_aside == "counted twice"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--define",), "name the pilot"),
        (("P1", "--keep"), "--keep belongs to --read"),
        (("P1", "--pieces", "3"), "--pieces belongs to --define"),
        (("P1", "--because", "x"), "--because belongs to --set-aside"),
        (("P1", "--define", "--set-aside", "counts", "1"), "one at a time"),
    ],
)
def test_options_that_mean_nothing_together_are_refused(
    run: Run, line: str, words: tuple[str, ...], said: str
) -> None:
    answer = run("pilot", line, *words)
    assert answer.exit_code == 2
    assert said in answer.err


def test_the_ramp_says_the_day_and_what_it_rests_on(run: Run, line: str) -> None:
    piloted.make_pilot()
    assert "No ramp yet: say the counts of P1" in run("ramp", line).out
    piloted.keep_all()
    said = " ".join(run("ramp", line, "--from", "2026-04-13").out.split())
    for words in (
        "2,000 good pieces are there on 21 April 2026",
        "fitted to 3 hours of P1 after the first",
        "320 good pieces a day are planned",
        "Mend paint before the line starts.",
    ):
        assert words in said, words
    assert "98.0 % in the end, as asked here" in run("ramp", line, "--yield", "98").out
    doubted = run("ramp", line, "--yield", "0.98")
    assert doubted.exit_code == 1
    assert "type 98" in doubted.err
