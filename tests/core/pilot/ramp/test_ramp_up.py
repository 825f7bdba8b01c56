"""The ramp: the rate integrated by the library, the plateau, bands, dates, laws."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil, inf, isfinite
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate

from offtool.core.pilot.ramp import Ramp, ramp_dates, ramp_up
from offtool.core.pilot.ramp.growth import made_by, yield_by
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.labels import independent

USUAL: dict[str, Any] = {
    "start_per_h_low": 52.0,
    "start_per_h_high": 60.0,
    "planned_per_h": 120.0,
    "learning_low": 0.82,
    "learning_high": 0.9,
    "made_before": 380,
    "hours_per_day": 8.0,
    "start_yield_low": 0.84,
    "start_yield_high": 0.92,
    "planned_yield": 0.98,
    "days_to_half": 4.0,
    "days": 60,
}


def ramp(quantity: int = 20_000, **changed: Any) -> Ramp:
    return ramp_up(quantity, **{**USUAL, **changed})


def sure(quantity: int = 20_000, rate: float = 56.0, learning: float = 0.86, **changed: Any) -> Ramp:
    """Every range closed to one value."""
    given = {
        "start_per_h_low": rate,
        "start_per_h_high": rate,
        "learning_low": learning,
        "learning_high": learning,
        "start_yield_low": 0.88,
        "start_yield_high": 0.88,
    }
    return ramp(quantity, **{**given, **changed})


def made(hours: float, rate: float, learning: float, before: float, planned: float) -> float:
    found, _ = made_by(np.array([hours]), np.array([rate]), np.array([learning]), before, planned)
    return float(found[0, 0])


@pytest.mark.parametrize(
    ("rate", "learning", "before", "planned"),
    [
        (56.0, 0.86, 380.0, 120.0),
        (20.0, 0.7, 10.0, 300.0),
        (56.0, 0.99, 380.0, 57.0),
        (80.0, 0.85, 50.0, 80.0),
    ],
)
def test_pieces_made_are_the_rate_integrated(
    rate: float, learning: float, before: float, planned: float
) -> None:
    """dN/dt = min(plan, r0 (N / N0)^m), by the library's solver."""
    m = -np.log2(learning)
    solved = integrate.solve_ivp(
        lambda _, n: np.minimum(planned, rate * (n / before) ** m), (0, 200), [before], rtol=1e-9, atol=1e-6,
        t_eval=[1.0, 20.0, 200.0], max_step=0.5,
    )  # fmt: skip
    for hours, total in zip(solved.t, solved.y[0], strict=True):
        assert made(hours, rate, learning, before, planned) == independent(
            total - before, way="scipy.integrate.solve_ivp", rel=2e-5
        )


def test_the_plateau_begins_where_the_rate_meets_the_plan() -> None:
    _, reached = made_by(np.array([0.0]), np.array([56.0]), np.array([0.86]), 380.0, 120.0)
    hour, step = float(reached[0]), 1e-3
    before, at, after = (made(hour + k * step, 56.0, 0.86, 380.0, 120.0) for k in (-1, 0, 1))
    assert (at - before) / step == pytest.approx(120.0, rel=1e-4)
    assert (after - at) / step == pytest.approx(120.0, rel=1e-6)
    assert sure().plateau_middle == pytest.approx(hour / 8.0)


def test_without_learning_the_line_is_straight_and_never_reaches_a_plan_above() -> None:
    assert made(10.0, 56.0, 1.0, 380.0, 120.0) == pytest.approx(560.0)
    found = sure(learning=1.0)
    assert found.plateau_middle == inf
    at_plan = sure(rate=120.0)
    assert at_plan.plateau_middle == 0.0


def test_half_the_missing_yield_is_gained_in_the_days_said() -> None:
    found = yield_by(np.array([0.0, 4.0, 8.0, 4000.0]), np.array([0.88]), 0.98, 4.0)
    assert found[0] == pytest.approx([0.88, 0.93, 0.955, 0.98])


def test_closed_ranges_give_one_day_and_no_band() -> None:
    found = sure()
    assert found.earliest_day == found.middle_day == found.latest_day
    assert all(day.low == pytest.approx(day.high) for day in found.days)
    total = sum(
        (made(8.0 * day, 56.0, 0.86, 380.0, 120.0) - made(8.0 * (day - 1), 56.0, 0.86, 380.0, 120.0))
        * (0.98 - 0.1 * 2 ** (-(day - 0.5) / 4))
        for day in range(1, 61)
    )
    assert found.days[-1].total == independent(total, way="added up day by day")


