"""ISO 286 grades: the standard's formula against its table, and every cell where they part."""

from __future__ import annotations

import json

import pytest
from hypothesis import strategies as st

from offtool.core.joints.tolerance_grade import PRINTED_OTHERWISE, STEPS_MM, tolerance_grade
from offtool.core.values import ImpossibleInput
from tests import published as files
from tests.core.laws import law
from tests.labels import independent, published

PAGES = "ISO 286-1, as two public pages print it (tests/published/iso286_it.json)"
TABLE = json.loads("\n".join(files.lines("iso286_it.json")))
CELLS = [
    (grade, high, value)
    for grade in range(5, 15)
    for (_, high), value in zip(TABLE["bands_mm"], TABLE[f"IT{grade}"], strict=False)
]


def test_the_published_table_is_read_whole() -> None:
    assert len(CELLS) == 7 * 13 + 3 * 11
    assert tuple(float(high) for _, high in TABLE["bands_mm"]) == STEPS_MM


@pytest.mark.parametrize(("grade", "high", "value"), CELLS)
def test_every_cell_of_the_table_comes_out(grade: int, high: float, value: int) -> None:
    assert tolerance_grade(float(high), grade).tolerance_um == published(str(value), source=PAGES)


COMPUTED = [
    (grade, high, value)
    for grade, high, value in CELLS
    if grade <= 10 and (grade, float(high)) not in PRINTED_OTHERWISE
]


def rounded(value: float) -> float:
    """To 1 µm up to 100, to 5 up to 200, to 10 above."""
    to = 1 if value <= 100 else 5 if value <= 200 else 10
    return round(value / to) * to


@pytest.mark.parametrize(("grade", "high", "value"), COMPUTED)
def test_the_formula_rounded_gives_the_table_where_no_exception_is_listed(
    grade: int, high: float, value: int
) -> None:
    found = tolerance_grade(float(high), grade)
    assert not found.by_table
    assert rounded(found.formula_um) == published(str(value), source=PAGES)


@pytest.mark.parametrize(("grade", "high"), sorted(PRINTED_OTHERWISE))
def test_every_listed_exception_is_one(grade: int, high: float) -> None:
    """The rounded formula misses the table there, or ten times the grade five below it does."""
    found = tolerance_grade(high, grade)
    assert found.by_table
    other = rounded(found.formula_um) if grade <= 10 else 10 * tolerance_grade(high, grade - 5).tolerance_um
    assert other != found.tolerance_um


def test_the_exceptions_are_few_and_small() -> None:
    """Up to 6 µm, in the coarse grades of the smallest sizes, and not a fifth of the value anywhere."""
    off = {
        cell: tolerance_grade(cell[1], cell[0]).tolerance_um - tolerance_grade(cell[1], cell[0]).formula_um
        for cell in PRINTED_OTHERWISE
    }
    assert len(off) == 15
    assert max(off, key=lambda cell: abs(off[cell])) == (10, 3.0)
    assert all(0 < by < 0.16 * PRINTED_OTHERWISE[cell] for cell, by in off.items())


def test_the_factor_is_that_of_the_geometric_mean_of_the_step() -> None:
    mean = (18 * 30) ** 0.5
    expected = 16 * (0.45 * mean ** (1 / 3) + 0.001 * mean)
    assert tolerance_grade(25.0, 7).formula_um == independent(expected, way="by hand from the formula")


@law(nominal=st.floats(0.01, 500), grade=st.integers(5, 17))
def test_coarser_grades_are_wider(nominal: float, grade: int) -> None:
    assert tolerance_grade(nominal, grade + 1).tolerance_um > tolerance_grade(nominal, grade).tolerance_um


@law(small=st.floats(0.01, 500), large=st.floats(0.01, 500), grade=st.integers(5, 18))
def test_larger_sizes_are_never_narrower(small: float, large: float, grade: int) -> None:
    small, large = sorted((small, large))
    assert tolerance_grade(large, grade).tolerance_um >= tolerance_grade(small, grade).tolerance_um


@pytest.mark.parametrize("high", STEPS_MM)
def test_a_step_includes_its_upper_end(high: float) -> None:
    assert tolerance_grade(high, 7).up_to_mm == high
    if high < STEPS_MM[-1]:
        assert tolerance_grade(high * 1.0001, 7).above_mm == high


def test_sizes_beyond_the_formula_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="500 mm"):
        tolerance_grade(501.0, 7)


def test_coarse_grades_of_tiny_sizes_carry_a_caution() -> None:
    assert tolerance_grade(1.0, 14).cautions
    assert not tolerance_grade(1.1, 14).cautions


def test_given_either_way_it_is_half() -> None:
    assert tolerance_grade(25.0, 7).plus_minus_mm == independent(0.0105, way="21 µm by hand")
