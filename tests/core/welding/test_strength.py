"""Strength against its requirement: both bounds by other ways, the verdict, the pulls to settle it."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from offtool.core.inspection.tolerance import tolerance_interval
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from offtool.core.welding.cautions import PULLING
from offtool.core.welding.normal_bounds import normal_quantile_bound, pulls_for_normal
from offtool.core.welding.strength import judge_strength
from offtool.core.welding.weibull import fit_weibull
from tests.core.laws import law
from tests.labels import independent, remembered

TEN = np.array([112.0, 96, 121, 104, 88, 117, 109, 99, 126, 130])
NONE = np.zeros(10, dtype=bool)


def drawn(seed: int, n: int = 10) -> NDArray[np.float64]:
    return np.random.default_rng(seed).normal(110, 10, n)


def test_the_normal_bound_is_that_of_the_printed_factor() -> None:
    """Ten pulls, 95 % of the seams with 95 %: k 2.911."""
    found = judge_strength(TEN, 50, share=0.95).bound("normal").low_n
    k = (TEN.mean() - (found or 0)) / TEN.std(ddof=1)
    assert k == remembered("2.911", source="ISO 16269-6, one-sided factor for 10, 95/95")
    assert found == independent(
        tolerance_interval(TEN, share=0.95, sides="below").interval.low, way="tolerance_interval", rel=1e-9
    )


def test_both_ends_of_the_normal_bound_are_scipys() -> None:
    found = judge_strength(TEN, 50).bound("normal")
    z = float(stats.norm.ppf(0.99))
    ends = [float(stats.nct.ppf(p, 9, z * sqrt(10))) / sqrt(10) for p in (0.95, 0.05)]
    low, high = (TEN.mean() - k * TEN.std(ddof=1) for k in ends)
    assert found.low_n == independent(low, way="scipy.stats.nct", rel=1e-6)
    assert found.high_n == independent(high, way="scipy.stats.nct", rel=1e-6)


def test_the_weibull_bound_is_that_of_its_share() -> None:
    """The seam whose lower bound is at 60 N has at most 1 % below 60 N, with the same confidence."""
    low = judge_strength(TEN, 50).bound("Weibull").low_n
    assert fit_weibull(TEN, required_n=low).share_at_most == independent(0.01, way="its share", rel=1e-6)


def test_the_lower_of_normal_and_weibull_decides() -> None:
    found = judge_strength(TEN, 52)
    lows = {one.method: one.low_n for one in found.bounds if one.low_n is not None}
    assert found.decided_by == min(lows, key=lambda name: lows[name])
    assert found.verdict is Verdict.NOT_SHOWN
    assert any("disagree" in str(one) for one in found.cautions)


@pytest.mark.parametrize(
    ("required", "verdict"), [(45, Verdict.HOLDS), (60, Verdict.NOT_SHOWN), (100, Verdict.FAILS)]
)
def test_the_verdict_follows_the_requirement(required: float, verdict: Verdict) -> None:
    found = judge_strength(TEN, required)
    assert found.verdict is verdict
    assert (found.more_pulls is None) is (verdict is not Verdict.NOT_SHOWN)
    assert (PULLING in found.cautions) is (found.more_pulls is not None)


def test_many_pulls_decide_without_a_distribution() -> None:
    strengths = drawn(1, 299)
    found = judge_strength(strengths, 60)
    assert found.decided_by == "distribution-free"
    assert found.low_n == strengths.min()


def test_seams_that_came_apart_below_it_fail_without_any_distribution() -> None:
    strengths = [40, 40, 40, *[120] * 30]
    found = judge_strength(strengths, 60)
    assert found.verdict is Verdict.FAILS
    low = float(stats.beta.ppf(0.05, 3, 31))
    assert found.share_below_low == independent(low, way="Clopper and Pearson, scipy.stats.beta", rel=1e-9)


def test_the_bound_with_stopped_pulls_is_that_of_a_double_integral() -> None:
    """Two of six stopped at 110: the probability of the quantile below the bound, over mean and ln sd."""
    strengths = np.array([88.0, 96, 99, 104, 110, 110])
    stopped = np.array([0, 0, 0, 0, 1, 1], dtype=bool)
    z = float(stats.norm.ppf(0.99))
    bound = normal_quantile_bound(strengths, stopped, 0.01, 0.95)

    log_sd, steps = np.meshgrid(np.linspace(0.5, 7.5, 281), np.linspace(-8, 8, 3201), indexing="ij")
    sd = np.exp(log_sd)[..., None]
    mean = 100 + sd * steps[..., None]
    logs = stats.norm.logpdf(strengths[~stopped], mean, sd).sum(axis=-1)
    logs += stats.norm.logsf(strengths[stopped], mean, sd).sum(axis=-1)
    density = np.exp(logs - logs.max() + log_sd)  # along a row the mean moves in steps of sd
    inside = mean[..., 0] <= bound + z * sd[..., 0]
    below, whole = density[inside].sum(), density.sum()
    assert below / whole == independent(0.05, way="plain sums over mean and deviation", within=0.001)


def test_counting_stopped_pulls_as_breaks_would_raise_the_bound() -> None:
    """The reason why they are not: the gauge's end hides the spread above it."""
    raised = 0
    for seed in range(20):
        strengths = np.minimum(drawn(seed), 110)
        stopped = strengths == 110
        as_breaks = normal_quantile_bound(strengths, NONE, 0.01, 0.95)
        raised += as_breaks > normal_quantile_bound(strengths, stopped, 0.01, 0.95)
    assert raised == 20


