"""The first settled shot: exact series, the statistic by brute force, and how often it errs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import optimize

from offtool.core.inspection import Settled, find_settled_shot
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

STILL = [4.001, 3.999, 4.000, 4.002, 3.998, 4.001, 4.000, 3.999, 4.001, 3.999, 4.000, 4.002]


def found_in(values: np.ndarray, first: int = 1, every: int = 1) -> Settled:
    """The settled shot of values[shot, size]."""
    shots, sizes = values.shape
    number = np.repeat(first + every * np.arange(shots), sizes)
    names = [f"size {i}" for i in range(sizes)] * shots
    return find_settled_shot(number.tolist(), values.ravel().tolist(), names)


def column(values: list[float]) -> np.ndarray:
    """One size, shot by shot."""
    return np.array(values)[:, None]


@pytest.mark.parametrize("unsettled", [[3.90], [3.90, 3.95], [3.90, 3.94, 3.97, 3.99]])
def test_the_shots_that_plainly_differ_are_dropped_and_no_other(unsettled: list[float]) -> None:
    found = found_in(column([*unsettled, *STILL]))
    assert found.discarded == len(unsettled)
    assert found.settled == len(unsettled) + 1


def test_shots_are_named_by_their_number_not_by_their_place() -> None:
    found = found_in(column([3.90, 3.95, *STILL]), first=5, every=3)
    assert found.settled == 11


def test_the_start_has_the_least_error_of_the_mean() -> None:
    """By loops in plain Python: of every start up to the middle, the least sum of (SS + 0.05 n) / n^2, each
    size on its spread over all shots."""
    rng = np.random.default_rng(8)
    number = np.arange(1, 25)
    drift = np.exp(-number / 4)[:, None] * np.array([-9.0, 6.0, 12.0])
    values = 4 + 0.002 * (drift + rng.normal(0, 1, (24, 3)))
    scale = values.std(axis=0, ddof=1)

    def error(start: int) -> float:
        total = 0.0
        for size in range(3):
            rest = [values[shot, size] / scale[size] for shot in range(start, 24)]
            mean = sum(rest) / len(rest)
            total += (sum((one - mean) ** 2 for one in rest) + 0.05 * len(rest)) / len(rest) ** 2
        return total

    assert found_in(values).discarded == min(range(13), key=error)


@pytest.mark.parametrize("time_constant", [2.0, 4.0])
@pytest.mark.parametrize("sizes", [1, 12])
def test_the_end_of_an_exponential_is_found_within_a_shot(time_constant: float, sizes: int) -> None:
    """Dropping a shot is right while its drift is above one standard deviation of what is read: below that it
    costs more than it saves. A drift that starts at twelve of them comes down to one after t ln 12 shots."""
    rng = np.random.default_rng(4)
    drift = 12 * np.exp(-np.arange(1, 31) / time_constant)[:, None]
    discarded = [found_in(drift + rng.normal(0, 1, (30, sizes))).discarded for _ in range(60)]
    assert np.median(discarded) == pytest.approx(int(time_constant * np.log(12)), abs=1)


@pytest.mark.parametrize(
    ("shots", "sizes", "in_common"),
    [
        (8, 1, 0.0),
        (20, 1, 0.0),
        (30, 40, 0.0),
        (8, 8, 0.0),
        (8, 40, 0.0),  # few shots, many sizes
        (12, 8, 0.5),
        (20, 40, 0.9),  # sizes of one shot move together: one melt, one pressure
    ],
)
def test_a_settled_trial_hardly_ever_loses_shots(shots: int, sizes: int, in_common: float) -> None:
    """At most one settled trial in ten. `in_common` is the share of variance that a shot's sizes share."""
    rng = np.random.default_rng(6)
    draws = 200
    lost = 0
    for _ in range(draws):
        common = np.sqrt(in_common) * rng.normal(0, 1, (shots, 1))
        own = np.sqrt(1 - in_common) * rng.normal(0, 1, (shots, sizes))
        lost += found_in(4 + 0.002 * (common + own)).discarded > 0
    assert lost / draws <= 0.10


