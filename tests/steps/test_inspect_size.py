"""One characteristic in depth says what its formulas say, of the readings that count."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.core.inspection.distribution import choose_distribution, fraction_outside, percentile_index
from offtool.core.inspection.variation import cavity_differences, variation_shares
from offtool.handbook.terms import StudyKind
from offtool.records.models import Gauge, Programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.inspect_size import inspect_size, inspect_sizes
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.keep_study import StudyAbout, keep_study
from offtool.steps.plain import as_plain
from offtool.steps.readings_seen import Counts
from tests.steps.clip import NOON, SLUG, TOOL, csv_of, keep, trial_file

LIMITS = {"lower": 3.98, "upper": 4.03}


@pytest.fixture
def read(clip: Programme) -> None:
    keep(trial_file())


def of_file() -> dict[str, np.ndarray]:
    """The peg's readings by cavity, out of the file itself."""
    rows = [line.split(",") for line in trial_file().decode().splitlines()[1:]]
    return {c: np.array([float(row[2]) for row in rows if row[1] == c]) for c in ("1", "2")}


def test_every_number_is_that_of_the_formula_on_the_readings_of_the_file(read: None) -> None:
    found, file = inspect_size(SLUG, TOOL, "T1", "P1 1"), of_file()
    for one in found.analysis.cavities:
        values = file[one.finding.cavity]
        assert one.percentile == percentile_index(values, **LIMITS, family="normal")
        assert one.outside == fraction_outside(values, **LIMITS, family="normal")
    values = np.concatenate([file["1"], file["2"]])
    cavities, shots = ["1"] * 12 + ["2"] * 12, list(range(30, 42)) * 2
    differences = cavity_differences(values, cavities, shots=shots)
    assert found.analysis.differences is not None
    assert found.analysis.differences.pairs[0].difference == pytest.approx(differences.pairs[0].difference)
    shares = variation_shares(values, cavities, shots, gauge_sd=0.001)
    assert found.analysis.shares is not None
    assert [one.sd for one in found.analysis.shares.shares] == pytest.approx(
        [one.sd for one in shares.shares], rel=1e-6, abs=1e-12
    )


def test_the_shape_of_all_cavities_is_that_about_their_own_means(read: None) -> None:
    file = of_file()
    mean = np.mean([one.mean() for one in file.values()])
    about = np.concatenate([one - one.mean() + mean for one in file.values()])
    found = inspect_size(SLUG, TOOL, "T1", "P1 1")
    assert found.analysis.fit is not None
    chosen = choose_distribution(about)
    assert found.analysis.fit.candidates[0].aicc == pytest.approx(chosen.candidates[0].aicc)
    alone = inspect_size(SLUG, TOOL, "T1", "P1 1", cavity="2", family="Weibull")
    assert alone.analysis.fit is not None
    assert (alone.family, alone.analysis.fit.parts) == ("Weibull", 12)


def test_a_size_is_found_by_its_number_where_that_is_one_only(read: None) -> None:
    for name in ("2", " 2 ", "P1 2", " P1   2"):
        assert inspect_size(SLUG, TOOL, "T1", name).size.name == "Length"
    with pytest.raises(NotInRecord, match=r"no size 'P1 9' was measured.*did you mean"):
        inspect_size(SLUG, TOOL, "T1", "P1 9")
    with pytest.raises(NotInRecord, match="no cavity '7'"):
        inspect_size(SLUG, TOOL, "T1", "P1 1", cavity="7")


def test_one_part_a_cavity_is_answered_and_says_what_is_missing(clip: Programme) -> None:
    keep(csv_of(["Cavity", "P1 1"], [(1, 3.97), (2, 3.98)]))
    found = inspect_size(SLUG, TOOL, "T1", "P1 1")
    assert found.analysis.fit is None
    assert found.analysis.plot is None
    assert any("at least" in caution.text for caution in found.cautions)
    assert as_plain(found)["analysis"]["shares"] is None


def test_equal_readings_are_answered_without_a_shape(clip: Programme) -> None:
    rows = [(shot, cavity, 4.0) for shot in range(1, 9) for cavity in (1, 2)]
    keep(csv_of(["Shot", "Cavity", "P1 1"], rows))
    found = inspect_size(SLUG, TOOL, "T1", "P1 1")
    assert found.analysis.fit is None
    assert found.headline.startswith("P1 1 Peg diameter")


