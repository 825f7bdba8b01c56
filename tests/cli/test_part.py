"""offtool part: a file alone, a shape kept for a part, the list, and what is refused."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path

import pytest
import trimesh

from offtool.core.planning.geometry import measure_part
from offtool.steps import part_geometry
from tests.cli.conftest import Run


@pytest.fixture(autouse=True)
def few_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls at fewer points than usual: what is tested here does not hang on how many."""
    monkeypatch.setattr(part_geometry, "measure_part", partial(measure_part, points=2000))


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    """A plate of 60 by 40 by 2, without a unit."""
    file = tmp_path / "plate.stl"
    file.write_bytes(trimesh.creation.box((60, 40, 2)).export(file_type="stl"))
    return file


def test_a_file_without_a_unit_is_shown_in_each_and_not_measured(run: Run, plate: Path) -> None:
    answer = run("part", "--mesh", plate)
    assert answer.exit_code == 0
    assert "its unit is not known" in answer.out
    assert "mm: 60 × 40 × 2 mm, plausible" in answer.out
    assert "Give the unit with --unit." in answer.out
    assert run("part", "--mesh", plate, "--json").json["found"] is None


def test_a_file_is_measured_without_a_programme_and_leaves_no_record(
    run: Run, plate: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    answer = run("part", "--mesh", plate, "--unit", "mm", "--resin", "ABS", "--thin", "2.5")
    assert answer.exit_code == 0, answer.err
    for words in ("5.04 g of ABS", "24 cm² along z", "100.0 % of the wall under 2.5 mm", "the deciding wall"):
        assert words in answer.out
    assert [one.name for one in tmp_path.iterdir()] == ["plate.stl"]


def test_a_shape_is_shown_then_kept_then_known(run: Run, flipper: str, plate: Path) -> None:
    shown = run("part", flipper, "P1", "--mesh", plate, "--unit", "mm", "--direction", "0,0,2")
    assert "Nothing is kept yet." in shown.out
    assert "no shape yet" in run("part", flipper).out
    kept = run("part", flipper, "P1", "--mesh", plate, "--unit", "mm", "--note", "drawing 7", "--keep")
    assert kept.exit_code == 0, kept.err
    assert "Kept: plate.stl is the shape of P1 now, in mm." in kept.out
    known = run("part", flipper, "P1")
    assert "Drawing 7." in known.out
    assert "24 cm² along z" in known.out
    assert "24.00 cm² along the opening" in run("part", flipper).out


def test_json_is_the_result_of_the_step(run: Run, flipper: str, plate: Path) -> None:
    from offtool.steps.know_part import know_part, know_parts
    from offtool.steps.plain import as_plain

    kept = run("part", flipper, "P1", "--mesh", plate, "--unit", "mm", "--keep", "--json").json
    assert kept["unit"] == "mm"
    assert run("part", flipper, "P1", "--json").json == json.loads(
        json.dumps(as_plain(know_part(flipper, "P1")))
    )
    assert run("part", flipper, "--json").json == json.loads(json.dumps(as_plain(know_parts(flipper))))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "name a programme, or a file"),
        (("flipper", "--mesh", "FILE"), "name the part"),
        (("flipper", "P1", "--keep"), "--keep belongs to --mesh"),
        (("--mesh", "FILE", "--keep"), "--keep needs a programme"),
        (("flipper", "P1", "--mesh", "FILE", "--resin", "ABS"), "a part has its own"),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, plate: Path, words: tuple[str, ...], said: str) -> None:
    answer = run("part", *(plate if one == "FILE" else one for one in words))
    assert answer.exit_code == 2
    assert said in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--direction", "up"), "is no direction"),
        (("--unit", "mm", "--direction", "0,0,0"), "must point somewhere"),
        (("--unit", "mm", "--resin", "unobtanium"), "not on the list"),
    ],
)
def test_what_cannot_be_is_refused_in_words(run: Run, plate: Path, words: tuple[str, ...], said: str) -> None:
    answer = run("part", "--mesh", plate, *words)
    assert answer.exit_code == 1
    assert said in answer.err


def test_a_part_without_a_shape_names_the_command_that_reads_one(run: Run, flipper: str, plate: Path) -> None:
    reads = f"offtool part {flipper} P1 --mesh FILE"
    assert reads in run("part", flipper).out
    run("part", flipper, "P1", "--mesh", plate, "--unit", "mm", "--keep")
    assert reads not in run("part", flipper).out


def test_a_shape_that_is_hardly_a_part_is_kept_only_where_it_is_confirmed(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    small = tmp_path / "small.stl"
    small.write_bytes(trimesh.creation.box((0.9, 0.4, 0.3)).export(file_type="stl"))
    typed = ("part", flipper, "P1", "--mesh", small, "--unit", "mm")
    assert "is kept only with --confirm" in run(*typed).out
    refused = run(*typed, "--keep")
    assert (refused.exit_code, "hardly a moulded part" in refused.err) == (1, True)
    assert "no shape yet" in run("part", flipper).out
    assert run(*typed, "--confirm").exit_code == 2
    assert run(*typed, "--keep", "--confirm").exit_code == 0
    assert "that of P1 is doubted" in run("part", flipper).out


def test_a_shape_without_its_unit_is_not_kept(run: Run, flipper: str, plate: Path) -> None:
    answer = run("part", flipper, "P1", "--mesh", plate, "--keep")
    assert answer.exit_code == 1
    assert "does not say its unit" in answer.err
