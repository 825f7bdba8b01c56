"""The reading in one cell, and sizes as a drawing states them."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.exchange.readings.cells import Found, Missing, read_value
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.numbers import Number, Unread, mark_evidence, read_number
from offtool.exchange.readings.sizes import Deviations, Size, read_size, read_tolerance

MARKS = st.sampled_from(",.")
SIZES = st.floats(-999_999, 999_999, allow_nan=False).map(lambda number: round(number, 4))


def found(text: str, decimal: str = ".") -> Found:
    answer = read_value(text, decimal)
    assert isinstance(answer, Found), answer
    return answer


def why_refused(text: str, decimal: str = ".") -> str:
    answer = read_value(text, decimal)
    assert isinstance(answer, Unread), answer
    assert answer.remedy
    return answer.why


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("4.01", 4.01),
        (" 4.01 ", 4.01),
        ("\u00a04.01\u202f", 4.01),
        ("+4.01", 4.01),
        ("-0.05", -0.05),
        ("\u22120.05", -0.05),
        (".5", 0.5),
        ("4.", 4.0),
        ("0", 0.0),
        ("4.01E+00", 4.01),
        ("1e-3", 0.001),
    ],
)
def test_a_bare_number_is_read_without_a_repair(text: str, value: float) -> None:
    assert found(text) == Found(value)


@pytest.mark.parametrize(
    ("text", "value", "why"),
    [
        ("⌀4.00", 4.0, "a drawing sign before the number is left out"),
        ("Ø 4.00", 4.0, "a drawing sign before the number is left out"),
        ("φ4.00", 4.0, "a drawing sign before the number is left out"),
        ("R2.5", 2.5, "a drawing sign before the number is left out"),
        ("dia. 4.0", 4.0, "a drawing sign before the number is left out"),
        ("4.01*", 4.01, "a mark behind the number is left out"),
        ("4.01 ▲", 4.01, "a mark behind the number is left out"),
        ("４．０１", 4.01, "full-width signs"),
        ("12,34", 12.34, "a decimal comma in a file of decimal points"),
        ("0,123", 0.123, "a decimal comma in a file of decimal points"),
        (",5", 0.5, "a decimal comma in a file of decimal points"),
        ("1.234,5", 1234.5, "the last mark is the decimal mark; the point only groups thousands"),
        ("1,234.5", 1234.5, "the last mark is the decimal mark; the comma only groups thousands"),
        ("1 234.5", 1234.5, "a space or apostrophe that groups thousands is left out"),
        ("1'234.5", 1234.5, "a space or apostrophe that groups thousands is left out"),
        ('="4.01"', 4.01, "quotation marks around the number are left out"),
        ("'4.01", 4.01, "quotation marks around the number are left out"),
    ],
)
def test_a_repair_says_what_was_done(text: str, value: float, why: str) -> None:
    assert found(text) == Found(value, None, why)


def test_two_repairs_of_one_cell_are_both_said() -> None:
    both = "a mark behind the number is left out, a decimal comma in a file of decimal points"
    assert found("12,34*") == Found(12.34, None, both)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("4.01 mm", 4.01, "mm"),
        ('0.158"', 0.158, "inch"),
        ("1203µm", 1203.0, "µm"),
        ("45°", 45.0, "deg"),
        ("3 N·mm", 3.0, "N·mm"),
    ],
)
def test_a_unit_behind_the_number_is_its_unit(text: str, value: float, unit: str) -> None:
    answer = found(text)
    assert answer.value == value
    assert answer.unit is not None
    assert answer.unit.shown == unit


def test_degrees_minutes_and_seconds_are_degrees() -> None:
    assert found("1°30'").value == 1.5
    assert found("-1° 30' 36\"").value == pytest.approx(-1.51, abs=1e-12)


@pytest.mark.parametrize(
    "text", ["", " ", "-", "--", "—", "–", "/", "n/a", "N.A.", "k.A.", "无", "未测", "－"]
)
def test_a_cell_that_says_nothing_was_measured_is_missing(text: str) -> None:
    assert isinstance(read_value(text, "."), Missing)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("<0.01", "is a bound"),
        ("≥ 4.0", "is a bound"),
        ("max 4.0", "is a bound"),
        ("OOL", "the gauge could not measure"),
        ("Err", "the gauge could not measure"),
        ("超量程", "the gauge could not measure"),
        ("OK", "is a judgement"),
        ("n.i.O.", "is a judgement"),
        ("N.G.", "is a judgement"),
        ("合格", "is a judgement"),
        ("~4.0", "is about"),
        ("ca. 4.0", "is about"),
        ("4.00±0.05", "is a size with its tolerance"),
        ("4.00 +0.03/-0.02", "is a size with its tolerance"),
        ("3.4.2025", "is a date or a time"),
        ("08:15", "is a date or a time"),
        ("4.01/4.02", "holds more than one number"),
        ("4.01 4.02", "holds more than one number"),
        ("#DIV/0!", "is the error of a formula"),
        ("nan", "is no size that can be measured"),
        ("-INF", "is no size that can be measured"),
        ("1e308", "is beyond 1,000,000"),
        ("9" * 400, "is no size that can be measured"),
        ("05", "starts with a 0 before another digit"),
        ("4.0l", "is no number"),
        ("4²", "is no number"),
        ("½", "is no number"),
        ("٤", "is no number"),
        ("4_0", "is no number"),
        ("0x1p3", "is no number"),
        ("4.01 (1)", "is no number"),
        ("flash", "is no number"),
        ("⌀4 g", "has the sign of a length and the unit g"),
        ("x" * 5000, "is no number"),
    ],
)
def test_what_is_no_reading_is_refused_with_the_reason(text: str, why: str) -> None:
    assert why in why_refused(text)


def test_a_mark_before_three_digits_that_is_not_the_files_is_refused_as_ambiguous() -> None:
    assert "may be 12.345 or 12345" in why_refused("12,345", ".")
    assert "may be 1,234 or 1234" in why_refused("1.234", ",")
    assert "may be 1.234 or 1234" in why_refused("⌀1,234", ".")


@given(SIZES, MARKS)
def test_any_size_written_with_the_files_mark_is_read_exactly(size: float, decimal: str) -> None:
    assert read_value(f"{size:.4f}".replace(".", decimal), decimal) == Found(size)


@given(SIZES, MARKS)
def test_any_size_written_with_the_other_mark_is_read_exactly_or_refused(size: float, decimal: str) -> None:
    other = {",": ".", ".": ","}[decimal]
    for digits in (1, 2, 3, 4):
        shown = f"{size:.{digits}f}"
        answer = read_value(shown.replace(".", other), decimal)
        if isinstance(answer, Found):
            assert answer.value == float(shown)
            assert answer.why
        else:
            assert digits == 3


@given(st.integers(1_000, 999_999), st.integers(0, 99), MARKS, st.sampled_from(",. '"))
def test_grouped_thousands_are_read_exactly(whole: int, hundredths: int, decimal: str, grouping: str) -> None:
    if grouping != decimal:
        text = f"{whole:,}".replace(",", grouping) + f"{decimal}{hundredths:02d}"
        assert found(text, decimal).value == float(f"{whole}.{hundredths:02d}")


@given(st.text(max_size=80), MARKS)
def test_any_text_is_a_finite_size_or_missing_or_refused_with_a_remedy(text: str, decimal: str) -> None:
    answer = read_value(text, decimal)
    if isinstance(answer, Found):
        assert math.isfinite(answer.value)
        assert abs(answer.value) <= MAX_SIZE
    elif isinstance(answer, Unread):
        assert answer.why
        assert answer.remedy


@given(st.text(alphabet="0123456789.,+- '", max_size=14), MARKS)
def test_a_number_has_the_digits_of_its_text_and_no_others(text: str, decimal: str) -> None:
    number = read_number(text, decimal)
    if isinstance(number, Number):
        digits = Decimal("".join(filter(str.isdigit, text)))
        assert abs(number.value) in {float(digits / 10**places) for places in range(14)}


@pytest.mark.parametrize(
    ("text", "mark", "sure"),
    [
        ("4,05", ",", True),
        ("4.05", ".", True),
        ("0,123", ",", True),
        ("1,234", ",", False),
        ("1234,567", ",", True),
        ("12", "", False),
        ("1.2.3", "", False),
    ],
)
def test_a_mark_is_evidence_unless_it_may_group_thousands(text: str, mark: str, sure: bool) -> None:
    assert mark_evidence(text) == (mark, sure)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("4.00", Size(4.0)),
        ("-0.5", Size(-0.5)),
        ("⌀4.00±0.05", Size(4.0, 4.05, 3.95)),
        ("Ø 4.00 +0.03\n-0.02", Size(4.0, 4.03, 3.98)),
        ("4.00 +0.03/−0.02", Size(4.0, 4.03, 3.98)),
        ("4.00(+0.03/0)", Size(4.0, 4.03, 4.0)),
        ("4.00 0/-0.05", Size(4.0, 4.0, 3.95)),
        ("4.00 +0.03 +0.01", Size(4.0, 4.03, 4.01)),
        ("4.00 -0.02/-0.05", Size(4.0, 3.98, 3.95)),
        ("12.50 +0.1", Size(12.5, 12.6, 12.5)),
        ("12.50 -0.1", Size(12.5, 12.5, 12.4)),
        ("4.00 +/- 0.05", Size(4.0, 4.05, 3.95)),
        ("3.95~4.05", Size(None, 4.05, 3.95)),
        ("3.95-4.05", Size(None, 4.05, 3.95)),
        ("3,95 bis 4,05", Size(None, 4.05, 3.95)),
        ("max. 0.1", Size(None, 0.1)),
        ("0.1 max", Size(None, 0.1)),
        ("≥1.2", Size(None, None, 1.2)),
        ("R2.5", Size(2.5)),
        ("C0.5", Size(0.5)),
        ("t=1.2±0.1", Size(1.2, 1.3, 1.1)),
        ("2-φ4.0±0.1", Size(4.0, 4.1, 3.9)),
        ("(12)", Size(12.0)),
    ],
)
def test_sizes_of_a_drawing_give_nominal_and_limits(text: str, size: Size) -> None:
    assert read_size(text, "." if "," not in text else ",") == size


def test_decimal_commas_in_a_size_follow_the_file() -> None:
    assert read_size("4,00 +0,03 -0,02", ",") == Size(4.0, 4.03, 3.98)
    assert isinstance(read_size("4,000±0,050", "."), Unread)


def test_angles_of_a_drawing_are_degrees() -> None:
    for text in ("45°±30'", "45° ± 0.5°"):
        size = read_size(text, ".")
        assert isinstance(size, Size)
        assert (size.nominal, size.upper, size.lower) == (45.0, 45.5, 44.5)
        assert size.unit is not None
        assert size.unit.base == "deg"


@pytest.mark.parametrize("text", ["", "peg", "4.00 H7", "±", "4.00±", "4 mm ± 1°", "1 2 3", "x" * 200])
def test_what_is_no_size_is_refused(text: str) -> None:
    assert isinstance(read_size(text, "."), Unread)


@pytest.mark.parametrize(
    ("text", "upper", "lower"),
    [
        ("±0.05", 0.05, -0.05),
        ("0.05", 0.05, -0.05),
        ("+0.03/-0.02", 0.03, -0.02),
        ("0/-0.05", 0.0, -0.05),
        ("+0.05", 0.05, 0.0),
    ],
)
def test_tolerances_alone_give_deviations(text: str, upper: float, lower: float) -> None:
    assert read_tolerance(text, ".") == Deviations(upper, lower)


@given(st.text(max_size=60), MARKS)
def test_any_text_as_a_size_gives_limits_in_order_or_a_refusal(text: str, decimal: str) -> None:
    size = read_size(text, decimal)
    if isinstance(size, Size) and size.upper is not None and size.lower is not None:
        assert size.lower <= size.upper
    tolerance = read_tolerance(text, decimal)
    if isinstance(tolerance, Deviations):
        assert tolerance.lower <= tolerance.upper
