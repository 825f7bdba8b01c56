"""What was seen, studied and left out in a folder: read, refused by its place, written if any."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from offtool.exchange.programme import FolderRefused, read_folder, write_folder
from offtool.exchange.programme.folder import ONLY_WITH_ROWS
from offtool.exchange.programme.names import names_by_content
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.inspected_otter import PICTURE, STUDY, write_inspected_otter
from tests.exchange.programme.otter import FILES as BEFORE
from tests.exchange.programme.otter import change, write_otter
from tests.exchange.programme.wrong_inspection import WRONG


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_inspected_otter(tmp_path / "otter")


def refusal(folder: Path) -> str:
    with pytest.raises(FolderRefused) as refused:
        read_folder(folder)
    assert refused.value.remedy
    return str(refused.value)


def test_the_folder_itself_holds(otter: Path) -> None:
    told = read_folder(otter)
    assert [(defect.code, defect.weight_class, defect.is_listed) for defect in told.defects] == [
        ("short", "critical", True),
        ("flash", "major", False),
    ]
    assert [(look.cavity, look.shot_number, look.pieces) for look in told.looks] == [
        ("1", 4, 5),
        ("", None, 20),
    ]
    assert told.original_of(told.photographs[0]) == PICTURE
    assert told.original_of(told.gauge_studies[0]) == STUDY
    assert told.gauge_studies[0].reference_uncertainty == 0
    assert [reading.reference for reading in told.gauge_readings] == [None, 4.0]
    assert [row.is_left_out for row in told.exclusions] == [True, False, True]
    assert told.trials[0].moulded_at == datetime(2026, 3, 2, 9, tzinfo=UTC)
    assert (told.trials[0].settled_from, told.trials[0].settled_reason) == (1, "the heater was on")


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), WRONG, ids=[f"{file}: {new!r}" for file, _, new, _ in WRONG]
)
def test_one_wrong_thing_is_named_with_its_place_and_remedy(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    change(otter, file, old, new)
    assert said in refusal(otter)


def test_a_folder_of_before_reads_and_is_written_without_the_new_tables(tmp_path: Path) -> None:
    told = read_folder(write_otter(tmp_path / "old"))
    assert all(getattr(told, name) == () for name in ONLY_WITH_ROWS)
    assert (told.trials[0].moulded_at, told.trials[0].measured_at, told.trials[0].settled_reason) == (
        None,
        None,
        "",
    )
    files = write_folder(told, tmp_path / "new")
    assert set(files) == {*BEFORE, "originals/T1.csv", "written.csv"}
    assert "moulded_at" not in (tmp_path / "new" / "programme.toml").read_text()


def test_files_are_written_byte_for_byte_and_taken_away_with_their_rows(otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    assert (out / "photographs" / "ear.png").read_bytes() == PICTURE
    assert (out / "gauge_studies" / "S1.csv").read_bytes() == STUDY
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    assert not {path.name for path in out.rglob("*.*")} & {"ear.png", "S1.csv", "looks.csv"}


@pytest.mark.parametrize("folder", ["photographs", "gauge_studies"])
def test_a_file_of_others_is_not_lost(folder: str, otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    (out / folder).mkdir()
    (out / folder / ("ear.png" if folder == "photographs" else "S1.csv")).write_text("theirs")
    before = bytes_in(out)
    with pytest.raises(FolderRefused, match="offtool did not write it"):
        write_folder(told, out)
    assert bytes_in(out) == before


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
@pytest.mark.parametrize("folder", ["photographs", "gauge_studies"])
def test_a_linked_folder_is_never_written_through(folder: str, otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    (out / folder).rename(tmp_path / "elsewhere")
    (out / folder).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FolderRefused, match="it is a link"):
        write_folder(told, out)


@pytest.mark.parametrize("file", ["photographs/ear.png", "gauge_studies/S1.csv"])
def test_a_missing_changed_or_unlisted_file_is_refused(file: str, otter: Path) -> None:
    content = (otter / file).read_bytes()
    (otter / file).write_bytes(b"other")
    assert refusal(otter).startswith(f"{file}: its bytes are not those that were read; put the file back")
    (otter / file).unlink()
    assert refusal(otter).startswith(f"{file}: it is not there; put it back, or take its row out of")
    (otter / file).write_bytes(content)
    (otter / file).with_name("more").write_bytes(content)
    assert refusal(otter).startswith(f"{Path(file).parent}/more: it is not listed in {Path(file).parent}.csv")


@pytest.mark.parametrize("name", ["../ear.png", "..", "/etc/passwd", "C:\\ear.png"])
def test_a_name_that_leads_elsewhere_is_refused(name: str, otter: Path) -> None:
    (otter / "photographs" / "ear.png").rename(otter / "ear.png")
    change(otter, "photographs.csv", "ear.png,ear.png", f"{name},ear.png")
    assert refusal(otter).startswith(f"photographs.csv line 2, file: {name!r} is no plain file name")


def sheets(folder: Path, first: str, second: str) -> None:
    """The same bytes twice, read from two sheets."""
    text = (folder / "sources.csv").read_text()
    header, row = text.splitlines()
    rows = [
        row.replace("T1.csv,T1.csv", f"{file},T1.csv").replace(
            "long,{}", f'long,"{{""sheet"": ""{sheet}""}}"'
        )
        for file, sheet in (("T1.csv", first), ("again.csv", second))
    ]
    (folder / "sources.csv").write_text("\n".join([header, *rows, ""]))
    (folder / "originals" / "again.csv").write_bytes((folder / "originals" / "T1.csv").read_bytes())
    change(folder, "readings/M1_T1.csv", "4.04,T1.csv", "4.04,again.csv")


def test_the_same_bytes_are_read_sheet_by_sheet(tmp_path: Path) -> None:
    folder = write_otter(tmp_path / "otter")
    sheets(folder, "Maße", "Gewicht")
    assert [source.sheet for source in read_folder(folder).sources] == ["Maße", "Gewicht"]


def test_a_sheet_is_read_once(tmp_path: Path) -> None:
    folder = write_otter(tmp_path / "otter")
    sheets(folder, "Maße", "Maße")
    assert refusal(folder).startswith(
        "sources.csv line 3, sha256: it has the same bytes and the same sheet 'Maße' as T1.csv; keep one"
    )


def test_bytes_that_came_under_two_names_lie_in_the_folder_once() -> None:
    came = [("1" * 64, "b.png"), ("1" * 64, "a.png"), ("2" * 64, "c.png")]
    assert names_by_content(came) == names_by_content(came[::-1]) == {"1" * 64: "a.png", "2" * 64: "c.png"}
