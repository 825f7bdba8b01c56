"""The one-way table: certified values, laws, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats
from tests.core.laws import law
from tests.labels import independent
from tests.published import strd

from offtool.core.inspection.variation import one_way_anova
from offtool.core.values import ImpossibleInput, NotEnoughData

# F, between and within squares, R squared and residual deviation as printed in each file.
SMALL_SPREAD = (2.1e01, 1.68, 1.80, 4.82758620689655e-01, 1e-01)
CERTIFIED = {
    "SiRstv": (
        1.18046237440255,
        5.11462616e-02,
        2.16636560e-01,
        1.90999039051129e-01,
        1.04076068334656e-01,
    ),
    "AtmWtAg": (
        1.59467335677930e01,
        3.63834187500000e-09,
        1.04951729166667e-08,
        2.57426544538321e-01,
        1.51048314446410e-05,
    ),
    "SmLs01": SMALL_SPREAD,
    "SmLs04": SMALL_SPREAD,
    "SmLs07": SMALL_SPREAD,
}
# A double keeps 16 digits: SmLs04 spends 7 of them on what all readings share, SmLs07 13, AtmWtAg 7.
GOOD_TO = {"SiRstv": 2e-13, "AtmWtAg": 5e-10, "SmLs01": 1e-14, "SmLs04": 2e-10, "SmLs07": 1e-4}


@pytest.mark.parametrize("name", CERTIFIED)
def test_the_certified_tables(name: str) -> None:
    groups, values = strd(name)
    found = one_way_anova(values, groups)
    way = f"NIST/ITL StRD {name}, certified to 15 digits"
    for number, value in zip(
        (found.f, found.between_squares, found.within_squares, found.r_squared, found.residual_sd),
        CERTIFIED[name],
        strict=True,
    ):
        assert number == independent(value, way=way, rel=GOOD_TO[name])


def test_the_chance_is_that_of_scipy() -> None:
    groups, values = strd("SiRstv")
    by_group = [[v for g, v in zip(groups, values, strict=True) if g == one] for one in sorted(set(groups))]
    assert one_way_anova(values, groups).p == independent(
        stats.f_oneway(*by_group).pvalue, way="scipy.stats.f_oneway", rel=1e-9
    )


@law(seed=st.integers(0, 999), scale=st.floats(0.01, 100), shift=st.floats(-1000, 1000))
def test_names_order_unit_and_zero_do_not_matter(seed: int, scale: float, shift: float) -> None:
    rng = np.random.default_rng(seed)
    values, groups = rng.normal(size=20), rng.integers(0, 4, 20)
    groups[:4] = range(4)
    one = one_way_anova(values, [f"g{g}" for g in groups])
    order = rng.permutation(20)
    other = one_way_anova(scale * values[order] + shift, [f"x{9 - g}" for g in groups[order]])
    assert other.f == pytest.approx(one.f, rel=1e-7)
    assert other.residual_sd == pytest.approx(scale * one.residual_sd, rel=1e-7)


def test_flat_groups_have_a_stated_answer() -> None:
    apart = one_way_anova([1.0, 1.0, 2.0, 2.0], ["a", "a", "b", "b"])
    assert (apart.p, apart.f) == (0.0, float("inf"))
    same = one_way_anova([1.0] * 4, ["a", "a", "b", "b"])
    assert (same.p, same.f, same.r_squared) == (1.0, 0.0, 0.0)
    assert "too coarse" in str(same.cautions[0])


def test_what_cannot_be_compared_is_refused() -> None:
    with pytest.raises(NotEnoughData, match="at least two groups"):
        one_way_anova([1.0, 2.0], ["a", "a"])
    with pytest.raises(NotEnoughData):
        one_way_anova([1.0, 2.0], ["a", "b"])
    with pytest.raises(ImpossibleInput, match="each of 2 readings"):
        one_way_anova([1.0, 2.0], ["a"])
