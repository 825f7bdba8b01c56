"""Within and overall indices: published diameters, factors of the range, one-way tables, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import performance_index
from offtool.core.inspection.subgroups import subgroup_index
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.labels import independent, published, remembered
from tests.published import numbers

DIAMETERS = np.array(numbers("qif_diameters.txt"))
THREES = [str(i // 3) for i in range(30)]


def test_thirty_published_diameters() -> None:
    found = subgroup_index(DIAMETERS, THREES, lower=1.8, upper=2.2)
    source = "QIF 2.1 sample, capability study with subgroups, summary statistics"
    assert found.mean == published("1.984466667", source=source)
    assert found.overall.sd == published("0.078690898", source=source)
    assert found.subgroups == published("10", source=source)
    rows = DIAMETERS.reshape(10, 3)
    by_hand = float(np.sqrt(rows.var(axis=1, ddof=1).mean()))
    assert found.within.sd == independent(by_hand, way="mean of the ten variances")
    assert found.within.sd == independent(0.0817661, way="worked out beside the sample", within=5e-8)
    assert found.range_mean == independent(0.128, way="worked out beside the sample", within=5e-7)
    assert found.range_sd == independent(
        0.128 / 1.692569, way="mean range over the printed d2 1.692569", rel=1e-6
    )
    assert found.within.potential == independent(0.81533, way="(U - L) / 6 s by hand", within=5e-6)
    assert found.within.value == independent(0.75201, way="by hand", within=5e-6)
    assert found.overall.potential == independent(0.84720, way="by hand", within=5e-6)
    assert found.overall.value == independent(0.78140, way="by hand", within=5e-6)


def test_the_capability_that_the_sample_itself_prints_does_not_follow_from_its_data() -> None:
    """The file says Cp 1.678 and Cpk 1.345: whatever was meant, not these thirty diameters."""
    found = subgroup_index(DIAMETERS, THREES, lower=1.8, upper=2.2)
    assert found.within.potential != published("1.678", source="QIF 2.1 sample, Cp")
    assert found.within.value != published("1.345", source="QIF 2.1 sample, Cpk")
    assert found.within.potential_high < 1.678  # type: ignore[operator]
    assert found.within.high < 1.345


def test_the_handbook_example_centred_on_its_readings() -> None:
    """Mean 16 and s 2 against 8 and 20: Cp 1.0, Cpk 0.6667."""
    values = np.array([14.0, 18.0]) / 1.0
    scaled = 16 + (values - 16) * 2 / values.std(ddof=1)
    found = subgroup_index(scaled, ["1", "1"], lower=8.0, upper=20.0)
    source = "NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6"
    assert found.within.potential == published("1.0", source=source)
    assert found.within.value == published("0.6667", source=source)


def test_the_potential_of_a_textbook_example_and_its_bounds() -> None:
    values = 50 + 1.75 * stats.zscore(np.arange(20.0), ddof=1)
    found = subgroup_index(values, ["1"] * 20, lower=38.0, upper=62.0, confidence=0.975)
    source = "Montgomery, Introduction to Statistical Quality Control, interval of Cp"
    assert found.overall.potential == remembered("2.29", source=source)
    # The book goes on from the rounded 2.29 and prints 1.57 and 3.01.
    for end, share, printed in (
        (found.overall.potential_low, 0.025, "1.57"),
        (found.overall.potential_high, 0.975, "3.01"),
    ):
        exact = 24 / 10.5 * np.sqrt(stats.chi2(19).ppf(share) / 19)
        assert end == independent(exact, way="scipy.stats.chi2")
        assert 2.29 / (24 / 10.5) * end == remembered(printed, source=source)  # type: ignore[operator]


def test_the_wander_is_the_one_way_table() -> None:
    rng = np.random.default_rng(2)
    values = rng.normal(np.repeat(rng.normal(0, 1, 8), 4), 1)
    labels = [str(i // 4) for i in range(32)]
    found = subgroup_index(values, labels, lower=-6.0, upper=6.0)
    p = stats.f_oneway(*values.reshape(8, 4)).pvalue
    assert found.wander_p == independent(p, way="scipy.stats.f_oneway")
    assert any("wander" in str(caution) for caution in found.cautions) == (p < 0.05)


def test_a_still_process_has_the_bounds_of_the_noncentral_t() -> None:
    found = subgroup_index(DIAMETERS, THREES, lower=1.8, upper=2.2)
    other = performance_index(found.mean, found.within.sd, 30, lower=1.8, upper=2.2, degrees_of_freedom=20)
    assert (found.within.low, found.within.high) == (other.low, other.high)


def test_a_wandering_mean_widens_both_bounds() -> None:
    rng = np.random.default_rng(0)
    values = rng.normal(np.repeat(3 * rng.normal(size=10), 5), 1)
    labels = [str(i // 5) for i in range(50)]
    found = subgroup_index(values, labels, upper=12.0)
    still = performance_index(found.mean, found.within.sd, 50, upper=12.0, degrees_of_freedom=40)
    assert found.within.low < still.low < still.high < found.within.high
    assert found.within.value > 2 * found.overall.value


def test_single_parts_go_by_their_steps() -> None:
    labels = [str(i) for i in range(30)]
    found = subgroup_index(DIAMETERS, labels, lower=1.8, upper=2.2)
    steps = np.diff(DIAMETERS)
    assert found.within.sd == independent(float(np.sqrt((steps**2).mean() / 2)), way="by hand")
    assert found.range_sd == independent(
        float(np.abs(steps).mean() * np.sqrt(np.pi) / 2), way="d2 = 2/sqrt(pi)"
    )
    assert "steps" in found.within_by
    assert any("order of production" in str(caution) for caution in found.cautions)
    rng = np.random.default_rng(1)
    drawn = rng.normal(size=(40_000, 30))
    variance = (np.diff(drawn, axis=1) ** 2).sum(axis=1) / 58
    freedom = 2 / variance.var()
    assert found.within.degrees_of_freedom == independent(freedom, way="40,000 simulated runs", rel=0.03)


@law(seed=st.integers(0, 99), scale=st.floats(0.01, 100), shift=st.floats(-100, 100), examples=30)
def test_another_unit_another_zero_and_a_mirror_change_nothing(seed: int, scale: float, shift: float) -> None:
    values = np.random.default_rng(seed).normal(0, 1, 12)
    labels = [str(i // 3) for i in range(12)]
    one = subgroup_index(values, labels, lower=-4.0, upper=5.0)
    other = subgroup_index(scale * values + shift, labels, lower=-4 * scale + shift, upper=5 * scale + shift)
    mirrored = subgroup_index(-values, labels, lower=-5.0, upper=4.0)
    for found in (other, mirrored):
        assert found.within.value == pytest.approx(one.within.value, rel=1e-5)
        assert found.overall.value == pytest.approx(one.overall.value, rel=1e-5)


def test_unequal_subgroups_and_one_of_one_part_are_pooled() -> None:
    values = [1.0, 2.0, 4.0, 5.0, 6.0, 9.0]
    found = subgroup_index(values, ["a", "a", "b", "b", "b", "c"], upper=12.0)
    assert found.within.sd == independent(float(np.sqrt((0.5 + 2.0) / 3)), way="by hand")
    assert (found.smallest, found.largest, found.within.degrees_of_freedom) == (1, 3, 3)
    assert found.range_mean == independent(1.5, way="by hand")


def test_the_impossible_is_refused_by_name() -> None:
    with pytest.raises(ImpossibleInput, match="at least one limit"):
        subgroup_index([1.0, 2.0], ["1", "1"])
    with pytest.raises(ImpossibleInput, match="subgroup of each"):
        subgroup_index([1.0, 2.0], ["1"], upper=3.0)
    with pytest.raises(NotEnoughData, match="one part"):
        subgroup_index([1.0], ["1"], upper=3.0)
    with pytest.raises(NotEnoughData, match="equal"):
        subgroup_index([1.0, 1.0, 2.0, 2.0], ["1", "1", "2", "2"], upper=3.0)
