"""Whatever is wrong in a folder is named by file, line, column and value, with what to do about it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from offtool.exchange.programme import FolderRefused, read_folder
from tests.exchange.programme.otter import FILES, change, write_otter
from tests.exchange.programme.wrong import WRONG


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_otter(tmp_path / "otter")


def refusal(folder: Path) -> str:
    with pytest.raises(FolderRefused) as refused:
        read_folder(folder)
    assert refused.value.remedy
    return str(refused.value)


def test_the_folder_itself_holds(otter: Path) -> None:
    told = read_folder(otter)
    assert [cavity.label for cavity in told.cavities] == ["1", "2"]
    assert (told.tools[0].step_mm, told.tools[0].cut_sd_mm) == (0.01, 0.005)
    assert [(state.label, state.ordinal) for state in told.states] == [("a", 1), ("b", 2)]
    assert told.steel_sizes[1].uncertainty_mm == 0.003
    assert told.characteristics[1].weight_class == "major"
    assert told.sources[0].read_at.isoformat() == "2026-03-03T07:00:00+00:00"


def test_tables_that_are_not_there_are_empty(otter: Path) -> None:
    for name in FILES:
        if name != "programme.toml":
            (otter / name).unlink()
    (otter / "originals" / "T1.csv").unlink()
    told = read_folder(otter)
    assert (told.characteristics, told.sources, told.readings) == ((), (), {})


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), WRONG, ids=[f"{file}: {new!r}" for file, _, new, _ in WRONG]
)
def test_one_wrong_thing_is_named_with_its_place_and_remedy(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    change(otter, file, old, new)
    assert said in refusal(otter)


def test_a_size_is_formed_by_one_feature_only(otter: Path) -> None:
    change(otter, "steel.csv", "M1,CP1", "M1,CP2,,body,core half,per side,-2,,\nM1,CP1")
    change(otter, "moves.csv", "M1,CP1", "M1,CP2,1,-2,yes\nM1,CP1")
    said = "moves.csv line 3, forms: characteristic 1 of body is formed by CP2 already; say yes for one"
    assert refusal(otter).startswith(said)


def test_a_part_that_the_tool_does_not_make_has_no_readings_there(otter: Path) -> None:
    change(otter, "programme.toml", "body = [1, 2]", "")
    for file in ("steel_sizes.csv", "corrections.csv", "predictions.csv"):
        (otter / file).unlink()
    said = "readings/M1_T1.csv line 2, part_code: tool M1 makes no part body; give body its cavities"
    assert refusal(otter).startswith(said)


def test_two_files_with_the_same_bytes_are_refused(otter: Path) -> None:
    text = (otter / "sources.csv").read_text()
    row = text.splitlines()[1].replace("T1.csv,T1.csv", "again.csv,T1.csv")
    (otter / "sources.csv").write_text(text + row + "\n")
    change(otter, "readings/M1_T1.csv", "4.04,T1.csv", "4.04,again.csv")
    assert refusal(otter).startswith(
        "sources.csv line 3, sha256: it has the same bytes as T1.csv; keep one of them"
    )


@pytest.mark.parametrize("file", [name for name in FILES if not name.startswith("readings")])
def test_text_that_is_not_utf8_is_refused_by_its_line(file: str, otter: Path) -> None:
    with (otter / file).open("ab") as out:
        out.write("\ngrün".encode("latin-1"))
    line = FILES[file].count("\n") + 2
    assert refusal(otter) == f"{file} line {line}: bytes fc 6e are not UTF-8; save the file as UTF-8"


def test_a_byte_order_mark_does_no_harm(otter: Path) -> None:
    for file in FILES:
        (otter / file).write_text("\ufeff" + FILES[file], encoding="utf-8", newline="")
    assert read_folder(otter).programme.slug == "otter"


def test_line_ends_of_another_system_do_no_harm(otter: Path) -> None:
    before = read_folder(otter)
    for file in FILES:
        (otter / file).write_text(FILES[file], encoding="utf-8", newline="\r\n")
    after = read_folder(otter)
    assert (after.characteristics, after.sources) == (before.characteristics, before.sources)


def test_a_misspelt_table_is_not_passed_over(otter: Path) -> None:
    (otter / "characteristics.csv").rename(otter / "characteristic.csv")
    assert refusal(otter) == "characteristic.csv: no table has this name; did you mean 'characteristics.csv'?"


def test_readings_of_no_trial_are_not_passed_over(otter: Path) -> None:
    (otter / "readings" / "M1_T1.csv").rename(otter / "readings" / "M1_T9.csv")
    assert refusal(otter) == "readings/M1_T9.csv: it belongs to no trial; did you mean 'M1_T1.csv'?"


def test_an_original_that_is_not_listed_is_not_passed_over(otter: Path) -> None:
    (otter / "originals" / "T2.csv").write_text("more")
    assert refusal(otter).startswith(
        "originals/T2.csv: it is not listed in sources.csv; read it into the record"
    )


def test_a_missing_or_changed_original_is_refused(otter: Path) -> None:
    (otter / "originals" / "T1.csv").write_bytes(b"other")
    assert refusal(otter).startswith(
        "originals/T1.csv: its bytes are not those that were read; put the file back"
    )
    (otter / "originals" / "T1.csv").unlink()
    assert refusal(otter).startswith("originals/T1.csv: it is not there; put it back")


def test_no_folder_and_no_programme_file_are_named(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none").endswith("none: it is no folder; name the folder with programme.toml")
    assert refusal(tmp_path) == f"programme.toml: it is not there; is {tmp_path} a programme folder?"


def test_files_too_large_are_refused_before_they_are_read(otter: Path) -> None:
    for file, said in (("programme.toml", "at most 10 MB"), ("moves.csv", "at most 200 MB")):
        os.truncate(otter / file, 250_000_000)
        assert refusal(otter) == f"{file}: 250 MB; {said} are read"
        (otter / file).write_text(FILES[file])
    os.truncate(otter / "originals" / "T1.csv", 150_000_000)
    assert refusal(otter) == "originals/T1.csv: 150 MB; at most 100 MB are read"


@pytest.mark.parametrize(
    "name", ["../secret.csv", "..", "/etc/passwd", "a/b.csv", "C:\\x.csv", "a\\b.csv", "c:x", "x*", "x\ny"]
)
def test_a_name_that_leads_elsewhere_is_refused(name: str, otter: Path) -> None:
    (otter.parent / "secret.csv").write_bytes((otter / "originals" / "T1.csv").read_bytes())
    change(otter, "sources.csv", "T1.csv,T1.csv", f'"{name}",T1.csv')
    for value in ("4.03", "4.04"):
        change(otter, "readings/M1_T1.csv", f"{value},T1.csv", f'{value},"{name}"')
    (otter / "originals" / "T1.csv").unlink()
    if name == "x\ny":
        assert refusal(otter).startswith("originals/x\ny: it is not there")
        return
    assert refusal(otter).startswith(f"sources.csv line 2, file: {name!r} is no plain file name; give a name")


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
@pytest.mark.parametrize("file", ["programme.toml", "moves.csv", "readings/M1_T1.csv", "originals/T1.csv"])
def test_a_link_that_leaves_the_folder_is_refused(file: str, otter: Path) -> None:
    outside = otter.parent / "outside"
    (otter / file).rename(outside)
    (otter / file).symlink_to(outside)
    assert refusal(otter) == f"{file}: it is a link that leaves the folder; put the file itself there"
    outside.unlink()
    assert refusal(otter) == f"{file}: it is a link to nothing; put the file itself there"


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_inside_the_folder_is_followed(otter: Path) -> None:
    (otter / "moves.csv").rename(otter / "kept.txt")
    (otter / "moves.csv").symlink_to("kept.txt")
    assert len(read_folder(otter).moves) == 1
    (otter / "steel.csv").unlink()
    (otter / "steel.csv").symlink_to("steel.csv")
    assert refusal(otter).startswith("steel.csv: it ")


def test_a_folder_in_place_of_a_file_is_refused(otter: Path) -> None:
    (otter / "moves.csv").unlink()
    (otter / "moves.csv").mkdir()
    assert refusal(otter) == "moves.csv: it is no file; put a file of this name there"
