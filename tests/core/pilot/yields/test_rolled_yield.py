"""Yields of stations and of the line: R's intervals, products integrated and drawn, coverage, laws."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, stats

from offtool.core.pilot.yields import rolled_yield
from offtool.core.pilot.yields.product import beta_product_quantile, product_interval
from offtool.core.values import ImpossibleInput, Verdict
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent


def test_one_station_has_the_interval_of_r() -> None:
    found = rolled_yield(["weld"], [32], [29], [2])
    # R 4.2.2: binom.test(29, 32)$conf.int; binom.test(31, 32)$conf.int
    ends = (found.first.interval.low, found.first.interval.high)
    assert ends == independent((0.7497730493162, 0.9802328198267), way="R, binom.test")
    assert ends == (found.stations[0].first.interval.low, found.stations[0].first.interval.high)
    assert found.final.share == 31 / 32
    assert found.stations[0].lost == 1


@pytest.mark.parametrize(
    ("good", "tried"),
    [
        ([19, 18], [20, 20]),
        ([5, 20], [20, 20]),
        ([20, 20], [20, 20]),
        ([1, 1], [2, 2]),
        ([480, 95], [500, 100]),
    ],
)
def test_two_stations_are_integrated(good: list[int], tried: list[int]) -> None:
    """P(X Y <= v) = integral over x of f(x) F(v / x), by the library's beta and quadrature."""
    found = product_interval(np.array(good), np.array(tried), confidence=0.9)

    def below(v: float, a: list[int], b: list[int]) -> float:
        one, other = stats.beta(a[0], b[0]), stats.beta(a[1], b[1])
        points = [v, float(one.mean())]
        value = integrate.quad(
            lambda x: one.pdf(x) * other.cdf(min(v / x, 1.0)), 0, 1, points=points, limit=200
        )[0]
        return float(value)

    bad = [n - x for x, n in zip(good, tried, strict=True)]
    assert below(found.low, good, [one + 1 for one in bad]) == pytest.approx(0.05, abs=1e-6)
    if min(bad) > 0:
        assert below(found.high, [one + 1 for one in good], bad) == pytest.approx(0.95, abs=1e-6)
    else:  # a station without a bad piece may be perfect: it takes nothing from the high end
        some = [stats.beta.ppf(0.95, x + 1, n) for x, n in zip(good, bad, strict=True) if n]
        assert found.high == pytest.approx(some[0] if some else 1.0)


def test_many_stations_agree_with_draws() -> None:
    random = np.random.default_rng(3)
    good, tried = np.array([48, 45, 50, 39, 50, 47]), np.full(6, 50)
    found = product_interval(good, tried, confidence=0.95)
    low = random.beta(good[:, None], (tried - good)[:, None] + 1, (6, 200_000)).prod(axis=0)
    some = tried > good
    high = random.beta(good[some][:, None] + 1, (tried - good)[some][:, None], (4, 200_000)).prod(axis=0)
    assert np.mean(low <= found.low) == pytest.approx(0.025, abs=chance(0.025, 200_000))
    assert np.mean(high <= found.high) == pytest.approx(0.975, abs=chance(0.025, 200_000))


@pytest.mark.parametrize(
    ("tried", "shares"),
    [
        (8, (0.9, 0.8)),
        (20, (0.95, 0.95, 0.95)),
        (20, (0.99, 0.9, 0.98)),
        (40, (0.97, 0.97)),
        (12, (0.5, 0.9)),
    ],
)
def test_the_interval_holds_the_true_yield_as_often_as_it_says(tried: int, shares: tuple[float, ...]) -> None:
    """Not drawn: every result that these stations can give, with its probability."""
    if len(shares) == 2:
        results = list(product(range(tried + 1), repeat=2))
        weights = [float(np.prod(stats.binom.pmf(result, tried, shares))) for result in results]
    else:
        drawn = np.random.default_rng(11).binomial(tried, shares, (4000, len(shares)))
        rows, counts = np.unique(drawn, axis=0, return_counts=True)
        results, weights = [tuple(row) for row in rows.tolist()], (counts / 4000).tolist()
    true, missed_low, missed_high, held = float(np.prod(shares)), 0.0, 0.0, 0.0
    for result, weight in zip(results, weights, strict=True):
        if weight < 1e-7:
            continue
        found = product_interval(np.array(result), np.full(len(shares), tried), confidence=0.9)
        missed_low += weight * (true > found.high)
        missed_high += weight * (true < found.low)
        held += weight * (true in found)
    allowed = 0.0 if len(shares) == 2 else chance(0.05, 4000)
    assert missed_low <= 0.05 + allowed
    assert missed_high <= 0.05 + allowed
    assert held <= 1


small = st.lists(st.tuples(st.integers(1, 60), st.floats(0, 1)), min_size=1, max_size=6)


@law(examples=40, stations=small)
def test_the_order_of_the_stations_is_of_no_matter(stations: list[tuple[int, float]]) -> None:
    tried = [n for n, _ in stations]
    good = [round(part * n) for n, part in stations]
    one = rolled_yield([str(k) for k in range(len(tried))], tried, good, [0] * len(tried))
    other = rolled_yield([str(k) for k in range(len(tried))], tried[::-1], good[::-1], [0] * len(tried))
    assert one.first.share == pytest.approx(other.first.share)
    assert one.first.interval.low == pytest.approx(other.first.interval.low, abs=1e-7)
    assert one.first.interval.high == pytest.approx(other.first.interval.high, abs=1e-7)
    assert one.first.interval.low <= one.first.share + 1e-9
    assert one.first.interval.high >= one.first.share - 1e-9


