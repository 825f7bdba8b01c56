"""Text in columns, counted as the terminal counts them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.cli.typeset import columns_of, flow, pad, paragraph, table, wrap

TEXT = st.text(st.sampled_from("ab ⌀直径é-́"), max_size=60)


@pytest.mark.parametrize(("text", "columns"), [("peg", 3), ("直径", 4), ("⌀4", 2), ("e\u0301", 1), ("", 0)])
def test_a_chinese_sign_takes_two_columns_and_an_accent_none(text: str, columns: int) -> None:
    assert columns_of(text) == columns


@given(TEXT, st.integers(2, 20))
def test_no_wrapped_line_is_too_long_and_no_sign_is_lost(text: str, columns: int) -> None:
    lines = wrap(text, columns)
    assert all(columns_of(line) <= columns for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_word_longer_than_the_line_is_cut() -> None:
    assert wrap("直径直径 ab", 5) == ["直径", "直径", "ab"]


@pytest.mark.parametrize(("side", "padded"), [("<", "直  "), (">", "  直")])
def test_padding_counts_columns(side: str, padded: str) -> None:
    assert pad("直", 4, side) == padded


def test_a_paragraph_hangs_below_its_first_line() -> None:
    assert paragraph("one two three", width=9, indent="   ", first="1. ") == ["1. one", "   two", "   three"]


def test_columns_of_a_table_stand_below_each_other() -> None:
    rows = [["直径", "4.00", "peg"], ["L", "62.000", "body"]]
    assert table(rows, width=80, sides="<>", indent=1) == [" 直径    4.00  peg", " L     62.000  body"]


def test_the_last_column_wraps_under_itself() -> None:
    lines = table([["a", "one two three four five six"]], width=20)
    assert lines == ["a  one two three", "   four five six"]


def test_a_column_that_is_empty_throughout_is_left_out() -> None:
    assert table([["a", "", "b"], ["c", "", "d"]], width=40) == ["a  b", "c  d"]


def test_pieces_flow_without_being_broken() -> None:
    assert flow(["one two", "three", "four"], width=16, indent=" ") == [" one two   three", " four"]
