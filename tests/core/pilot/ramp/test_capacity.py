"""A day's capacity: by hand, laws, and what cannot be."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.ramp import DayCapacity, day_capacity
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent


def day(
    work_s: float = 540.0, slowest_s: float = 27.0, people: int = 24, running: float = 0.9
) -> DayCapacity:
    return day_capacity(
        work_s, slowest_s=slowest_s, people=people, hours=9.0, share_running=running, final_yield=0.98
    )


def test_a_line_by_hand() -> None:
    found = day()
    assert found.pieces_per_day == independent(9 * 3600 * 0.9 / 27, way="by hand")
    assert found.by_people == independent(24 * 9 * 3600 * 0.9 / 540, way="by hand")
    assert found.good_per_day == independent(1080 * 0.98, way="by hand")
    assert (found.limited_by, found.people_needed) == ("the slowest station", pytest.approx(20))


def test_too_few_people_set_the_limit() -> None:
    found = day(people=10)
    assert (found.limited_by, found.pieces_per_day) == ("people", pytest.approx(540))
    assert found.people_needed == pytest.approx(10)


@law(work=st.floats(10, 5000), part=st.floats(0.01, 1), people=st.integers(1, 60), running=st.floats(0.1, 1))
def test_no_more_than_either_limit_and_more_people_never_less(
    work: float, part: float, people: int, running: float
) -> None:
    found, more = (day(work, part * work, count, running) for count in (people, people + 1))
    assert found.pieces_per_day == min(found.by_people, found.by_station)
    assert found.people_needed <= people + 1e-9
    assert more.pieces_per_day >= found.pieces_per_day


def test_a_slowest_station_above_all_work_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="all the work in a piece") as refused:
        day(work_s=20.0)
    assert refused.value.argument == "slowest_s"


@pytest.mark.parametrize(("name", "value"), [("final_yield", 98.0), ("share_running", 1.2), ("people", 0)])
def test_a_yield_over_one_or_nobody_is_refused(name: str, value: float) -> None:
    call = {"slowest_s": 27.0, "people": 24, "hours": 9.0, "share_running": 0.9, "final_yield": 0.98}
    with pytest.raises(ImpossibleInput) as refused:
        day_capacity(540.0, **{**call, name: value})  # type: ignore[arg-type]
    assert refused.value.argument == name
