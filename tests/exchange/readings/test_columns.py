"""A column gives the same all at once and cell by cell; words and units hold together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from offtool.exchange.readings.columns import Units, ValueColumns, read_counts
from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.rows import Piece
from offtool.exchange.readings.text import heading_key
from offtool.exchange.readings.units import BASE, UNITS, find_unit, split_unit, stated_unit
from offtool.exchange.readings.words import HEADING_WORDS, ROLE_OF, Role

CELLS = st.one_of(
    st.text(alphabet="0123456789.,+-e \n", max_size=8),
    st.floats(-9_999, 9_999).map(lambda number: f"{number:.3f}"),
    st.sampled_from(["", "-", "4.01*", "⌀4", "1e308", "05", "4_0", "４", "inf", "1,234", "4.\n"]),
)


def column(cells: list[str], decimal: str) -> tuple[list[float | None], list[tuple[int, str, str]]]:
    ledger = Ledger("T1")
    piece = Piece([tuple(cells)], np.arange(len(cells), dtype=np.int32))
    values, _ = ValueColumns(decimal, ledger, from_sheet=False).read(piece, 0, Units([None]))
    refused = [(cell.row, cell.found, cell.why) for cell in ledger.refused()]
    return [None if np.isnan(value) else float(value) for value in values], refused


@given(st.lists(CELLS, min_size=1, max_size=12), st.sampled_from(",."))
@example(["4,0\n", "4,1"], ",")
@example(["4\n5", "4"], ".")
def test_a_cell_is_read_alike_alone_and_among_others(cells: list[str], decimal: str) -> None:
    together, refused = column(cells, decimal)
    alone = [column([cell], decimal) for cell in cells]
    assert together == [values[0] for values, _ in alone]
    assert [why for _, _, why in refused] == [why for _, each in alone for _, _, why in each]


@given(
    st.lists(
        st.one_of(st.integers(0, 999_999_999).map(str), st.sampled_from(["", "S3", "x", "-1", "07"])),
        min_size=1,
    )
)
def test_counts_are_read_alike_alone_and_among_others(cells: list[str]) -> None:
    def counts(cells: list[str]) -> list[int]:
        piece = Piece([tuple(cells)], np.arange(len(cells), dtype=np.int32))
        return list(map(int, read_counts(piece, 0, Ledger("T1"))))

    assert counts(cells) == [counts([cell])[0] for cell in cells]


def test_each_word_of_a_heading_has_one_role_only() -> None:
    roles: dict[str, set[Role]] = {}
    for role, words in HEADING_WORDS.items():
        for word in words:
            roles.setdefault(heading_key(word), set()).add(role)
    assert {word: found for word, found in roles.items() if len(found) > 1 or not word} == {}


@pytest.mark.parametrize("word", sorted(ROLE_OF))
def test_each_word_is_known_in_capitals_with_colon_and_in_full_width(word: str) -> None:
    assert read_heading(word.upper()).role is ROLE_OF[word] or word.upper().casefold() != word
    assert read_heading(f" {word}:").role is ROLE_OF[word]
    wide = "".join(chr(ord(sign) + 0xFEE0) if "!" <= sign <= "~" else sign for sign in word)
    assert read_heading(wide).role is ROLE_OF[word]


def test_headings_in_two_languages_name_one_role_or_none() -> None:
    assert read_heading("Nominal 标准值").role is Role.NOMINAL
    assert read_heading("Cavity/穴号").role is Role.CAVITY
    assert read_heading("Tol. +").role is Role.UPPER_DEVIATION
    assert read_heading("Nominal 上限").role is None
    assert read_heading("Cavity depth").role is None


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("Peg dia [mm]", "Peg dia", "mm"),
        ("Peg dia (µm)", "Peg dia", "µm"),
        ("Länge in mm", "Länge", "mm"),
        ("Kraft / N", "Kraft", "N"),
        ("Winkel [°]", "Winkel", "deg"),
        ("扭矩（N·m）", "扭矩", "N·m"),
        ("Torque (N·mm)", "Torque", "N·mm"),
        ("Torque [Nmm]", "Torque", "N·mm"),
        ('Width (")', "Width", "inch"),
        ("Width (in)", "Width", "inch"),
        ("Peg dia (gate side) [mm]", "Peg dia (gate side)", "mm"),
        ("Peg dia mm", "Peg dia", "mm"),
        ("mm", "", "mm"),
    ],
)
def test_units_are_found_in_headings(text: str, name: str, unit: str) -> None:
    rest, found = split_unit(text)
    assert found is not None
    assert (rest, found.shown) == (name, unit)


@pytest.mark.parametrize(
    "text", ["Peg dia", "Step in", "Datum A", "Gate N", "Distance m", "Draft (gate)", "Pin"]
)
def test_words_that_only_look_like_units_are_none(text: str) -> None:
    assert split_unit(text) == (text, None)


@pytest.mark.parametrize(
    "text", ["Unit: mm", "Units: mm", "All dimensions in mm", "Alle Maße in mm", "单位：mm", "Einheit mm"]
)
def test_a_unit_stated_for_the_whole_table_is_found(text: str) -> None:
    assert stated_unit(text) == BASE["mm"]


def test_factors_agree_with_each_other() -> None:
    def size(number: float, unit: str) -> float:
        found = find_unit(unit)
        assert found is not None
        return number * found.factor

    assert size(1, "inch") == pytest.approx(size(1000, "mil"))
    assert size(1, "mm") == size(1000, "µm")
    assert size(1, "N·m") == size(1000, "N·mm") == size(100, "N·cm")
    assert size(1, "kgf·cm") == pytest.approx(size(1, "kgf") * 0.01)
    assert size(1, "in·lb") == pytest.approx(size(1, "lbf") * size(1, "inch") / 1000)
    assert {unit.base for unit in UNITS.values()} == BASE.keys()
