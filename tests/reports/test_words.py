"""How numbers are worded."""

from __future__ import annotations

from datetime import date
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.core.inspection import performance_index
from offtool.core.values import Interval, Verdict
from offtool.reports import words
from offtool.steps.sentences import per_cent_span

SIZES = st.floats(min_value=-1e6, max_value=1e6)
DECIMALS = st.integers(min_value=0, max_value=5)


def read_back(written: str) -> float:
    return float(written.replace(words.MINUS, "-"))


@pytest.mark.parametrize(
    ("value", "decimals", "written"),
    [
        (3.97, 3, "3.970"),
        (-0.02, 2, "−0.02"),
        (-0.0004, 3, "0.000"),
        (0.0, 2, "0.00"),
        (nan, 3, "–"),
        (inf, 3, "∞"),
        (-inf, 3, "−∞"),
        (1e308, 2, "1.00e+308"),
        (-1e12, 0, "−1e+12"),
    ],
)
def test_a_number_is_written_with_its_decimals_and_a_real_minus(
    value: float, decimals: int, written: str
) -> None:
    assert words.number(value, decimals) == written


@given(value=SIZES, decimals=DECIMALS)
def test_a_number_reads_back_within_half_its_last_digit(value: float, decimals: int) -> None:
    written = words.number(value, decimals)
    assert abs(read_back(written) - value) <= 0.5 * 10.0**-decimals * (1 + 1e-9) + 1e-9
    assert "-" not in written
    assert read_back(written) != 0 or not written.startswith(words.MINUS)


@given(value=SIZES, decimals=DECIMALS)
def test_a_signed_number_says_its_sign_unless_nothing_is_left(value: float, decimals: int) -> None:
    written = words.signed(value, decimals)
    if float(f"{value:.{decimals}f}") == 0:
        assert written == "0"
    else:
        assert written[0] == ("+" if value > 0 else words.MINUS)
        assert read_back(written) == pytest.approx(value, abs=0.5 * 10.0**-decimals * (1 + 1e-9) + 1e-9)


@pytest.mark.parametrize(
    ("lower", "upper", "nominal", "decimals", "written"),
    [
        (3.98, 4.03, 4.0, 3, "4.00 +0.03/−0.02"),
        (4.05, 4.08, 4.05, 3, "4.05 +0.03/0"),
        (3.97, 4.0, 4.0, 3, "4.00 0/−0.03"),
        (61.85, 62.15, 62.0, 3, "62.00 ± 0.15"),
        (18.1, 18.3, 18.2, 3, "18.20 ± 0.10"),
        (4.01, 4.03, 4.0, 3, "4.00 +0.03/+0.01"),
        (3.9925, 4.0075, 4.0, 3, "4.0000 ± 0.0075"),
        (59.0, 61.0, 60.0, 1, "60 ± 1"),
        (None, 5.0, 5.0, 2, "at most 5.0"),
        (0.3, None, 0.3, 3, "at least 0.30"),
        (None, None, 1.0, 3, "no limits"),
    ],
)
def test_limits_are_written_as_on_the_drawing(
    lower: float | None, upper: float | None, nominal: float, decimals: int, written: str
) -> None:
    assert words.limits(lower, upper, nominal=nominal, decimals=decimals) == written


@given(
    nominal=st.integers(-100_000, 100_000),
    below=st.integers(-9_999, 9_999),
    width=st.integers(1, 9_999),
    decimals=st.integers(0, 4),
)
def test_limits_of_a_drawing_are_never_rounded(nominal: int, below: int, width: int, decimals: int) -> None:
    asked, lower, upper = nominal / 1000, (nominal + below) / 1000, (nominal + below + width) / 1000
    written = words.limits(lower, upper, nominal=asked, decimals=decimals)
    if " ± " in written:
        middle, half = (read_back(one) for one in written.split(" ± "))
        found = middle - half, middle + half
    else:
        middle_text, ends = written.split(" ")
        above, under = (read_back(one) for one in ends.split("/"))
        found = read_back(middle_text) + under, read_back(middle_text) + above
    assert found == pytest.approx((lower, upper), abs=1e-9)


@given(lower=st.integers(-100_000, 100_000), width=st.integers(1, 9_999), decimals=st.integers(0, 4))
def test_two_ends_are_never_rounded(lower: int, width: int, decimals: int) -> None:
    ends = lower / 1000, (lower + width) / 1000
    written = words.between(*ends, decimals=decimals)
    assert tuple(read_back(one) for one in written.split(" to ")) == ends


def test_one_end_is_said_in_words() -> None:
    assert words.between(None, 0.25, decimals=2) == "at most 0.25"
    assert words.between(0.3, None, decimals=2) == "at least 0.3"


