"""What is planned in a folder: read as people write it, refused by its place, written if any."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.exchange.programme import FolderRefused, read_folder, write_folder
from offtool.exchange.programme.folder import ONLY_WITH_ROWS
from tests.exchange.programme.otter import change, write_otter
from tests.exchange.programme.planned_otter import SHAPE, SHOTS, write_planned_otter
from tests.exchange.programme.wrong_planning import WRONG_PLANNING, WRONG_PRESSES

WRONG = [*WRONG_PRESSES, *WRONG_PLANNING]


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_planned_otter(tmp_path / "otter")


def test_the_folder_itself_holds_and_blanks_are_what_is_usual(otter: Path) -> None:
    told = read_folder(otter)
    press, other = told.presses
    assert (press.clamp_kn, press.workdays, press.works_to_h) == (785.0, "Mon Tue Wed Thu Fri", 22.0)
    assert (other.clamp_kn, other.workdays, other.works_to_h) == (None, "", None)
    assert [(job.may_stop, job.margin_per_h) for job in told.jobs] == [(True, 62.0), (None, None)]
    assert (told.tools[0].feed, told.tools[0].setup_h, told.programme.currency) == ("cold runner", 1.0, "USD")
    first, second = told.trial_requests
    assert (first.needs_engineer, first.wish, first.press) == (True, "any colour", "")
    assert (second.needs_engineer, second.hours, second.press) == (False, 2.5, "P3")
    (mesh,), (watched,) = told.meshes, told.colour_changes
    assert (mesh.axis_x, mesh.axis_y, mesh.axis_z) == (0.0, 0.0, 1.0)
    assert (watched.illuminant, watched.observer, watched.purge_kg) == ("D65", 10, 0.0)
    assert (told.original_of(mesh), told.original_of(watched)) == (SHAPE, SHOTS)


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), WRONG, ids=[f"{file}: {new!r}" for file, _, new, _ in WRONG]
)
def test_one_wrong_thing_is_named_with_its_place_and_remedy(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    change(otter, file, old, new)
    with pytest.raises(FolderRefused) as refused:
        read_folder(otter)
    assert said in str(refused.value)
    assert refused.value.remedy


def test_a_file_that_no_row_lists_is_named(otter: Path) -> None:
    (otter / "meshes" / "arm.stl").write_bytes(b"")
    with pytest.raises(
        FolderRefused, match=r"meshes/arm\.stl: it is not listed in meshes\.csv; read it into"
    ):
        read_folder(otter)


def test_a_folder_of_before_has_no_plan_and_is_written_without_it(tmp_path: Path) -> None:
    told = read_folder(write_otter(tmp_path / "old"))
    assert (told.trial_requests, told.meshes, told.tools[0].feed) == ((), (), "")
    write_folder(told, tmp_path / "new")
    toml = (tmp_path / "new" / "programme.toml").read_text(encoding="utf-8")
    assert "currency" not in toml
    assert "feed" not in toml
    assert not (tmp_path / "new" / "trial_requests.csv").exists()


def test_files_are_written_byte_for_byte_and_taken_away_with_their_rows(otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    assert (out / "meshes" / "body.stl").read_bytes() == SHAPE
    assert (out / "colour_changes" / "shots.csv").read_bytes() == SHOTS
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    assert not [*out.rglob("*.stl"), *out.rglob("trial_*"), *out.rglob("shots.csv")]
