"""The family taken, the reasons given, and the two checks of it against published and simulated answers."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.diagnostic import normal_ad

from offtool.core.inspection.distribution import (
    FAMILIES,
    anderson_darling,
    choose_distribution,
    probability_plot,
)
from offtool.core.inspection.distribution.normality import p_normal
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from tests.core.simulated import chance
from tests.labels import independent, remembered
from tests.published import numbers

HEAT_FLOW = numbers("nist_zarr13.txt")
BEARINGS = numbers("ball_bearings.txt")


def said(found: object) -> str:
    return " | ".join(str(caution) for caution in found.cautions)  # type: ignore[attr-defined]


def test_the_heat_flow_readings_are_normal() -> None:
    found = choose_distribution(HEAT_FLOW)
    assert found.family == "normal"
    source = "NIST/SEMATECH e-Handbook 1.4.2.8, normal probability plot correlation"
    assert found.chosen.correlation == remembered("0.999", source=source)
    assert found.anderson_darling == independent(
        normal_ad(np.array(HEAT_FLOW))[0], way="statsmodels normal_ad", rel=1e-6
    )
    assert found.anderson_darling_p == independent(
        normal_ad(np.array(HEAT_FLOW))[1], way="statsmodels normal_ad", rel=1e-6
    )


@pytest.mark.parametrize("seed", range(6))
def test_anderson_darling_is_that_of_scipy_and_statsmodels(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.normal(size=30) if seed % 2 else rng.exponential(size=30)
    found = anderson_darling(values)
    assert found.statistic == independent(normal_ad(values)[0], way="statsmodels", rel=1e-9)
    assert found.p == independent(normal_ad(values)[1], way="statsmodels", rel=1e-9)
    theirs = stats.goodness_of_fit(stats.norm, values, statistic="ad", n_mc_samples=3, rng=rng).statistic
    assert found.statistic == independent(theirs, way="scipy.stats.goodness_of_fit", rel=1e-9)


def test_the_published_levels_of_anderson_darling() -> None:
    """A*^2 = 0.631, 0.752, 1.035 at 10, 5, 1 %: D'Agostino and Stephens 1986, table 4.7, from memory."""
    source = "D'Agostino and Stephens 1986, table 4.7"
    many = 10**9
    assert p_normal(0.631, many) == remembered("0.10", source=source)
    assert p_normal(0.752, many) == remembered("0.05", source=source)
    assert p_normal(1.035, many) == remembered("0.01", source=source)


@pytest.mark.parametrize(("parts", "level"), [(10, "0.917"), (20, "0.950"), (50, "0.977")])
def test_the_published_levels_of_the_plot_correlation(parts: int, level: str) -> None:
    """5 % points for the normal; Filliben 1975, Technometrics 17:111, table 1, written from memory."""
    from offtool.core.inspection.distribution.correlation import _by_chance

    found = float(np.quantile(_by_chance("normal", parts), 0.05))
    wanted = float(remembered(level, source="Filliben 1975, table 1").value)
    assert found == independent(wanted, way="Filliben's table, within our 999 samples", within=0.004)


def test_the_correlation_is_that_of_scipy_but_for_exact_medians() -> None:
    found = probability_plot(BEARINGS, "normal")
    theirs = stats.probplot(BEARINGS, dist="norm")[1][2]
    assert found.correlation == independent(theirs, way="scipy.stats.probplot, Filliben's medians", rel=2e-4)


@pytest.mark.parametrize("family", FAMILIES)
def test_p_is_small_as_often_as_it_says(family: str) -> None:
    """Samples of the family itself: p below 0.2 in a fifth of them."""
    truth = {"gamma": (2.0, 1.0), "Weibull": (2.0, 1.0), "folded normal": (1.0, 1.0), "Rayleigh": (1.0,)}
    given = tuple(map(np.asarray, truth.get(family, (0.5, 0.4))))
    rng = np.random.default_rng(3)
    worlds = 200
    small = 0
    for _ in range(worlds):
        values = FAMILIES[family].quantile(rng.random(25), *given)
        fit = choose_distribution(values, family=family)  # type: ignore[arg-type]
        small += fit.chosen.p <= 0.2
    assert small / worlds == pytest.approx(0.2, abs=chance(0.2, worlds))


