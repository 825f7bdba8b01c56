"""The shipped mixture: one cavity is the normal, the quantiles are roots, the shares add up, laws."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import optimize, stats

from offtool.core.inspection import PerformanceIndex, performance_index
from offtool.core.inspection.distribution import fraction_outside
from offtool.core.inspection.mix import DRAWS, mixture_quantile, shipped_mix
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.labels import independent


def drawn(seed: int, means: list[float], parts: int) -> tuple[np.ndarray, list[str]]:
    rng = np.random.default_rng(seed)
    values = rng.normal(np.repeat(means, parts), 1.0)
    return values, [str(i + 1) for i in range(len(means)) for _ in range(parts)]


def drawn_level(level: float) -> float:
    """Two standard errors of a level told by as many plain draws; evenly spread ones are no worse."""
    return 2 * sqrt(level * (1 - level) / DRAWS)


def bounds(mean: float, sd: float, confidence: float) -> PerformanceIndex:
    return performance_index(mean, sd, 20, lower=-5.0, upper=4.0, confidence=confidence)


def how_sure(bound: float, mean: float, sd: float) -> float:
    """How often 20 such readings leave no larger a share outside -5 to 4: 100,000 draws tell it to 0.0007."""
    rng = np.random.default_rng(7)
    sds = sd * np.sqrt(19 / rng.chisquare(19, 100_000))
    means = mean + rng.normal(size=100_000) * sds / np.sqrt(20)
    return float((stats.norm.cdf((-5 - means) / sds) + stats.norm.sf((4 - means) / sds) <= bound).mean())


@law(seed=st.integers(0, 99), examples=20)
def test_one_cavity_is_the_normal(seed: int) -> None:
    values, cavities = drawn(seed, [0.0], 20)
    found = shipped_mix(values, cavities, lower=-5.0, upper=4.0).as_is
    mean, sd = float(values.mean()), float(values.std(ddof=1))
    other = bounds(mean, sd, 0.95)
    assert found.index == pytest.approx(other.value, rel=1e-7)
    assert found.potential == pytest.approx(other.potential, rel=1e-7)
    # Against the noncentral t: a bound told by draws is the exact one of a level close by. The higher bound
    # takes half the risk, so that a step of its level is two of the confidence.
    step, half_step = drawn_level(0.95), 2 * drawn_level(0.975)
    assert bounds(mean, sd, 0.95 + step).low <= found.index_low <= bounds(mean, sd, 0.95 - step).low
    assert bounds(mean, sd, 0.95 - half_step).high <= found.index_high
    assert found.index_high <= bounds(mean, sd, 0.95 + half_step).high
    outside = fraction_outside(values, lower=-5.0, upper=4.0, family="normal")
    assert found.outside == pytest.approx(outside.total, rel=1e-7)
    # Far out a share hangs on a few draws, so what is compared is how sure its bound is; all 100 samples give
    # 0.948 to 0.956.
    assert how_sure(found.outside_high, mean, sd) == pytest.approx(0.95, abs=drawn_level(0.95))


@law(
    share=st.sampled_from([1e-6, 0.00135, 0.1, 0.5, 0.9, 0.99865, 1 - 1e-6]),
    seed=st.integers(0, 999),
    examples=60,
)
def test_the_quantiles_are_roots_of_the_mixture(share: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    weight = rng.dirichlet(np.ones(4))
    means, sds = rng.normal(0, 5, 4), rng.uniform(0.1, 2, 4)

    def mixture(x: float) -> float:
        return float(weight @ stats.norm.cdf((x - means) / sds))

    root = optimize.brentq(lambda x: mixture(x) - share, -60, 60, xtol=1e-12)
    found = mixture_quantile(share, weight, means[None], sds[None])[0]
    assert found == independent(root, way="scipy.optimize.brentq", rel=1e-6, within=1e-6 * sds.min())


def test_the_share_outside_is_the_mean_of_the_cavities() -> None:
    values, cavities = drawn(3, [0.0, 0.5, 2.5], 12)
    found = shipped_mix(values, cavities, lower=-3.0, upper=4.0)
    expected = np.mean([one.outside for one in found.cavities])
    assert found.as_is.outside == independent(float(expected), way="mean over cavities")
    assert found.as_is.below + found.as_is.above == found.as_is.outside
    assert sum(one.share_of_outside for one in found.cavities) == pytest.approx(1.0)
    assert found.worst == max(found.cavities, key=lambda one: one.outside).cavity == "3"


def test_shares_weigh_the_cavities_in_the_order_they_appear() -> None:
    values, _ = drawn(3, [0.0, 2.0], 12)
    cavities = ["10"] * 12 + ["2"] * 12
    only_first = shipped_mix(values, cavities, upper=4.0, shares=[1.0, 0.0])
    assert [one.cavity for one in only_first.cavities] == ["10", "2"]
    alone = only_first.cavities[0].outside
    assert only_first.as_is.outside == pytest.approx(alone, rel=1e-9)
    assert shipped_mix(values, cavities, upper=4.0, shares=[3.0, 3.0]) == shipped_mix(
        values, cavities, upper=4.0
    )


def test_centring_the_cavities_leaves_only_their_spread() -> None:
    values, cavities = drawn(5, [-2.0, 1.0, 3.0, 0.0], 15)
    found = shipped_mix(values, cavities, lower=-6.0, upper=8.0)
    assert found.centred is not None
    assert found.spread_pooled
    sd = found.cavities[0].sd
    assert found.centred.index == independent(7 / (3 * sd), way="one normal in the middle", rel=1e-7)
    assert found.centred.potential == pytest.approx(found.centred.index)
    assert found.centred.index > found.as_is.index
    assert found.centred.outside_high < found.as_is.outside_high
    assert shipped_mix(values, cavities, upper=8.0).centred is None


def test_a_mixture_is_judged_worse_than_its_pooled_normal_claims() -> None:
    """Two far cavities: a normal over all parts sees a wide spread, yet no part lies where its tails are."""
    values, cavities = drawn(1, [-4.0, 4.0], 30)
    found = shipped_mix(values, cavities, lower=-9.0, upper=9.0).as_is
    normal = fraction_outside(values, lower=-9.0, upper=9.0, family="normal")
    assert found.outside < normal.total / 100
    assert found.index > 1.2


@law(seed=st.integers(0, 99), scale=st.floats(0.01, 100), shift=st.floats(-50, 50), examples=20)
def test_another_unit_and_another_zero_change_nothing(seed: int, scale: float, shift: float) -> None:
    values, cavities = drawn(seed, [0.0, 1.0, 2.0], 6)
    one = shipped_mix(values, cavities, lower=-4.0, upper=6.0).as_is
    other = shipped_mix(
        scale * values + shift, cavities, lower=-4 * scale + shift, upper=6 * scale + shift
    ).as_is
    assert other.index == pytest.approx(one.index, rel=1e-5)
    assert other.index_low == pytest.approx(one.index_low, rel=1e-4)
    assert other.outside == pytest.approx(one.outside, rel=1e-4)


@law(seed=st.integers(0, 99), examples=20)
def test_the_mirrored_mixture_has_the_same_index(seed: int) -> None:
    values, cavities = drawn(seed, [0.0, 1.0, 3.0], 6)
    one = shipped_mix(values, cavities, lower=-4.0, upper=6.0).as_is
    other = shipped_mix(-values, cavities, lower=-6.0, upper=4.0).as_is
    assert other.index == pytest.approx(one.index, rel=1e-6)
    assert (other.below, other.above) == pytest.approx((one.above, one.below), rel=1e-6)


def test_the_bounds_enclose_what_was_found() -> None:
    values, cavities = drawn(7, [0.0, 0.5, 2.0, 1.0], 10)
    for upper, lower in ((6.0, None), (6.0, -4.0)):
        found = shipped_mix(values, cavities, lower=lower, upper=upper).as_is
        assert found.index_low < found.index < found.index_high
        assert found.outside_low < found.outside < found.outside_high


def test_the_impossible_is_refused_by_name() -> None:
    values, cavities = drawn(0, [0.0, 1.0], 3)
    with pytest.raises(ImpossibleInput, match="at least one limit"):
        shipped_mix(values, cavities)
    with pytest.raises(ImpossibleInput, match="cavity of each"):
        shipped_mix(values, cavities[:-1], upper=5.0)
    with pytest.raises(ImpossibleInput, match="one for each of 2"):
        shipped_mix(values, cavities, upper=5.0, shares=[1.0])
    with pytest.raises(ImpossibleInput, match="more than 0"):
        shipped_mix(values, cavities, upper=5.0, shares=[0.0, 0.0])
    with pytest.raises(NotEnoughData, match="no spread"):
        shipped_mix([1.0, 2.0], ["1", "2"], upper=5.0)
    with pytest.raises(NotEnoughData, match="no spread"):
        shipped_mix([1.0, 1.0, 2.0, 3.0], ["1", "1", "2", "2"], upper=5.0)


def test_few_parts_and_missing_cavities_are_cautioned() -> None:
    found = shipped_mix([1.0, 2.0, 3.0, 1.5], ["1", "1", "", ""], upper=9.0)
    said = " | ".join(str(caution) for caution in found.cautions)
    assert "only 2 parts" in said
    assert "not recorded" in said
