"""Each family against scipy.stats: fit, quantile, tails, density; and its laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from offtool.core.inspection.distribution import FAMILIES
from offtool.core.inspection.distribution.families import estimated
from tests.core.laws import law
from tests.labels import independent, remembered
from tests.published import numbers

BEARINGS = np.array(numbers("ball_bearings.txt"))
LAWLESS = "Lawless, Statistical Models and Methods for Lifetime Data, ball bearings"

TRUE = {
    "normal": ((5.0, 2.0), stats.norm(5, 2)),
    "lognormal": ((1.2, 0.5), stats.lognorm(0.5, scale=np.exp(1.2))),
    "Weibull": ((2.1, 80.0), stats.weibull_min(2.1, scale=80)),
    "gamma": ((4.0, 20.0), stats.gamma(4, scale=20)),
    "folded normal": ((2.6, 2.0), stats.foldnorm(1.3, scale=2)),
    "Rayleigh": ((3.0,), stats.rayleigh(scale=3)),
}


def parameters(family: str) -> tuple[NDArray[np.float64], ...]:
    return tuple(np.asarray(one) for one in TRUE[family][0])


def test_every_family_has_an_independent_answer_here() -> None:
    assert TRUE.keys() == FAMILIES.keys()


@pytest.mark.parametrize("family", FAMILIES)
def test_quantiles_and_tails_are_those_of_scipy(family: str) -> None:
    one, theirs = FAMILIES[family], TRUE[family][1]
    p = np.array([1e-6, 0.00135, 0.1, 0.5, 0.9, 0.99865, 1 - 1e-6])
    way = "scipy.stats"
    x = theirs.ppf(p)
    assert one.quantile(p, *parameters(family)) == independent(x, way=way, rel=1e-9)
    assert one.cdf(x, *parameters(family)) == independent(p, way=way, rel=1e-9)
    far = theirs.isf(1e-6)
    assert one.outside(far, *parameters(family)) == independent(theirs.sf(far), way=way, rel=1e-8)
    assert one.log_density(x, *parameters(family)) == independent(theirs.logpdf(x), way=way, rel=1e-9)


def scipy_fit(family: str, x: NDArray[np.float64]) -> float:
    """The largest log likelihood that scipy's own search finds."""
    match family:
        case "normal":
            return float(stats.norm(*stats.norm.fit(x)).logpdf(x).sum())
        case "lognormal":
            return float(stats.lognorm(*stats.lognorm.fit(x, floc=0)).logpdf(x).sum())
        case "Weibull":
            return float(stats.weibull_min(*stats.weibull_min.fit(x, floc=0)).logpdf(x).sum())
        case "gamma":
            return float(stats.gamma(*stats.gamma.fit(x, floc=0)).logpdf(x).sum())
        case "folded normal":
            return float(stats.foldnorm(*stats.foldnorm.fit(x, floc=0)).logpdf(x).sum())
        case _:
            return float(stats.rayleigh(*stats.rayleigh.fit(x, floc=0)).logpdf(x).sum())


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("parts", [6, 23, 200])
def test_the_fit_is_the_most_likely_one(family: str, parts: int) -> None:
    x = TRUE[family][1].rvs(parts, random_state=parts)
    if FAMILIES[family].refusal(x):
        x = np.abs(x)
    one = FAMILIES[family]
    found = float(one.log_density(x, *one.fit(x)).sum())
    best = scipy_fit(family, x)
    assert found >= best - 1e-8 * abs(best)
    assert found == independent(best, way="scipy.stats fit", rel=1e-5)


def test_the_published_bearings() -> None:
    shape, scale = FAMILIES["Weibull"].fit(BEARINGS)
    assert shape == remembered("2.102", source=LAWLESS)
    assert scale == remembered("81.88", source=LAWLESS)
    log_mean, log_sd = FAMILIES["lognormal"].fit(BEARINGS)
    assert log_mean == remembered("4.150", source=LAWLESS)
    assert log_sd == remembered("0.522", source=LAWLESS)


@pytest.mark.parametrize("family", [name for name in FAMILIES if name != "normal"])
@law(scale=st.floats(1e-3, 1e3), seed=st.integers(0, 99), examples=20)
def test_another_unit_changes_nothing(family: str, scale: float, seed: int) -> None:
    one = FAMILIES[family]
    x = TRUE[family][1].rvs(30, random_state=seed)
    p = np.array([0.00135, 0.5, 0.99865])
    first = one.quantile(p, *estimated(one, x))
    assert one.quantile(p, *estimated(one, scale * x)) == pytest.approx(scale * first, rel=1e-6)


@law(seed=st.integers(0, 99), shift=st.floats(-1e3, 1e3), examples=20)
def test_the_normal_moves_with_another_zero(seed: int, shift: float) -> None:
    one = FAMILIES["normal"]
    x = np.random.default_rng(seed).normal(0, 1, 12)
    mean, sd = one.fit(x)
    assert one.fit(x + shift) == (pytest.approx(mean + shift, abs=1e-9), pytest.approx(sd, rel=1e-9))


@pytest.mark.parametrize("family", FAMILIES)
def test_many_samples_are_fitted_as_one_by_one(family: str) -> None:
    one = FAMILIES[family]
    x = np.abs(TRUE[family][1].rvs((7, 25), random_state=4)) + 1e-9
    together = np.array(one.fit(x))
    assert together == pytest.approx(np.array([one.fit(row) for row in x]).T, rel=1e-7)


def test_a_weibull_of_shape_one_is_the_exponential() -> None:
    p = np.array([0.001, 0.5, 0.999])
    assert FAMILIES["Weibull"].quantile(p, np.ones(()), np.ones(())) == pytest.approx(-np.log1p(-p))
    assert FAMILIES["gamma"].quantile(p, np.ones(()), np.ones(())) == pytest.approx(-np.log1p(-p))


def test_a_rayleigh_is_a_weibull_of_shape_two() -> None:
    p = np.array([0.001, 0.5, 0.999])
    weibull = FAMILIES["Weibull"].quantile(p, np.asarray(2.0), np.asarray(np.sqrt(2)))
    assert FAMILIES["Rayleigh"].quantile(p, np.ones(())) == pytest.approx(weibull)


@pytest.mark.parametrize("family", ["lognormal", "Weibull", "gamma"])
def test_a_small_spread_far_from_zero_keeps_its_digits(family: str) -> None:
    """16 mm with a spread of 20 um: log, ratio and shape are differences of near numbers."""
    x = 16 + 0.02 * np.random.default_rng(5).normal(size=50)
    one = FAMILIES[family]
    found = one.fit(x)
    best = float(one.log_density(x, *found).sum())
    for i, step in ((0, 1e-4), (1, 1e-4), (0, -1e-4), (1, -1e-4)):
        moved = list(found)
        moved[i] = moved[i] * (1 + step)
        assert float(one.log_density(x, *moved).sum()) < best + 1e-6


@pytest.mark.parametrize(
    ("family", "values", "why"),
    [
        ("lognormal", [0.0, 1.0], "above zero"),
        ("Weibull", [-1.0, 1.0], "above zero"),
        ("gamma", [1000.0, 1000.001], "same as the normal"),
        ("folded normal", [-0.1, 1.0], "not below zero"),
        ("Rayleigh", [0.0, 1.0], "above zero"),
    ],
)
def test_a_family_says_why_readings_cannot_be_of_it(family: str, values: list[float], why: str) -> None:
    assert why in FAMILIES[family].refusal(np.array(values))
    assert FAMILIES["normal"].refusal(np.array(values)) == ""
