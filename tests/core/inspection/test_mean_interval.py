"""Mean, spread and interval of readings: published data, hard numerics, coverage, laws."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import mean_interval
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published
from tests.published import lines, numbers, strd

HEAT_FLOW = "NIST/SEMATECH e-Handbook, 1.3.5.2, confidence limits of the mean of ZARR13.DAT"


def test_the_heat_flow_meter_of_the_handbook() -> None:
    found = mean_interval(numbers("nist_zarr13.txt"))
    assert found.parts == 195
    assert found.mean == published("9.26146", source=f"{HEAT_FLOW}: 9.261460, the last digit cut off")
    assert found.sd == published("0.022789", source=HEAT_FLOW)
    assert found.interval.low == published("9.258242", source=HEAT_FLOW)
    assert found.interval.high == published("9.264679", source=HEAT_FLOW)
    assert found.interval.confidence == 0.95


@pytest.mark.parametrize(
    ("name", "certified", "rel"),
    [
        ("SiRstv", "1.04076068334656E-01", 1e-10),
        ("AtmWtAg", "1.51048314446410E-05", 1e-7),
        ("SmLs01", "1.00000000000000E-01", 1e-12),
        ("SmLs04", "1.00000000000000E-01", 1e-9),
        # 13 constant leading digits: a double holds the readings themselves to 1e-4 only.
        ("SmLs07", "1.00000000000000E-01", 1e-3),
    ],
)
def test_the_certified_deviation_survives_a_large_offset(name: str, certified: str, rel: float) -> None:
    """NIST/ITL StRD, residual standard deviation: here pooled from the deviation of each treatment."""
    treatment, response = (np.array(one) for one in strd(name))
    assert certified in " ".join(lines(f"nist_strd/{name}.dat"))
    pooled = sum(
        (found.parts - 1) * found.sd**2
        for group in np.unique(treatment)
        for found in [mean_interval(response[treatment == group])]
    )
    freedom = len(response) - len(np.unique(treatment))
    assert (pooled / freedom) ** 0.5 == pytest.approx(float(certified), rel=rel)


def test_a_mean_at_a_large_offset_is_the_exact_one() -> None:
    _, response = strd("SmLs07")
    exact = sum(map(Fraction, response)) / len(response)
    found = mean_interval(response)
    assert found.mean == independent(float(exact), way="exact fractions", rel=1e-15)


@pytest.mark.parametrize("parts", [2, 5, 30])
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_the_interval_is_students(parts: int, confidence: float) -> None:
    values = np.random.default_rng(parts).normal(4.0, 0.01, parts)
    low, high = stats.ttest_1samp(values, 4.0).confidence_interval(confidence)
    found = mean_interval(values, confidence=confidence)
    assert [found.interval.low, found.interval.high] == independent(
        [low, high], way="scipy.stats.ttest_1samp", rel=1e-12
    )


def test_it_covers_as_often_as_it_says() -> None:
    rng = np.random.default_rng(11)
    draws = 2000
    hits = sum(
        0.0 in mean_interval(rng.normal(0, 1, int(parts)), confidence=0.9).interval
        for parts in rng.integers(2, 12, draws)
    )
    assert hits / draws == pytest.approx(0.9, abs=chance(0.9, draws))


readings = st.lists(st.floats(-1, 1), min_size=2, max_size=30)


@law(values=readings, shift=st.floats(-10, 10), scale=st.floats(0.1, 10))
def test_it_follows_shift_and_scale(values: list[float], shift: float, scale: float) -> None:
    one = mean_interval(values)
    other = mean_interval([scale * value + shift for value in values])
    assert other.mean == pytest.approx(scale * one.mean + shift, abs=1e-12)
    assert other.sd == pytest.approx(scale * one.sd, abs=1e-12)
    assert other.interval.half_width == pytest.approx(scale * one.interval.half_width, abs=1e-10)


@law(values=readings, seed=st.integers(0, 99))
def test_the_order_of_the_readings_does_not_matter(values: list[float], seed: int) -> None:
    shuffled = np.random.default_rng(seed).permutation(values)
    one, other = mean_interval(values), mean_interval(shuffled)
    assert (other.mean, other.sd) == (pytest.approx(one.mean, abs=1e-15), pytest.approx(one.sd, abs=1e-15))


@pytest.mark.parametrize("reading", [4.0, 0.1, 59.7, 3.901])
@pytest.mark.parametrize("parts", [3, 10])
def test_equal_readings_have_an_interval_of_no_width(reading: float, parts: int) -> None:
    found = mean_interval([reading] * parts)
    ends = (found.interval.low, found.interval.high)
    assert (found.mean, found.sd, *ends) == (reading, 0.0, reading, reading)


@pytest.mark.parametrize("values", [[], [4.0]])
def test_one_reading_has_no_interval(values: list[float]) -> None:
    with pytest.raises(NotEnoughData, match="measure at least two parts"):
        mean_interval(values)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_a_reading_that_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(ImpossibleInput, match=r"values = .*: must be a finite number"):
        mean_interval([4.0, bad, 4.01])
