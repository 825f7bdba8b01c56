"""offtool gauge, as it is typed: the list, a study read and kept, what it means, and one set aside."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from examples.make_gauge_studies import CROSSED, REFERENCE, study_files

from offtool.cli.gauge import KINDS
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge, GaugeStudy, Programme
from offtool.steps.plain import as_plain
from offtool.steps.study_gauge import gauges_of, study_gauge
from tests.cli.conftest import Run


@pytest.fixture
def gauge(flipper: str) -> str:
    """The flipper's peg is measured with a micrometer."""
    programme = Programme.objects.get(slug=flipper)
    micrometer = Gauge.objects.create(
        programme=programme, code="MIC", name="micrometer", resolution=0.001, uncertainty=0.0
    )
    peg = Characteristic.objects.get(part__programme=programme, number="1")
    peg.gauge = micrometer
    peg.save()
    return flipper


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "study.csv"
    path.write_text(study_files()[CROSSED.file], encoding="utf-8")
    return path


def test_the_kinds_are_those_of_the_record() -> None:
    assert tuple(StudyKind) == KINDS


def test_all_gauges_are_listed_with_what_is_known_of_them(run: Run, gauge: str) -> None:
    answer = run("gauge", gauge)
    assert answer.exit_code == 0
    assert answer.out.startswith("The gauge has no study.\n")
    assert "No study of MIC: verdicts take it as exact." in answer.out
    assert run("gauge", gauge, "--json").json == as_plain(gauges_of(gauge))


def test_a_study_is_shown_first_and_kept_then(run: Run, gauge: str, file: Path) -> None:
    words = ("gauge", gauge, "MIC", "--read", file, "--size", "P1 1")
    shown = run(*words)
    assert shown.exit_code == 0
    said = " ".join(shown.out.split())
    assert "60 readings of 10 parts by 3 people understood. Whether MIC is fit for P1 1 is not shown" in said
    assert "Nothing is kept yet." in said
    assert "row 7, column 2: '4,027*' is read as 4.027" in said
    assert GaugeStudy.objects.count() == 0
    assert run(*words, "--json").json["headline"].startswith("Whether MIC is fit")

    kept = run(*words, "--name", "S1", "--done-on", "2026-01-20", "--keep")
    assert kept.exit_code == 0
    assert kept.out.startswith("Kept: 60 readings of study.csv as study S1 of gauge MIC")
    again = run(*words, "--name", "S2", "--keep")
    assert again.exit_code == 1
    assert "the same file is study S1 of gauge MIC" in again.err
    assert "How it was read" in again.out


def test_a_gauge_is_shown_with_shares_sizes_and_what_it_rests_on(run: Run, gauge: str, file: Path) -> None:
    run("gauge", gauge, "MIC", "--read", file, "--size", "P1 1", "--name", "S1", "--keep")
    answer = run("gauge", gauge, "MIC")
    assert answer.exit_code == 0
    for heading in ("What to do", "Why", "What it means for the sizes", "What it rests on", "Studies"):
        assert f"\n{heading}\n" in answer.out
    assert re.search(r"repeatability +0\.0011 +0\.0010 to 0\.0017 +13\.\d % \(", answer.out)
    assert "S1: crossed, P1 1, 60 readings; counts" in answer.out
    assert run("gauge", gauge, "MIC", "--json").json == as_plain(study_gauge(gauge, "MIC"))


def test_a_reference_part_takes_its_size_from_the_command(run: Run, gauge: str, tmp_path: Path) -> None:
    path = tmp_path / "block.csv"
    path.write_text(study_files()[REFERENCE.file], encoding="utf-8")
    words = ("gauge", gauge, "MIC", "--read", path, "--kind", "reference part", "--name", "R1", "--keep")
    refused = run(*words)
    assert refused.exit_code == 1
    assert "25 of 25 readings have no reference" in refused.err
    assert "Mend: 25 of 25 readings have no reference" in refused.out
    assert run(*words, "--reference", "5", "--size", "P1 1").exit_code == 0
    assert "index with bias" in run("gauge", gauge, "MIC", "--study", "R1").out


def test_a_study_is_set_aside_with_a_reason(run: Run, gauge: str, file: Path) -> None:
    run("gauge", gauge, "MIC", "--read", file, "--name", "S1", "--keep")
    without = run("gauge", gauge, "MIC", "--set-aside", "S1")
    assert without.exit_code == 1
    assert "no reason is given" in without.err
    answer = run("gauge", gauge, "MIC", "--set-aside", "S1", "--because", "the anvil was worn")
    assert answer.exit_code == 0
    assert "S1: crossed, 60 readings; set aside: the anvil was worn" in answer.out
    assert answer.out.startswith("No study of MIC: verdicts take it as exact.")


@pytest.mark.parametrize(
    "words",
    [
        ("gauge", "flipper", "--read", __file__),
        ("gauge", "flipper", "--set-aside", "S1"),
        ("gauge", "flipper", "MIC", "--read", __file__, "--set-aside", "S1"),
        ("gauge", "flipper", "MIC", "--kind", "other"),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, words: tuple[str, ...]) -> None:
    answer = run(*words)
    assert answer.exit_code == 2
    assert "Error: " in answer.err


def test_names_that_are_not_there_and_files_that_are_no_study_leave_with_1(run: Run, gauge: str) -> None:
    assert "no gauge 'MIK' in flipper; did you mean 'MIC'?" in run("gauge", gauge, "MIK").err
    assert run("gauge", gauge, "MIC", "--read", __file__).exit_code == 1
