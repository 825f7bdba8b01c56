"""Weld studies: settings by their own runs, the fit, its bound, the look, the window, what stays open."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan, sqrt
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import optimize, special, stats

from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from offtool.core.welding.cautions import AT_THE_WELDER, EDGES, PULLING
from offtool.core.welding.study import WeldRun, WeldRuns, WeldWindow, weld_window
from offtool.core.welding.study.looks import firth_fit, good_bounds
from offtool.core.welding.study.response import Response, fit_response, model, regression_factors
from offtool.core.welding.study.runs import UNIT_STEPS
from offtool.core.welding.study.window import CHOSEN
from offtool.handbook.terms import Appearance
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, remembered

TIMES, PRESSURES = (0.2, 0.3, 0.4), (2.0, 2.5, 3.0)
NO_STOP = np.zeros(18, dtype=bool)


def study(
    seed: int = 0,
    *,
    times: tuple[float, ...] = TIMES,
    pressures: tuple[float, ...] = PRESSURES,
    each: int = 5,
    sd: float = 5.0,
    unit: float = 1.0,
) -> tuple[WeldRun, ...]:
    """Stronger with time and pressure, and uglier."""
    rng = np.random.default_rng(seed)
    return tuple(
        WeldRun(
            time_s=time,
            pressure_bar=pressure,
            amplitude_um=60.0,
            strength_n=unit * (40 + 200 * time + 10 * pressure + rng.normal(0, sd)),
            flash_mm=0.05 + 0.5 * (time - 0.2) + 0.1 * (pressure - 2) + abs(rng.normal(0, 0.02)),
            height_mm=10 + rng.normal(0, 0.05),
            appearance=Appearance.GOOD,
        )
        for time in times
        for pressure in pressures
        for _ in range(each)
    )


def window(runs: tuple[WeldRun, ...], **changed: Any) -> WeldWindow:
    asked: dict[str, Any] = {"required_n": 80, "largest_flash_mm": 0.2, "good_share": 0.8, **changed}
    return weld_window(WeldRuns(runs=runs), **asked)


def coded(runs: tuple[WeldRun, ...]) -> NDArray[np.float64]:
    return np.array([[(run.time_s or 0) / 0.1 - 3, (run.pressure_bar or 0) / 0.5 - 5] for run in runs])


# The settings by their own runs


def test_runs_of_one_setting_stand_together_with_the_pooled_deviation() -> None:
    runs = study()
    found = window(runs)
    assert [one.runs for one in found.settings] == [5] * 9
    strengths = np.array([run.strength_n for run in runs]).reshape(9, 5)
    pooled = float(np.sqrt(strengths.var(axis=1, ddof=1).mean()))
    assert (found.claims, found.each_confidence) == (9 + 6, pytest.approx(1 - 0.05 / 15))
    k = float(stats.nct.ppf(1 - 0.05 / 15, 36, stats.norm.ppf(0.99) * sqrt(5))) / sqrt(5)
    lows = [one.strength_low_n for one in found.settings]
    assert found.spread_pooled
    assert lows == independent(strengths.mean(axis=1) - k * pooled, way="scipy.stats.nct", rel=1e-6)


def test_a_setting_that_scatters_alone_keeps_its_own_deviation() -> None:
    calm, wild = (
        study(each=8, times=(0.2, 0.3), pressures=(2.0,), sd=2.0),
        study(3, each=8, times=(0.4,), sd=40.0),
    )
    found = window((*calm, *wild[:8]))
    assert not found.spread_pooled
    own = np.array([run.strength_n for run in wild[:8]])
    assert found.claims == 3 + 3
    k = float(stats.nct.ppf(1 - 0.05 / 6, 7, stats.norm.ppf(0.99) * sqrt(8))) / sqrt(8)
    assert found.settings[-1].strength_low_n == independent(
        own.mean() - k * own.std(ddof=1), way="nct", rel=1e-6
    )


def test_the_share_of_good_looks_has_the_exact_binomial_interval() -> None:
    runs = tuple(
        replace(run, appearance=Appearance.BAD if i < 2 else Appearance.GOOD)
        for i, run in enumerate(study(times=(0.2,), pressures=(2.0,), each=12))
    )
    one = window(runs, largest_flash_mm=None).settings[0]
    exact = stats.binomtest(10, 12).proportion_ci(0.95, method="exact")
    assert one.looks is not None
    assert (one.looks.interval.low, one.looks.interval.high) == independent(
        [exact.low, exact.high], way="scipy.stats.binomtest", rel=1e-9
    )
    low = stats.binomtest(10, 12, alternative="greater").proportion_ci(0.95, method="exact").low
    assert one.looks_low == independent(float(low), way="scipy.stats.binomtest, one side", rel=1e-9)


def test_flash_over_the_limit_spoils_a_good_look_and_counts_where_nothing_was_said() -> None:
    said = {"appearance": Appearance.GOOD, "flash_mm": 0.3}
    assert WeldRun(**said).looks_good(0.2) is False
    assert WeldRun(**said).looks_good(None) is True
    assert WeldRun(flash_mm=0.1).looks_good(0.2) is True
    assert WeldRun(flash_mm=0.1).looks_good(None) is None
    assert WeldRun(appearance=Appearance.BAD, flash_mm=0.0).looks_good(0.2) is False


def test_a_setting_holds_by_its_own_runs_when_there_are_enough() -> None:
    found = window(study(times=(0.2,), pressures=(2.0,), each=30), required_n=60)
    assert found.verdict is Verdict.HOLDS
    assert found.holding == found.settings
    assert found.grid is None
    assert (found.claims, found.each_confidence) == (1, 0.95)


def test_settings_without_a_bound_share_no_risk() -> None:
    """A single pull at a second setting, stopped: nothing is claimed of it."""
    odd = WeldRun(time_s=0.3, pressure_bar=2.0, amplitude_um=60.0, strength_n=90.0, stopped=True)
    found = window((*study(times=(0.2,), pressures=(2.0,), each=3), odd), required_n=60)
    assert found.settings[1].strength_low_n is None
    assert found.claims == 1 + (0 if found.strength is None else len(found.strength.terms))


def test_the_chosen_place_is_to_be_confirmed_by_fresh_pulls() -> None:
    """As many as bring the bound of a normal sample, with that mean and deviation, up to the requirement."""
    found = window(study(each=30, times=(0.2,), pressures=(2.0,)), required_n=80)
    strength = found.settings[0].strength
    assert strength is not None
    assert strength.sd is not None
    margin, z = (strength.mean - 80) / strength.sd, stats.norm.ppf(0.99)
    enough = next(n for n in range(5, 200) if stats.nct.ppf(0.95, n - 1, z * sqrt(n)) / sqrt(n) <= margin)
    asked = next(one.runs for one in found.open if "to confirm" in one.runs)
    assert enough > 5
    assert int(asked.split()[1]) == independent(enough, way="scipy.stats.nct, one by one")
    assert "fresh seams at 0.2 s, 2 bar, 60 µm" in asked
    assert CHOSEN in found.cautions


def test_where_a_window_is_shown_its_middle_is_to_be_confirmed() -> None:
    found = window(study())
    assert found.grid is not None
    stand = found.grid.stand_words
    assert stand
    for axis in found.grid.axes:
        assert axis.set_to is not None
        assert axis.stand_at is not None
        assert f"{axis.set_to:.3g} {axis.unit}" in stand
        assert axis.low is None or axis.set_to >= axis.low - 1e-9
        assert axis.high is None or axis.set_to <= axis.high + 1e-9
        assert abs(axis.set_to - axis.stand_at) <= UNIT_STEPS[axis.unit] / 2 + 1e-9
    assert any(f"fresh seams at {stand} to confirm" in one.runs for one in found.open)
    assert CHOSEN not in window(study(), required_n=500).cautions


def test_a_process_just_too_weak_everywhere_is_seldom_said_to_hold() -> None:
    """Five settings and the window between them: the risk is shared, each place alone would be too often."""
    rng = np.random.default_rng(1)
    limit = 110 - 10 * float(stats.norm.ppf(0.99)) + 1e-6
    times = (0.2, 0.25, 0.3, 0.35, 0.4)
    plain = [replace(run, flash_mm=None) for run in study(times=times, pressures=(2.0,), each=6)]
    worlds = 60
    said = sum(
        window(
            tuple(replace(run, strength_n=float(rng.normal(110, 10))) for run in plain),
            required_n=limit,
            largest_flash_mm=None,
            good_share=0.5,
        ).verdict
        is Verdict.HOLDS
        for _ in range(worlds)
    )
    assert said <= stats.binom.ppf(0.99, worlds, 0.05)


# The fit and its bound


def test_the_quadratic_is_that_of_least_squares_and_of_statsmodels() -> None:
    runs = study()
    x = model(coded(runs), ((), (0,), (1,), (0, 1), (0, 0), (1, 1)))
    y = np.array([run.strength_n for run in runs])
    fit = window(runs).strength
    assert fit is not None
    exact = np.linalg.lstsq(x, y, rcond=None)[0]
    assert fit.coefficients == independent(exact, way="numpy lstsq", rel=1e-9)
    theirs = sm.OLS(y, x).fit()
    assert fit.sd_n == independent(float(np.sqrt(theirs.mse_resid)), way="statsmodels OLS", rel=1e-9)
    assert fit.degrees_of_freedom == theirs.df_resid


def test_lack_of_fit_is_the_f_test_against_the_settings_means() -> None:
    runs = study()
    x = model(coded(runs), ((), (0,), (1,), (0, 1), (0, 0), (1, 1)))
    y = np.array([run.strength_n for run in runs])
    means = sm.add_constant(np.kron(np.eye(9), np.ones((5, 1)))[:, 1:])
    _, p, _ = sm.OLS(y, means).fit().compare_f_test(sm.OLS(y, x).fit())
    found = window(runs).strength
    assert found is not None
    assert found.lack_of_fit_p == independent(float(p), way="statsmodels compare_f_test", rel=1e-6)
    assert found.pure_degrees_of_freedom == 36


def test_without_a_varied_setting_the_factor_is_that_of_one_sample() -> None:
    k = float(regression_factors(np.array([0.1]), 9, 0.95, 0.95)[0])
    assert k == remembered("2.911", source="ISO 16269-6, one-sided factor for 10, 95/95")


def test_factors_between_the_solved_ones_are_those_of_the_noncentral_t() -> None:
    leverage = np.geomspace(0.03, 0.9, 50)
    z = stats.norm.ppf(0.99)
    exact = [float(stats.nct.ppf(0.95, 12, z / sqrt(h)) * sqrt(h)) for h in leverage]
    found = regression_factors(leverage, 12, 0.99, 0.95)
    assert found == independent(np.array(exact), way="scipy.stats.nct at each place", rel=1e-5)


def test_the_leverage_is_the_diagonal_of_the_hat_matrix() -> None:
    runs = study()
    y = np.array([run.strength_n for run in runs])
    fit = fit_response(coded(runs), y, np.zeros(len(runs), dtype=bool))
    assert fit is not None
    x = model(coded(runs), fit.terms)
    hat = sm.OLS(y, x).fit().get_influence().hat_matrix_diag
    assert fit.leverage(coded(runs)) == independent(hat, way="statsmodels influence", rel=1e-9)


def test_the_bound_along_the_settings_covers_as_often_as_it_says() -> None:
    rng = np.random.default_rng(5)
    levels = np.array([[x, y] for x in (-1.0, 0, 1) for y in (-1.0, 0, 1) for _ in range(2)])
    places = np.array([[0.0, 0.0], [1.0, -1.0], [0.4, 0.7]])

    def true(at: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(100 + 12 * at[:, 0] - 5 * at[:, 1] ** 2)

    limit = true(places) - 8 * stats.norm.ppf(0.99)
    held = []
    for _ in range(300):
        fit = fit_response(levels, true(levels) + rng.normal(0, 8, 18), NO_STOP)
        assert fit is not None
        held.append(fit.lower(places, 0.99, 0.95) <= limit)
    for share in np.mean(held, axis=0):
        assert share == independent(0.95, way="simulation", within=chance(0.95, 300))


def test_stopped_pulls_are_fitted_as_a_search_of_the_likelihood_finds_them() -> None:
    rng = np.random.default_rng(2)
    x = np.repeat(np.array([[-1.0], [0.0], [1.0]]), 10, axis=0)
    strengths = 100 + 10 * x[:, 0] + rng.normal(0, 8, 30)
    stopped, seen = strengths > 108, np.minimum(strengths, 108)
    fit = fit_response(x, seen, stopped)
    assert fit is not None
    design = model(x, fit.terms)

    def lost(theta: NDArray[np.float64]) -> float:
        mean, sd = design @ theta[:-1], float(np.exp(theta[-1]))
        broken = stats.norm.logpdf(seen[~stopped], mean[~stopped], sd).sum()
        return -float(broken + stats.norm.logsf(seen[stopped], mean[stopped], sd).sum())

    best = optimize.minimize(lost, [*fit.coefficients * 0.9, 2.0], method="BFGS", options={"gtol": 1e-9}).x
    assert fit.coefficients == independent(best[:-1], way="scipy minimize of the likelihood", rel=1e-4)
    widened = float(np.exp(best[-1])) * sqrt(30 / (30 - len(fit.terms)))
    assert fit.sd == independent(widened, way="scipy minimize of the likelihood", rel=1e-4)


# The look


def test_with_one_place_the_odds_are_those_with_half_a_piece_added() -> None:
    """Firth's estimate of a share, by hand: (7 + 1/2) / (10 + 1)."""
    x, good = np.ones((10, 1)), np.array([1.0] * 7 + [0.0] * 3)
    assert special.expit(firth_fit(x, good)[0]) == independent(7.5 / 11, way="half added, by hand", rel=1e-7)


