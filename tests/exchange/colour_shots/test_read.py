"""Measured shots are read as they were written, odd cells are refused, no bytes raise anything else."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.colour_shots import read_colour_shots
from offtool.exchange.colour_shots.words import VOCABULARY
from offtool.exchange.readings import FileRefused
from tests.exchange.readings.gauge_room import workbook

NAMED = "change.csv"
ROWS = st.lists(
    st.tuples(
        st.integers(1, 10_000),
        st.integers(0, 12_000).map(lambda i: i / 100),
        st.integers(-20_000, 20_000).map(lambda i: i / 100),
        st.integers(-20_000, 20_000).map(lambda i: i / 100),
    ),
    min_size=1,
    max_size=30,
)


def read(text: str, **more: str) -> list[tuple[int, float, float, float]]:
    found = read_colour_shots(text.encode(), NAMED, **more)
    return [(one.number, one.lightness, one.a, one.b) for one in found.shots]


def test_no_word_heads_two_fields() -> None:
    for field in VOCABULARY.fields:
        for heading in (word.strip() for line in field.words.splitlines() for word in line.split(",")):
            told = VOCABULARY.read(heading, 0)
            assert heading == "" or (told is not None and told.field.name == field.name), heading


@given(
    ROWS,
    st.sampled_from([(",", "."), (";", ","), ("\t", ","), ("|", ".")]),
    st.sampled_from(["utf-8", "utf-16"]),
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_table_that_was_written_is_read_back(
    rows: list[tuple[int, float, float, float]], marks: tuple[str, str], encoding: str
) -> None:
    separator, decimal = marks
    lines = [separator.join(["shot", "L*", "a*", "b*"])]
    lines += [
        separator.join([str(row[0]), *(f"{one:.2f}".replace(".", decimal) for one in row[1:])])
        for row in rows
    ]
    found = read_colour_shots("\n".join(lines).encode(encoding), NAMED)
    assert [(one.number, one.lightness, one.a, one.b) for one in found.shots] == rows


@pytest.mark.parametrize(
    "heading", ["Shot,L,a,b", "Schuss,L*,a*,b*", "模次,L值,a值,b值", "no,lightness,red green,yellow blue"]
)
def test_headings_of_three_languages_are_known(heading: str) -> None:
    assert read(f"{heading}\n1,38.2,14,20\n2,44,13,31\n") == [(1, 38.2, 14, 20), (2, 44, 13, 31)]


def test_without_a_column_of_shots_each_row_is_one_and_it_says_so() -> None:
    found = read_colour_shots(b"L,a,b\n38,14,20\n44,13,31\n", NAMED)
    assert [one.number for one in found.shots] == [1, 2]
    assert any("each row is one" in note for note in found.file.notes)


def test_a_workbook_is_read_too() -> None:
    content = workbook([["shot", "L", "a", "b"], [1, 38.2, 14.0, 20.0], [5, 60.0, 9.5, 48.0]])
    found = read_colour_shots(content, "change.xlsx")
    assert [(one.number, one.b) for one in found.shots] == [(1, 20.0), (5, 48.0)]


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("3,x,1,2", "is no number"),
        ("3,60,1,", "a colour has L, a and b"),
        (",60,1,2", "does not say which shot"),
        ("0,60,1,2", "is no shot"),
        ("2.5,60,1,2", "no whole number"),
        ("3,200,1,2", "outside 0 to 120"),
        ("3,60,-300,2", "outside -200 to 200"),
        ("3,60 mm,1,2", "has a unit"),
    ],
)
def test_a_row_that_cannot_be_is_refused_with_the_reason_and_the_others_stand(row: str, why: str) -> None:
    found = read_colour_shots(f"shot,L,a,b\n1,38,14,20\n{row}\n5,70,8,60\n".encode(), NAMED)
    assert [one.number for one in found.shots] == [1, 5]
    assert any(why in str(one) for one in found.file.refused)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is empty"),
        ("hello\nworld\n", "no row of headings"),
        ("shot,L,a\n1,38,14\n", "has no column b"),
        ("shot,L,a,b\n1,x,14,20\n", "no shot that can be read"),
    ],
)
def test_a_file_without_shots_is_refused(text: str, why: str) -> None:
    with pytest.raises(FileRefused, match=why):
        read(text)


@given(st.binary(max_size=400) | st.text(max_size=400).map(lambda text: ("shot,L,a,b\n" + text).encode()))
@settings(max_examples=120, deadline=None, derandomize=True)
def test_no_bytes_raise_anything_but_a_refusal(content: bytes) -> None:
    with suppress(FileRefused):
        read_colour_shots(content, NAMED)
