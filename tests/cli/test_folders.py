"""load and dump: a programme goes out as plain text and comes back the same."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Run


@pytest.fixture
def dumped(run: Run, flipper: str, tmp_path: Path) -> Path:
    """The folder of the flipper."""
    folder = tmp_path / "flipper"
    answer = run("dump", flipper, folder)
    assert answer.exit_code == 0, answer.err
    return folder


def test_a_dump_says_how_many_files_it_wrote_and_where(run: Run, flipper: str, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    report = run("dump", flipper, folder, "--json").json
    assert report["folder"] == str(folder)
    assert (folder / "programme.toml").is_file()
    assert all((folder / name).is_file() for name in report["files"])


def test_what_was_dumped_loads_as_no_change(run: Run, dumped: Path) -> None:
    answer = run("load", dumped)
    assert answer.exit_code == 0, answer.err
    assert "nothing was changed" in answer.out


def test_a_changed_folder_is_brought_in_and_the_tables_are_counted(
    run: Run, dumped: Path, tmp_path: Path
) -> None:
    edited = tmp_path / "edited"
    shutil.copytree(dumped, edited)
    table = edited / "characteristics.csv"
    table.write_text(table.read_text("utf-8").replace("peg", "hip peg"), encoding="utf-8")
    answer = run("load", edited)
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("Flipper (flipper) is brought up to date.")
    assert "characteristics  1 changed" in " ".join(answer.out.split("\n")[1].split(" ")).replace("   ", "  ")


def test_a_folder_that_cannot_be_is_refused_by_file_line_and_column(
    run: Run, dumped: Path, tmp_path: Path
) -> None:
    edited = tmp_path / "edited"
    shutil.copytree(dumped, edited)
    table = edited / "characteristics.csv"
    table.write_text(table.read_text("utf-8").replace("3.98", "wide"), encoding="utf-8")
    answer = run("load", edited)
    assert answer.exit_code == 1
    assert "characteristics.csv line 2, lower: 'wide' is no number" in answer.err
    assert answer.out == ""


def test_a_folder_with_foreign_files_is_not_written_over(run: Run, flipper: str, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    answer = run("dump", flipper, tmp_path)
    assert answer.exit_code == 1
    assert (tmp_path / "mine.txt").read_text("utf-8") == "mine"


def test_an_unknown_programme_is_refused_by_name(run: Run, flipper: str, tmp_path: Path) -> None:
    answer = run("dump", "fliper", tmp_path / "out")
    assert answer.exit_code == 1
    assert "fliper" in answer.err
    assert "flipper" in answer.err
