"""No bytes make the reader raise anything but FileRefused, and no file is half read."""

from __future__ import annotations

import io
import zipfile

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.readings import FileRefused, Layout, ReadingTable, read_table
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.units import UNITS
from offtool.exchange.readings.words import ROLE_OF
from tests.exchange.readings.gauge_room import with_sheet_xml, workbook

TEXTS = [
    text.encode(codec)
    for text, codec in (
        ("Cavity,Shot,Peg dia [mm],Seat width [mm]\n1,1,4.01,12.51\n2,1,4.02,12.52\n", "utf-8"),
        ("Merkmal;Nest;Schuss;Nennmaß;Tol.;Wert;Urteil\nZapfen;1;1;4,00;±0,05;4,01;i.O.\n", "utf-8-sig"),
        (
            "No.,Name,Nominal,Cavity 1,,Cavity 2,\n,,,1,2,1,2\n1,Peg,⌀4,4,4.1,4,4\n2,Seat,4±0.1,4,4*,OOL,4\n",
            "utf-8",
        ),
        ("Schuss;Zapfen Ø;Sitz\n;mm;µm\nNennmaß;4,00;12,5\n1;4,01;12,5\nMittelwert;4,01;12,5\n", "cp1252"),
        (
            "序号,项目,标准值,上限,下限,单位,穴1 #1,穴1 #2,判定\n1,外径,4,4.05,3.95,mm,4,４．０３,OK\n",
            "gb18030",
        ),
        ("characteristic\tcavity\tshot\tvalue\tunit\nPeg\tCav 1\t1\t0.158\tin\n", "utf-16"),
    )
]
BOOK = workbook([["Cavity", "Shot", "Peg"], [1, 1, 4.01], [1, 2, "4,02"], [1, 3, ("=1", 4.0)]])

CELLS = ["Cav 1", "K1-3", "#2", "穴1", "±0.05", "4,05", "4.05", "12.345", "1e308", "NaN", "=1", "08:15", "⌀4"]
PIECES = st.one_of(
    st.sampled_from("\n,;\t\"'|-+/()12\r\ufeff\x1a"),
    st.sampled_from(CELLS),
    st.sampled_from(sorted(ROLE_OF)),
    st.sampled_from(sorted(UNITS)),
)
SHEET_PIECES = st.sampled_from(
    [
        '<row r="1">',
        '<row r="2">',
        "<row>",
        "</row>",
        '<row r="9999999">',
        "<c",
        "/>",
        "</c>",
        "<v>",
        "x",
        "&amp;",
        '<c r="A1"><v>1</v></c>',
        '<c r="B2"><v>4.01</v></c>',
        '<c r="A4"><v>1e999</v></c>',
        '<c r="B4"><v>NaN</v></c>',
        '<c r="C2" t="e"><v>#N/A</v></c>',
        '<c r="C3"><f>1</f></c>',
        '<c r="XFD1"><v>1</v></c>',
        "<!-- -->",
        '<c t="inlineStr"><is><t>Peg</t></is></c>',
        '<c r="A1" t="inlineStr"><is><t>Cavity</t></is></c>',
        '<c r="A2" t="b"><v>1</v></c>',
        '<c r="A3" s="999"><v>1</v></c>',
        '<c r="D2" t="d"><v>2025-11-03</v></c>',
    ]
)


def read_or_refused(content: bytes, layout: Layout | None = None) -> ReadingTable | None:
    refusals: list[FileRefused] = []
    try:
        table = read_table(content, "T1", layout=layout)
    except FileRefused as refusal:
        refusals.append(refusal)
    if refusals:
        assert refusals[0].what
        assert refusals[0].remedy
        return None
    assert_whole(table)
    return table


def assert_whole(table: ReadingTable) -> None:
    arrays = (
        table.characteristic,
        table.cavity,
        table.shot,
        table.part,
        table.row,
        table.column,
        table.value,
    )
    assert {len(array) for array in arrays} == {len(table.value)}
    assert len(table.value) > 0
    assert [array.dtype for array in arrays] == [
        np.int32,
        np.int32,
        np.int64,
        np.int64,
        np.int32,
        np.int32,
        np.float64,
    ]
    assert np.isfinite(table.value).all()
    assert np.abs(table.value).max() <= MAX_SIZE
    assert 0 <= table.characteristic.min() <= table.characteristic.max() < len(table.characteristics)
    assert -1 <= table.cavity.min() <= table.cavity.max() < len(table.cavities)
    assert table.shot.min() >= -1
    assert table.part.min() >= -1
    cells = set(zip(table.row.tolist(), table.column.tolist(), strict=True))
    assert len(cells) == len(table.value)
    assert not cells & {(cell.row, cell.column) for cell in table.refused}
    assert table.missing >= 0


LAYOUTS = st.sampled_from([None, None, *Layout])


@settings(deadline=None, max_examples=200)
@given(st.binary(max_size=400), LAYOUTS)
def test_random_bytes(content: bytes, layout: Layout | None) -> None:
    read_or_refused(content, layout)


@settings(deadline=None, max_examples=300)
@given(st.lists(PIECES, max_size=150), st.sampled_from([",", ";", "\t", ""]), LAYOUTS)
def test_words_of_the_trade_in_any_order(pieces: list[str], between: str, layout: Layout | None) -> None:
    read_or_refused(between.join(pieces).encode(), layout)


@settings(deadline=None, max_examples=400)
@given(st.data(), LAYOUTS)
def test_real_files_with_pieces_changed(data: st.DataObject, layout: Layout | None) -> None:
    content = bytearray(data.draw(st.sampled_from([*TEXTS, BOOK])))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(content)))
        length = data.draw(st.integers(0, 12))
        piece = data.draw(st.one_of(st.binary(max_size=4), PIECES.map(str.encode)))
        content[at : at + length] = piece
    read_or_refused(bytes(content), layout)


@settings(deadline=None, max_examples=200)
@given(st.lists(SHEET_PIECES, max_size=30))
def test_workbooks_with_a_sheet_of_pieces(pieces: list[str]) -> None:
    read_or_refused(with_sheet_xml("".join(pieces), BOOK))


@settings(deadline=None, max_examples=100)
@given(st.data())
def test_workbooks_with_one_part_changed(data: st.DataObject) -> None:
    changed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(BOOK)) as old, zipfile.ZipFile(changed, "w") as new:
        target = data.draw(st.sampled_from(old.namelist()))
        for name in old.namelist():
            part = bytearray(old.read(name))
            if name == target:
                at = data.draw(st.integers(0, len(part)))
                part[at : at + data.draw(st.integers(0, 40))] = data.draw(st.binary(max_size=20))
            new.writestr(name, bytes(part))
    read_or_refused(changed.getvalue())


def test_the_files_themselves_are_read() -> None:
    for content in [*TEXTS, BOOK]:
        assert read_or_refused(content) is not None
