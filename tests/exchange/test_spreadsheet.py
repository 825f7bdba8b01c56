"""Text that a spreadsheet would calculate is written as text, and numbers stay numbers."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.exchange.spreadsheet import read_safe_cell, write_safe_cell


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "=HYPERLINK(A1)",
        "+1+1",
        "-1+1",
        "-peg",
        "@SUM(A1)",
        "\t=1+1",
        "\rpeg",
        "\n=1",
        " =1+1",
        "\u00a0=1+1",
        "＝1+1",
        "－1+1",
        "+49 12 345",
        "'=1+1",
    ],
)
def test_text_that_starts_like_a_formula_is_guarded(text: str) -> None:
    assert write_safe_cell(text) == "'" + text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "4.01",
        "-0.05",
        "−0.05",
        "+0.03",
        "-0,05",
        "-.5",
        "-1e-3",
        "+4.",
        "peg",
        "-",
        "+",
        "a=b",
        "'peg",
        "⌀4.00",
        "±0.05",
    ],
)
def test_numbers_lone_signs_and_plain_text_stay_as_they_are(text: str) -> None:
    assert write_safe_cell(text) == text


@given(st.text(alphabet=st.sampled_from("=+-@'\t\r\n 1.e,a＝"), max_size=8))
def test_what_is_guarded_comes_back_and_starts_no_formula(text: str) -> None:
    safe = write_safe_cell(text)
    assert read_safe_cell(safe) == text
    start = safe.lstrip()
    if len(start) > 1 and start[0] in "=+-@＝":
        float(start.replace(",", "."))


@given(st.lists(st.text(max_size=12), min_size=1, max_size=5))
def test_a_row_goes_through_csv_without_loss(row: list[str]) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerow(map(write_safe_cell, row))
    (again,) = csv.reader(io.StringIO(out.getvalue(), newline=""))
    assert [read_safe_cell(cell) for cell in again] == row