@law(examples=40, tried=st.integers(5, 200), good=st.floats(0.5, 1), scale=st.integers(2, 5))
def test_more_pieces_of_the_same_share_narrow_the_interval(tried: int, good: float, scale: int) -> None:
    count = round(good * tried)
    few = product_interval(np.array([count, count]), np.array([tried, tried]), confidence=0.95)
    many = product_interval(
        np.array([count, count]) * scale, np.array([tried, tried]) * scale, confidence=0.95
    )
    assert few.low <= many.low + 1e-9
    assert few.high >= many.high - 1e-9


def test_rework_only_raises_the_yield_and_none_leaves_it() -> None:
    none = rolled_yield(["a", "b"], [50, 50], [45, 48], [0, 0])
    assert none.first == none.final
    some = rolled_yield(["a", "b"], [50, 50], [45, 48], [5, 1])
    assert some.first == none.first
    assert some.final.share == 49 / 50
    assert (some.worst, some.stations[0].lost) == ("a", 0)


@pytest.mark.parametrize(
    ("planned", "verdict"), [(0.80, Verdict.HOLDS), (0.89, Verdict.NOT_SHOWN), (0.95, Verdict.FAILS)]
)
def test_a_plan_is_judged_by_the_whole_interval(planned: float, verdict: Verdict) -> None:
    names = ["weld", "paint", "pack"]
    found = rolled_yield(names, [300, 298, 290], [291, 275, 288], [7, 15, 2], planned_first=planned)
    assert found.first.verdict is verdict
    assert found.final.verdict is None


def test_a_station_with_none_good_gives_no_lower_end() -> None:
    found = rolled_yield(["a", "b"], [5, 5], [0, 5], [0, 0])
    assert found.first.share == 0.0
    assert found.first.interval.low == 0.0
    assert 0 < found.first.interval.high < 1


def test_few_pieces_are_said_by_station() -> None:
    found = rolled_yield(["weld", "paint"], [12, 300], [12, 280], [0, 0])
    assert any("12" not in one.text and "weld" in one.text for one in found.cautions)
    assert not any("paint" in one.text for one in found.cautions)


@pytest.mark.parametrize(
    ("stations", "tried", "good", "again", "argument", "says"),
    [
        (["weld", "paint"], [50, 50], [50, 51], [0, 0], "good_first", "at 'paint': a yield over 1 cannot be"),
        (["weld", "paint"], [50, 50], [45, 45], [0, 6], "reworked_good", "the 5 that were not good first"),
        (["weld", "paint"], [50, 50], [45, 4.5], [0, 0], "good_first", "must be whole, at 'paint'"),
        (["weld", "paint"], [50, 50], [45], [0, 0], "good_first", "must be 2 counts"),
        (["weld", "weld"], [50, 50], [45, 45], [0, 0], "stations", "stands twice"),
        (["weld", " "], [50, 50], [45, 45], [0, 0], "stations", "in row 2"),
        ([], [], [], [], "stations", "at least one"),
        (["weld"], [0], [0], [0], "tried", "at least 1"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_station(
    stations: list[str], tried: list[float], good: list[float], again: list[float], argument: str, says: str
) -> None:
    with pytest.raises(ImpossibleInput, match=says) as refused:
        rolled_yield(stations, tried, good, again)
    assert refused.value.argument == argument


def test_what_still_waits_is_told_and_counts_as_not_good() -> None:
    found = rolled_yield(["weld", "paint"], [60, 60], [50, 55], [6, 5], scrapped=[1, 0])
    assert [(one.lost, one.waiting) for one in found.stations] == [(4, 3), (0, 0)]
    assert any(caution.text.startswith("3 at weld are neither") for caution in found.cautions)
    assert found.final == rolled_yield(["weld", "paint"], [60, 60], [50, 55], [6, 5]).final
    assert rolled_yield(["weld"], [60], [50], [6]).stations[0].waiting is None
    with pytest.raises(ImpossibleInput, match="at most the 4 that are not good at 'weld'") as refused:
        rolled_yield(["weld", "paint"], [60, 60], [50, 55], [6, 5], scrapped=[5, 0])
    assert refused.value.argument == "scrapped"


def test_a_planned_yield_over_one_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match=r"95 % is 0\.95") as refused:
        rolled_yield(["weld"], [50], [49], [0], planned_first=95.0)
    assert refused.value.argument == "planned_first"


@law(
    examples=60,
    a=st.integers(1, 100_000),
    b=st.integers(1, 500),
    c=st.integers(1, 500),
    tail=st.floats(0.001, 0.999),
)
def test_the_product_that_is_a_beta_again(a: int, b: int, c: int, tail: float) -> None:
    """Beta(a, b) times Beta(a + b, c) is Beta(a, b + c), exactly."""
    found = beta_product_quantile(np.array([a, a + b], float), np.array([b, c], float), tail)
    assert stats.beta.cdf(found, a, b + c) == pytest.approx(tail, abs=1e-6)
