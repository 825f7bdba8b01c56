"""read and start with several files, a folder or a zip."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.exchange.readings.limits import MAX_BYTES
from tests.cli.conftest import SIZES, Run
from tests.exchange.readings.qif_writer import Part, Size, write
from tests.exchange.readings.test_bundle import packed


def part_file(add: float) -> str:
    rows = [f"{size[0]},{size[1]},{float(size[2]) + add:.4f}" for size in SIZES]
    return "\n".join(["No.,Characteristic,Actual", *rows, ""])


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    """A folder of four one-part files, with a note."""
    folder = tmp_path / "T2 parts"
    (folder / "raw").mkdir(parents=True)
    for cavity in (1, 2):
        for sample in (1, 2):
            name = folder / "raw" / f"C{cavity}_S{sample}.csv"
            name.write_text(part_file(cavity / 1000 + sample / 100), encoding="utf-8")
    (folder / "notes.txt").write_text("Monday", encoding="utf-8")
    return folder


def kept_files() -> int:
    from offtool.records.models import SourceFile

    return SourceFile.objects.count()


def test_a_folder_is_shown_as_one_and_kept_file_by_file(run: Run, flipper: str, parts: Path) -> None:
    before = kept_files()
    shown = run("read", flipper, "M1", "T2", parts)
    assert shown.exit_code == 0, shown.err
    assert f"T2 parts, 4 files: {4 * len(SIZES)} readings of {len(SIZES)} sizes in 2 cavities" in shown.out
    assert "C2_S1.csv  cavity 2 part 1" in shown.out
    assert "1 file left out" in shown.out
    assert kept_files() == before
    kept = run("read", flipper, "M1", "T2", parts, "--keep")
    assert "readings of 4 files of T2 parts in trial T2" in " ".join(kept.out.split())
    assert kept_files() == before + 4


def test_several_files_and_a_zip_give_the_same_as_the_folder(
    run: Run, flipper: str, parts: Path, tmp_path: Path
) -> None:
    files = sorted((parts / "raw").iterdir())
    archive = tmp_path / "T2.zip"
    archive.write_bytes(packed({file.name: file.read_bytes() for file in files}))
    whole = run("read", flipper, "M1", "T2", parts, "--json").json
    for sent in (files, [archive]):
        shown = run("read", flipper, "M1", "T2", *sent, "--json").json
        assert shown["characteristics"] == whole["characteristics"]
        assert [one["name"] for one in shown["files"]] == [one["name"] for one in whole["files"]]


def test_the_names_of_several_folders_say_where_their_files_belong(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    for cavity in (1, 2):
        (tmp_path / f"cav {cavity}").mkdir()
        (tmp_path / f"cav {cavity}" / "shot 4.csv").write_text(part_file(cavity / 100), encoding="utf-8")
    shown = run("read", flipper, "M1", "T2", tmp_path / "cav 1", tmp_path / "cav 2", "--json").json
    assert [(one["name"], one["cavity"], one["shot"]) for one in shown["files"]] == [
        ("cav 1 - shot 4.csv", "1", 4),
        ("cav 2 - shot 4.csv", "2", 4),
    ]


def test_errors_name_the_file(run: Run, flipper: str, parts: Path) -> None:
    (parts / "raw" / "C1_S3.csv").write_text(
        part_file(0).replace("Actual", "Actual\n9,Nose,1.0"), encoding="utf-8"
    )
    answer = run("read", flipper, "M1", "T2", parts, "--keep")
    assert answer.exit_code == 1
    assert "C1_S3.csv: 'Nose'" in answer.err
    (parts / "raw" / "C1_S3.csv").write_text("", encoding="utf-8")
    answer = run("read", flipper, "M1", "T2", parts, "--keep")
    assert "C1_S3.csv: is empty" in answer.err
    assert run("read", flipper, "M1", "T2", parts, "--keep", "--leave-out").exit_code == 0


def test_an_empty_folder_and_a_file_too_large_are_refused(run: Run, flipper: str, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    answer = run("read", flipper, "M1", "T2", empty)
    assert answer.exit_code == 1
    assert "there is no file in it" in answer.err
    with (empty / "large.csv").open("wb") as sparse:
        sparse.truncate(MAX_BYTES + 1)
    assert "large.csv: size of a file" in run("read", flipper, "M1", "T2", empty).err


def test_a_programme_is_started_from_qif_and_from_a_zip_of_it(run: Run, record: Path, tmp_path: Path) -> None:
    sizes = [Size("1", "Peg diameter", nominal="3", limits=("2.98", "3.03"))]
    contents = {f"C{c}.qif": write(sizes, [Part([f"3.00{c}"], f"Cav {c} part 1")]) for c in (1, 2)}
    file, archive = tmp_path / "C1.qif", tmp_path / "both.zip"
    file.write_bytes(contents["C1.qif"])
    archive.write_bytes(packed(contents))
    assert "Layout  " in run("start", "Crab", file).out
    kept = run("start", "Crab", archive, "--keep", "--json")
    assert kept.exit_code == 0, kept.err
    assert kept.json["readings"] == 2
    assert kept.json["files"] == ["C1.qif", "C2.qif"]
