"""The demo: one command from nothing to verdict, corrections, sheet and workbook; and once more."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_program import typed


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder in which the demo was typed, and what it said."""
    folder = tmp_path_factory.mktemp("demo")
    answer = typed("demo", cwd=folder, PYTHONUTF8="1")
    assert answer.returncode == 0, answer.stderr
    return folder, answer.stdout.decode("utf-8")


def test_verdict_corrections_files_and_pages_are_said_in_this_order(played: tuple[Path, str]) -> None:
    _, said = played
    parts = (
        "invented",
        "\nWhat to do\n",
        "\nWhy\n",
        "steel in mm",
        "\nWhat was written\n",
        "offtool serve --record",
    )
    places = [said.index(part) for part in parts]
    assert places == sorted(places)


def test_sheet_and_workbook_lie_where_it_says(played: tuple[Path, str]) -> None:
    folder, said = played
    written = sorted(
        path.relative_to(folder) for path in folder.rglob("*") if path.suffix in (".pdf", ".xlsx")
    )
    assert len(written) == 2
    assert all(str(path) in said for path in written)


def test_it_makes_no_record_but_its_own(played: tuple[Path, str]) -> None:
    folder, _ = played
    assert [path.name for path in folder.iterdir()] == ["harbour_otter_demo"]


def test_played_again_it_says_the_same_and_that_the_file_was_read_before(played: tuple[Path, str]) -> None:
    folder, first = played
    again = typed("demo", cwd=folder, PYTHONUTF8="1")
    assert again.returncode == 0, again.stderr
    words = again.stdout.decode("utf-8").replace("was read before:", "is read:").split()
    assert words == first.split()
    assert "was read before" in again.stdout.decode("utf-8")