@pytest.mark.parametrize(
    ("low", "high", "written"),
    [
        (3.997, 4.009, "4.003 ± 0.006"),
        (3.998, 4.012, "4.003 (3.998 to 4.012)"),
        (4.0029999, 4.0030001, "4.003 ± <0.001"),
        (4.003, 4.003, "4.003 ± 0.000"),
        (-inf, inf, "4.003, no interval"),
        (3.9, inf, "4.003, no interval"),
    ],
)
def test_a_mean_stands_with_its_interval(low: float, high: float, written: str) -> None:
    assert words.with_interval(4.003, Interval(low=low, high=high, confidence=0.8), 3) == written


def test_an_index_stands_with_its_bounds() -> None:
    found = performance_index(16.0, 2.0, 30, lower=8.0, upper=20.0)
    assert words.index(found) == f"0.67 ({found.low:.2f} to {found.high:.2f})"
    assert words.index(None) == "no index"


@pytest.mark.parametrize(
    ("value", "stands"),
    [
        (3.97, "0.010 below the lower limit"),
        (4.042, "0.012 above the upper limit"),
        (3.99, "inside, 0.010 from the lower limit"),
        (4.02, "inside, 0.010 from the upper limit"),
        (3.98, "at the lower limit"),
        (4.0302, "at the upper limit"),
    ],
)
def test_a_value_is_placed_by_its_nearer_limit(value: float, stands: str) -> None:
    assert words.place(value, 3.98, 4.03, 3) == stands


def test_a_value_is_placed_with_one_limit_and_with_none() -> None:
    assert words.place(0.4, None, 0.25, 2) == "0.15 above the upper limit"
    assert words.place(0.4, 0.25, None, 2) == "inside, 0.15 from the lower limit"
    assert words.place(0.4, None, None, 2) == "without limits"


@pytest.mark.parametrize(
    ("probability", "written"),
    [(0.0, "under 1 %"), (0.001, "under 1 %"), (0.86, "86 %"), (0.9996, "over 99 %"), (1.0, "over 99 %")],
)
def test_what_is_not_certain_is_never_called_so(probability: float, written: str) -> None:
    assert words.chance(probability) == written


@pytest.mark.parametrize(
    ("low", "high", "decimals", "written"),
    [(0.04, 0.09, 0, "4 to 9 %"), (0.136, 0.196, 1, "13.6 to 19.6 %"), (0.04, inf, 0, "4 % or more")],
)
def test_both_ends_of_a_share_are_worded_alike_in_pages_and_sentences(
    low: float, high: float, decimals: int, written: str
) -> None:
    ends = Interval(low=low, high=high, confidence=0.95)
    assert words.percent_span(ends, decimals) == written
    assert per_cent_span(ends, decimals) == written
    assert words.percent_with_interval(0.05, ends, decimals) == f"{words.percent(0.05, decimals)} ({written})"
    assert words.percent_with_interval(0.05, None, decimals) == words.percent(0.05, decimals)


def test_small_words() -> None:
    assert words.percent(0.0073) == "0.73 %"
    assert words.percent(nan) == words.NONE
    assert words.listed(["1", "2", "4"]) == "1, 2 and 4"
    assert words.listed(["1"]) == "1"
    assert words.listed([]) == ""
    assert words.cavity("3") == "cavity 3"
    assert words.cavity("") == "cavity not recorded"
    assert words.day(date(2026, 3, 14)) == "14 March 2026"
    assert words.day(None) == "no date"
    assert words.counted(1, Verdict.FAILS) == "1 does not hold"
    assert words.counted(3, Verdict.NOT_SHOWN) == "3 are not shown"


@given(amount=st.integers(-2_000, 2_000))
def test_an_amount_of_steel_is_exact_and_has_no_sign(amount: int) -> None:
    written = words.amount(amount / 2000)
    assert float(written) == abs(amount) / 2000
    assert len(written.split(".")[1]) >= 2


@pytest.mark.parametrize(
    ("share", "written"),
    [(0.013, "1.3 %"), (0.01, "1.0 %"), (0.0027, "2,700 ppm"), (4e-8, "under 1 ppm"), (0.0, "0 ppm")],
)
def test_parts_outside_are_parts_per_million_below_one_per_cent(share: float, written: str) -> None:
    assert words.parts_outside(share) == written


@given(share=st.floats(0, 0.5))
def test_a_bound_on_the_parts_outside_is_never_written_smaller_than_it_is(share: float) -> None:
    number, unit = words.most_outside(share).split()
    per = {"ppm": 1e-6, "%": 1e-2}[unit]
    assert float(number.replace(",", "")) * per >= share * (1 - 1e-12) - (0.0005 if unit == "%" else 0)
