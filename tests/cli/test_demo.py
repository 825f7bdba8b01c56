"""The demo: one command from nothing to verdict, corrections, joints, seams and files; and once more."""

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
        "\nJoints and seams\n",
        "\nThe next trial\n",
        "\nHow far is production?\n",
        "\nWhat was written\n",
        "offtool serve --record",
    )
    places = [said.index(part) for part in parts]
    assert places == sorted(places)


def test_every_joint_and_seam_says_where_it_stands_and_what_to_do(played: tuple[Path, str]) -> None:
    said = played[1].split("\nJoints and seams\n")[1].split("\nThe next trial\n")[0]
    for name in ("Leg in", "Locating pin", "Arm in", "Tail in", "Finger", "Clam", "Torso"):
        assert f". {name}" in said
    assert "Ask for HO-02" in said


def test_the_next_trial_says_where_it_goes_and_what_comes_first(played: tuple[Path, str]) -> None:
    said = " ".join(played[1].split("\nThe next trial\n")[1].split("\nWhat is this piece?\n")[0].split())
    assert said.startswith("1. M3 T4 ")
    assert "shots" in said
    assert said.endswith(".")


def test_pieces_without_a_tag_are_told_where_they_are_from(played: tuple[Path, str]) -> None:
    """As the story made them: 0417 is of the first trial, 0418 of the second with an arm of the first."""
    said = " ".join(
        played[1].split("\nWhat is this piece?\n")[1].split("\nHow far is production?\n")[0].split()
    )
    assert "0417, otter torso with arms: From T1, an early trial" in said
    assert (
        "0418, otter torso, brown, with one black arm: Its parts are of different runs: front from T2" in said
    )
    assert "left arm from T1 of M3" in said
    assert "9 samples in 3 groups; one reading stands against the rest." in said
    assert "Look again at cavity number on 0436." in said


def test_line_pilot_and_review_say_how_far_production_is(played: tuple[Path, str]) -> None:
    said = " ".join(played[1].split("\nHow far is production?\n")[1].split("\nWhat was written\n")[0].split())
    assert "weeks from release if nothing else is found" in said
    assert "P1 made 388 good of 500 started" in said
    assert "may not start" in said


def test_sheet_workbook_and_reports_lie_where_it_says(played: tuple[Path, str]) -> None:
    folder, said = played
    written = sorted(
        path.relative_to(folder) for path in folder.rglob("*") if path.suffix in (".pdf", ".xlsx")
    )
    assert len(written) == 7
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
