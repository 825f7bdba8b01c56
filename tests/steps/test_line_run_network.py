"""Which station hands on to which: every piece has one way, and passes all that must come before."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.steps.line_run_network import Ways, ways_between
from tests.core.laws import law


def reached(ways: Ways, station: int) -> set[int]:
    """Every station whose work is in what a station holds."""
    return {station}.union(*(reached(ways, one) for one in ways.takes[station]))


@pytest.mark.parametrize(
    ("before", "takes"),
    [
        ({2: (1,), 3: (2,)}, {1: (), 2: (1,), 3: (2,)}),
        ({3: (1, 2)}, {1: (), 2: (), 3: (1, 2)}),
        ({2: (1,), 3: (1,), 4: (2, 3)}, {1: (), 2: (1,), 3: (2,), 4: (3,)}),
        ({3: (1,), 4: (2, 3)}, {1: (), 2: (), 3: (1,), 4: (2, 3)}),
    ],
    ids=["a row", "two that are joined", "a fork is passed in the order of the row", "a branch of its own"],
)
def test_stations_take_from_those_on_whose_work_they_build(
    before: dict[int, tuple[int, ...]], takes: dict[int, tuple[int, ...]]
) -> None:
    found = ways_between(sorted(takes), before)
    assert found.takes == takes
    assert found.loose == ()


def test_where_nothing_must_come_before_pieces_go_along_the_row_and_that_is_said() -> None:
    found = ways_between([1, 2, 5], {})
    assert found.takes == {1: (), 2: (1,), 5: (2,)}
    assert found.loose == (1, 2)


@law(
    pairs=st.sets(st.tuples(st.integers(1, 8), st.integers(1, 8)).filter(lambda one: one[0] < one[1])),
    many=st.integers(2, 8),
)
def test_all_work_is_in_the_finished_piece_once_and_in_order(pairs: set[tuple[int, int]], many: int) -> None:
    numbers = list(range(1, many + 1))
    before = {k: tuple(i for i, j in pairs if j == k and i <= many) for k in numbers}
    found = ways_between(numbers, before)
    givers = [one for taken in found.takes.values() for one in taken]
    assert sorted(givers) == numbers[:-1]
    assert reached(found, many) == set(numbers)
    for k in numbers:
        assert set(before[k]) <= reached(found, k)
        assert all(one < k for one in found.takes[k])