def test_a_start_that_differs_is_dropped_though_the_gauge_reads_the_rest_equal() -> None:
    """A balance that weighs to 0.1 g reads every settled part the same."""
    found = found_in(column([3.90, 3.95, *[4.0] * 10]))
    assert found.discarded == 2


def test_what_moves_half_way_through_is_said_to() -> None:
    found = found_in(column([4 - 0.02 * i for i in range(10)] + [3.8, 3.801, 3.799, 3.8, 3.801, 3.8]))
    assert found.discarded == 8
    assert "run longer" in str(found.cautions[0])


@pytest.mark.parametrize("shots", [0, 1, 7])
def test_under_eight_shots_it_cannot_be_told(shots: int) -> None:
    found = found_in(column([3.9, *STILL][:shots]))
    assert (found.settled, found.discarded, found.shots) == (None, 0, shots)
    assert str(found.cautions[0]) == f"{shots} shots measured: settling cannot be told under 8"


def test_equal_readings_are_settled_from_the_first() -> None:
    found = found_in(np.full((12, 3), 4.0))
    assert (found.settled, found.discarded) == (1, 0)


def test_parts_of_one_shot_count_as_one_reading_of_their_mean() -> None:
    once = found_in(column([3.90, 3.95, *STILL]))
    twice = find_settled_shot(
        [shot for shot in range(1, 15) for _ in range(2)],
        [value + off for value in [3.90, 3.95, *STILL] for off in (-0.01, 0.01)],
        ["size 0"] * 28,
    )
    assert (twice.settled, twice.sizes) == (once.settled, 1)


def test_a_size_not_measured_at_every_shot_still_counts() -> None:
    shots = [*range(1, 15), *range(1, 15, 2)]
    values = [3.90, 3.95, *STILL, *[7.90, 7.97, 8.001, 8.0, 7.999, 8.0, 8.001]]
    found = find_settled_shot(shots, values, ["peg"] * 14 + ["wall"] * 7)
    assert (found.discarded, found.sizes) == (3, 2)  # the wall still moved at shot 3


@law(
    seed=st.integers(0, 999),
    scale=st.floats(0.01, 100),
    shift=st.floats(-100, 100),
)
def test_the_unit_and_the_zero_of_a_size_do_not_matter(seed: int, scale: float, shift: float) -> None:
    rng = np.random.default_rng(seed)
    values = rng.normal(0, 1, (14, 3)) + 8 * np.exp(-np.arange(14) / 2)[:, None]
    other = values.copy()
    other[:, 1] = scale * other[:, 1] + shift
    assert found_in(values).settled == found_in(other).settled


