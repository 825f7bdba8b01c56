"""What is installed is what was written: sources, pages, styles, fonts and the invented programme."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from offtool.places import examples_folder, fonts_folder

TOP = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(folder)]
    subprocess.run(command, cwd=TOP, check=True, capture_output=True)
    (file,) = folder.glob("*.whl")
    return zipfile.ZipFile(file)


def files_below(folder: Path) -> set[str]:
    found = {path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts}
    return {path.relative_to(folder).as_posix() for path in found}


def test_the_wheel_holds_every_file_of_the_package(wheel: zipfile.ZipFile) -> None:
    ours = {f"offtool/{name}" for name in files_below(TOP / "src" / "offtool")}
    assert {"offtool/py.typed", "offtool/reports/fonts/NotoSansSC-Regular.ttf"} <= ours
    assert ours - set(wheel.namelist()) == set()


def test_the_wheel_holds_the_invented_programme_where_it_is_looked_for(
    wheel: zipfile.ZipFile, tmp_path: Path
) -> None:
    wheel.extractall(tmp_path)
    ask = "from offtool.places import examples_folder as f; print(f())"
    answer = subprocess.run(
        [sys.executable, "-c", ask], cwd=tmp_path, check=True, capture_output=True, text=True
    )
    installed = Path(answer.stdout.strip())
    assert installed == (tmp_path / "offtool" / "examples").resolve()
    for data in ("harbour_otter", "harbour_otter_gauge_room", "readings_files"):
        assert files_below(installed / data) == files_below(examples_folder() / data)
    assert not list(installed.rglob("*.py"))  # the story's script plays with the tests' virtual moulder
    assert (installed / "harbour_otter" / "programme.toml").is_file()


def test_fonts_come_with_their_licences() -> None:
    families = {"NotoSansSC", "OfftoolSigns", "SourceSans3"}
    assert {path.name.split("-")[0] for path in fonts_folder().glob("*.ttf")} == families
    for licence in ("noto-sans-sc", "offtool-signs", "source-sans-3"):
        assert (
            "SIL OPEN FONT LICENSE"
            in (fonts_folder() / f"OFL-{licence}.txt").read_text(encoding="utf-8").upper()
        )
