"""Samples in a folder: read as people write them, refused by their place, written if any."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.exchange.programme import FolderRefused, read_folder, write_folder
from offtool.exchange.programme.folder import ONLY_WITH_ROWS
from tests.exchange.programme.otter import change, write_otter
from tests.exchange.programme.sampled_otter import BACK, write_sampled_otter
from tests.exchange.programme.wrong_samples import WRONG_GROUND, WRONG_SAMPLES

WRONG = [*WRONG_GROUND, *WRONG_SAMPLES]


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_sampled_otter(tmp_path / "otter")


def test_the_folder_itself_holds_and_blanks_are_what_is_usual(otter: Path) -> None:
    told = read_folder(otter)
    (trial,) = told.trials
    assert (trial.stage, trial.pieces, trial.interrupted_job) == ("early trial", 40, "J-17")
    assert (trial.lightness, trial.a, trial.b, trial.colour_spread_de) == (55.5, 2.0, -30.0, 0.8)
    assert [(job.spread_de, job.illuminant, job.observer) for job in told.jobs] == [
        (0.6, "D65", 10),
        (1.5, "D50", 2),
    ]
    assert [detail.kind for detail in told.details] == ["stays", "comes and goes"]
    assert [(one.is_there, one.is_sure) for one in told.seen_details] == [(False, True), (True, False)]
    assert [size.repeat for size in told.sample_sizes] == [1, 2]
    assert told.original_of(told.sample_photographs[0]) == BACK


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


def test_a_tool_that_does_not_make_the_part_is_named_with_what_it_makes(otter: Path) -> None:
    change(
        otter,
        "programme.toml",
        "[[trial]]",
        '[[tool]]\ncode = "M2"\n\n[[tool.state]]\nlabel = "a"\n\n[[trial]]',
    )
    change(otter, "detail_states.csv", "M1,a", "M2,a")
    with pytest.raises(FolderRefused, match="tool M2 makes no part body; it makes no part"):
        read_folder(otter)


def test_a_folder_of_before_has_no_samples_and_is_written_without_them(tmp_path: Path) -> None:
    told = read_folder(write_otter(tmp_path / "old"))
    assert (told.samples, told.presses, told.trials[0].stage) == ((), (), "")
    write_folder(told, tmp_path / "new")
    assert "stage" not in (tmp_path / "new" / "programme.toml").read_text(encoding="utf-8")
    assert not list((tmp_path / "new").glob("sample*"))


def test_photographs_are_written_byte_for_byte_and_taken_away_with_their_rows(
    otter: Path, tmp_path: Path
) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    assert (out / "sample_photographs" / "back.png").read_bytes() == BACK
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    assert not [path for path in out.rglob("*.*") if "sample" in path.name or "sample" in path.parent.name]
