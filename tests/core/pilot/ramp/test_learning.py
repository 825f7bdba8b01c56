"""Learning: the printed table, sums added up one by one, R's fit, exact curves, coverage."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.pilot.ramp import fit_learning, learning_curve, ramp_up
from offtool.core.pilot.ramp.learning import sum_of_powers
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, practice, remembered

TABLE = "standard 80 % table, Heizer and Render, Operations Management"
EIGHT_HOURS = [31, 39, 43, 48, 50, 54, 55, 58]


@pytest.mark.parametrize(
    ("pieces", "printed"),
    [(2, ".8000"), (4, ".6400"), (8, ".5120"), (10, ".4765"), (16, ".4096"), (20, ".3812")],
)
def test_the_printed_unit_times(pieces: int, printed: str) -> None:
    found = learning_curve(1.0, learning=0.8, pieces=pieces, kind="unit")
    assert found.piece_s == remembered(printed, source=TABLE)


@pytest.mark.parametrize(("pieces", "printed"), [(10, "6.315"), (20, "10.485")])
def test_the_printed_sums(pieces: int, printed: str) -> None:
    found = learning_curve(3600.0, learning=0.8, pieces=pieces, kind="unit")
    assert found.total_h == remembered(printed, source=TABLE)


@pytest.mark.parametrize("b", [-1.0, -0.9, -0.3219280948873623, -0.074, 0.0])
@pytest.mark.parametrize("n", [1, 10_000, 10_001, 300_000])
def test_long_sums_are_those_added_up(n: int, b: float) -> None:
    one_by_one = float(np.sum(np.arange(1, n + 1, dtype=np.longdouble) ** np.longdouble(b)))
    assert sum_of_powers(n, b) == independent(one_by_one, way="added up", rel=1e-11)


@law(first=st.floats(1, 1e4), learning=st.floats(0.55, 1), pieces=st.integers(1, 50_000))
def test_a_doubling_leaves_the_learning_rate_of_what_it_says(
    first: float, learning: float, pieces: int
) -> None:
    for kind, name in (("unit", "piece_s"), ("cumulative average", "average_s")):
        one, two = (
            learning_curve(first, learning=learning, pieces=n, kind=kind)  # type: ignore[arg-type]
            for n in (pieces, 2 * pieces)
        )
        assert getattr(two, name) == pytest.approx(learning * getattr(one, name), rel=1e-9)


@law(learning=st.floats(0.55, 1), pieces=st.integers(1, 300))
def test_the_pieces_of_a_cumulative_average_add_up_to_its_total(learning: float, pieces: int) -> None:
    curve = [
        learning_curve(1.0, learning=learning, pieces=n, kind="cumulative average")
        for n in range(1, pieces + 1)
    ]
    assert sum(one.piece_s for one in curve) == pytest.approx(curve[-1].total_h * 3600, rel=1e-9)


def test_no_learning_is_one_time_for_all() -> None:
    found = learning_curve(30.0, learning=1.0, pieces=1000, kind="unit")
    assert (found.piece_s, found.average_s) == (30.0, 30.0)


def test_usual_learning_is_answered_without_a_caution_and_odd_with_one() -> None:
    assert practice("0.85") == 0.85
    assert learning_curve(30.0, learning=0.85, pieces=10, kind="unit").cautions == ()
    assert learning_curve(30.0, learning=0.6, pieces=10, kind="unit").cautions
    with pytest.raises(ImpossibleInput):
        learning_curve(30.0, learning=1.1, pieces=10, kind="unit")


def exact_hours(learning: float, start: float, hours: int, before: float = 0.0) -> list[float]:
    """Pieces of each hour where rate = start * made^m; made^(1 - m) then grows evenly."""
    m = -np.log2(learning)
    ends = (before ** (1 - m) + (1 - m) * start * np.arange(hours + 1)) ** (1 / (1 - m))
    return np.diff(ends).tolist()


@law(
    learning=st.floats(0.75, 0.999),
    start=st.floats(1, 50),
    before=st.integers(0, 500),
    hours=st.integers(3, 15),
)
def test_an_exact_curve_is_given_back(learning: float, start: float, before: int, hours: int) -> None:
    found = fit_learning(exact_hours(learning, start, hours, before), made_before=before)
    assert found.learning == pytest.approx(learning, rel=1e-6)
    rate = start * sum([before, *exact_hours(learning, start, hours, before)]) ** -np.log2(learning)
    assert found.rate_per_h == pytest.approx(rate, rel=1e-6)


def test_the_fit_is_that_of_r() -> None:
    found = fit_learning(EIGHT_HOURS, made_before=0)
    # R 4.2.2: e <- cumsum(y); s <- e - y; m <- 1e-6; sixty times: x <- log(((e - s) * (1 - m) /
    # (e^(1 - m) - s^(1 - m)))^(1 / m)); f <- lm(log(y) ~ x); m <- coef(f)[2]; then 2^-m, 2^-confint(f),
    # exp(predict(f, data.frame(x = log(e[8])), interval = "confidence"))
    assert found.learning == independent(0.8833870710404, way="R, lm", rel=1e-10)
    ends = (found.learning_interval.low, found.learning_interval.high)
    assert ends == independent((0.8716381600317, 0.8952943469720), way="R, confint", rel=1e-10)
    ends = (found.rate_interval.low, found.rate_interval.high)
    assert ends == independent((55.7565200661, 59.3615281282), way="R, predict", rel=1e-10)


def noisy_hours(random: np.random.Generator, before: float, hours: int = 8) -> list[float]:
    """Hours of an 85 % line, each better or worse by chance; people learn from what was really made."""
    m, made, found = -np.log2(0.85), before, []
    for _ in range(hours):
        end = (made ** (1 - m) + (1 - m) * 15.0 * np.exp(random.normal(0, 0.05))) ** (1 / (1 - m))
        found.append(float(end - made))
        made = end
    return found


@pytest.mark.parametrize("before", [0, 200])
def test_the_intervals_hold_the_truth_as_often_as_they_say(before: int) -> None:
    random = np.random.default_rng(9)
    learning, reached = [], []
    for _ in range(1500):
        hours = noisy_hours(random, before)
        found = fit_learning(hours, made_before=before, confidence=0.9)
        learning.append(0.85 in found.learning_interval)
        reached.append(15.0 * (before + sum(hours)) ** -np.log2(0.85) in found.rate_interval)
    # the first hour from nothing carries some of its own chance into the quantity: one in a hundred
    assert np.mean(learning) == pytest.approx(0.9, abs=0.01 + chance(0.1, 1500))
    assert np.mean(reached) == pytest.approx(0.9, abs=0.01 + chance(0.1, 1500))


def test_steady_hours_show_no_learning_and_say_so() -> None:
    found = fit_learning([50, 51, 49, 50, 50, 51], made_before=0)
    assert 1 in found.learning_interval
    assert any("no learning is shown" in one.text for one in found.cautions)
    assert found.learning_for_ramp == (found.learning_interval.low, 1.0)


def test_little_more_than_before_is_said() -> None:
    found = fit_learning([50, 51, 53, 52], made_before=5000)
    assert any("did not double" in one.text for one in found.cautions)


def test_two_hours_show_nothing() -> None:
    with pytest.raises(NotEnoughData, match="2 hours show no learning"):
        fit_learning([30, 40], made_before=0)


def test_what_a_pilot_shows_goes_into_the_ramp() -> None:
    found = fit_learning(EIGHT_HOURS, made_before=0)
    low, high = found.learning_for_ramp
    ramp = ramp_up(
        5000,
        start_per_h_low=found.rate_interval.low,
        start_per_h_high=found.rate_interval.high,
        planned_per_h=120.0,
        learning_low=low,
        learning_high=high,
        made_before=found.made,
        hours_per_day=8.0,
        start_yield_low=0.9,
        start_yield_high=0.95,
        planned_yield=0.98,
        days_to_half=4.0,
        days=60,
    )
    assert 5000 / (120 * 8) < ramp.middle_day < 5000 / (found.rate_interval.low * 8 * 0.9)
