"""A folder is written where nothing of others can be lost."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.exchange.programme import FolderRefused, ProgrammeFolder, read_folder, write_folder
from offtool.exchange.programme.names import original_file_names, readings_file_names
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.made_up import names
from tests.exchange.programme.otter import write_otter


@pytest.fixture
def told(tmp_path: Path) -> ProgrammeFolder:
    return read_folder(write_otter(tmp_path / "source"))


def refusal(told: ProgrammeFolder, folder: Path) -> str:
    before = bytes_in(folder.parent)
    with pytest.raises(FolderRefused) as refused:
        write_folder(told, folder)
    assert refused.value.remedy
    assert bytes_in(folder.parent) == before
    return str(refused.value)


def renamed(told: ProgrammeFolder) -> ProgrammeFolder:
    return replace(told, programme=replace(told.programme, title="Another title"))


def without_readings(told: ProgrammeFolder) -> ProgrammeFolder:
    return replace(told, sources=(), readings={})


def test_a_new_or_empty_folder_is_written(told: ProgrammeFolder, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    files = write_folder(told, tmp_path / "new")
    write_folder(told, tmp_path / "empty")
    assert bytes_in(tmp_path / "new") == bytes_in(tmp_path / "empty")
    assert set(files) == bytes_in(tmp_path / "new").keys()
    assert {"programme.toml", "readings/M1_T1.csv", "originals/T1.csv", "written.csv"} < set(files)
    assert {path.name for path in tmp_path.iterdir()} == {"source", "new", "empty"}


def test_what_was_written_before_is_written_over(told: ProgrammeFolder, tmp_path: Path) -> None:
    write_folder(told, tmp_path / "out")
    write_folder(renamed(told), tmp_path / "out")
    assert read_folder(tmp_path / "out").programme.title == "Another title"


def test_files_that_are_written_no_more_are_removed_and_those_of_others_stay(
    told: ProgrammeFolder, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    write_folder(told, out)
    (out / "README.md").write_text("ours")
    (out / ".git").mkdir()
    (out / ".git" / "config").write_text("theirs")
    write_folder(without_readings(told), out)
    assert not (out / "readings" / "M1_T1.csv").exists()
    assert not (out / "originals" / "T1.csv").exists()
    assert ((out / "README.md").read_text(), (out / ".git" / "config").read_text()) == ("ours", "theirs")


def test_a_folder_of_others_is_refused(told: ProgrammeFolder, tmp_path: Path) -> None:
    (tmp_path / "theirs").mkdir()
    (tmp_path / "theirs" / "letter.txt").write_text("Dear toolmaker")
    said = f"{tmp_path / 'theirs'}: it holds files that offtool did not write; name a new or empty folder"
    assert refusal(told, tmp_path / "theirs") == said


def test_a_file_that_someone_changed_is_not_lost(told: ProgrammeFolder, tmp_path: Path) -> None:
    write_folder(told, tmp_path / "out")
    (tmp_path / "out" / "steel.csv").write_text("my own notes")
    said = "steel.csv: it was changed since it was written; load the folder first, or name a new one"
    assert refusal(renamed(told), tmp_path / "out").startswith(said)


def test_a_changed_file_that_would_be_removed_is_not_lost(told: ProgrammeFolder, tmp_path: Path) -> None:
    write_folder(told, tmp_path / "out")
    (tmp_path / "out" / "readings" / "M1_T1.csv").write_text("my own notes")
    assert refusal(without_readings(told), tmp_path / "out").startswith("readings/M1_T1.csv: it was changed")


def test_a_file_of_others_in_the_way_is_not_lost(told: ProgrammeFolder, tmp_path: Path) -> None:
    write_folder(without_readings(told), tmp_path / "out")
    (tmp_path / "out" / "originals").mkdir()
    (tmp_path / "out" / "originals" / "T1.csv").write_text("theirs")
    said = "originals/T1.csv: offtool did not write it; move it away, or name a new folder"
    assert refusal(told, tmp_path / "out") == said


def test_a_folder_in_the_way_is_refused(told: ProgrammeFolder, tmp_path: Path) -> None:
    write_folder(without_readings(told), tmp_path / "out")
    (tmp_path / "out" / "readings" / "M1_T1.csv").mkdir(parents=True)
    assert refusal(told, tmp_path / "out").startswith("readings/M1_T1.csv: offtool did not write it")


@pytest.mark.parametrize(
    "name", ["../victim.txt", "/victim.txt", "readings/../../victim.txt", "notes.txt", "a/b.csv"]
)
def test_a_list_of_written_files_cannot_lead_elsewhere(
    name: str, told: ProgrammeFolder, tmp_path: Path
) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_text("keep me")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "written.csv").write_text(f"file,sha256\n{name},{'0' * 64}\n")
    assert refusal(told, tmp_path / "out").startswith("written.csv line 2")
    assert victim.read_text() == "keep me"


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
@pytest.mark.parametrize("name", ["originals", "steel.csv", "readings/M1_T1.csv"])
def test_a_link_is_never_written_through(name: str, told: ProgrammeFolder, tmp_path: Path) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    write_folder(told, out)
    (out / name).rename(elsewhere)
    (out / name).symlink_to(elsewhere)
    assert refusal(renamed(told), out) == f"{name}: it is a link; remove it, or name a new folder"


def test_no_place_to_write_is_named(told: ProgrammeFolder, tmp_path: Path) -> None:
    said = f"{tmp_path / 'no'}: there is no such folder; make it first"
    assert refusal(told, tmp_path / "no" / "out") == said
    (tmp_path / "file").write_text("x")
    assert refusal(told, tmp_path / "file") == f"{tmp_path / 'file'}: it is a file; name a new folder"


def test_an_original_that_cannot_be_fetched_leaves_nothing_behind(
    told: ProgrammeFolder, tmp_path: Path
) -> None:
    def fails(_: object) -> bytes:
        raise OSError(28, "No space left on device")

    said = f"{tmp_path / 'out'}: it cannot be written: No space left on device; see that there is room"
    assert refusal(replace(told, original_of=fails), tmp_path / "out").startswith(said)


def test_plain_names_are_kept_and_others_are_marked() -> None:
    trials = [("M1", "T1"), ("M1", "T 2"), ("a/b", "T1"), ("..", ".."), ("模具", "T1")]
    found = readings_file_names(trials)
    assert (found["M1", "T1"], found["M1", "T 2"]) == ("M1_T1.csv", "M1_T 2.csv")
    assert found["a/b", "T1"].startswith("a-b_T1~")
    assert all(name.endswith(".csv") for name in found.values())


def test_names_that_some_file_system_holds_to_be_one_are_told_apart() -> None:
    found = readings_file_names([("m1", "T1"), ("M1", "T1"), ("A_B", "C"), ("A", "B_C")])
    assert len({name.casefold() for name in found.values()}) == 4
    assert len(set(original_file_names({("1" * 64,): "T1.csv", ("2" * 64,): "t1.CSV"}).values())) == 2


@pytest.mark.parametrize(
    "name", ["con", "NUL.txt", "com1.csv", ".hidden", "a.", " a", "-rf", "x" * 300, "a\nb"]
)
def test_a_name_that_some_system_cannot_hold_is_marked(name: str) -> None:
    (found,) = original_file_names({("1" * 64,): name}).values()
    assert "~" in found
    assert len(found) < 100


@given(st.lists(st.tuples(names, names), unique=True, max_size=6))
def test_every_trial_gets_a_file_of_its_own_that_is_plain(trials: list[tuple[str, str]]) -> None:
    found = readings_file_names(trials)
    assert len({name.casefold() for name in found.values()}) == len(trials)
    for name in found.values():
        assert set(name) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._ -~")
        assert name[0] not in ". -"
