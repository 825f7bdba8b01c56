"""A fit finds a planted washout again as often as it says, and says what shots cannot tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from offtool.core.planning import fit_washout
from offtool.core.planning.colour_change import MeasuredShot
from offtool.core.planning.colour_change.belief import NAMES, from_scale, washout_of
from offtool.core.planning.colour_change.fit import SPREAD_DE, _Problem
from offtool.core.planning.colour_change.mixing import share_seen, true_share
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.planning.colour_change.plastics import BROWN, NAVY, WHITE, YELLOW, press
from tests.core.planning.colour_change.shots import drawn_press, measured_change
from tests.labels import independent

SIMULATED = 60
NINE_OF_TEN = (46, 59)
"""Of 60 at 0.9 a binomial lies below 46 or at 60 once in 400 times: scipy.stats.binom."""


def test_planted_presses_lie_in_their_intervals_nine_times_of_ten() -> None:
    """Contents, and shots of the next change, which differs from the measured one as changes do."""
    prior, rng = press(), np.random.default_rng(7)
    seen = share_seen(BROWN.lab, YELLOW.lab, 1.0)  # type: ignore[arg-type]
    contents = shots = 0
    narrower = []
    before = prior.of("contents_g")
    for _ in range(SIMULATED):
        planted = drawn_press(prior, rng)
        fit = fit_washout([measured_change(planted, BROWN, YELLOW, rng)], prior=prior)
        held = fit.belief.of("contents_g")
        contents += held.low <= planted[0] <= held.high
        narrower.append((held.high / held.low) / (before.high / before.low))
        paths = washout_of(planted[None, :]).larger(float(np.exp(0.1 * rng.standard_normal())))
        truth = float(paths.shots_until(true_share(seen, planted[-1]), 25.0)[0])
        needed = fit.changes[0].shots_needed
        shots += needed.low <= truth <= needed.high
    assert NINE_OF_TEN[0] <= contents <= NINE_OF_TEN[1]
    assert NINE_OF_TEN[0] <= shots <= NINE_OF_TEN[1]
    assert max(narrower) < 1


def test_exact_shots_without_scatter_are_fitted_exactly() -> None:
    """The press in the middle of the ranges: neither shots nor prior pull it away."""
    prior = press()
    middle = from_scale(np.array(prior.middle))
    fit = fit_washout([measured_change(middle, BROWN, YELLOW, None)], prior=prior)
    for place, name in enumerate(NAMES[:-1]):
        assert fit.belief.of(name).value == pytest.approx(float(middle[place]), rel=1e-4)


def test_many_shots_overrule_a_wrong_prior() -> None:
    """A press with half the contents that its sheet would say."""
    small = from_scale(np.array(press(75.0).middle))
    shots = tuple(range(1, 61))
    change = measured_change(small, BROWN, YELLOW, np.random.default_rng(3), shots=shots, shot_g=10.0)
    fit = fit_washout([change], prior=press(150.0))
    assert fit.belief.of("contents_g").value < 0.75 * press(150.0).of("contents_g").value


def test_the_least_is_that_of_a_plain_minimiser() -> None:
    prior = press()
    planted = drawn_press(prior, np.random.default_rng(9))
    problem = _Problem([measured_change(planted, BROWN, YELLOW, None)], prior)

    def badness(steps: np.ndarray) -> float:
        return float((problem._off(steps) ** 2).sum() / SPREAD_DE**2 + (steps**2).sum())

    found, spread = problem.solve()
    fine = {"xatol": 1e-7, "fatol": 1e-9, "maxiter": 9000, "maxfev": 9000}
    other = minimize(badness, np.zeros(6), method="Nelder-Mead", options=fine)
    assert spread == SPREAD_DE
    assert badness(found) <= other.fun * (1 + 1e-6) + 1e-9
    assert found == independent(other.x, way="Nelder and Mead from the prior", within=5e-3)


def test_slopes_are_those_of_wider_differences() -> None:
    prior = press()
    problem = _Problem([measured_change(from_scale(np.array(prior.middle)), BROWN, YELLOW, None)], prior)
    at = np.full(6, 0.2)
    wide = np.stack(
        [(problem._off(at + step) - problem._off(at - step)) / 2e-3 for step in 1e-3 * np.eye(6)], axis=1
    )
    assert problem._slopes(at) == independent(wide, way="central differences ten times as wide", rel=1e-4)


def test_two_changes_tell_more_of_the_press_than_one() -> None:
    prior, rng = press(), np.random.default_rng(13)
    planted = drawn_press(prior, rng)
    one = measured_change(planted, BROWN, YELLOW, rng)
    other = measured_change(planted, NAVY, WHITE, rng, name="2")
    alone, both = fit_washout([one], prior=prior), fit_washout([one, other], prior=prior)
    held_alone, held_both = alone.belief.of("contents_g"), both.belief.of("contents_g")
    assert held_both.high / held_both.low < held_alone.high / held_alone.low
    assert both.shots == 2 * alone.shots
    assert not any("One change was measured" in one.text for one in both.cautions)


def test_the_strength_of_one_pair_says_nothing_of_another() -> None:
    prior = press()
    fit = fit_washout([measured_change(from_scale(np.array(prior.middle)), BROWN, YELLOW, None)], prior=prior)
    assert fit.belief.of("strength") == prior.of("strength")
    assert fit.changes[0].strength.high < prior.of("strength").high


def test_purged_melt_before_the_first_shot_is_counted() -> None:
    """The same shots, counted from after 250 g went through into the open."""
    prior = press()
    middle = from_scale(np.array(prior.middle))
    late = measured_change(middle, BROWN, YELLOW, None, shots=tuple(range(11, 31)))
    moved = replace(
        late,
        purged_g=250.0,
        shots=tuple(MeasuredShot(number=one.number - 10, lab=one.lab) for one in late.shots),
    )
    same, other = fit_washout([late], prior=prior), fit_washout([moved], prior=prior)
    assert other.belief.of("contents_g").value == pytest.approx(same.belief.of("contents_g").value, rel=1e-6)


def test_few_shots_and_near_colours_are_said() -> None:
    prior, rng = press(), np.random.default_rng(2)
    near = replace(YELLOW, lab=(83.0, 5.0, 73.0))
    planted = drawn_press(prior, rng)
    fit = fit_washout([measured_change(planted, near, YELLOW, rng, shots=(1, 2, 3))], prior=prior)
    said = " ".join(one.text for one in fit.cautions)
    assert "3 shots are few" in said
    assert "apart; shots say little" in said
    assert "tell nothing that the handbook" in fit.words


def test_a_change_not_measured_to_its_end_is_said() -> None:
    prior = press()
    middle = from_scale(np.array(prior.middle))
    fit = fit_washout([measured_change(middle, BROWN, YELLOW, None, shots=tuple(range(1, 10)))], prior=prior)
    assert any("measure on until it passes" in one.text for one in fit.cautions)


def test_shots_that_follow_no_washout_are_said() -> None:
    prior = press()
    change = measured_change(from_scale(np.array(prior.middle)), BROWN, YELLOW, None)
    rng = np.random.default_rng(1)
    mixed_up = tuple(
        MeasuredShot(number=one.number, lab=other.lab)
        for one, other in zip(change.shots, rng.permutation(np.array(change.shots)), strict=True)
    )
    fit = fit_washout([replace(change, shots=mixed_up)], prior=prior)
    assert fit.spread_de > 2 * SPREAD_DE
    assert any("off the fit" in one.text for one in fit.cautions)


def test_two_shots_and_a_shot_zero_are_refused() -> None:
    prior = press()
    change = measured_change(from_scale(np.array(prior.middle)), BROWN, YELLOW, None, shots=(1, 2))
    with pytest.raises(NotEnoughData, match="2 measured shots"):
        fit_washout([change], prior=prior)
    with pytest.raises(ImpossibleInput, match="number"):
        fit_washout([replace(change, shots=(MeasuredShot(number=0, lab=(50, 0, 0)),))], prior=prior)
