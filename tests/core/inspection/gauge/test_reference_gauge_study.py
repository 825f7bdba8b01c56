"""Repeated readings of one reference part: R, the definitions worked out anew, laws, bad input."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import optimize, stats

from offtool.core.inspection import judge_size
from offtool.core.inspection.gauge import GaugeJudgement, reference_gauge_study
from offtool.core.values import ImpossibleInput, Interval, NotEnoughData
from tests.core.laws import law
from tests.labels import independent, published
from tests.published import numbers

READINGS = [6.001, 6.002, 5.999, 6.001, 6.003, 6.000, 6.001, 6.002, 6.000, 6.001]


def ends(interval: Interval | None) -> list[float]:
    assert interval is not None
    return [interval.low, interval.high]


def test_bias_and_deviation_are_those_of_r() -> None:
    """R 4.2: t.test(v, mu=6); sd(v) * sqrt(9 / qchisq(c(.975, .025), 9))."""
    found = reference_gauge_study(READINGS, 6.0)
    assert ends(found.bias_interval) == independent(
        [0.000173976995542, 0.001826023004458], way="R t.test", rel=1e-9
    )
    assert found.bias_p == independent(0.022899494551738, way="R t.test", rel=1e-8)
    assert found.sd == independent(0.001154700538379, way="R sd", rel=1e-9)
    assert ends(found.sd_interval) == independent(
        [0.000794243683549, 0.002108033060626], way="R qchisq", rel=1e-8
    )


def test_the_mean_of_a_published_series_has_its_printed_interval() -> None:
    found = reference_gauge_study(numbers("nist_zarr13.txt"), 0.0)
    source = "NIST/SEMATECH e-Handbook 1.3.5.2, ZARR13"
    low, high = ends(found.bias_interval)
    assert low == published("9.258242", source=source)
    assert high == published("9.264679", source=source)


def test_the_indices_by_hand() -> None:
    found = reference_gauge_study(READINGS, 6.0, tolerance=0.06)
    s = float(np.std(READINGS, ddof=1))
    assert found.of_tolerance == independent(6 * s / 0.06, way="by hand")
    assert found.repeatability_index == independent(0.2 * 0.06 / (6 * s), way="by hand")
    assert found.index_with_bias == independent((0.1 * 0.06 - 0.001) / (3 * s), way="by hand")
    s_low, s_high = ends(found.sd_interval)
    assert ends(found.repeatability_index_interval) == [
        pytest.approx(0.002 / s_high),
        pytest.approx(0.002 / s_low),
    ]


def test_the_low_bound_of_the_index_with_bias_is_a_root_of_the_noncentral_t() -> None:
    found = reference_gauge_study(READINGS, 6.0, tolerance=0.06)
    assert found.index_with_bias is not None
    scale = 3 * sqrt(10)
    low = optimize.brentq(
        lambda c: stats.nct.cdf(scale * found.index_with_bias, 9, scale * c) - 0.975, 0.1, 2.0
    )
    assert ends(found.index_with_bias_interval)[0] == independent(low, way="scipy.stats.nct", rel=1e-5)


def test_the_uncertainty_is_the_root_of_the_sum_of_its_squares() -> None:
    found = reference_gauge_study(READINGS, 6.0, reference_uncertainty=0.0005, resolution=0.001)
    s = float(np.var(READINGS, ddof=1))
    by_hand = sqrt(s + 0.001**2 + 0.0005**2 + 0.001**2 / 12)
    assert found.standard_uncertainty == independent(by_hand, way="by hand", rel=1e-9)
    assert [part.source for part in found.uncertainty_parts] == [
        "repeatability",
        "bias",
        "reference",
        "resolution",
    ]
    assert sum(part.standard_uncertainty**2 for part in found.uncertainty_parts) == pytest.approx(by_hand**2)


@law(seed=st.integers(0, 9999), scale=st.floats(0.01, 100), shift=st.floats(-100, 100), examples=30)
def test_another_unit_and_another_zero_change_no_index(seed: int, scale: float, shift: float) -> None:
    values = np.random.default_rng(seed).normal(6.01, 0.01, 25)
    one = reference_gauge_study(values, 6.0, tolerance=0.5)
    other = reference_gauge_study(scale * values + shift, scale * 6.0 + shift, tolerance=0.5 * scale)
    assert other.sd == pytest.approx(scale * one.sd, rel=1e-6)
    assert other.bias == pytest.approx(scale * one.bias, rel=1e-6, abs=1e-10)
    assert other.bias_p == pytest.approx(one.bias_p, rel=1e-4, abs=1e-9)
    assert other.index_with_bias == pytest.approx(one.index_with_bias, rel=1e-6)
    assert other.judgement == one.judgement


@law(seed=st.integers(0, 9999), examples=30)
def test_the_mirrored_readings_have_the_mirrored_bias(seed: int) -> None:
    values = np.random.default_rng(seed).normal(0.01, 0.01, 25)
    one, other = (reference_gauge_study(v, 0.0, tolerance=0.5) for v in (values, -values))
    assert other.bias == pytest.approx(-one.bias)
    assert other.index_with_bias == pytest.approx(one.index_with_bias)


@pytest.mark.parametrize(
    ("tolerance", "off", "judgement"),
    [
        (0.6, 0.0, GaugeJudgement.FIT),
        (0.6, 0.05, GaugeJudgement.FIT_FOR_SOME),
        (0.1, 0.0, GaugeJudgement.NOT_FIT),
        (0.32, 0.0, GaugeJudgement.NOT_SHOWN),
    ],
)
def test_the_judgement_follows_the_index_with_bias(
    tolerance: float, off: float, judgement: GaugeJudgement
) -> None:
    values = 6.0 + off + 0.01 * np.tile([-1.0, 0.0, 1.0, 0.5, -0.5], 6)
    found = reference_gauge_study(values, 6.0, tolerance=tolerance)
    assert found.judgement is judgement
    assert "index with bias" in found.reason.sentence
    assert bool(found.reason.settle) is (judgement in (GaugeJudgement.FIT_FOR_SOME, GaugeJudgement.NOT_SHOWN))


def test_without_a_tolerance_there_is_nothing_to_judge_by() -> None:
    found = reference_gauge_study(READINGS, 6.0)
    assert found.judgement is GaugeJudgement.NOT_SHOWN
    assert found.repeatability_index is None
    assert "no tolerance" in found.reason.sentence


def test_equal_readings_are_a_coarse_gauge_not_a_perfect_one() -> None:
    found = reference_gauge_study([6.1] * 30, 6.0, tolerance=1.0)
    assert found.sd == 0
    assert found.bias == pytest.approx(0.1)
    assert found.bias_interval is None
    assert found.repeatability_index is None
    assert found.judgement is GaugeJudgement.NOT_SHOWN
    assert any("too coarse" in str(caution) for caution in found.cautions)


def test_one_reading_is_refused() -> None:
    with pytest.raises(NotEnoughData, match="one reading shows no repeatability"):
        reference_gauge_study([6.0], 6.0)


def test_a_tolerance_of_nothing_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must be above 0"):
        reference_gauge_study(READINGS, 6.0, tolerance=0.0)


def test_a_coarse_step_and_a_doubtful_reference_are_said() -> None:
    found = reference_gauge_study(
        READINGS, 6.0, tolerance=0.01, resolution=0.0011, reference_uncertainty=0.001
    )
    said = " ".join(str(caution) for caution in found.cautions)
    assert "coarser than a tenth of the tolerance 0.01" in said
    assert "check the reference first" in said
    assert "only 10 readings" in said


@pytest.mark.parametrize("step", [0.0, 0.0006, 0.001, 0.00101, 0.005])
def test_the_step_of_a_gauge_is_judged_as_in_a_trial(step: float) -> None:
    study = reference_gauge_study(READINGS, 6.0, tolerance=0.01, resolution=step)
    size = judge_size(
        READINGS, ["1"] * len(READINGS), lower=5.995, upper=6.005, gauge_resolution=step or None
    )
    said = [{str(one) for one in found.cautions if "coarser" in str(one)} for found in (study, size)]
    assert said[0] == said[1]
    assert bool(said[0]) is (step > 0.001)
