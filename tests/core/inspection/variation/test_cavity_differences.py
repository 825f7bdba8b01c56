"""Which cavities differ: R, scipy, laws, unlike spreads, shots as blocks."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.oneway import anova_oneway
from tests.core.laws import law
from tests.labels import independent
from tests.published import table

from offtool.core.inspection.variation import CavityDifferences, cavity_differences
from offtool.core.values import ImpossibleInput, NotEnoughData


def dyestuff(without: tuple[int, ...] = ()) -> CavityDifferences:
    """Batches as cavities; rows counted from 0."""
    rows = [row for i, row in enumerate(table("dyestuff.csv")) if i not in without]
    return cavity_differences([float(row[1]) for row in rows], [row[0] for row in rows])


def pair(found: CavityDifferences, first: str, second: str) -> tuple[float, float, float, float]:
    """Difference, both ends, p."""
    one = next(one for one in found.pairs if (one.first, one.second) == (first, second))
    return one.difference, one.interval.low, one.interval.high, one.p


def test_equal_numbers_by_tukey_in_r() -> None:
    # TukeyHSD(aov(Yield ~ Batch, Dyestuff)); R takes the later less the earlier
    found = dyestuff()
    for names, expected in {
        ("D", "E"): [-102, -198.81744129, -5.182558713, 0.034819937978],
        ("E", "F"): [130, 33.18255871, 226.817441287, 0.004294761403],
    }.items():
        assert pair(found, *names) == independent(expected, way="R TukeyHSD", within=1e-4)
    assert [(one.first, one.second) for one in found.told_apart] == [("D", "E"), ("E", "F")]
    assert found.method == "pooled spread"


def test_unequal_numbers_by_tukey_and_kramer_in_r() -> None:
    # k <- setdiff(1:30, c(1,2,3,9,15,16,30)); TukeyHSD(aov(Yield ~ Batch, Dyestuff[k,]))
    found = dyestuff(without=(0, 1, 2, 8, 14, 15, 29))
    for names, expected in {
        ("A", "B"): [30.0, -102.91590678, 162.91590678, 0.97646759075],
        ("D", "E"): [-88.75, -191.70621868, 14.20621868, 0.11422712990],
        ("E", "F"): [123.75, 20.79378132, 226.70621868, 0.01376761252],
    }.items():
        assert pair(found, *names) == independent(expected, way="R TukeyHSD", within=1e-4)


def test_against_the_mean_of_all_by_multcomp_in_r() -> None:
    # summary(glht(aov(Yield ~ Batch, Dyestuff), linfct = mcp(Batch = "GrandMean")),
    #         test = adjusted("single-step", abseps = 1e-6, maxpts = 1e6)); R says it is good to 2e-5
    expected = [0.80325360980, 0.99999999705, 0.36460770325, 0.58211138989, 0.00852428051, 0.04881501717]
    found = dyestuff()
    assert found.offsets_exact
    assert [one.p for one in found.offsets] == independent(expected, way="R multcomp", within=3e-5)
    assert [one.cavity for one in found.offsets if one.stands_out] == ["E", "F"]


def test_every_pair_by_scipy() -> None:
    rng = np.random.default_rng(2)
    groups = [rng.normal(0.3 * i, 1, n) for i, n in enumerate((6, 6, 9, 4))]
    names = [str(i) for i, group in enumerate(groups) for _ in group]
    found = cavity_differences(np.concatenate(groups), names)
    tukey = stats.tukey_hsd(*groups)
    low, high = tukey.confidence_interval().low, tukey.confidence_interval().high
    for one, (i, j) in zip(found.pairs, combinations(range(4), 2), strict=True):
        way = "scipy.stats.tukey_hsd"
        assert one.p == independent(tukey.pvalue[i, j], way=way, rel=1e-6)
        assert (one.interval.low, one.interval.high) == independent(
            [low[i, j], high[i, j]], way=way, rel=1e-6
        )
    assert found.alike_p == independent(stats.f_oneway(*groups).pvalue, way="scipy.stats.f_oneway", rel=1e-9)


def test_unlike_spreads_by_games_and_howell() -> None:
    rng = np.random.default_rng(5)
    groups = [rng.normal(0, spread, n) for spread, n in ((0.2, 8), (1.0, 12), (4.0, 9))]
    names = [str(i) for i, group in enumerate(groups) for _ in group]
    found = cavity_differences(np.concatenate(groups), names)
    assert found.method == "own spreads"
    assert found.sd is None
    howell = stats.tukey_hsd(*groups, equal_var=False)
    low, high = howell.confidence_interval().low, howell.confidence_interval().high
    for one, (i, j) in zip(found.pairs, combinations(range(3), 2), strict=True):
        way = "scipy.stats.tukey_hsd(equal_var=False)"
        assert one.p == independent(howell.pvalue[i, j], way=way, rel=1e-6)
        assert (one.interval.low, one.interval.high) == independent(
            [low[i, j], high[i, j]], way=way, rel=1e-6
        )
    welch = anova_oneway(groups, use_var="unequal").pvalue
    assert found.alike_p == independent(welch, way="statsmodels anova_oneway, Welch", rel=1e-8)


def test_shots_as_blocks_by_r() -> None:
    # a <- aggregate(strength ~ batch + cask, Pastes, mean); m <- aov(strength ~ batch + cask, a)
    # summary(m); TukeyHSD(m, "cask"): casks stand for cavities, batches for shots
    rows = table("gauge_pastes.csv")
    found = cavity_differences(
        [float(row[0]) for row in rows],
        [row[2] for row in rows],
        shots=[float(ord(row[1])) for row in rows],
    )
    assert found.method == "shots as blocks"
    assert found.alike_p == independent(0.58080, way="R aov", within=6e-6)
    for names, expected in {
        ("a", "b"): [-0.850, -4.30746857061, 2.60746857061, 0.807123480777],
        ("a", "c"): [-1.425, -4.88246857061, 2.03246857061, 0.554957986880],
        ("b", "c"): [-0.575, -4.03246857061, 2.88246857061, 0.905980705790],
    }.items():
        assert pair(found, *names) == independent(expected, way="R TukeyHSD", within=1e-6)


def in_shots(seed: int, shots: int = 8, cavities: int = 5) -> tuple[np.ndarray, list[str], np.ndarray]:
    """Readings that move together shot by shot, their cavities and shots."""
    rng = np.random.default_rng(seed)
    values = rng.normal(size=(shots, cavities)) + 5 * rng.normal(size=(shots, 1)) + np.arange(cavities)
    shot, cavity = np.indices(values.shape)
    return values.ravel(), [str(c) for c in cavity.ravel()], shot.ravel().astype(float)


@law(seed=st.integers(0, 999), more=st.floats(-50, 50))
def test_what_a_shot_does_to_all_cavities_does_not_count(seed: int, more: float) -> None:
    values, cavities, shots = in_shots(seed)
    one = cavity_differences(values, cavities, shots=shots)
    two = cavity_differences(values + more * (shots == 3), cavities, shots=shots)
    for here, there in zip(one.pairs, two.pairs, strict=True):
        assert there.difference == pytest.approx(here.difference, abs=1e-9)
        assert there.interval.high == pytest.approx(here.interval.high, abs=1e-8)


def test_a_gap_in_the_blocks_costs_a_little_and_not_the_blocks() -> None:
    values, cavities, shots = in_shots(3)
    kept = np.arange(values.size) != 7
    full = cavity_differences(values, cavities, shots=shots)
    gap = cavity_differences(
        values[kept], [c for c, k in zip(cavities, kept, strict=True) if k], shots=shots[kept]
    )
    assert gap.method == "shots as blocks"
    assert "safe side" in str(gap.cautions[0])
    # Least squares on cavities and shots as columns; Tukey's point from scipy, good to about 1e-9.
    column = np.array([int(c) for c in cavities])[kept]
    design = np.column_stack([np.eye(5)[column], np.eye(8)[shots[kept].astype(int)][:, 1:]])
    _, squares, *_ = np.linalg.lstsq(design, values[kept], rcond=None)
    freedom = len(column) - design.shape[1]
    covariance = np.linalg.inv(design.T @ design) * squares[0] / freedom
    point = stats.studentized_range.ppf(0.95, 5, freedom) / np.sqrt(2)
    for here, there in zip(full.pairs, gap.pairs, strict=True):
        i, j = int(there.first), int(there.second)
        error = np.sqrt(covariance[i, i] + covariance[j, j] - 2 * covariance[i, j])
        assert there.interval.half_width == independent(point * error, way="numpy, scipy.stats", rel=1e-8)
        # One reading of forty less costs 2 to 6 %; without blocks the shots, five times as wide, would count.
        assert here.interval.half_width < there.interval.half_width < 1.1 * here.interval.half_width


def test_a_wild_cavity_in_blocks_widens_its_own_pairs_only() -> None:
    values, cavities, shots = in_shots(3, shots=20)
    table_ = values.reshape(20, 5)
    table_[:, 2] += 8 * np.random.default_rng(1).normal(size=20)
    found = cavity_differences(table_.ravel(), cavities, shots=shots)
    assert found.method == "shots as blocks, own spreads"
    wide = [one.interval.half_width for one in found.pairs if "2" in (one.first, one.second)]
    calm = [one.interval.half_width for one in found.pairs if "2" not in (one.first, one.second)]
    assert min(wide) > 2 * max(calm)
    paired = stats.ttest_rel(table_[:, 0], table_[:, 1])
    assert found.pairs[0].p == independent(
        min(1.0, 10 * float(paired.pvalue)), way="scipy.stats.ttest_rel times ten pairs", rel=1e-6
    )


@law(seed=st.integers(0, 999), scale=st.floats(0.01, 100), shift=st.floats(-1000, 1000))
def test_names_order_unit_and_zero_do_not_matter(seed: int, scale: float, shift: float) -> None:
    rng = np.random.default_rng(seed)
    cavity = np.repeat(np.arange(4), rng.integers(2, 7, 4))
    values = rng.normal(size=cavity.size) + 0.5 * cavity
    one = cavity_differences(values, [str(c) for c in cavity])
    order = rng.permutation(cavity.size)
    other = cavity_differences(scale * values[order] + shift, [f"cavity {c}" for c in cavity[order]])
    for here, there in zip(one.pairs, other.pairs, strict=True):
        assert there.difference == pytest.approx(scale * here.difference, abs=1e-9 * (abs(shift) + scale))
        assert there.p == pytest.approx(here.p, abs=1e-6)
    assert sum(one.offset for one in one.offsets) == pytest.approx(0.0, abs=1e-9)


def test_one_cavity_and_one_part_each_are_refused() -> None:
    with pytest.raises(NotEnoughData, match="second cavity"):
        cavity_differences([1.0, 2.0], ["1", "1"])
    with pytest.raises(NotEnoughData, match="two parts"):
        cavity_differences([1.0, 2.0], ["1", "2"])
    with pytest.raises(ImpossibleInput, match="shots"):
        cavity_differences([1.0, 2.0, 3.0], ["1", "2", "2"], shots=[1.0])


def test_parts_that_read_all_equal_are_told_apart_with_a_caution() -> None:
    found = cavity_differences([1.0, 1.0, 2.0, 2.0], ["1", "1", "2", "2"])
    assert (found.alike_p, found.pairs[0].p, found.pairs[0].told_apart) == (0.0, 0.0, True)
    assert "too coarse" in str(found.cautions[0])


def test_shots_that_do_not_link_the_cavities_are_left_out_and_said_to_be() -> None:
    found = cavity_differences([1.0, 1.1, 2.0, 2.1], ["1", "1", "2", "2"], shots=[1, 2, 3, 4])
    assert found.method == "pooled spread"
    assert "do not link" in str(found.cautions[0])
