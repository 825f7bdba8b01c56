"""A list of lots, as it is typed or kept in a file: a line a lot, every slip named by its line."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.values import OfftoolError
from offtool.exchange.lots_found import MOST_LOTS, lots_in_file, lots_in_text
from tests.core.laws import law


@pytest.mark.parametrize("parted", ["; ", ",", "\t", "   "])
def test_size_and_bad_pieces_stand_on_a_line(parted: str) -> None:
    read = lots_in_text(f"2000{parted}1\n1500{parted}0\n")
    assert (read.lots, read.found) == ((2000, 1500), (1, 0))


def test_a_heading_and_remarks_are_passed_over() -> None:
    read = lots_in_text("\nlot; found\n# week 12\n2000; 1\n\n")
    assert (read.lots, read.found) == ((2000,), (1,))


def test_the_size_may_be_said_once_for_all() -> None:
    assert lots_in_text("1\n0\n", lot=2000).lots == (2000, 2000)


def test_a_file_is_read_as_its_text() -> None:
    assert lots_in_file("lot;found\n2000;3\n".encode("utf-16"), "lots.csv").found == (3,)


@law(pairs=st.lists(st.tuples(st.integers(0, 10**8), st.integers(0, 10**6)), min_size=1, max_size=20))
def test_what_is_written_is_read_back(pairs: list[tuple[int, int]]) -> None:
    read = lots_in_text("\n".join(f"{lot};{found}" for lot, found in pairs))
    assert list(zip(read.lots, read.found, strict=True)) == pairs


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no lot"),
        ("2000; 1\n2000; one", "line 2: 'one' is no whole number"),
        ("2000; 1.5", "line 1: '1.5' is no whole number"),
        ("2000; -1", "line 1: '-1' is no whole number"),
        ("2000", "line 1: '2000' says no size"),
        ("2,000, 1", "line 1: '2,000, 1' has 3 numbers"),
        ("lot\nfound", "line 2: 'found' is no whole number"),
        ("1;1\n" * (MOST_LOTS + 1), "more than 10,000 lots"),
    ],
)
def test_every_slip_is_named_by_its_line(text: str, said: str) -> None:
    with pytest.raises(OfftoolError, match=said):
        lots_in_text(text)


def test_a_workbook_is_refused_with_its_name() -> None:
    with pytest.raises(OfftoolError, match=r"lots\.xlsx"):
        lots_in_file(b"PK\x03\x04" + bytes(range(256)), "lots.xlsx")
