"""Lines, pilots and releases in a folder: read as people write them, refused by place, written if any."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.exchange.programme import FolderRefused, read_folder, write_folder
from offtool.exchange.programme.folder import ONLY_WITH_ROWS
from tests.exchange.programme.otter import change
from tests.exchange.programme.piloted_otter import PAPER, write_piloted_otter
from tests.exchange.programme.planned_otter import write_planned_otter
from tests.exchange.programme.wrong_pilot import WRONG_LINES, WRONG_PILOTS, WRONG_RELEASE

WRONG = [*WRONG_LINES, *WRONG_PILOTS, *WRONG_RELEASE]


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_piloted_otter(tmp_path / "otter")


def test_the_folder_itself_holds_and_lists_come_in_one_order(otter: Path) -> None:
    told = read_folder(otter)
    assert (told.programme.markets, told.programme.from_months) == ("US EU", 36.0)
    first, second = told.line_stations
    assert (first.has, first.two_sided, second.two_sided, second.rework_to) == (
        "booth; welder",
        None,
        True,
        1,
    )
    assert [task.after for task in told.line_tasks] == ["", "weld", "look; weld"]
    assert [task.side for task in told.line_tasks] == ["either", "either", "left"]
    assert told.release_lines[0].stale_by == "steel; paint"
    paper, number_only = told.evidence
    assert (told.original_of(paper), told.original_of(number_only)) == (PAPER, b"")


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


def test_a_paper_that_no_row_lists_is_named(otter: Path) -> None:
    (otter / "evidence" / "more.pdf").write_bytes(b"")
    with pytest.raises(FolderRefused, match=r"evidence/more\.pdf: it is not listed in evidence\.csv"):
        read_folder(otter)


def test_a_folder_of_before_has_no_line_and_is_written_without_it(tmp_path: Path) -> None:
    told = read_folder(write_planned_otter(tmp_path / "old"))
    assert (told.lines, told.evidence, told.programme.markets) == ((), (), "")
    write_folder(told, tmp_path / "new")
    assert "markets" not in (tmp_path / "new" / "programme.toml").read_text(encoding="utf-8")
    assert not (tmp_path / "new" / "lines.csv").exists()


def test_files_are_written_byte_for_byte_and_taken_away_with_their_rows(otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    assert (out / "evidence" / "drop.txt").read_bytes() == PAPER
    assert read_folder(out).evidence == told.evidence
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    assert not [*out.rglob("drop.txt"), *out.rglob("line_*"), *out.rglob("pilot_*.csv")]


def test_every_table_that_is_written_only_with_rows_is_tried_here(otter: Path) -> None:
    told = read_folder(otter)
    assert all(getattr(told, name) for name in ONLY_WITH_ROWS)
