"""How many parts show an index: the smallest number whose bound reaches it, found another way."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import parts_to_show, performance_index
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent


def shows(parts: int, observed: float, required: float, cavities: int, confidence: float) -> bool:
    """By scipy's noncentral t: at the required index, what was observed is passed with the risk at most."""
    scale = 3 * sqrt(parts)
    freedom = cavities * (parts - 1)
    return bool(stats.nct.sf(scale * observed, freedom, scale * required) <= 1 - confidence)


@pytest.mark.parametrize(
    ("observed", "required", "cavities", "confidence"),
    [
        (1.71, 1.33, 1, 0.95),
        (1.71, 1.33, 4, 0.95),
        (1.71, 1.33, 8, 0.95),
        (1.40, 1.33, 8, 0.95),
        (2.00, 1.00, 1, 0.95),
        (2.00, 1.67, 1, 0.90),
        (3.00, 1.33, 2, 0.99),
    ],
)
def test_the_number_is_the_smallest_that_shows_it(
    observed: float, required: float, cavities: int, confidence: float
) -> None:
    few, many = 1, 1000
    while many - few > 1:
        middle = (few + many) // 2
        few, many = (
            (few, middle) if shows(middle, observed, required, cavities, confidence) else (middle, many)
        )
    found = parts_to_show(observed, required, cavities=cavities, confidence=confidence)
    assert found.parts == independent(many, way="bisection on scipy.stats.nct.sf", rel=1e-6)


def test_the_example_of_the_docstring() -> None:
    assert parts_to_show(1.71, 1.33).parts == 32
    assert shows(32, 1.71, 1.33, 1, 0.95)
    assert not shows(31, 1.71, 1.33, 1, 0.95)


@law(observed=st.floats(0.8, 4), gap=st.floats(0.15, 1.5), cavities=st.integers(1, 16))
def test_that_many_parts_show_it_and_one_fewer_do_not(observed: float, gap: float, cavities: int) -> None:
    required = observed / (1 + gap)
    parts = parts_to_show(observed, required, cavities=cavities).parts
    assert parts is not None

    def low(count: int) -> float:
        freedom = cavities * (count - 1)
        return performance_index(0, 1, count, upper=3 * observed, degrees_of_freedom=freedom).low

    assert low(parts) >= required
    assert parts == 2 or low(parts - 1) < required


@law(cavities=st.integers(1, 15))
def test_more_cavities_to_pool_over_need_no_more_parts_each(cavities: int) -> None:
    one, more = (parts_to_show(1.6, 1.33, cavities=count).parts for count in (cavities, cavities + 1))
    assert one is not None
    assert more is not None
    assert more <= one


@pytest.mark.parametrize("observed", [1.0, 1.33, 1.335])
def test_what_parts_cannot_show_is_said_to_be_so(observed: float) -> None:
    assert parts_to_show(observed, 1.33).parts is None


def test_an_unusual_requirement_is_answered_with_a_caution() -> None:
    found = parts_to_show(9.0, 5.0)
    assert found.parts is not None
    assert [str(one) for one in found.cautions] == ["required_index = 5 lies outside the usual 0.67 to 2"]


def test_an_index_below_zero_cannot_be_asked_about() -> None:
    with pytest.raises(ImpossibleInput, match=r"observed_index = -0\.2: must be above 0"):
        parts_to_show(-0.2, 1.33)