def test_unsettled_shots_are_seen_and_not_used(clip: Programme) -> None:
    rng = np.random.default_rng(3)
    rows = [
        (shot, cavity, f"{4.0 - 0.2 * np.exp(-shot / 2) + rng.normal(0, 0.002):.4f}")
        for shot in range(1, 31)
        for cavity in (1, 2)
    ]
    keep(csv_of(["Shot", "Cavity", "P1 1"], rows))
    found = inspect_size(SLUG, TOOL, "T1", "P1 1")
    unsettled = [one for one in found.analysis.readings if one.counts is Counts.UNSETTLED]
    assert len(found.analysis.readings) == 60
    assert {one.shot for one in unsettled} == set(range(1, found.settled_from or 0))
    assert 5 < (found.settled_from or 0) < 18


def test_all_sizes_in_depth_agree_with_each_alone(read: None) -> None:
    findings, sizes = inspect_sizes(SLUG, TOOL, "T1")
    assert [one.size for one in sizes] == list(findings.sizes)
    alone = inspect_size(SLUG, TOOL, "T1", "P1 1")
    assert as_plain(next(one for one in sizes if one.size.number == "1")) == as_plain(alone)


def test_cavities_that_differ_are_named_and_alike_ones_are_not(clip: Programme) -> None:
    rng = np.random.default_rng(11)
    rows = [
        (shot, cavity, *(f"{mean + rng.normal(0, 0.002):.4f}" for mean in (4.0 + 0.01 * (cavity == 2), 20.0)))
        for shot in range(30, 50)
        for cavity in (1, 2)
    ]
    keep(csv_of(["Shot", "Cavity", "P1 1", "P1 2"], rows))
    found = inspect_trial(SLUG, TOOL, "T1").cavities
    assert found is not None
    assert [one.size for one in found.differ] == ["P1 1"]
    assert (found.differ[0].low_cavity, found.differ[0].high_cavity, found.sizes) == ("1", "2", 2)
    assert found.false_alarms == pytest.approx(0.1)


def test_a_bias_of_the_gauge_is_no_scatter(read: None) -> None:
    """A reference study with a large bias widens the guard band and takes nothing of the variation."""
    gauge = Gauge.objects.get()
    rng = np.random.default_rng(2)
    values = [f"{4.0 + 0.02 + rng.normal(0, 0.0005):.4f}" for _ in range(25)]
    keep_study(
        csv_of(["Reading no", "Value [mm]"], list(enumerate(values, 1))),
        "block.csv",
        programme=SLUG,
        gauge=gauge.code,
        study="R1",
        read_at=NOON,
        read_by="tester",
        about=StudyAbout(kind=StudyKind.REFERENCE, size="P1 1", reference=4.0),
    )
    found = inspect_size(SLUG, TOOL, "T1", "P1 1")
    assert found.size.finding.gauge_uncertainty is not None
    assert found.size.finding.gauge_uncertainty > 0.02
    shares = found.analysis.shares
    assert shares is not None
    assert {one.source: one.sd for one in shares.shares}["gauge"] < 0.001


def test_subgroups_are_of_shots_whatever_is_measured_of_each(clip: Programme) -> None:
    rng = np.random.default_rng(3)
    rows = [(10 * shot, 1, f"{4.0 + rng.normal(0, 0.002):.4f}") for shot in range(1, 11) for _ in range(2)]
    keep(csv_of(["Shot", "Cavity", "P1 1"], rows))
    (cavity,) = inspect_size(SLUG, TOOL, "T1", "P1 1").analysis.cavities
    assert cavity.subgroups is not None
    assert (cavity.subgroups.subgroups, cavity.subgroups.smallest) == (2, 5)


def test_a_number_that_two_parts_have_is_answered_with_both(clip: Programme) -> None:
    keep(csv_of(["Shot", "Cavity", "P1 1", "P2 1"], [(30, 1, 3.97, 30.0), (31, 1, 3.96, 30.01)]))
    with pytest.raises(NotInRecord) as refused:
        inspect_size(SLUG, TOOL, "T1", "1")
    assert str(refused.value) == "2 sizes have the number 1; name one of P1 1, P2 1"
