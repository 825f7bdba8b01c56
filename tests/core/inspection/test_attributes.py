"""Shares of findings: R's answers, the tea tasting, every arrangement of the parts counted, laws."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import attributes
from offtool.core.inspection.attributes import (
    DRAWS,
    compare_shares,
    share_along_trial,
    share_interval,
    shares_by_cavity,
)
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, remembered


@pytest.mark.parametrize(
    ("seen", "looked_at", "confidence", "ends"),
    [
        # R 4.2.2: binom.test(seen, looked_at, conf.level = confidence)$conf.int
        (682, 925, 0.95, (0.707668264079, 0.765406558242)),  # Mendel's peas of ?binom.test
        (5, 10, 0.95, (0.1870860284, 0.8129139716)),
        (1, 30, 0.95, (0.0008435709266, 0.1721694556334)),
        (0, 20, 0.95, (0.0, 0.168433470983)),
        (3, 32, 0.90, (0.0260430460485, 0.2248161085892)),
    ],
)
def test_the_interval_is_that_of_r(
    seen: int, looked_at: int, confidence: float, ends: tuple[float, float]
) -> None:
    found = share_interval(seen, looked_at, confidence=confidence).interval
    assert (found.low, found.high) == independent(ends, way="R, binom.test", rel=1e-9)


def test_three_over_n_is_nearly_what_none_seen_says() -> None:
    found = share_interval(0, 1000)
    assert found.less_than == pytest.approx(3 / 1000, rel=0.01)  # the rule of three
    assert found.less_than == independent(1 - 0.05 ** (1 / 1000), way="by hand")


@law(looked_at=st.integers(1, 500), part=st.floats(0, 1), confidence=st.floats(0.55, 0.999))
def test_the_ends_are_where_the_binomial_just_allows_it(
    looked_at: int, part: float, confidence: float
) -> None:
    seen = round(part * looked_at)
    found = share_interval(seen, looked_at, confidence=confidence)
    library = stats.binomtest(seen, looked_at).proportion_ci(confidence, method="exact")
    assert (found.interval.low, found.interval.high) == pytest.approx((library.low, library.high), abs=1e-9)
    if seen < looked_at:
        so_few = stats.binom.cdf(seen, looked_at, found.less_than)
        assert so_few == pytest.approx(1 - confidence, rel=1e-6)
    else:
        assert found.less_than == 1.0


@law(looked_at=st.integers(1, 500), part=st.floats(0, 1))
def test_what_is_not_seen_has_the_mirrored_interval(looked_at: int, part: float) -> None:
    seen = round(part * looked_at)
    one, other = share_interval(seen, looked_at), share_interval(looked_at - seen, looked_at)
    assert one.interval.low == pytest.approx(1 - other.interval.high, abs=1e-12)
    assert one.interval.low <= one.share <= one.interval.high


def test_fishers_tea_tasting() -> None:
    """Three of four cups with the milk in first were named; here: one of four against three of four."""
    found = compare_shares(3, 4, 1, 4)
    assert found.p_same == remembered("0.2429", source="Fisher 1935, The Design of Experiments, ch. 2: 17/70")
    assert not found.is_less


def test_the_convicted_twins() -> None:
    # R 4.2.2, from ?fisher.test: fisher.test(matrix(c(2, 10, 15, 3), 2), alternative = "less")$p.value
    found = compare_shares(15, 18, 2, 12)
    assert found.p_same == independent(0.000465180943363, way="R, fisher.test")
    assert found.is_less
    assert not found.is_gone


looked_and_part = st.tuples(st.integers(1, 60), st.floats(0, 1))


@law(before=looked_and_part, after=looked_and_part)
def test_less_is_fishers_exact_test(before: tuple[int, float], after: tuple[int, float]) -> None:
    (looked_before, b), (looked_after, a) = before, after
    seen_before, seen_after = round(b * looked_before), round(a * looked_after)
    found = compare_shares(seen_before, looked_before, seen_after, looked_after)
    table = [[seen_after, looked_after - seen_after], [seen_before, looked_before - seen_before]]
    p = stats.fisher_exact(table, alternative="less").pvalue
    assert found.p_same == pytest.approx(p, rel=1e-9)
    assert found.is_gone == (found.is_less and seen_after == 0 and found.after.less_than <= 0.25)


def test_one_clean_part_after_many_bad_ones_is_less_and_not_gone() -> None:
    """One of one may still be bad in 95 %: 11 without one bound it under a quarter (0.75^11 = 0.042)."""
    found = compare_shares(20, 20, 0, 1)
    assert (found.is_less, found.is_gone, found.pieces_needed) == (True, False, 11)
    assert compare_shares(20, 20, 0, 11).is_gone
    assert 0.75**10 > 0.05 > 0.75**11


def test_gone_is_none_seen_among_enough() -> None:
    few, many = compare_shares(6, 32, 0, 19), compare_shares(6, 32, 0, 20)
    assert few.pieces_needed == many.pieces_needed == 20
    assert (few.is_gone, many.is_gone) == (False, True)
    # R 4.2.2: fisher.test(matrix(c(0, 6, 32, 26), 2), alternative = "less")$p.value
    assert compare_shares(6, 32, 0, 32).p_same == independent(0.01208669075, way="R, fisher.test")


@law(looked=st.integers(1, 200), part=st.floats(0, 1), significance=st.floats(0.005, 0.2))
def test_so_many_without_one_show_it_and_one_fewer_do_not(
    looked: int, part: float, significance: float
) -> None:
    seen = max(1, round(part * looked))
    needed = compare_shares(seen, looked, 0, 1, significance=significance).pieces_needed
    assert needed is not None
    assert compare_shares(seen, looked, 0, needed, significance=significance).is_gone
    if needed > 1:
        assert not compare_shares(seen, looked, 0, needed - 1, significance=significance).is_gone


def test_what_was_never_seen_cannot_become_less() -> None:
    found = compare_shares(0, 50, 0, 50)
    assert (found.p_same, found.is_less, found.is_gone, found.pieces_needed) == (1.0, False, False, None)


def arrangements(looked: list[int], total: int) -> np.ndarray:
    """Seen in each place, for every way in which so many parts of all may show the finding."""
    place = np.repeat(np.arange(len(looked)), looked)
    chosen = combinations(range(len(place)), total)
    return np.array([np.bincount(place[list(one)], minlength=len(looked)) for one in chosen])


SMALL = [
    ([3, 4, 3], [0, 1, 3]),
    ([1, 6, 3], [1, 2, 0]),
    ([2, 2, 2, 2], [2, 0, 1, 0]),
    ([5, 5], [0, 3]),
    ([4, 4, 4], [1, 1, 1]),
]


@pytest.mark.parametrize(("looked", "seen"), SMALL)
def test_cavities_are_compared_over_every_arrangement_of_the_parts(
    looked: list[int], seen: list[int]
) -> None:
    def chi_square(table: np.ndarray) -> float:
        return float(stats.chi2_contingency([table, np.array(looked) - table], correction=False).statistic)

    every = np.array([chi_square(table) for table in arrangements(looked, sum(seen))])
    p = np.mean(every >= chi_square(np.array(seen)) - 1e-9)
    found = shares_by_cavity(seen, looked, [str(place) for place in range(len(looked))])
    assert found.exact
    assert found.p_same == independent(p, way="every arrangement counted")


@pytest.mark.parametrize(("looked", "seen"), SMALL)
def test_the_trend_is_compared_over_every_arrangement_of_the_parts(
    looked: list[int], seen: list[int]
) -> None:
    shots = np.array([2.0, 3.0, 7.0, 11.0])[: len(looked)]
    middle = np.repeat(shots, looked).mean()
    every = np.abs(arrangements(looked, sum(seen)) @ (shots - middle))
    p = np.mean(every >= abs(np.array(seen) @ (shots - middle)) - 1e-9)
    found = share_along_trial(seen, looked, shots)
    assert found.exact
    assert found.p_same == independent(p, way="every arrangement counted")


def test_one_cavity_of_four_is_found() -> None:
    found = shares_by_cavity([0, 0, 5, 1], [16, 16, 16, 16], ["1", "2", "3", "4"])
    # R 4.2.2: set.seed(1); chisq.test(m, simulate.p.value = TRUE, B = 2e6)$p.value with
    # m = rbind(c(0, 0, 5, 1), c(16, 16, 11, 15)): within the chance of its draws.
    way = "R, chisq.test, simulated"
    assert found.p_same == independent(0.01164999418, way=way, within=chance(0.0116, 2_000_000))
    assert found.differ
    assert found.cavities[2].found == share_interval(5, 16)


def test_a_fault_that_fades_is_found() -> None:
    found = share_along_trial([4, 3, 3, 2, 1, 1, 0, 0], [8] * 8, range_of_shots(8))
    # R 4.2.2, the trend over 400,000 sample() orders of the 64 parts: 0.00091
    way = "R, sample()"
    assert found.p_same == independent(0.00091, way=way, within=chance(0.00091, 400_000))
    assert found.change == "fades"
    assert (found.early.seen, found.late.seen if found.late else None) == (12, 2)
    assert share_along_trial([0, 0, 1, 1, 2, 3, 3, 4], [8] * 8, range_of_shots(8)).change == "grows"
    assert share_along_trial([1, 0, 1, 0, 1, 0, 1, 0], [8] * 8, range_of_shots(8)).change == "not shown"


def range_of_shots(count: int) -> list[float]:
    return [1.0 + 2 * shot for shot in range(count)]


def test_drawn_and_counted_tables_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    seen, looked, shots = [3, 1, 2, 0, 1], [8] * 5, range_of_shots(5)
    counted = share_along_trial(seen, looked, shots), shares_by_cavity(seen, looked, list("12345"))
    monkeypatch.setattr(attributes, "MOST_TABLES", 10)
    drawn = share_along_trial(seen, looked, shots), shares_by_cavity(seen, looked, list("12345"))
    for exact, seeded in zip(counted, drawn, strict=True):
        assert (exact.exact, seeded.exact) == (True, False)
        assert seeded.p_same == pytest.approx(exact.p_same, abs=chance(exact.p_same, DRAWS))


def test_the_trend_of_many_parts_is_that_of_every_table_there_is() -> None:
    """The counts of ?prop.trend.test in R, whose own p, 0.00413, is for large samples; this counts all."""
    seen, looked = np.array([83, 90, 129, 70]), np.array([86, 93, 136, 82])
    found = share_along_trial(seen.tolist(), looked.tolist(), [1, 2, 3, 4])
    without = int((looked - seen).sum())
    first = [one for one in np.ndindex(*[without + 1] * 3) if sum(one) <= without]
    tables = np.array([(*one, without - sum(one)) for one in first])
    probability = stats.multivariate_hypergeom.pmf(tables, looked, without)
    apart = np.abs(tables @ [1, 2, 3, 4] - without * (looked @ [1, 2, 3, 4]) / looked.sum())
    as_far = (
        apart
        >= np.abs((looked - seen) @ [1, 2, 3, 4] - without * (looked @ [1, 2, 3, 4]) / looked.sum()) - 1e-9
    )
    assert found.exact
    assert found.p_same == independent(
        float(probability[as_far].sum()), way="scipy.stats.multivariate_hypergeom"
    )
    assert found.change == "fades"


@law(
    seen=st.lists(st.integers(0, 6), min_size=2, max_size=5),
    scale=st.sampled_from([0.5, 2.0, 8.0]),
    shift=st.integers(0, 50),
)
def test_how_the_shots_are_counted_changes_nothing(seen: list[int], scale: float, shift: int) -> None:
    looked, shots = [6] * len(seen), [float(one) for one in range(len(seen))]
    one = share_along_trial(seen, looked, shots)
    other = share_along_trial(seen, looked, [scale * shot + shift for shot in shots])
    assert (one.p_same, one.change) == (pytest.approx(other.p_same), other.change)
    backwards = share_along_trial(seen[::-1], looked, shots)
    assert backwards.p_same == pytest.approx(one.p_same)
    assert {one.change, backwards.change} in ({"fades", "grows"}, {"not shown"})


def test_counts_of_one_cavity_are_added_up() -> None:
    one = shares_by_cavity([1, 2, 0, 1], [8, 8, 8, 8], ["1", "2", "1", "2"])
    other = shares_by_cavity([1, 3], [16, 16], ["1", "2"])
    assert one == other


def test_with_nothing_to_compare_nothing_is_said() -> None:
    for seen in (0, 8):
        found = shares_by_cavity([seen, seen], [8, 8], ["1", "2"])
        assert (found.p_same, found.differ) == (1.0, False)
    assert "one cavity" in shares_by_cavity([1], [8], ["1"]).cautions[0].text
    alone = share_along_trial([1], [8], [3])
    assert (alone.change, alone.late) == ("not shown", None)
    assert "one shot" in alone.cautions[0].text


def test_equal_cavities_are_said_to_differ_no_more_often_than_allowed() -> None:
    rng = np.random.default_rng(4)
    draws = 600
    alarms = [shares_by_cavity(rng.binomial(12, 0.2, 4), [12] * 4, list("1234")).differ for _ in range(draws)]
    assert np.mean(alarms) <= 0.05 + chance(0.05, draws)


@pytest.mark.parametrize(
    ("call", "argument", "limit"),
    [
        (lambda: share_interval(5, 4), "seen", "at most the 4"),
        (lambda: share_interval(0, 0), "looked_at", "at least 1"),
        (lambda: share_interval(-1, 4), "seen", "at least 0"),
        (lambda: compare_shares(1, 4, 5, 4), "seen_after", "at most the 4"),
        (lambda: shares_by_cavity([1.5], [4], ["1"]), "seen", "whole"),
        (lambda: shares_by_cavity([1], [4], []), "cavities", "each pair"),
        (lambda: shares_by_cavity([], [], []), "cavities", "each pair"),
        (lambda: share_along_trial([1, 2], [4, 4], [1]), "shots", "each pair"),
        (lambda: share_along_trial([1, float("nan")], [4, 4], [1, 2]), "seen", "finite"),
        (lambda: shares_by_cavity([1, 1], [10**6, 10**6], ["1", "2"]), "looked_at", "in all"),
    ],
)
def test_the_impossible_is_refused_by_name(call: object, argument: str, limit: str) -> None:
    with pytest.raises(ImpossibleInput, match=limit) as refused:
        call()  # type: ignore[operator]
    assert refused.value.argument == argument
