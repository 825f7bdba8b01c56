"""Friction learned from measured torques: other ways to the same numbers, pairs that do not fit, laws."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import strategies as st
from scipy import stats

from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from tests.core.laws import law
from tests.labels import independent

NAMES = ["1-1", "1-2", "2-1", "2-2"]
X = np.array([0.20, 0.25, 0.31, 0.28])
MEANS = np.array([0.071, 0.086, 0.111, 0.096])
APART = np.array([-0.003, 0.001, 0.002])
PAIRS = [name for name in NAMES for _ in range(3)]
EACH_X = np.repeat(X, 3)
READINGS = (MEANS[:, None] + APART).ravel()


def learned(**changed: object) -> LearnedFriction:
    given = {"at_friction_one": EACH_X, "measured": READINGS, "pairs": PAIRS} | changed
    return learn_friction(**given)  # type: ignore[arg-type]


def test_friction_and_interval_are_those_of_a_line_through_zero() -> None:
    found = learned()
    fitted = sm.OLS(MEANS, X[:, None]).fit()
    assert found.friction == independent(fitted.params[0], way="statsmodels OLS without a constant")
    assert found.interval is not None
    assert [found.interval.low, found.interval.high] == independent(
        fitted.conf_int()[0], way="the same, over the means of pairs"
    )
    assert found.degrees_of_freedom == 3


def test_unsure_predictions_weigh_less() -> None:
    sds = np.array([0.01, 0.01, 0.10, 0.01])
    found = learned(predicted_sds=np.repeat(sds, 3))
    first = float(X @ MEANS / (X @ X))
    within = float((APART**2).sum() * 4 / 8)
    fitted = sm.WLS(MEANS, X[:, None], weights=1 / ((first * sds) ** 2 + within / 3)).fit()
    assert found.friction == independent(fitted.params[0], way="statsmodels WLS")
    assert found.interval is not None
    assert [found.interval.low, found.interval.high] == independent(fitted.conf_int()[0], way="the same")


def test_a_pair_is_compared_with_the_others_by_the_pieces() -> None:
    found = learned().pairs[2]
    others = np.array([0, 1, 3])
    by_others = float(X[others] @ MEANS[others] / (X[others] @ X[others]))
    left = MEANS[2] - by_others * X[2]
    within = (APART**2).sum() * 4 / 8
    sd = np.sqrt(within / 3 * (1 + X[2] ** 2 / (X[others] @ X[others])))
    reach = stats.t.ppf(1 - 0.05 / 4 / 2, 8) * sd
    assert found.left_nm == independent(left, way="three pairs by hand")
    assert found.interval is not None
    assert [found.interval.low, found.interval.high] == independent(
        [left - reach, left + reach], way="the same"
    )


def test_single_readings_are_compared_by_the_scatter_of_the_pairs() -> None:
    found = learn_friction(X, MEANS, NAMES)
    outside = sm.OLS(MEANS, X[:, None]).fit().get_influence().resid_studentized_external
    reach = stats.t.ppf(1 - 0.05 / 4 / 2, 2)
    for pair, student in zip(found.pairs, outside, strict=True):
        assert pair.interval is not None
        assert pair.left_nm is not None
        assert pair.left_nm / (pair.interval.half_width / reach) == independent(
            student, way="statsmodels, externally studentised residuals", rel=1e-8
        )


def test_readings_that_repeat_to_the_digit_are_compared_by_the_scatter_of_the_pairs() -> None:
    """A gauge that shows 0.01 N·m: pairs miss by less than its step, which is no misfit."""
    coarse = np.array([0.07, 0.09, 0.11])
    found = learn_friction(np.repeat(X[:3], 2), np.repeat(coarse, 2), ["a", "a", "b", "b", "c", "c"])
    once = learn_friction(X[:3], coarse, ["a", "b", "c"])
    assert [one.interval for one in found.pairs] == [one.interval for one in once.pairs]
    assert all(one.fits for one in found.pairs)
    assert [str(one) for one in found.cautions] == [
        "all readings of a pair are the same: pairs are compared by how they scatter among themselves"
    ]


def test_a_pair_with_another_interference_is_named() -> None:
    off = READINGS.copy()
    off[:3] += 0.03
    found = learned(measured=off)
    assert found.pairs[0].fits is False
    assert any("does not explain 1-1" in str(one) for one in found.cautions)
    assert all(pair.fits for pair in learned().pairs)


def test_a_predicted_clearance_is_named_and_not_used() -> None:
    found = learned(
        at_friction_one=[*EACH_X, 0.0, 0.0], measured=[*READINGS, 0.0, 0.02], pairs=[*PAIRS, "3-3", "3-4"]
    )
    assert found.predicted_clear == ("3-3", "3-4")
    assert found.friction == learned().friction
    assert [str(one) for one in found.cautions] == [
        "predicted loose, but measured with a torque, and not used: 3-4"
    ]


@pytest.mark.parametrize(
    ("low", "high", "agrees"),
    [
        (0.3, 0.5, Verdict.HOLDS),
        (0.5, 0.9, Verdict.FAILS),
        (0.1, 0.3, Verdict.FAILS),
        (0.348, 0.9, Verdict.NOT_SHOWN),
    ],
)
def test_the_friction_taken_so_far_is_held_beside_it(low: float, high: float, agrees: Verdict) -> None:
    assert learned(given_low=low, given_high=high).agrees is agrees
    assert learned().agrees is None


def test_one_pair_has_the_interval_of_its_pieces_and_a_caution() -> None:
    found = learn_friction([0.2] * 3, MEANS[0] + APART, ["1-1"] * 3)
    around = stats.ttest_1samp((MEANS[0] + APART) / 0.2, 0.0).confidence_interval()
    assert found.interval is not None
    assert [found.interval.low, found.interval.high] == independent(
        [around.low, around.high], way="scipy.stats.ttest_1samp of torque over prediction"
    )
    assert "one pair of cavities" in str(found.cautions[0])
    assert (found.pair_sd_nm, found.pairs[0].fits) == (None, None)


def test_one_reading_has_no_interval() -> None:
    found = learn_friction([0.2], [0.07], ["1-1"], given_low=0.3, given_high=0.5)
    assert found.friction == independent(0.35, way="0.07 / 0.2 by hand")
    assert (found.interval, found.agrees) == (None, Verdict.NOT_SHOWN)


def test_the_gauge_is_taken_out_of_the_pieces() -> None:
    within = float((APART**2).sum() * 4 / 8)
    assert learned(gauge_sd=0.001).piece_sd_nm == independent(np.sqrt(within - 1e-6), way="by hand")
    found = learned(gauge_sd=0.01)
    assert found.piece_sd_nm == 0.0
    assert any("no more than the gauge" in str(one) for one in found.cautions)


def test_joints_that_turn_freely_are_counted() -> None:
    found = learned(measured=[0.0, *READINGS[1:]])
    assert any("1 joints turned freely" in str(one) for one in found.cautions)
    with pytest.raises(NotEnoughData, match="turned freely"):
        learned(measured=np.zeros(12))
    with pytest.raises(NotEnoughData, match="no pair has a predicted torque"):
        learned(at_friction_one=np.zeros(12))


def test_impossible_readings_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="at least 0"):
        learned(measured=[-0.07, *READINGS[1:]])
    with pytest.raises(ImpossibleInput, match="one for each"):
        learned(pairs=PAIRS[1:])
    with pytest.raises(ImpossibleInput, match="must not be above"):
        learned(given_low=0.5, given_high=0.3)


@law(scale=st.floats(1e-3, 1e3), order=st.permutations(range(12)))
def test_neither_the_unit_nor_the_order_nor_the_names_matter(scale: float, order: list[int]) -> None:
    found, other = (
        learned(),
        learned(
            at_friction_one=scale * EACH_X[order],
            measured=scale * READINGS[order],
            pairs=[f"x{PAIRS[i]}" for i in order],
        ),
    )
    assert other.friction == pytest.approx(found.friction, rel=1e-9)
    assert other.interval is not None
    assert found.interval is not None
    assert other.interval.low == pytest.approx(found.interval.low, rel=1e-7)
    assert {p.pair[1:]: p.fits for p in other.pairs} == {p.pair: p.fits for p in found.pairs}


@law(friction=st.floats(0.05, 1.2), xs=st.lists(st.floats(0.01, 2.0), min_size=1, max_size=6))
def test_exact_torques_give_their_friction_back(friction: float, xs: list[float]) -> None:
    found = learn_friction(xs, [friction * x for x in xs], [str(i) for i in range(len(xs))])
    assert found.friction == pytest.approx(friction, rel=1e-9)
