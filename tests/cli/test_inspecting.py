"""inspect --size, leave-out and settle as they are typed."""

from __future__ import annotations

from pathlib import Path

from offtool.steps.inspect_size import inspect_size
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run


def test_a_size_in_depth_says_what_the_step_says(run: Run, flipper: str) -> None:
    found = inspect_size(flipper, "M1", "T1", "P1 1")
    said = run("inspect", flipper, "M1", "T1", "--size", "P1 1")
    assert said.exit_code == 0
    assert said.out.splitlines()[0] == found.headline
    assert "Each cavity less the mean of all" in said.out
    assert "all  as shipped" in said.out
    assert run("inspect", flipper, "M1", "T1", "--size", "P1 1", "--json").json == as_plain(found)


def test_a_size_that_was_not_measured_is_refused_with_the_nearest(run: Run, flipper: str) -> None:
    said = run("inspect", flipper, "M1", "T1", "--size", "P1 7")
    assert said.exit_code == 1
    assert "no size 'P1 7' was measured" in said.err


def test_a_report_of_one_size_is_refused_and_nothing_is_written(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    for option in ("--report", "--workbook"):
        said = run("inspect", flipper, "M1", "T1", "--size", "P1 1", option, str(tmp_path / "one"))
        assert said.exit_code == 2
        assert "leave --size away" in said.err
    assert not (tmp_path / "one").exists()


def test_the_layout_report_is_written_and_a_missing_folder_is_refused_first(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    file = tmp_path / "layout.pdf"
    assert f"{file}" in "".join(run("inspect", flipper, "M1", "T1", "--report", str(file)).out.split("\n"))
    assert file.read_bytes().startswith(b"%PDF")
    missing = run("inspect", flipper, "M1", "T1", "--report", str(tmp_path / "no" / "layout.pdf"))
    assert missing.exit_code == 1
    assert "no such folder" in missing.err


def test_a_reading_is_left_out_and_taken_back(run: Run, flipper: str) -> None:
    reading = inspect_size(flipper, "M1", "T1", "P1 1").analysis.readings[0]
    where = ("P1 1", "--row", str(reading.row), "--column", str(reading.column))
    said = run("leave-out", flipper, "M1", "T1", *where, "--because", "typing error")
    assert said.exit_code == 0, said.err
    assert f"{reading.value:g} at {reading.file} row {reading.row}" in said.out
    shown = run("inspect", flipper, "M1", "T1", "--size", "P1 1").out
    assert "left out: typing error" in shown
    assert run("leave-out", flipper, "M1", "T1", *where, "--because", "again").exit_code == 1
    back = run("leave-out", flipper, "M1", "T1", *where, "--because", "it was right", "--back")
    assert "counts again" in back.out
    assert "left out" not in run("inspect", flipper, "M1", "T1", "--size", "P1 1").out


def test_leaving_out_needs_a_reason_and_one_reading(run: Run, flipper: str) -> None:
    assert run("leave-out", flipper, "M1", "T1", "P1 1").exit_code == 2
    several = run("leave-out", flipper, "M1", "T1", "P1 1", "--because", "typing error")
    assert several.exit_code == 1
    assert "readings of P1 1 fit" in several.err


def test_settling_and_times_are_said_and_shown(run: Run, flipper: str) -> None:
    assert "Settled" in run("settle", flipper, "M1", "T1").out
    both = run("settle", flipper, "M1", "T1", "--from", "2", "--by-readings", "--because", "x")
    assert (both.exit_code, "contradict" in both.err) == (1, True)
    no_reason = run("settle", flipper, "M1", "T1", "--from", "2")
    assert (no_reason.exit_code, "no reason" in no_reason.err) == (1, True)
    early = run(
        "settle", flipper, "M1", "T1", "--moulded-at", "2026-03-01T08:00", "--measured-at", "2026-03-01T12:00"
    )
    assert early.exit_code == 0
    assert run("inspect", flipper, "M1", "T1", "--json").json["age_h"] == 4
    wrong = run(
        "settle", flipper, "M1", "T1", "--moulded-at", "2026-03-02T08:00", "--measured-at", "2026-03-01T12:00"
    )
    assert (wrong.exit_code, "measured after they are moulded" in wrong.err) == (1, True)
