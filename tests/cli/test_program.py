"""The program as a whole: help, wrong usage, refusals, and what no user may ever see."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from offtool.cli import main
from offtool.cli.calc import Formulas
from offtool.cli.reading_options import LAYOUTS
from offtool.core.values import OfftoolError
from offtool.exchange.readings import Layout
from tests.cli.conftest import Run

COMMANDS = sorted(main.commands)
INSPECTING = {"start", "load", "gauge", "look", "defects", "read", "settle", "inspect", "leave-out"}
JOINING = {"define-joint", "joint", "define-seam", "seam", "open-piece"}
SAMPLES = {"archive", "tell-apart", "register", "samples", "saw", "photograph", "sample", "order", "labels"}
PLANNING = {
    "part",
    "press",
    "tool",
    "prices",
    "presses",
    "colour",
    "jobs",
    "slots",
    "request",
    "plan",
    "times",
}
PILOT = {
    "pilot",
    "ramp",
    "safety",
    "sampling",
}
RELEASE = {
    "programme",
    "review",
    "evidence",
    "change",
    "concession",
    "limit-sample",
    "release-line",
    "sign",
    "dossier",
}
LINE = {"line", "run-line", "define-line", "line-station", "line-task", "line-press", "line-break"}
OTHERS = {"correct", "demo", "dump", "serve", "calc"}


def test_every_command_of_the_job_is_there() -> None:
    assert set(COMMANDS) == INSPECTING | PLANNING | JOINING | LINE | PILOT | RELEASE | SAMPLES | OTHERS


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example_and_answers_in_json(run: Run, name: str) -> None:
    shown = run(name, "--help")
    assert shown.exit_code == 0
    assert f"Example: offtool {name}" in " ".join(shown.out.split())
    assert "--json" in shown.out


@pytest.mark.parametrize("name", COMMANDS)
def test_an_example_is_typed_rightly(name: str) -> None:
    """Every option and argument of an example is one that the command has."""
    command = main.commands[name]
    words = str(command.epilog).removeprefix("Example: ").replace('"Harbour otter"', "TITLE").split()
    assert words[:2] == ["offtool", name]
    if isinstance(command, Formulas):
        formula = command.get_command(click.Context(command), words[2])
        assert formula is not None
        command = formula
    known = {option for parameter in command.params for option in parameter.opts}
    assert {word for word in words if word.startswith("--")} <= known


@pytest.mark.parametrize("name", [None, *COMMANDS])
def test_help_can_be_written_on_every_terminal(run: Run, name: str | None) -> None:
    assert run(*([name] if name else []), "--help").out.isascii()


def test_the_list_of_commands_fits_a_terminal_of_80_columns(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    listed = run("--help").out.partition("Commands:")[2].split("\n\n")[0].strip().splitlines()
    assert len(listed) == len(COMMANDS)
    assert [line for line in listed if line.endswith("...")] == []


@pytest.mark.parametrize(
    "words",
    [
        ("wash",),
        ("inspect", "otter"),
        ("inspect", "otter", "M1", "T1", "--colour", "grey"),
        ("load", "nowhere"),
        ("read", "otter", "M1", "T1", "nowhere.csv"),
        ("serve", "--port", "0"),
        ("correct", "otter", "M1", "T1", "--cut-on", "soon"),
        ("calc", "shrinkge"),
        ("calc",),
        ("calc", "shrinkage"),
    ],
)
def test_wrong_usage_leaves_with_2_and_says_what_is_wrong(run: Run, words: tuple[str, ...]) -> None:
    answer = run(*words)
    assert answer.exit_code == 2
    assert answer.out == ""
    assert "Error: " in answer.err


def test_a_refusal_is_one_sentence_with_what_where_and_remedy(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: str | None = None) -> None:
        raise OfftoolError(
            "the record was made by a newer version", where="otter.sqlite3", remedy="update offtool"
        )

    monkeypatch.setattr("offtool.setup.open_record", refuse)
    answer = run("start", "Otter", __file__)
    assert answer.exit_code == 1
    assert answer.err == "Error: otter.sqlite3: the record was made by a newer version; update offtool\n"
    assert answer.out == ""


def test_what_is_no_refusal_is_not_dressed_up_as_one(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(path: str | None = None) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("offtool.setup.open_record", break_down)
    with pytest.raises(ZeroDivisionError):
        run("start", "Otter", __file__)


@pytest.mark.parametrize(
    "words", [("inspect", "o", "M1", "T1"), ("correct", "o", "M1", "T1"), ("dump", "o", "out"),
              ("read", "o", "M1", "T1", __file__)],
)  # fmt: skip
def test_where_there_is_no_record_none_is_made(run: Run, words: tuple[str, ...], tmp_path: Path) -> None:
    missing = tmp_path / "no.sqlite3"
    answer = run(*words, "--record", missing)
    assert answer.exit_code == 1
    assert f"{missing}: there is no record yet; begin one with" in answer.err
    assert list(tmp_path.iterdir()) == []


def test_the_layouts_named_in_help_are_those_that_are_read() -> None:
    assert set(LAYOUTS) == {layout.value for layout in Layout}


def test_the_version_is_said(run: Run) -> None:
    from offtool import __version__

    assert run("--version").out == f"offtool {__version__}\n"


def typed(*words: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A command in a process of its own, as a user types it."""
    program = Path(sys.executable).with_name("offtool")
    kept = {
        key: value
        for key, value in os.environ.items()
        if key not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
    }
    return subprocess.run(
        [program, *words], cwd=cwd, env={**kept, **environment}, capture_output=True, check=False
    )


def test_a_record_is_begun_and_read_back_by_separate_commands(tmp_path: Path) -> None:
    from tests.cli.conftest import report

    (tmp_path / "T1.csv").write_text(report(), encoding="utf-8")
    begun = typed("start", "Flipper", "T1.csv", "--keep", cwd=tmp_path, OFFTOOL_RECORD="mine.sqlite3")
    assert begun.returncode == 0, begun.stderr
    seen = typed(
        "inspect", "flipper", "M1", "T1", "--record", "mine.sqlite3", cwd=tmp_path, PYTHONIOENCODING="cp437"
    )
    assert seen.returncode == 0, seen.stderr
    assert "does not hold" in seen.stdout.decode("cp437")


def test_a_mistake_shows_no_traceback(tmp_path: Path) -> None:
    (tmp_path / "no.sqlite3").write_bytes(b"this is no record")
    answer = typed("inspect", "flipper", "M1", "T1", "--record", "no.sqlite3", cwd=tmp_path)
    assert answer.returncode == 1
    assert answer.stdout == b""
    assert len(answer.stderr.splitlines()) == 1
    assert b"no.sqlite3" in answer.stderr
