"""The labels themselves: a tolerance is what the printed digits say, and an array is compared as a whole."""

from __future__ import annotations

import numpy as np
import pytest

from tests.labels import held, independent, practice, published, remembered


@pytest.mark.parametrize(
    ("printed", "equal", "unequal"),
    [
        ("1.3347", 1.33474999, 1.33476),
        ("1.30", 1.304999, 1.3051),
        ("195", 195.5, 195.6),
        ("-0.5", -0.45, -0.44),
        ("−0.5", -0.55, -0.56),
        ("2.5E-3", 0.00254, 0.00256),
    ],
)
def test_a_printed_number_equals_what_rounds_to_it(printed: str, equal: float, unequal: float) -> None:
    for label in (published, remembered):
        assert label(printed, source="a book") == equal
        assert equal == label(printed, source="a book")
        assert label(printed, source="a book") != unequal
    assert practice(printed) == equal


def test_numpy_numbers_and_arrays_are_compared_as_a_whole() -> None:
    expected = independent([1.0, 2.0], way="by hand")
    assert np.array([1.0, 2.0 + 1e-10]) == expected
    assert np.array([1.0, 2.1]) != expected
    assert np.array([1.0]) != expected
    assert np.float64(1.25) == published("1.2", source="a book")
    assert float("nan") != held(1.0)


def test_a_tolerance_as_large_as_the_number_is_refused() -> None:
    with pytest.raises(ValueError, match="tests nothing"):
        independent(0.001, way="by hand", within=0.002)
    with pytest.raises(ValueError, match="where it comes from"):
        published("1.0", source="")
    assert independent(0.0, way="by symmetry", within=1e-12) == 1e-13
