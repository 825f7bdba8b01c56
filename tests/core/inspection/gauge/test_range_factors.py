"""Factors of ranges: the printed constants from our own quadrature."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy import integrate, stats

from offtool.core.inspection.gauge.ranges import range_factors, range_moments
from tests.labels import independent, published, remembered

MANUAL = "AIAG, Measurement Systems Analysis, 4th ed., report sheet"
TABLES = "d2 and d3 as tabulated since Tippett 1925, e.g. Montgomery, Statistical Quality Control, app. VI"


def test_the_constants_of_the_report_sheet() -> None:
    assert 1 / range_factors(2, 30).d2 == published("0.8862", source=f"{MANUAL}, K1 of two trials")
    assert 1 / range_factors(3, 30).d2 == published("0.5908", source=f"{MANUAL}, K1 of three trials")
    assert 1 / range_factors(2, 1).d2_star == published("0.7071", source=f"{MANUAL}, K2 of two operators")
    assert 1 / range_factors(3, 1).d2_star == published("0.5231", source=f"{MANUAL}, K2 of three operators")
    assert 1 / range_factors(10, 1).d2_star == published("0.3146", source=f"{MANUAL}, K3 of ten parts")


@pytest.mark.parametrize(
    ("size", "d2", "d3"),
    [
        (2, "1.128", "0.853"),
        (3, "1.693", "0.888"),
        (4, "2.059", "0.880"),
        (5, "2.326", "0.864"),
        (10, "3.078", "0.797"),
        (25, "3.931", "0.708"),
    ],
)
def test_mean_and_deviation_of_a_range(size: int, d2: str, d3: str) -> None:
    mean, variance = range_moments(size)
    assert mean == remembered(d2, source=TABLES)
    assert sqrt(variance) == remembered(d3, source=TABLES)
    exact = integrate.quad(lambda x: 1 - stats.norm.cdf(x) ** size - stats.norm.sf(x) ** size, -9, 9)[0]
    assert mean == independent(exact, way="quadrature", rel=1e-8)


def test_the_closed_forms_of_two_and_three() -> None:
    assert range_moments(2)[0] == independent(2 / sqrt(pi), way="closed form", rel=1e-12)
    assert range_moments(2)[1] == independent(2 - 4 / pi, way="closed form", rel=1e-10)
    assert range_moments(3)[0] == independent(3 / sqrt(pi), way="closed form", rel=1e-12)


def test_one_range_of_two_is_one_degree_of_freedom() -> None:
    found = range_factors(2, 1)
    assert found.freedom == independent(1.0, way="a range of two is sqrt(2) times a chi of one", rel=1e-6)
    assert found.d2_star == independent(sqrt(2), way="its root mean square", rel=1e-10)


def test_a_large_sample_agrees_with_drawn_ranges() -> None:
    drawn = np.ptp(np.random.default_rng(1).normal(size=(20_000, 60)), axis=1)
    mean, variance = range_moments(60)
    assert mean == pytest.approx(drawn.mean(), abs=5 * drawn.std() / sqrt(20_000))
    assert sqrt(variance) == pytest.approx(drawn.std(), rel=0.03)


def test_many_ranges_come_near_d2_and_their_freedom_adds_up() -> None:
    one, many = range_factors(3, 1), range_factors(3, 10_000)
    assert many.d2_star == pytest.approx(many.d2, rel=1e-4)
    assert one.d2_star > range_factors(3, 10).d2_star > many.d2_star
    assert range_factors(3, 2_000).freedom == pytest.approx(2 * range_factors(3, 1_000).freedom, rel=1e-3)
