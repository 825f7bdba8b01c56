"""offtool programme and offtool dossier, as they are typed."""

from __future__ import annotations

import subprocess
import zipfile
from datetime import date
from pathlib import Path

import pytest

from offtool.cli.show_programme import programme_lines
from offtool.records.models import Programme
from offtool.steps.plain import as_plain
from offtool.steps.programme_standing import programme_standing
from offtool.steps.step_days import step_days_known
from tests.cli.conftest import Run

ON = "2026-03-23"
DAY = date(2026, 3, 23)


def test_it_says_how_far_the_release_is_what_decides_and_what_to_do(run: Run, flipper: str) -> None:
    shown = run("programme", flipper, "--on", ON)
    assert shown.exit_code == 0, shown.err
    said = " ".join(shown.out.split())
    found = programme_standing(flipper, DAY)
    assert found.way is not None
    assert found.way.headline in said
    for heading in ("What to do next", "What decides the day", "Tools", "What it rests on", "With care"):
        assert heading in said
    assert "Every step" not in said
    assert "Every step" in run("programme", flipper, "--on", ON, "--steps").out


def test_as_json_it_is_the_result_of_the_step(run: Run, flipper: str) -> None:
    shown = run("programme", flipper, "--on", ON, "--json").json
    assert shown == as_plain(programme_standing(flipper, DAY))


def test_days_and_the_day_that_is_asked_for_are_kept_and_taken_back(run: Run, flipper: str) -> None:
    kept = run(
        "programme", flipper, "--days", "laboratory=8-12,5", "--days", "review=2", "--due", "2027-01-15"
    )
    assert kept.out.startswith("The days of the steps are kept.\nRelease is asked for by 2027-01-15.\n\n")
    known = step_days_known(flipper)
    own = {one.step: (one.low_days, one.high_days) for one in known.steps if one.is_own}
    assert (own, known.due) == ({"laboratory": (8.0, 12.5), "review": (2.0, 2.0)}, date(2027, 1, 15))
    run("programme", flipper, "--days", "laboratory=handbook", "--due", "none")
    known = step_days_known(flipper)
    assert ([one.step for one in known.steps if one.is_own], known.due) == (["review"], None)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--days", "laboratory"), "type it as --days laboratory=8-12"),
        (("--days", "=8-12"), "type it as --days laboratory=8-12"),
        (("--days", "laboratory=soon"), "type it as --days laboratory=8-12"),
        (("--due", "soon"), "type it as 2026-06-15, or none"),
    ],
)
def test_what_is_typed_wrongly_is_said(run: Run, flipper: str, words: tuple[str, ...], said: str) -> None:
    answer = run("programme", flipper, *words)
    assert answer.exit_code == 2
    assert said in " ".join(answer.err.split())


def test_days_that_cannot_be_are_refused(run: Run, flipper: str) -> None:
    answer = run("programme", flipper, "--days", "laboratory=12-8")
    assert answer.exit_code == 1
    assert "8 is below the low 12" in answer.err
    assert "did you mean 'laboratory'?" in run("programme", flipper, "--days", "labratory=1-2").err


def test_a_programme_without_a_tool_says_what_makes_one(run: Run, record: Path) -> None:
    Programme.objects.create(slug="a", title="Axle")
    assert "No tool is recorded yet" in run("programme", "a").out
    assert programme_lines(programme_standing("a", DAY))[-1].endswith("make tools.")


def test_the_dossier_is_a_folder_that_sha256sum_checks(run: Run, flipper: str, tmp_path: Path) -> None:
    out, pdf = tmp_path / "release", tmp_path / "review.pdf"
    kept = run("dossier", flipper, "--out", out, "--pdf", pdf, "--on", ON)
    assert kept.exit_code == 0, kept.err
    assert pdf.read_bytes().startswith(b"%PDF-")
    checked = ["sha256sum", "--check", "--strict", "SHA256SUMS"]
    assert subprocess.run(checked, cwd=out, capture_output=True, check=False).returncode == 0
    assert (out / "files" / "readings" / "T1.csv").read_bytes() == (tmp_path / "T1.csv").read_bytes()
    again = run("dossier", flipper, "--out", out)
    assert again.exit_code == 1
    assert "holds something already; name an empty folder, or a new one" in again.err


def test_the_dossier_is_an_archive_where_its_name_says_so(run: Run, flipper: str, tmp_path: Path) -> None:
    out = tmp_path / "release.zip"
    assert run("dossier", flipper, "--out", out).exit_code == 0
    with zipfile.ZipFile(out) as archive:
        assert {"review.pdf", "review.json", "index.csv", "SHA256SUMS"} <= set(archive.namelist())


def test_a_dossier_goes_somewhere(run: Run, flipper: str, tmp_path: Path) -> None:
    assert run("dossier", flipper).exit_code == 2
    missing = run("dossier", flipper, "--out", tmp_path / "no" / "release.zip")
    assert "there is no such folder" in missing.err
