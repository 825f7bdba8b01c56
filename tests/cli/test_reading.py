"""start and read: a file is shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.exchange.readings.limits import MAX_BYTES
from tests.cli.conftest import PARTS, SIZES, Run, report

READINGS = len(SIZES) * 2 * PARTS


@pytest.fixture
def first(tmp_path: Path) -> Path:
    """A clean first-article report."""
    file = tmp_path / "first.csv"
    file.write_text(report(), encoding="utf-8")
    return file


@pytest.fixture
def flawed(tmp_path: Path) -> Path:
    """A report with one cell that cannot be read."""
    file = tmp_path / "flawed.csv"
    file.write_text(report(seed=2, odd="broken"), encoding="utf-8")
    return file


def kept_files() -> int:
    from offtool.records.models import SourceFile

    return SourceFile.objects.count()


def test_a_report_is_only_shown_until_it_is_to_be_kept(run: Run, record: Path, first: Path) -> None:
    answer = run("start", "Flipper", first)
    assert answer.exit_code == 0
    assert answer.out.startswith(
        f"first.csv: {READINGS} readings of 3 sizes in 2 cavities understood. Nothing is kept yet."
    )
    assert kept_files() == 0


def test_a_report_makes_a_programme_and_says_where_to_go_on(run: Run, record: Path, first: Path) -> None:
    answer = run("start", "Flipper", first, "--keep", "--tool", "M7", "--trial", "T0")
    assert answer.exit_code == 0, answer.err
    assert "trial T0 of tool M7 in state a, programme flipper" in " ".join(answer.out.split())
    assert "offtool inspect flipper M7 T0" in answer.out
    assert kept_files() == 1


def test_a_refused_cell_is_named_by_row_and_column_and_nothing_is_kept(
    run: Run, record: Path, flawed: Path
) -> None:
    answer = run("start", "Flipper", flawed, "--keep")
    assert answer.exit_code == 1
    assert "row 4, column 26: 'broken'" in answer.out
    assert answer.err.startswith("Error: flawed.csv: 1 cell cannot be read")
    assert kept_files() == 0


def test_refused_cells_are_left_out_when_asked(run: Run, record: Path, flawed: Path) -> None:
    kept = run("start", "Flipper", flawed, "--keep", "--leave-out", "--json").json
    assert (kept["readings"], kept["left_out"]) == (READINGS - 1, 1)


def test_the_index_asked_of_every_size_can_be_set(run: Run, record: Path, first: Path) -> None:
    from offtool.records.models import Characteristic

    run("start", "Flipper", first, "--keep", "--required-index", "1.67")
    assert {one.required_index for one in Characteristic.objects.all()} == {1.67}


def test_a_second_part_is_added_to_the_programme_and_shown_before(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    from offtool.records.models import Tool

    file = tmp_path / "second.csv"
    file.write_text(report(seed=5), encoding="utf-8")
    words = ("start", "Flipper", file, "--add", "--part", "P2", "--tool", "B2")
    assert "Nothing is kept yet." in run(*words).out
    assert list(Tool.objects.values_list("code", flat=True)) == ["M1"]
    answer = run(*words, "--keep")
    assert answer.exit_code == 0, answer.err
    assert "offtool inspect flipper B2 T1" in answer.out
    assert run("inspect", flipper, "B2", "T1", "--json").json["sizes"][0]["part"] == "P2"


@pytest.mark.parametrize("keep", [(), ("--keep",), ("--keep", "--json")])
def test_a_tool_that_is_there_is_named_before_anything_is_kept(
    run: Run, flipper: str, tmp_path: Path, keep: tuple[str, ...]
) -> None:
    file = tmp_path / "second.csv"
    file.write_text(report(seed=5), encoding="utf-8")
    answer = run("start", flipper, file, "--add", "--part", "P2", "--tool", "M1", *keep)
    assert answer.exit_code == 1
    assert "there is a tool 'M1' in flipper already" in answer.err
    assert "offtool read flipper M1 TRIAL FILE" in answer.err
    assert kept_files() == 1


@pytest.mark.parametrize("named", [(), ("--part", "P2"), ("--tool", "B2")])
def test_what_is_added_is_named_by_its_part_and_tool(
    run: Run, flipper: str, first: Path, named: tuple[str, ...]
) -> None:
    answer = run("start", "Flipper", first, "--add", *named)
    assert answer.exit_code == 2
    assert "--add needs --part and --tool" in answer.err


def test_a_title_in_use_and_an_unknown_tool_say_how_a_part_is_added(
    run: Run, flipper: str, first: Path
) -> None:
    assert "offtool start --add" in run("start", "Flipper", first, "--tool", "B2", "--keep").err
    said = " ".join(run("read", flipper, "B2", "T1", first).err.split())
    assert "offtool start flipper FILE --add --part PART --tool B2" in said
    both = " ".join(run("read", flipper, "B2", "T1", first, first.parent / "T1.csv").err.split())
    assert "offtool start flipper FILE --add --part PART --tool B2" in both


def test_a_file_is_read_into_a_trial_with_what_is_known_of_it(run: Run, flipper: str, tmp_path: Path) -> None:
    from offtool.records.models import Trial

    file = tmp_path / "T2.csv"
    file.write_text(report(seed=2, shift=0.02), encoding="utf-8")
    answer = run(
        "read", flipper, "M1", "T2", file, "--keep", "--shot-on", "2026-03-14", "--press", "6",
        "--colour", "grey", "--age-h", "24", "--resin-lot", "L7", "--measured-at", "2026-03-15T09:30",
    )  # fmt: skip
    assert answer.exit_code == 0, answer.err
    trial = Trial.objects.get(name="T2")
    assert (str(trial.shot_on), trial.press, trial.colour, trial.resin_lot) == (
        "2026-03-14",
        "6",
        "grey",
        "L7",
    )
    assert (trial.age_h, trial.state.label) == (24, "a")
    assert trial.measured_at.astimezone().strftime("%Y-%m-%d %H:%M") == "2026-03-15 09:30"


def test_the_preview_in_json_is_the_same_result(run: Run, flipper: str, first: Path) -> None:
    shown = run("read", flipper, "M1", "T2", first, "--json").json
    assert (shown["layout"], shown["readings"], shown["problems"]) == ("report", READINGS, [])


def test_the_same_file_twice_is_refused_with_a_pointer_to_the_first(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    answer = run("read", flipper, "M1", "T2", tmp_path / "T1.csv", "--keep")
    assert answer.exit_code == 1
    assert "read before as T1.csv in trial T1 of tool M1" in answer.err
    assert kept_files() == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [(("ottr", "M1", "T2"), "ottr"), (("flipper", "M9", "T2"), "M9")],
)
def test_an_unknown_name_is_refused_by_name(
    run: Run, flipper: str, first: Path, words: tuple[str, ...], said: str
) -> None:
    answer = run("read", *words, first)
    assert answer.exit_code == 1
    assert said in answer.err


def test_another_layout_can_be_set(run: Run, flipper: str, first: Path) -> None:
    answer = run("read", flipper, "M1", "T2", first, "--layout", "long")
    assert answer.exit_code == 1
    assert "long" in answer.err


def test_a_file_that_is_too_large_is_refused_before_it_is_read(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    file = tmp_path / "large.csv"
    with file.open("wb") as sparse:
        sparse.truncate(MAX_BYTES + 1)
    answer = run("read", flipper, "M1", "T2", file)
    assert answer.exit_code == 1
    assert "100,000,001 bytes" in answer.err


def test_many_repairs_are_counted_and_the_first_are_shown(run: Run, flipper: str, tmp_path: Path) -> None:
    file = tmp_path / "starred.csv"
    head, *rows = report(seed=3).splitlines()
    starred = [",".join([*row.split(",")[:6], *(f"{cell}*" for cell in row.split(",")[6:])]) for row in rows]
    file.write_text("\n".join([head, *starred]), encoding="utf-8")
    answer = run("read", flipper, "M1", "T2", file)
    assert f"{READINGS} cells repaired" in answer.out
    assert f"and {READINGS - 20} more; --json lists all" in answer.out
    assert len(run("read", flipper, "M1", "T2", file, "--json").json["repairs"]) == READINGS
