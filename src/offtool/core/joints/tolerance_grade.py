"""The standard tolerance grades of ISO 286, recomputed from the standard's own formula."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, sqrt
from types import MappingProxyType

from offtool.core.formulas import formula
from offtool.core.values import Caution, Range

STEPS_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0)
"""Upper ends of the size steps; each step includes its upper end."""

FIRST_STEP_FROM_MM = 1.0
"""The step up to 3 mm counts as 1 to 3 mm for its mean."""

MULTIPLES: Mapping[int, float] = MappingProxyType({5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64})
"""Tolerance over the factor i; from IT11 on each grade is ten times the one five below it."""

_ROUNDED_TO = ((100.0, 1), (200.0, 5), (500.0, 10))
"""Up to which value, to multiples of what, in µm."""

PRINTED_OTHERWISE: Mapping[tuple[int, float], int] = MappingProxyType(
    {
        (6, 3.0): 6,
        (6, 6.0): 8,
        (6, 400.0): 36,
        (6, 500.0): 40,
        (7, 3.0): 10,
        (7, 10.0): 15,
        (7, 18.0): 18,
        (7, 500.0): 63,
        (9, 3.0): 25,
        (9, 6.0): 30,
        (10, 3.0): 40,
        (10, 6.0): 48,
        (10, 10.0): 58,
        (10, 18.0): 70,
        (11, 6.0): 75,
    }
)
"""By grade and upper end of the step: cells of the standard's table, in µm, that the formula with its
rounding does not give. The standard keeps older values there; where the two differ its table counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceGrade:
    """The whole width of a tolerance; `formula_um` is what the standard's formula gives before rounding."""

    tolerance_um: float
    formula_um: float
    by_table: bool
    above_mm: float
    up_to_mm: float
    nominal_mm: float
    grade: int
    cautions: tuple[Caution, ...] = ()

    @property
    def plus_minus_mm(self) -> float:
        """Half of it, for a size given either way."""
        return self.tolerance_um / 2000


@formula(
    limits={
        "nominal_mm": Range(
            meaning="nominal size",
            unit="mm",
            above=0,
            at_most=STEPS_MM[-1],
            remedy="this formula of the standard ends at 500 mm",
        ),
        "grade": Range(meaning="number of the grade, 7 for IT7", at_least=5, at_most=18),
    },
    example={"nominal_mm": 25.0, "grade": 7},
    source="ISO 286-1:1988, annex A, formula and steps; the table where the two differ",
)
def tolerance_grade(nominal_mm: float, grade: int) -> ToleranceGrade:
    """How wide a tolerance of a grade is at a size: IT5 to IT18, up to 500 mm.

    i = 0.45 D^(1/3) + 0.001 D in µm, D the geometric mean of the size step in mm; IT5 to IT10 are 7, 10, 16,
    25, 40 and 64 i, rounded; each later grade is ten times the one five below it.

    Returns: ToleranceGrade; `by_table` where the printed table differs from the rounded formula and is
    followed.

    Holds when: the part is made to it. Moulded plastics seldom hold better than IT11 or so.

    Example: 25 mm in IT7: 21 µm.
    """
    low, high = _step(nominal_mm)
    return ToleranceGrade(
        tolerance_um=float(_tabled(grade, high)),
        formula_um=_multiple(grade) * _factor(low, high),
        by_table=_uses_table(grade, high),
        above_mm=low,
        up_to_mm=high,
        nominal_mm=nominal_mm,
        grade=grade,
        cautions=_cautions(nominal_mm, grade),
    )


def _step(nominal_mm: float) -> tuple[float, float]:
    place = next(i for i, high in enumerate(STEPS_MM) if nominal_mm <= high)
    return (STEPS_MM[place - 1] if place else 0.0), STEPS_MM[place]


def _factor(low: float, high: float) -> float:
    """The standard tolerance factor i, µm."""
    mean = sqrt(max(low, FIRST_STEP_FROM_MM) * high)
    return float(0.45 * mean ** (1 / 3) + 0.001 * mean)


def _multiple(grade: int) -> float:
    return MULTIPLES[grade] if grade in MULTIPLES else 10 * _multiple(grade - 5)


def _tabled(grade: int, high: float) -> int:
    """The value of the table's cell, in µm."""
    if (grade, high) in PRINTED_OTHERWISE:
        return PRINTED_OTHERWISE[grade, high]
    if grade not in MULTIPLES:
        return 10 * _tabled(grade - 5, high)
    low, _ = _step(high)
    value = MULTIPLES[grade] * _factor(low, high)
    to = next(step for end, step in _ROUNDED_TO if value <= end)
    return to * floor(value / to + 0.5)


def _uses_table(grade: int, high: float) -> bool:
    if (grade, high) in PRINTED_OTHERWISE:
        return True
    return grade not in MULTIPLES and _uses_table(grade - 5, high)


def _cautions(nominal_mm: float, grade: int) -> tuple[Caution, ...]:
    if grade >= 14 and nominal_mm <= 1:
        return (Caution("grades IT14 and coarser are not meant for sizes up to 1 mm", "ISO 286-1, table"),)
    return ()
