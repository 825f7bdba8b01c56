"""Studentized range, analysis of means, maximum modulus: scipy, R, quadrature, simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from tests.core.simulated import chance
from tests.labels import independent, remembered

from offtool.core.inspection.variation import studentized


@pytest.mark.parametrize("k", [2, 3, 8, 16])
@pytest.mark.parametrize("freedom", [1.0, 2.0, 3.0, 10.0, 100.0])
def test_the_range_is_that_of_scipy(k: int, freedom: float) -> None:
    found = studentized.quantile("range", 0.95, k, freedom)
    expected = stats.studentized_range.ppf(0.95, k, freedom)
    assert found == independent(expected, way="scipy.stats.studentized_range", rel=1e-7)


def test_the_range_passes_as_often_as_in_r() -> None:
    # ptukey(c(3.5, 4.2, 2.1), c(3, 8, 5), c(10, 20, 7.5), lower.tail = FALSE)
    expected = [0.0771033108387, 0.1100026752066, 0.5990844140917]
    found = [
        float(studentized.passed("range", np.array([q]), k, np.array([f]))[0])
        for q, k, f in ((3.5, 3, 10.0), (4.2, 8, 20.0), (2.1, 5, 7.5))
    ]
    assert found == independent(expected, way="R ptukey", rel=1e-7)


@pytest.mark.parametrize(
    ("k", "freedom", "printed"), [(3, 10.0, "3.88"), (5, 20.0, "4.23"), (10, 60.0, "4.65"), (4, 5.0, "5.22")]
)
def test_the_range_is_that_of_the_printed_tables(k: int, freedom: float, printed: str) -> None:
    found = studentized.quantile("range", 0.95, k, freedom)
    assert found == remembered(printed, source="upper 5 % points of the studentized range, any textbook")


@pytest.mark.parametrize("kind", ["range", "about", "any"])
@pytest.mark.parametrize("freedom", [1.5, 6.0, 40.0])
def test_the_quantile_is_passed_as_often_as_it_says(kind: studentized.Kind, freedom: float) -> None:
    for confidence in (0.8, 0.95, 0.99):
        x = studentized.quantile(kind, confidence, 5, freedom)
        found = studentized.passed(kind, np.array([x]), 5, np.array([freedom]))[0]
        assert found == pytest.approx(1 - confidence, abs=1e-8)


@pytest.mark.parametrize("kind", ["about", "any"])
def test_two_means_and_their_mean_are_one_t(kind: studentized.Kind) -> None:
    """Both lie as far off their mean; one number alone is t as well."""
    k = 2 if kind == "about" else 1
    found = studentized.quantile(kind, 0.95, k, 9.0)
    assert found == independent(stats.t(9).ppf(0.975), way="scipy.stats.t", rel=1e-7)


@pytest.mark.parametrize(("k", "freedom"), [(3, 9), (4, 12), (5, 6), (8, 32), (16, 30)])
def test_the_largest_distance_from_the_mean_of_all_by_simulation(k: int, freedom: int) -> None:
    rng = np.random.default_rng(k)
    draws = 200_000
    z = rng.normal(size=(draws, k))
    z -= z.mean(axis=1, keepdims=True)
    largest = np.abs(z).max(axis=1) / np.sqrt((k - 1) / k) / np.sqrt(rng.chisquare(freedom, draws) / freedom)
    inside = np.mean(largest <= studentized.quantile("about", 0.95, k, float(freedom)))
    assert inside == pytest.approx(0.95, abs=chance(0.95, draws))


def test_the_maximum_modulus_is_on_the_safe_side_of_the_exact_one() -> None:
    for k in (3, 6, 20):
        exact = studentized.quantile("about", 0.95, k, 12.0)
        bound = studentized.quantile("any", 0.95, k, 12.0)
        assert exact < bound < exact * 1.04


def test_many_freedoms_at_once_are_each_alone() -> None:
    freedoms = np.array([3.3, 8.0, 8.0, 25.7])
    together = studentized.quantiles("range", 0.95, 6, freedoms)
    alone = [studentized.quantile("range", 0.95, 6, float(f)) for f in freedoms]
    assert together == pytest.approx(alone, rel=1e-9)
