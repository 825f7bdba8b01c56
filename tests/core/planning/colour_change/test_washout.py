"""The old leaves as stirred tanks let it leave, none of it is lost, and the limits are plug and one tank."""

from __future__ import annotations

from math import exp, factorial, inf

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from offtool.core.planning import old_left
from offtool.core.planning.colour_change.washout import Washout
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, published, remembered

PATHS = st.builds(
    Washout,
    contents_g=st.floats(5, 2000),
    plug=st.floats(0, 0.9),
    tanks=st.floats(0.5, 8),
    slow=st.floats(0, 0.5),
    slow_stay=st.floats(1, 6),
    bypass=st.floats(0, 0.05),
)
LEVENSPIEL = "Levenspiel, Chemical Reaction Engineering: stirred tank, exp(-t / tau)"


@pytest.mark.parametrize(("contents", "left"), [(1, ".3679"), (2, ".1353"), (3, ".0498")])
def test_one_stirred_tank_is_washed_out_as_its_contents_go_through(contents: int, left: str) -> None:
    found = old_left(100.0 * contents, contents_g=100.0, plug=0.0, tanks=1.0, shot_g=1.0)
    assert found.old_left == published(left, source=LEVENSPIEL)


@pytest.mark.parametrize(("share", "contents"), [(0.05, "2.9957"), (0.01, "4.6052")])
def test_a_stirred_tank_is_clean_to_95_and_99_percent_after_so_many_contents(
    share: float, contents: str
) -> None:
    paths = Washout(contents_g=1.0, plug=0.0, tanks=1.0)
    shots = float(paths.shots_until(share, 0.0001))
    assert shots * 0.0001 == remembered(contents, source=LEVENSPIEL)


@pytest.mark.parametrize("tanks", [2, 3, 5])
def test_whole_tanks_in_series_are_the_sum_of_a_poisson(tanks: int) -> None:
    """Levenspiel's tanks in series: F = exp(-nt) times the sum of (nt)^k / k!"""
    paths = Washout(contents_g=100.0, plug=0.0, tanks=float(tanks))
    through = np.array([20.0, 80.0, 150.0, 300.0])
    turns = tanks * through / 100
    by_sum = [exp(-x) * sum(x**k / factorial(k) for k in range(tanks)) for x in turns]
    assert paths.old_left(through) == independent(by_sum, way="sum of a Poisson", rel=1e-12)


def test_tanks_and_a_corner_are_what_their_balances_give() -> None:
    """Two tanks after each other beside a slow one, as differential equations of what is in each."""
    paths = Washout(contents_g=120.0, plug=0.0, tanks=2.0, slow=0.2, slow_stay=2.5)
    flow = 0.2 / 2.5
    main = 120.0 * 0.8

    def change(_: float, left: np.ndarray) -> list[float]:
        into = (1 - flow) / (main / 2)
        return [-into * left[0], into * (left[0] - left[1]), -flow / (120.0 * 0.2) * left[2]]

    through = np.array([10.0, 60.0, 150.0, 400.0])
    solved = solve_ivp(change, (0, 400), [1.0, 1.0, 1.0], t_eval=through, rtol=1e-10, atol=1e-12)
    out = (1 - flow) * solved.y[1] + flow * solved.y[2]
    assert paths.old_left(through) == independent(out, way="solve_ivp over the tanks' balances", rel=1e-7)


@law(paths=PATHS)
def test_all_the_old_that_was_in_comes_out_and_no_more(paths: Washout) -> None:
    """The bypass holds nothing."""
    assert float(paths.old_out_g(1e7)) == pytest.approx(float(paths.contents_g), rel=1e-6)


@law(paths=PATHS, shot=st.floats(1, 500))
def test_the_shots_together_hold_what_came_out(paths: Washout, shot: float) -> None:
    shots = np.arange(1, 200)
    in_shots = float(paths.old_in_shot(shots, shot).sum() * shot)
    assert in_shots == pytest.approx(float(paths.old_out_g(199 * shot)), rel=1e-9)


@law(paths=PATHS)
def test_it_begins_full_and_falls(paths: Washout) -> None:
    left = paths.old_left(np.linspace(0, 20 * float(paths.contents_g), 300))
    assert left[0] == pytest.approx(1 - float(paths.bypass), rel=1e-9)
    assert (np.diff(left) <= 1e-12).all()
    assert (left >= 0).all()


@law(paths=PATHS, through=st.floats(1, 3000))
def test_what_came_out_is_the_area_under_what_is_left(paths: Washout, through: float) -> None:
    plug = float(paths._plug_g)
    area, _ = quad(lambda m: float(paths.old_left(m)), 0, through, points=[min(plug, through)], limit=400)
    assert float(paths.old_out_g(through)) == pytest.approx(area, rel=1e-6, abs=1e-6)


@law(paths=PATHS, times=st.floats(0.1, 50), through=st.floats(0.1, 2000))
def test_twice_the_contents_take_twice_the_melt(paths: Washout, times: float, through: float) -> None:
    assert float(paths.larger(times).old_left(times * through)) == pytest.approx(
        float(paths.old_left(through)), rel=1e-9, abs=1e-12
    )


def test_very_many_tanks_are_a_plug() -> None:
    paths = Washout(contents_g=100.0, plug=0.0, tanks=9000.0)
    assert float(paths.old_left(95.0)) == pytest.approx(1, abs=1e-5)
    assert float(paths.old_left(105.0)) == pytest.approx(0, abs=1e-5)


def test_all_plug_delays_and_does_not_mix() -> None:
    paths = Washout(contents_g=100.0, plug=0.999999, tanks=1.0)
    assert float(paths.old_left(99.0)) == pytest.approx(1, abs=1e-9)
    assert float(paths.old_left(101.0)) == pytest.approx(0, abs=1e-9)


def test_without_corners_the_tail_is_that_of_the_tank_alone() -> None:
    with_none = Washout(contents_g=100.0, plug=0.0, tanks=1.0, slow=0.0, slow_stay=5.0)
    assert float(with_none.old_left(1000.0)) == independent(exp(-10), way="exp(-m / contents)", rel=1e-9)


@law(paths=PATHS, share=st.floats(0.001, 0.9), shot=st.floats(1, 300))
def test_the_shot_that_passes_is_the_first_and_the_one_before_does_not(
    paths: Washout, share: float, shot: float
) -> None:
    outside = float(paths.shots_until(share, shot))
    if outside == inf:
        return
    assert float(paths.old_in_shot(outside + 1, shot)) <= share
    if outside:
        assert float(paths.old_in_shot(outside, shot)) > share


def test_what_never_leaves_is_said_to_be_endless() -> None:
    paths = Washout(contents_g=1e6, plug=0.0, tanks=1.0)
    assert float(paths.shots_until(1e-9, 0.001)) == inf


def test_purging_into_the_open_counts_as_shots_that_nobody_sees() -> None:
    paths = Washout(contents_g=150.0, plug=0.2, tanks=1.5, slow=0.2, slow_stay=2.0)
    assert float(paths.old_in_shot(1, 25.0, 250.0)) == pytest.approx(float(paths.old_in_shot(11, 25.0)))


def test_corners_that_would_take_all_the_flow_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="above the share in slow corners"):
        old_left(10.0, contents_g=100.0, plug=0.0, tanks=1.0, shot_g=5.0, slow=0.5, slow_stay=0.4)
