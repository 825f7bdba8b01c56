"""Spread cavity by cavity: Bartlett's test, pooling, and when not to pool."""

from __future__ import annotations

from math import isnan, sqrt
from statistics import fmean, stdev

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import cavity_spreads
from offtool.core.inspection.spread import chance_to_see_wide, parts_to_see_wide
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published, remembered
from tests.published import lines, strd

GEAR = "NIST/SEMATECH e-Handbook, 1.3.5.7, Bartlett's test of GEAR.DAT"


def cavities_of(*groups: list[float]) -> tuple[list[float], list[str]]:
    """Readings and their cavities, cavity 1 first."""
    return (
        [value for group in groups for value in group],
        [str(i) for i, group in enumerate(groups, 1) for _ in group],
    )


def test_the_gears_of_the_handbook() -> None:
    batches = [[float(one) for one in line.split()] for line in lines("nist_gear.txt")]
    found = cavity_spreads(*cavities_of(*batches))
    assert found.alike_p is not None
    assert stats.chi2(9).isf(found.alike_p) == remembered("20.786", source=GEAR)
    assert found.alike_p == remembered("0.01364", source=f"{GEAR}, run in R")
    assert not found.pooled  # alike to Bartlett, but batch 6 stands out of the other nine


def test_the_certified_deviation_is_the_pooled_one() -> None:
    found = cavity_spreads(*reversed(strd("SiRstv")))
    source = "NIST/ITL StRD, SiRstv, residual standard deviation, to eleven of its digits"
    assert found.sd[0] == published("1.0407606833E-01", source=source)
    assert set(found.freedom) == {20}


@pytest.mark.parametrize(
    ("name", "certified", "rel"),
    [
        ("AtmWtAg", 1.51048314446410e-05, 1e-7),
        ("SmLs01", 0.1, 1e-12),
        ("SmLs04", 0.1, 1e-9),
        ("SmLs07", 0.1, 1e-3),  # a double holds its 13 constant leading digits and 1e-4 more
    ],
)
def test_the_certified_deviation_survives_a_large_offset(name: str, certified: float, rel: float) -> None:
    """NIST/ITL StRD; a spread of a ten-millionth of a millionth of the reading is still a spread."""
    treatment, response = strd(name)
    found = cavity_spreads(response, treatment)
    freedom = found.parts - 1
    pooled = sqrt((found.own_sd**2 * freedom).sum() / freedom.sum())
    assert pooled == pytest.approx(certified, rel=rel)


@pytest.mark.parametrize("sizes", [(3, 3), (2, 5, 9), (30, 30, 30, 30), (5,) * 8])
def test_the_probability_of_being_alike_is_bartletts(sizes: tuple[int, ...]) -> None:
    rng = np.random.default_rng(sum(sizes))
    groups = [(rng.normal(4, 0.01 * (1 + i), size)).tolist() for i, size in enumerate(sizes)]
    found = cavity_spreads(*cavities_of(*groups))
    assert found.alike_p == independent(stats.bartlett(*groups).pvalue, way="scipy.stats.bartlett", rel=1e-9)


def test_alike_cavities_share_one_spread() -> None:
    """By hand: sums of squares 2e-4 and 6e-4 with 2 degrees of freedom each pool to 2e-4."""
    found = cavity_spreads(*cavities_of([4.00, 4.01, 4.02], [3.98, 3.98 + sqrt(9e-4), 3.98 - sqrt(9e-4)]))
    assert found.pooled
    assert found.own_sd == independent([0.01, 0.03], way="by hand")
    assert found.sd == independent([sqrt(5e-4)] * 2, way="by hand: (2 * 1e-4 + 2 * 9e-4) / 4")
    assert found.freedom.tolist() == [4, 4]
    assert found.parts.tolist() == [3, 3]


def test_clearly_unlike_cavities_keep_their_own() -> None:
    rng = np.random.default_rng(2)
    groups = [rng.normal(4, sd, 20).tolist() for sd in (0.003, 0.003, 0.02)]
    found = cavity_spreads(*cavities_of(*groups))
    assert not found.pooled
    assert found.sd == independent([stdev(group) for group in groups], way="statistics.stdev")
    assert found.freedom.tolist() == [19, 19, 19]


def test_the_mean_and_own_spread_of_each_cavity_are_its_own() -> None:
    groups = [[4.01, 4.02, 4.06], [3.99, 3.98]]
    found = cavity_spreads(*cavities_of(*groups))
    assert found.cavities == ("1", "2")
    assert found.mean == independent([fmean(group) for group in groups], way="statistics.fmean")
    assert found.own_sd == independent([stdev(group) for group in groups], way="statistics.stdev")


def test_alike_cavities_are_kept_apart_about_once_in_twenty() -> None:
    rng = np.random.default_rng(5)
    draws = 2000
    apart = sum(
        not cavity_spreads(rng.normal(0, 1, 40), np.repeat(["1", "2", "3", "4"], 10).tolist()).pooled
        for _ in range(draws)
    )
    assert 0.04 - chance(0.05, draws) <= apart / draws <= 0.06 + chance(0.05, draws)


