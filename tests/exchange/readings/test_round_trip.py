"""What is written in any layout, encoding, separator and decimal mark is read back exactly, cell by cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from offtool.exchange.readings import Layout, ReadingTable, read_table
from tests.exchange.readings.gauge_room import Taken, rows_of, taken, workbook, written

WORDS = {
    "utf-8": (
        ["Peg dia", "Zapfen Ø", "外径", "Seat width"],
        ("Characteristic", "Cavity", "Shot", "Part", "Value", "Nominal"),
    ),
    "utf-8-sig": (["外径", "Größe", "Wall"], ("尺寸", "穴号", "模次", "样品", "实测值", "标准值")),
    "utf-16": (["外径", "Höhe", "Wall"], ("Merkmal", "Kavität", "Schuss", "Teil", "Messwert", "Nennmaß")),
    "utf-16-le": (["Peg", "Breite", "外径"], ("Merkmal", "Nest", "Schuss", "Teil", "Istwert", "Sollwert")),
    "utf-16-be": (["Peg", "Breite", "外径"], ("Dimension", "Cav.", "Shot no.", "Sample", "Actual", "Spec")),
    "gb18030": (["外径", "总长", "壁厚 ⌀"], ("尺寸", "模穴", "模次", "样品", "实测值", "标准值")),
    "cp1252": (
        ["Zapfen Ø", "Höhe", "Maß über alles"],
        ("Merkmal", "Kavität", "Schuss", "Teil", "Messwert", "Nennmaß"),
    ),
}
ENCODINGS = {"utf-8-sig": "UTF-8", "utf-16": "UTF-16 LE", "cp1252": "Windows-1252"}


@dataclass(frozen=True)
class Sent:
    """A trial as it was measured: a value for each characteristic of each part, None where none was taken."""

    names: list[str]
    words: tuple[str, ...]
    parts: list[tuple[str, int, int]]
    values: list[list[float | None]]
    codec: str
    separator: str
    mark: str

    def shown(self, value: float | None) -> str:
        return "" if value is None else f"{value:.4f}".replace(".", self.mark)

    def readings(self) -> set[Taken]:
        return {
            Taken(name, cavity, shot, part, value)
            for (cavity, shot, part), row in zip(self.parts, self.values, strict=True)
            for name, value in zip(self.names, row, strict=True)
            if value is not None
        }


@st.composite
def trials(draw: st.DrawFn) -> Sent:
    codec = draw(st.sampled_from(sorted(WORDS)))
    possible, words = WORDS[codec]
    names = draw(st.lists(st.sampled_from(possible), min_size=1, max_size=3, unique=True))
    cavities = draw(
        st.lists(st.sampled_from(["1", "2", "8", "10", "A"]), min_size=1, max_size=3, unique=True)
    )
    shots = draw(st.lists(st.integers(0, 99_999), min_size=1, max_size=4, unique=True))
    size = st.floats(-9_999, 99_999, allow_nan=False).map(lambda value: round(value, 4))
    parts = [(cavity, shot, number) for number, shot in enumerate(shots, 1) for cavity in cavities]
    row = st.lists(st.one_of(size, size, st.none()), min_size=len(names), max_size=len(names))
    values = draw(st.lists(row, min_size=len(parts), max_size=len(parts)))
    assume(any(value is not None for value in values[0]))
    mark = draw(st.sampled_from(".,"))
    return Sent(names, words, parts, values, codec, draw(st.sampled_from(",;\t|")), mark)


def wide(sent: Sent) -> list[list[str]]:
    _, cavity, shot, part, _, _ = sent.words
    return [
        [part, *sent.names, shot, cavity],
        *(
            [str(p), *map(sent.shown, row), str(s), c]
            for (c, s, p), row in zip(sent.parts, sent.values, strict=True)
        ),
    ]


def long(sent: Sent) -> list[list[str]]:
    characteristic, cavity, shot, part, value, _ = sent.words
    rows = [[shot, value, cavity, characteristic, part]]
    for (c, s, p), row in zip(sent.parts, sent.values, strict=True):
        rows += [
            [str(s), sent.shown(size), c, name, str(p)] for name, size in zip(sent.names, row, strict=True)
        ]
    return rows


def report(sent: Sent) -> list[list[str]]:
    characteristic, cavity, shot, part, _, nominal = sent.words
    places = [f"{cavity} {c} {shot} {s} {part} {p}" for c, s, p in sent.parts]
    columns = list(zip(*sent.values, strict=True))
    return [
        [characteristic, nominal, *places],
        *([name, "4", *map(sent.shown, row)] for name, row in zip(sent.names, columns, strict=True)),
    ]


LAYOUTS = {Layout.WIDE: wide, Layout.LONG: long, Layout.REPORT: report}


def assert_same(table: ReadingTable, sent: Sent, layout: Layout) -> None:
    assert table.layout is layout
    assert set(taken(table)) == sent.readings()
    assert len(table.value) == len(sent.readings())
    assert table.refused == ()
    assert table.repairs == ()


def assert_traceable(table: ReadingTable, rows: list[list[str]]) -> None:
    lengths = {
        len(array)
        for array in (table.characteristic, table.cavity, table.shot, table.part, table.row, table.column)
    }
    assert lengths == {len(table.value)}
    for row, column, value in zip(table.row, table.column, table.value, strict=True):
        assert float(rows[row - 1][column - 1].replace(",", ".")) == value


@settings(deadline=None)
@given(trials(), st.sampled_from(sorted(LAYOUTS)))
def test_text_is_read_back_exactly(sent: Sent, layout: Layout) -> None:
    text = written(LAYOUTS[layout](sent), sent.separator)
    table = read_table(text.encode(sent.codec), "T1.csv")
    assert table.encoding == ENCODINGS.get(
        sent.codec, sent.codec.upper().replace("-LE", " LE").replace("-BE", " BE")
    )
    assert (table.delimiter, table.decimal) == (sent.separator, sent.mark)
    assert_same(table, sent, layout)
    assert_traceable(table, rows_of(text, sent.separator))


def as_number(cell: str) -> str | float:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return cell


@settings(deadline=None, max_examples=40)
@given(trials(), st.sampled_from(sorted(LAYOUTS)), st.booleans())
def test_a_workbook_is_read_back_exactly_with_numbers_as_numbers_or_as_text(
    sent: Sent, layout: Layout, as_text: bool
) -> None:
    rows = LAYOUTS[layout](sent)
    cells = [[cell if as_text else as_number(cell) for cell in row] for row in rows]
    table = read_table(workbook(cells), "T1.xlsx")
    assert table.layout is layout
    assert set(taken(table)) == sent.readings()
    assert table.refused == ()
    assert all(repair.why == "a number stored as text" for repair in table.repairs)
    assert_traceable(table, rows)


def test_the_readings_stand_in_the_order_of_the_file() -> None:
    table = read_table(b"Cavity,Shot,Peg,Seat\n1,1,1.1,1.2\n1,2,2.1,2.2\n", "T1.csv")
    assert np.array_equal(table.value, [1.1, 1.2, 2.1, 2.2])