def test_all_stopped_says_how_many_would_be_enough() -> None:
    found = judge_strength([80] * 10, 70, stopped=[1] * 10)
    assert (found.verdict, found.decided_by) == (Verdict.NOT_SHOWN, None)
    assert found.more_pulls == 289  # 299 without a failure show 99 % with 95 %
    assert judge_strength([80] * 299, 70, stopped=[1] * 299).verdict is Verdict.HOLDS


def test_planned_pulls_reach_the_requirement_as_scipy_counts_them() -> None:
    margin, z = 3.2, float(stats.norm.ppf(0.99))
    reached = [n for n in range(3, 200) if stats.nct.ppf(0.95, n - 1, z * sqrt(n)) / sqrt(n) <= margin]
    assert pulls_for_normal(margin, 0.99, 0.95, 2000) == reached[0]
    assert pulls_for_normal(z, 0.99, 0.95, 2000) is None


def test_pulls_like_those_seen_settle_it_when_as_many_are_added() -> None:
    found = judge_strength(TEN, 60)
    assert found.more_pulls is not None
    shape, scale = (getattr(fit_weibull(TEN), name) for name in ("shape", "scale_n"))
    n = found.pulls + found.more_pulls
    even = stats.weibull_min.ppf((np.arange(n) + 0.5) / n, shape, scale=scale)
    assert (judge_strength(even, 60).bound("Weibull").low_n or 0) >= 60
    normal = TEN.mean() + TEN.std(ddof=1) * stats.zscore(stats.norm.ppf((np.arange(n) + 0.5) / n), ddof=1)
    assert (judge_strength(normal, 60).bound("normal").low_n or 0) >= 60


def test_a_requirement_that_no_such_pulls_would_show_has_no_number() -> None:
    assert judge_strength([*TEN[:9], 61], 62).more_pulls is None


def test_a_seam_that_held_nothing_is_answered_and_said() -> None:
    found = judge_strength([0, *TEN], 50)
    assert "no Weibull" in found.bound("Weibull").why_not
    assert any("held nothing" in str(one) for one in found.cautions)


def test_a_pull_stopped_below_the_requirement_is_no_failure() -> None:
    found = judge_strength([*TEN, 30], 50, stopped=[*[0] * 10, 1])
    assert found.below_required == 0
    assert any("below the requirement" in str(one) for one in found.cautions)


def test_no_pulls_and_foreign_marks_are_refused() -> None:
    with pytest.raises(NotEnoughData, match="no pulls"):
        judge_strength([], 50)
    with pytest.raises(ImpossibleInput, match="stopped"):
        judge_strength(TEN, 50, stopped=[0, 1])


def test_one_pull_and_equal_pulls_have_no_bound_but_an_answer() -> None:
    for strengths in ([100.0], [100.0] * 5):
        found = judge_strength(strengths, 50)
        assert (found.verdict, found.low_n) == (Verdict.NOT_SHOWN, None)


@law(examples=15, unit=st.sampled_from([1e-3, 0.2248, 9.81]), seed=st.integers(0, 50))
def test_the_unit_does_not_matter(unit: float, seed: int) -> None:
    strengths = drawn(seed, 8)
    plain, scaled = judge_strength(strengths, 70), judge_strength(strengths * unit, 70 * unit)
    assert (scaled.low_n or 0) == pytest.approx((plain.low_n or 0) * unit, rel=1e-6)
    assert scaled.verdict is plain.verdict


@law(examples=15, seed=st.integers(0, 50))
def test_a_surer_or_larger_share_has_a_lower_bound(seed: int) -> None:
    strengths = drawn(seed, 8)
    lows = [
        judge_strength(strengths, 10, share=share, confidence=confidence).low_n or 0
        for share, confidence in ((0.9, 0.9), (0.99, 0.9), (0.99, 0.95), (0.999, 0.95))
    ]
    assert lows == sorted(lows, reverse=True)


@law(examples=15, seed=st.integers(0, 50), lifted=st.floats(5.0, 30.0))
def test_seams_all_stronger_by_as_much_raise_the_normal_bound_by_as_much(seed: int, lifted: float) -> None:
    strengths = drawn(seed, 8)
    plain, raised = (
        judge_strength(one, 10).bound("normal").low_n or 0 for one in (strengths, strengths + lifted)
    )
    assert raised - plain == pytest.approx(lifted, rel=1e-7)