@law(
    readings=st.lists(st.tuples(st.floats(-1, 1), st.sampled_from("1234")), min_size=2, max_size=40),
    seed=st.integers(0, 99),
)
def test_the_order_of_the_readings_does_not_matter(readings: list[tuple[float, str]], seed: int) -> None:
    order = np.random.default_rng(seed).permutation(len(readings))
    one = cavity_spreads([value for value, _ in readings], [cavity for _, cavity in readings])
    other = cavity_spreads([readings[i][0] for i in order], [readings[i][1] for i in order])
    assert one.cavities == other.cavities
    assert one.parts.tolist() == other.parts.tolist()
    np.testing.assert_allclose(one.mean, other.mean, atol=1e-14)
    np.testing.assert_allclose(one.own_sd, other.own_sd, atol=1e-14)


@law(
    values=st.lists(st.floats(-1, 1), min_size=6, max_size=20),
    scale=st.floats(0.1, 10),
    shift=st.floats(-9, 9),
)
def test_it_follows_shift_and_scale(values: list[float], scale: float, shift: float) -> None:
    cavities = [str(i % 2) for i in range(len(values))]
    one = cavity_spreads(values, cavities)
    other = cavity_spreads([scale * value + shift for value in values], cavities)
    np.testing.assert_allclose(other.mean, scale * one.mean + shift, atol=1e-12)
    np.testing.assert_allclose(other.own_sd, scale * one.own_sd, atol=1e-12)


def test_one_cavity_has_nothing_to_pool_with() -> None:
    found = cavity_spreads([4.0, 4.01, 4.02], ["1", "1", "1"])
    assert found.alike_p is None
    assert not found.pooled
    assert found.sd == found.own_sd == independent([0.01], way="by hand")


def test_a_cavity_of_one_part_borrows_the_spread_of_the_others() -> None:
    found = cavity_spreads(*cavities_of([4.00, 4.01, 4.02], [3.99]))
    assert isnan(found.own_sd[1])
    assert found.sd == independent([0.01, 0.01], way="by hand")
    assert found.freedom.tolist() == [2, 2]


def test_single_parts_have_no_spread_at_all() -> None:
    found = cavity_spreads([4.0, 4.1], ["1", "2"])
    assert np.isnan(found.sd).all()
    assert found.freedom.tolist() == [0, 0]
    assert not found.pooled


def test_equal_readings_everywhere_have_spread_zero() -> None:
    found = cavity_spreads([4.0] * 6, ["1"] * 3 + ["2"] * 3)
    assert found.sd.tolist() == [0.0, 0.0]


def test_a_cavity_that_spreads_is_not_calmed_by_cavities_that_read_all_equal() -> None:
    """Seven cavities under the gauge's step say nothing of the eighth: it is judged as it spreads."""
    wide = [3.95, 3.97, 4.00, 4.03, 4.05]
    found = cavity_spreads(*cavities_of(*[[4.0] * 5] * 7, wide))
    assert found.sd[7] == pytest.approx(stdev(wide))


@pytest.mark.parametrize(("values", "cavities"), [([], []), ([4.0], []), ([4.0, 4.1], ["1"])])
def test_readings_and_cavities_must_go_together(values: list[float], cavities: list[str]) -> None:
    with pytest.raises(ImpossibleInput, match="must name the cavity of each"):
        cavity_spreads(values, cavities)


def test_cavities_may_come_as_an_array() -> None:
    """As tables carry them; the labels are no numbers."""
    found = cavity_spreads([4.0, 4.1, 4.0, 4.2], np.array(["A", "A", "B", "B"]))  # type: ignore[arg-type]
    assert found.cavities == ("A", "B")


@pytest.mark.parametrize(("parts", "cavities"), [(5, 4), (10, 2), (18, 8)])
def test_the_chance_to_see_a_cavity_that_spreads_twice_as_wide_is_what_simulation_finds(
    parts: int, cavities: int
) -> None:
    """20,000 seeded tools: the first cavity spreads twice as wide, the others alike."""
    rng = np.random.default_rng(7)
    variances = rng.normal(size=(20_000, cavities, parts)).var(axis=2, ddof=1)
    variances[:, 0] *= 4
    ratio = variances[:, 0] / variances[:, 1:].mean(axis=1)
    limit = stats.f(parts - 1, (cavities - 1) * (parts - 1)).isf(0.05 / cavities)
    found = float((ratio > limit).mean())
    assert chance_to_see_wide(parts, cavities) == independent(found, way="simulation", within=0.01)


def test_more_parts_see_a_wide_cavity_more_often_until_nine_of_ten_do() -> None:
    needed = parts_to_see_wide(4)
    assert chance_to_see_wide(needed - 1, 4) < 0.9 <= chance_to_see_wide(needed, 4)