def test_the_day_of_a_quantity_is_the_day_whose_total_first_holds_it() -> None:
    found = sure()
    day = ceil(found.middle_day)
    assert found.days[day - 2].total < 20_000 <= found.days[day - 1].total


def test_far_on_each_day_gives_what_was_planned() -> None:
    assert sure().days[-1].that_day == pytest.approx(sure().planned_per_day, rel=1e-3)
    assert ramp().planned_per_day == pytest.approx(120 * 8 * 0.98)


def test_the_band_holds_its_share_of_the_days() -> None:
    """The middle 80 % lie inside the middle 95 %; half of the draws before the middle."""
    narrow, wide = ramp(confidence=0.8), ramp(confidence=0.95)
    assert wide.earliest_day < narrow.earliest_day < narrow.middle_day < narrow.latest_day < wide.latest_day
    assert narrow.middle_day == wide.middle_day
    for day in narrow.days:
        assert day.low < day.total < day.high


@law(examples=12, quantity=st.integers(100, 40_000), better=st.sampled_from(["rate", "learning", "yield"]))
def test_better_in_anything_is_never_later(quantity: int, better: str) -> None:
    change: dict[str, Any] = {
        "rate": {"rate": 60.0},
        "learning": {"learning": 0.82},
        "yield": {"start_yield_low": 0.92, "start_yield_high": 0.92},
    }[better]
    assert sure(quantity, **change).middle_day <= sure(quantity).middle_day + 1e-9


@law(examples=8, one=st.integers(1, 30_000), more=st.integers(1, 10_000))
def test_more_pieces_take_longer(one: int, more: int) -> None:
    assert ramp(one).middle_day < ramp(one + more).middle_day
    assert ramp(one).days == ramp(one + more).days


def test_the_seed_decides_the_draws_and_moves_the_day_little() -> None:
    assert ramp(seed=1) == ramp(seed=1)
    assert ramp(seed=1).middle_day == pytest.approx(ramp(seed=2).middle_day, rel=0.02)


def test_a_quantity_beyond_the_last_day_is_said() -> None:
    found = ramp(10**6)
    assert found.middle_day == inf
    assert "later than looked at" in found.words
    assert any("look further ahead" in one.text for one in found.cautions)


def test_dates_are_the_callers_working_days() -> None:
    found = ramp()
    monday = date(2031, 3, 3)
    days = [day for k in range(84) if (day := monday + timedelta(days=k)).weekday() < 5]
    dated = ramp_dates(found, days)
    assert dated.starts == monday
    assert dated.middle == days[ceil(found.middle_day) - 1]
    assert dated.earliest == days[ceil(found.earliest_day) - 1]
    assert dated.latest == days[ceil(found.latest_day) - 1]
    assert isfinite(found.plateau_middle)
    assert dated.plateau == days[ceil(found.plateau_middle) - 1]
    short = ramp_dates(found, days[: ceil(found.middle_day)])
    assert (short.middle, short.latest) == (days[ceil(found.middle_day) - 1], None)
    assert "after the days given" in short.words
    assert any("end before the last" in one.text for one in short.cautions)


def test_a_line_at_its_plan_is_there_on_the_first_day() -> None:
    monday = date(2031, 3, 3)
    found = ramp_dates(sure(100, rate=120.0), [monday, monday + timedelta(days=1)])
    assert (found.plateau, found.middle) == (monday, monday)


def test_working_days_out_of_order_or_none_are_refused() -> None:
    with pytest.raises(NotEnoughData, match="no working days"):
        ramp_dates(ramp(), [])
    with pytest.raises(ImpossibleInput, match="must be after 2031-03-04"):
        ramp_dates(ramp(), [date(2031, 3, 4), date(2031, 3, 3)])


@pytest.mark.parametrize(
    ("changed", "argument"),
    [
        ({"start_per_h_low": 61.0}, "start_per_h_low"),
        ({"start_per_h_high": 130.0}, "start_per_h_high"),
        ({"learning_low": 0.95}, "learning_low"),
        ({"start_yield_high": 0.99}, "start_yield_high"),
        ({"planned_yield": 98.0}, "planned_yield"),
        ({"days": 0}, "days"),
        ({"made_before": 0}, "made_before"),
    ],
)
def test_what_cannot_be_is_refused_by_name(changed: dict[str, Any], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        ramp(**changed)
    assert refused.value.argument == argument