def test_two_places_parted_entirely_have_the_odds_of_halves_added() -> None:
    """Saturated: half a piece is added to every cell, so all good against all bad is finite."""
    x = np.column_stack([np.ones(12), [0.0] * 6 + [1.0] * 6])
    good = np.array([1.0] * 6 + [0.0] * 6)
    assert firth_fit(x, good) == independent(
        [np.log(6.5 / 0.5), 2 * np.log(0.5 / 6.5)], way="halves added, by hand", rel=1e-6
    )


def penalised(beta: NDArray[np.float64], x: NDArray[np.float64], good: NDArray[np.float64]) -> float:
    """Log likelihood and half the log determinant of the information, piece by piece."""
    p = special.expit(x @ beta)
    information = (x.T * (p * (1 - p))) @ x
    return float(stats.bernoulli.logpmf(good, p).sum() + np.log(np.linalg.det(information)) / 2)


def looked(seed: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    rng = np.random.default_rng(seed)
    levels = np.array([[1.0, x, y] for x in (-1, 0, 1) for y in (-1, 0, 1) for _ in range(3)])
    return levels, (rng.random(27) < special.expit(levels @ [1.5, -1.5, -1.0])).astype(float)


@pytest.mark.parametrize("seed", range(4))
def test_the_look_is_fitted_as_a_search_of_the_penalised_likelihood_finds_it(seed: int) -> None:
    x, good = looked(seed)
    best = optimize.minimize(lambda beta: -penalised(beta, x, good), np.zeros(3), method="BFGS", tol=1e-10).x
    assert firth_fit(x, good) == independent(best, way="scipy minimize", rel=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_the_bound_of_the_look_lies_where_the_profile_has_fallen(seed: int) -> None:
    """The profile by a search over the two directions that leave the score at the place alone."""
    x, good = looked(seed)
    place = np.array([1.0, -0.5, 0.25])
    _, low = good_bounds(x, good, place[None], 0.95)
    score = float(special.logit(low[0]))
    across = np.array([[0.5, 1.0, 0.0], [-0.25, 0.0, 1.0]])

    def held(free: NDArray[np.float64]) -> float:
        return -penalised(place * score / (place @ place) + free @ across, x, good)

    profile = -optimize.minimize(
        held, np.zeros(2), method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10}
    ).fun
    fallen = 2 * (penalised(firth_fit(x, good), x, good) - profile)
    assert across @ place == pytest.approx([0.0, 0.0])
    assert fallen == independent(float(stats.chi2.ppf(0.90, 1)), way="Nelder-Mead", rel=2e-3)


# The window


def test_the_window_is_where_both_bounds_hold() -> None:
    grid = window(study()).grid
    assert grid is not None
    both = (np.array(grid.strength_low) >= 80) & (np.array(grid.looks_low) >= 0.8)
    assert (np.array(grid.holds) == both).all()
    assert 0 < grid.share_of_range < 1
    assert grid.share_of_range == both.mean()


def test_one_stands_farthest_from_the_edge_and_the_range_is_an_edge() -> None:
    grid = window(study()).grid
    assert grid is not None
    holds = np.pad(np.array(grid.holds), 1)
    step = 1 / (len(grid.axes[0].values) - 1)
    rows, columns = np.nonzero(holds)
    outside = np.argwhere(~holds)
    far = [float(np.hypot(*(outside - [r, c]).T).min()) * step for r, c in zip(rows, columns, strict=True)]
    assert grid.room == independent(max(far), way="distance to every place outside", rel=1e-9)
    for axis in grid.axes:
        assert axis.low is not None
        assert axis.stand_at is not None
        assert axis.high is not None
        assert axis.low <= axis.stand_at <= axis.high


def test_a_third_setting_is_held_where_the_window_is_widest() -> None:
    weak = tuple(replace(run, amplitude_um=50.0, strength_n=(run.strength_n or 0) - 45) for run in study(1))
    grid = window((*study(), *weak)).grid
    assert grid is not None
    assert grid.held == (("amplitude", 60.0),)


def test_one_setting_varied_gives_a_line_and_says_what_is_not_seen() -> None:
    found = window(study(pressures=(2.0,), each=8))
    assert found.grid is not None
    assert len(found.grid.axes) == 1
    assert len(found.grid.holds) == 1
    questions = [one.question for one in found.open]
    assert "the pressure was not varied: what it does is not seen" in questions
    assert any("one step lower and one step higher" in one.runs for one in found.open)


def test_two_values_cannot_show_a_bend_and_the_middle_is_named() -> None:
    found = window(study(times=(0.2, 0.4)))
    assert any("0.3 s" in one.runs and "bend" in one.question for one in found.open)


def test_runs_without_a_replicate_say_so() -> None:
    found = window(study(each=1))
    assert any("no setting was welded twice" in one.question for one in found.open)
    assert found.strength is None or found.strength.lack_of_fit_p is None


def test_stopped_pulls_are_not_taken_for_settings_welded_once() -> None:
    runs = study(each=5)
    found = window((replace(runs[0], stopped=True), *runs[1:]))
    questions = [one.question for one in found.open]
    assert "with stopped pulls whether the fit misses a bend cannot be tested" in questions
    assert not any("welded twice" in one for one in questions)


def test_a_setting_of_which_nothing_is_known_stands_last() -> None:
    runs = study(each=5)
    unknown = tuple(replace(one, time_s=None, pressure_bar=None, amplitude_um=None) for one in runs[:5])
    found = window((*unknown, *runs))
    last = found.settings[-1]
    assert (last.time_s, last.pressure_bar, last.amplitude_um) == (None, None, None)
    assert [one.time_s for one in found.settings[:-1]] == sorted(TIMES * 3)


def test_a_fit_that_misses_the_settings_shows_no_window() -> None:
    bent = tuple(
        replace(
            run,
            strength_n=(run.strength_n or 0) + (30 if (run.time_s, run.pressure_bar) == (0.3, 2.5) else 0),
        )
        for run in study(sd=2.0)
    )
    found = window(bent, good_share=0.7)
    assert found.strength is not None
    assert (found.strength.lack_of_fit_p or 1) < 0.05
    assert found.verdict is not Verdict.HOLDS
    assert any("fit misses" in one.question for one in found.open)


def test_where_nothing_is_shown_the_runs_that_would_show_it_are_named() -> None:
    found = window(study(each=1, sd=8.0), good_share=0.95, required_n=85)
    assert found.verdict is Verdict.NOT_SHOWN
    assert any("all good" in one.runs and "weld at" in one.runs for one in found.open)


def test_where_nothing_can_hold_the_seam_itself_is_questioned() -> None:
    found = window(study(), required_n=500)
    assert found.verdict is Verdict.FAILS
    assert any("change the seam" in one.runs for one in found.open)


def test_pieces_nobody_looked_at_make_no_window() -> None:
    blind = tuple(replace(run, appearance=Appearance.NOT_LOOKED, flash_mm=None) for run in study())
    found = window(blind)
    assert found.looks is None
    assert found.verdict is Verdict.NOT_SHOWN
    assert any("0 of 45 pieces were looked at" in one.question for one in found.open)


def test_few_pulls_make_no_fit_and_say_how_many_would() -> None:
    found = window(study(each=1, times=(0.2, 0.4), pressures=(2.0,)))
    assert (found.grid, found.strength) == (None, None)
    assert any("at least 5 pulls" in one.runs for one in found.open)


def test_hold_time_that_differs_and_runs_without_a_setting_are_cautioned_against() -> None:
    runs = study()
    odd = (replace(runs[0], hold_s=0.5), replace(runs[1], pressure_bar=None), *runs[2:])
    said = " ".join(str(one) for one in window(odd).cautions)
    assert "1 runs do not say" in said
    assert "hold time differs" not in said  # one is known, the others are blank
    two = (replace(runs[0], hold_s=0.5), replace(runs[1], hold_s=0.7), *runs[2:])
    assert "hold time differs" in " ".join(str(one) for one in window(two).cautions)


def test_whoever_goes_to_the_welder_is_warned() -> None:
    assert {*AT_THE_WELDER, PULLING, EDGES} <= set(window(study()).cautions)


def test_impossible_cells_are_refused_by_row() -> None:
    runs = study()
    for bad in (nan, inf, -1.0):
        with pytest.raises(ImpossibleInput, match="strength_n of run 2"):
            window((runs[0], replace(runs[1], strength_n=bad), *runs[2:]))
    with pytest.raises(NotEnoughData, match="no run has a strength"):
        window((WeldRun(time_s=0.2),))
    with pytest.raises(NotEnoughData):
        window(())


@law(examples=3, unit=st.sampled_from([0.2248, 9.81]), seed=st.integers(0, 20))
def test_the_unit_of_the_strength_does_not_matter(unit: float, seed: int) -> None:
    plain, scaled = window(study(seed)), window(study(seed, unit=unit), required_n=80 * unit)
    assert plain.grid is not None
    assert scaled.grid is not None
    assert np.array(scaled.grid.strength_low) == pytest.approx(
        np.array(plain.grid.strength_low) * unit, rel=1e-8
    )
    assert scaled.verdict is plain.verdict


@law(examples=3, seed=st.integers(0, 20))
def test_the_order_of_the_runs_does_not_matter(seed: int) -> None:
    runs = study(seed)
    turned = tuple(np.random.default_rng(seed).permutation(np.array(runs, dtype=object)))
    found, again = window(runs).grid, window(turned).grid
    assert found is not None
    assert again is not None
    assert again.holds == found.holds
    assert again.room == found.room


@law(examples=3, seed=st.integers(0, 20))
def test_asking_for_more_never_widens_the_window(seed: int) -> None:
    runs = study(seed)
    plain = window(runs).grid
    assert plain is not None
    for changed in ({"required_n": 90}, {"good_share": 0.9}, {"share": 0.999}, {"confidence": 0.99}):
        less = window(runs, **changed).grid
        assert less is not None
        assert not (np.array(less.holds) & ~np.array(plain.holds)).any()


def test_a_response_keeps_its_freedom_over_the_pulls_that_broke() -> None:
    x = np.repeat(np.array([[-1.0], [1.0]]), 4, axis=0)
    stopped = np.array([0, 0, 0, 1, 0, 0, 0, 1], dtype=bool)
    fit = fit_response(x, np.array([90.0, 95, 92, 96, 100, 108, 104, 109]), stopped)
    assert isinstance(fit, Response)
    assert fit.freedom == 4