@law(seed=st.integers(0, 999))
def test_the_order_of_the_rows_does_not_matter(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = (rng.normal(0, 1, (14, 3)) + 8 * np.exp(-np.arange(14) / 2)[:, None]).ravel()
    shots = np.repeat(np.arange(1, 15), 3)
    names = np.array(["a", "b", "c"] * 14)
    mixed = rng.permutation(len(values))
    one = find_settled_shot(shots, values, names.tolist())
    other = find_settled_shot(shots[mixed], values[mixed], names[mixed].tolist())
    assert one.settled == other.settled
    assert other.p_same == pytest.approx(one.p_same, rel=1e-6)


def test_the_lists_must_be_equally_long() -> None:
    with pytest.raises(ImpossibleInput, match="must be equally many"):
        find_settled_shot([1, 2], [4.0, 4.1], ["a"])


def approach(
    seed: int, shots: int, sizes: int, time_constant: float, height: float, in_common: float = 0.0
) -> np.ndarray:
    """[shot, size] that come to rest exponentially, with noise of 1."""
    rng = np.random.default_rng(seed)
    noise = np.sqrt(in_common) * rng.normal(size=(shots, 1))
    noise = noise + np.sqrt(1 - in_common) * rng.normal(size=(shots, sizes))
    return np.asarray(
        height * rng.choice([-1.0, 1.0], sizes) * np.exp(-np.arange(shots) / time_constant)[:, None] + noise
    )


def test_the_time_constant_is_the_least_squares_one() -> None:
    """Variable projection against scipy's general least squares of all a, b and tau at once."""
    values = approach(1, 30, 3, 4.0, 12.0)
    spread = values.std(axis=0, ddof=1)
    series = (values - values.mean(axis=0)) / spread
    x = np.arange(30.0)

    def left(parameters: np.ndarray) -> np.ndarray:
        a, b, tau = parameters[:3], parameters[3:6], parameters[6]
        return np.asarray((series - a - b * np.exp(-x[:, None] / tau)).ravel())

    fitted = optimize.least_squares(left, [0, 0, 0, 1, 1, 1, 3.0], xtol=1e-13, ftol=1e-13, gtol=1e-13)
    found = found_in(values)
    assert found.time_constant_shots == independent(
        float(fitted.x[6]), way="scipy.optimize.least_squares", rel=2e-3
    )
    assert found.time_constant_interval is not None
    assert found.time_constant_shots in found.time_constant_interval


def test_time_constants_are_in_shot_numbers_and_gaps_do_not_matter() -> None:
    values = approach(2, 40, 4, 5.0, 12.0)
    kept = np.delete(np.arange(40), [6, 7, 20])
    every = found_in(values)
    names = [f"size {i}" for i in range(4)] * len(kept)
    gaps = find_settled_shot(np.repeat(kept + 1.0, 4), values[kept].ravel(), names)
    assert every.time_constant_shots is not None
    assert gaps.time_constant_shots == pytest.approx(every.time_constant_shots, rel=0.1)
    thirds = found_in(values, every=3)
    assert thirds.time_constant_shots == pytest.approx(3 * every.time_constant_shots)


def test_settled_trials_show_no_exponential() -> None:
    seen = [found_in(approach(seed, 20, 4, 1.0, 0.0)).time_constant_shots for seed in range(100)]
    assert sum(one is not None for one in seen) <= 12


def test_the_later_of_truncation_and_exponential_is_taken() -> None:
    """Never more than a time constant before the exponential's end; it is said where the two disagree."""
    for seed in range(20):
        found = found_in(approach(seed, 100, 60, 8.0, 20.0, 0.3))
        assert found.settled_by_approach is not None
        assert found.time_constant_shots is not None
        assert found.settled is not None
        assert found.settled_by_approach - found.settled <= found.time_constant_shots


def test_where_truncation_and_exponential_disagree_it_is_said_and_the_later_is_taken() -> None:
    """One size alone: its noise moves the truncation by several shots."""
    said = 0
    for seed in range(30):
        found = found_in(approach(seed, 40, 1, 3.0, 12.0))
        assert found.settled is not None
        if any("the later is taken" in str(one) for one in found.cautions):
            said += 1
            assert found.settled_by_approach is not None
            assert found.settled >= found.settled_by_approach
    assert 0 < said < 20


def test_a_slow_straight_drift_is_said_to_go_on() -> None:
    rng = np.random.default_rng(3)
    values = rng.normal(size=(60, 4)) + np.linspace(0, 2.5, 60)[:, None]
    found = found_in(values)
    assert found.still_moving_p is not None
    assert found.still_moving_p < 0.01
    assert any("still move at the last shot" in str(one) for one in found.cautions)


def test_settled_trials_hardly_ever_move_still() -> None:
    moving = 0
    for seed in range(150):
        p = found_in(approach(seed, 30, 4, 1.0, 0.0, 0.5)).still_moving_p
        moving += p is not None and p < 0.01
    assert moving / 150 <= 0.01 + chance(0.01, 150)


def test_an_exponential_that_died_out_does_not_move_still() -> None:
    moving = [found_in(approach(seed, 60, 8, 5.0, 12.0)).still_moving_p for seed in range(40)]
    assert sum(p is not None and p < 0.01 for p in moving) <= 3


def test_many_series_tell_their_common_time_constant() -> None:
    values = approach(1, 100, 200, 5.0, 8.0)
    names = [f"size {i}" for i in range(200)] * 100
    shots = np.repeat(np.arange(1.0, 101.0), 200)
    found = find_settled_shot(shots, values.ravel(), names)
    assert found.time_constant_interval is not None
    assert 5.0 in found.time_constant_interval