def test_clear_shapes_are_chosen_and_the_reason_is_said() -> None:
    rng = np.random.default_rng(1)
    found = choose_distribution(rng.lognormal(0, 0.8, 150))
    assert found.family == "lognormal"
    assert "less than the normal's" in found.why
    found = choose_distribution(rng.weibull(8, 300))
    assert found.family == "Weibull"
    found = choose_distribution(np.abs(rng.normal(0, 1, 200)), bounded_by_zero=True)
    assert found.family == "folded normal"
    found = choose_distribution(rng.rayleigh(1, 300), bounded_by_zero=True)
    assert found.family in ("Rayleigh", "Weibull")


def test_the_normal_stays_unless_clearly_beaten() -> None:
    rng = np.random.default_rng(0)
    worlds = 200
    kept = sum(choose_distribution(rng.normal(10, 1, 30)).family == "normal" for _ in range(worlds))
    assert kept / worlds > 0.9


def test_aicc_is_worked_out_from_the_likelihood() -> None:
    found = choose_distribution(BEARINGS)
    one = next(candidate for candidate in found.candidates if candidate.family == "gamma")
    log_likelihood = stats.gamma(*stats.gamma.fit(BEARINGS, floc=0)).logpdf(BEARINGS).sum()
    by_hand = -2 * log_likelihood + 4 + 12 / 20
    assert one.aicc == independent(by_hand, way="scipy.stats gamma fit and the definition", rel=1e-8)


def test_what_was_left_out_is_named() -> None:
    found = choose_distribution([-1.0, 0.5, 2.0, 1.0, 0.2, 0.7])
    assert found.family == "normal"
    assert [candidate.family for candidate in found.candidates] == ["normal"]
    assert any("lognormal: it needs readings above zero" in line for line in found.refused)
    assert any("Rayleigh" in line for line in choose_distribution(BEARINGS).refused)


def test_few_readings_steps_and_a_bad_fit_are_cautioned() -> None:
    assert "cannot tell one shape" in said(choose_distribution([1.0, 2.0, 2.5, 3.1, 4.4]))
    assert "steps" in said(choose_distribution([4.0, 4.01, 4.01, 4.02, 4.01, 4.0, 4.03, 4.01]))
    two = np.concatenate([np.random.default_rng(0).normal(m, 0.1, 30) for m in (1.0, 3.0)])
    assert "mixed cavities" in said(choose_distribution(two, family="normal"))
    close = np.abs(np.random.default_rng(2).normal(1, 1, 30))
    assert "below zero" in said(choose_distribution(close, family="normal", bounded_by_zero=True))


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ([], NotEnoughData),
        ([1.0], NotEnoughData),
        ([1.0, 2.0, 3.0], NotEnoughData),
        ([2.0] * 9, NotEnoughData),
    ],
)
def test_too_little_is_refused_in_words(values: list[float], error: type[Exception]) -> None:
    with pytest.raises(error):
        choose_distribution(values)


def test_a_family_that_cannot_be_is_refused() -> None:
    with pytest.raises(OfftoolError, match="lognormal does not fit"):
        choose_distribution([-1.0, 1.0, 2.0, 3.0], family="lognormal")
    with pytest.raises(ImpossibleInput):
        choose_distribution([float("nan"), 1.0, 2.0, 3.0])
    with pytest.raises(NotEnoughData, match="cannot be tested"):
        anderson_darling([1.0, 2.0, 3.0])


@pytest.mark.parametrize("family", FAMILIES)
def test_the_plot_holds_all_a_drawing_needs(family: str) -> None:
    found = probability_plot(BEARINGS, family)  # type: ignore[arg-type]
    assert np.all(np.diff(found.values) >= 0)
    assert np.all(np.diff(found.positions) > 0)
    assert np.all(found.band_low < found.line)
    assert np.all(found.line < found.band_high)
    i = np.arange(1, 24)
    medians = stats.beta(i, 24 - i).median()
    assert found.positions == independent(medians, way="scipy.stats.beta", rel=1e-9)
    value = np.log(found.line) if found.on_logs else found.line
    assert np.corrcoef(value, found.scores)[0, 1] == pytest.approx(1, abs=1e-9)


def test_of_very_many_readings_two_hundred_are_shown() -> None:
    values = np.random.default_rng(0).normal(size=1000)
    found = probability_plot(values, "normal")
    assert found.values.size == 200
    assert found.parts == 1000
    assert (found.values[0], found.values[-1]) == (values.min(), values.max())
