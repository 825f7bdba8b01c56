"""The reference values of a card, from files as people have them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import strategies as st

from offtool.exchange.card_patches import read_card
from offtool.exchange.readings import FileRefused
from tests.core.laws import law

PUBLISHED = Path(__file__).parents[1] / "published" / "card_24.csv"


def test_a_plain_file_is_read() -> None:
    found = read_card(b"patch,L,a,b\nred,42.3,54.1,28.7\ngrey 5,50.8,-0.6,-0.2\n", "card.csv")
    assert [(one.name, one.lightness, one.a, one.b) for one in found.patches] == [
        ("red", 42.3, 54.1, 28.7),
        ("grey 5", 50.8, -0.6, -0.2),
    ]
    assert not found.file.refused


def test_the_published_card_is_read() -> None:
    lines = PUBLISHED.read_text(encoding="utf-8").splitlines()
    content = "\n".join(line for line in lines if not line.startswith("#"))
    found = read_card(content.encode(), "card.csv")
    assert len(found.patches) == 24
    assert (found.patches[0].name, found.patches[0].lightness) == ("dark skin", 38.4459)


def test_semicolons_and_commas_as_marks_and_stars_in_headings() -> None:
    content = b"Farbfeld;L*;a*;b*\nrot;42,3;54,1;28,7\nblau;28,9;14,8;-50,2\ngrau;50,8;-0,6;-0,2\n"
    found = read_card(content, "karte.csv")
    assert [(one.name, one.b) for one in found.patches] == [("rot", 28.7), ("blau", -50.2), ("grau", -0.2)]


def test_patches_without_names_are_numbered() -> None:
    found = read_card(b"L,a,b\n42.3,54.1,28.7\n50.8,-0.6,-0.2\n", "card.csv")
    assert [one.name for one in found.patches] == ["1", "2"]


def test_what_cannot_be_read_is_refused_cell_by_cell_and_the_rest_stands() -> None:
    rows = ("red,42.3,54.1,28.7", "odd,x,0.1,0.2", "red,1.5,2.5,3.5", "far,900.5,0.1,0.1", "mm,5 mm,1,1")
    content = "\n".join(["patch,L,a,b", *rows, "end,9.5,0.5,0.5"]).encode()
    found = read_card(content, "card.csv")
    assert [one.name for one in found.patches] == ["red", "end"]
    said = " ".join(map(str, found.file.refused))
    assert "names a second patch" in said
    assert "is no L of a colour" in said
    assert "has a unit, mm" in said


@pytest.mark.parametrize("content", [b"", b"nothing here\n", b"patch,L,a,b\n", b"\x89PNG\r\n"])
def test_what_is_no_card_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(FileRefused) as refusal:
        read_card(content, "card.csv")
    assert refusal.value.remedy


@law(
    examples=100,
    content=st.one_of(st.binary(max_size=100), st.text(alphabet="patch,Lab\n;0123.- x").map(str.encode)),
)
def test_any_bytes_give_a_card_or_a_refusal(content: bytes) -> None:
    try:
        found = read_card(content, "card.csv")
    except FileRefused:
        return
    assert found.patches
