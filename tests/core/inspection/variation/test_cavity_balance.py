"""Part weights by cavity: the figure, its interval, what is shown."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats
from tests.core.laws import law
from tests.labels import independent, practice

from offtool.core.inspection.variation import CavityBalance, cavity_balance
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict


def balance(means: list[float], sd: float, parts: int = 8, *, fill_only: bool = False) -> CavityBalance:
    """Of cavities whose weights spread evenly by `sd` about their means."""
    step = np.linspace(-1, 1, parts)
    step = sd * step / step.std(ddof=1) if parts > 1 else np.zeros(1)
    values = [m + one for m in means for one in step]
    return cavity_balance(
        values, [str(i) for i in range(1, len(means) + 1) for _ in range(parts)], fill_only=fill_only
    )


def test_the_figure_is_the_spread_over_the_heaviest() -> None:
    found = balance([10.0, 9.8, 9.5], 0.01)
    assert found.imbalance_percent == independent(5.0, way="by hand: (10 - 9.5) / 10", rel=1e-9)
    assert (found.heaviest, found.lightest) == ("1", "3")


def test_the_limits_are_those_of_the_trade() -> None:
    assert balance([10.0, 9.9], 0.01, fill_only=True).limit_percent == practice("5")
    assert balance([10.0, 9.9], 0.01).limit_percent == practice("2")


def test_two_cavities_have_the_interval_of_their_difference() -> None:
    """Student's t; the heaviest weight in the denominator moves by next to nothing."""
    found = balance([10.0, 9.5], 0.1)
    assert found.interval is not None
    reach = stats.t(14).ppf(0.975) * 0.1 * np.sqrt(2 / 8)
    expected = [100 * (0.5 - reach) / 10, 100 * (0.5 + reach) / 10]
    assert [found.interval.low, found.interval.high] == independent(expected, way="t by scipy", rel=0.01)


@pytest.mark.parametrize(
    ("means", "fill_only", "verdict"),
    [
        ([10.0, 9.9, 9.8], True, Verdict.HOLDS),
        ([10.0, 9.9, 9.2], True, Verdict.FAILS),
        ([10.0, 9.9, 9.505], True, Verdict.NOT_SHOWN),
        ([10.0, 9.95, 9.9], False, Verdict.HOLDS),
        ([10.0, 9.9, 9.2], False, Verdict.FAILS),
        ([10.0, 9.81, 9.7], False, Verdict.NOT_SHOWN),
    ],
)
def test_the_verdict_waits_until_it_is_sure(means: list[float], fill_only: bool, verdict: Verdict) -> None:
    found = balance(means, 0.05, fill_only=fill_only)
    assert found.verdict is verdict
    assert found.to_do
    if verdict is Verdict.FAILS:
        assert "cavit" in found.to_do


def test_even_cavities_may_be_even() -> None:
    """A difference that chance makes is no imbalance: the interval reaches down to zero."""
    rng = np.random.default_rng(1)
    found = cavity_balance(rng.normal(10, 0.05, 40), [str(i) for i in range(8) for _ in range(5)])
    assert found.imbalance_percent > 0.3
    assert found.interval is not None
    assert found.interval.low == 0.0


@law(seed=st.integers(0, 999), scale=st.floats(0.01, 100), examples=20)
def test_names_order_and_unit_do_not_matter(seed: int, scale: float) -> None:
    rng = np.random.default_rng(seed)
    cavity = np.repeat(np.arange(4), 5)
    values = 10 + 0.05 * cavity + 0.03 * rng.normal(size=20)
    one = cavity_balance(values, [str(c) for c in cavity])
    order = rng.permutation(20)
    other = cavity_balance(scale * values[order], [f"cavity {c}" for c in cavity[order]])
    assert other.imbalance_percent == pytest.approx(one.imbalance_percent)
    assert one.interval is not None
    assert other.interval is not None
    assert other.interval.low == pytest.approx(one.interval.low, abs=1e-5)
    assert other.interval.high == pytest.approx(one.interval.high, rel=1e-5)


def test_more_parts_draw_the_interval_in() -> None:
    wide, narrow = balance([10.0, 9.8, 9.6], 0.1, 4).interval, balance([10.0, 9.8, 9.6], 0.1, 30).interval
    assert wide is not None
    assert narrow is not None
    assert narrow.half_width < wide.half_width / 2


def test_one_weight_a_cavity_shows_nothing_but_the_figure() -> None:
    found = balance([10.0, 9.0], 0.0, 1)
    assert (found.imbalance_percent, found.interval, found.verdict) == (
        pytest.approx(10.0),
        None,
        Verdict.NOT_SHOWN,
    )
    assert "one weight a cavity" in str(found.cautions[0])


def test_equal_weights_close_the_interval_with_a_caution() -> None:
    found = balance([10.0, 9.9], 0.0, 3)
    assert found.interval is not None
    assert found.interval.low == found.interval.high == pytest.approx(1.0)
    assert "too coarse" in str(found.cautions[0])


def test_what_has_no_balance_is_refused() -> None:
    with pytest.raises(NotEnoughData, match="one cavity"):
        cavity_balance([1.0, 2.0], ["1", "1"])
    with pytest.raises(ImpossibleInput, match="above 0"):
        cavity_balance([1.0, 0.0], ["1", "2"])
