"""Toy tests as benches write them: loads, falls and what came off, found by their headings, a piece a row."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.readings import FileRefused
from offtool.exchange.toy_tests import ToyPieceRead, read_toy_tests
from offtool.exchange.toy_tests.table import LoadRead
from offtool.exchange.toy_tests.words import VOCABULARY
from tests.exchange.readings.gauge_room import workbook
from tests.labels import independent

IN_ENGLISH = "Piece,Part,Torque [N·m],Held,Came off [mm]\nA1,HO-04,0.46,yes,\nA2,HO-04,0.31,no,22\n"
IN_GERMAN = (
    "Muster;Bauteil;Drehmoment [N·m];Ergebnis;abgelöst [mm]\n"
    "A1;HO-04;0,46;gehalten;\nA2;HO-04;0,31;gebrochen;22\n"
)
IN_CHINESE = "样品,零件,扭矩(N·m),结果,脱落尺寸(mm)\nA1,HO-04,0.46,合格,\nA2,HO-04,0.31,脱落,22\n"
PIECES = (
    ToyPieceRead(
        piece="A1", part="HO-04", loads={"torque": LoadRead(value=0.46, stopped=False)}, held=True, row=2
    ),
    ToyPieceRead(
        piece="A2",
        part="HO-04",
        loads={"torque": LoadRead(value=0.31, stopped=False)},
        held=False,
        came_off_mm=22.0,
        row=3,
    ),
)


@pytest.mark.parametrize("text", [IN_ENGLISH, IN_GERMAN, IN_CHINESE])
def test_a_file_is_read_in_every_language(text: str) -> None:
    read = read_toy_tests(text.encode(), "L1.csv")
    assert read.pieces == PIECES
    assert read.tests == ("torque",)
    assert read.part_column == 2
    assert read.file.refused == ()


def test_a_german_bench_that_counts_its_pieces_is_read_by_its_pieces() -> None:
    text = "Teil;Stück;Drehmoment [N·m];gehalten;abgegangen [mm]\nHO-05;4;0,46;ja;\nHO-05;4;0,2;nein;22\n"
    first, again = read_toy_tests(text.encode(), "tt.csv").pieces
    assert first.piece == again.piece == "4"
    assert again.came_off_mm == 22.0


def test_a_heading_that_is_not_known_is_answered_with_those_that_are() -> None:
    (refused,) = read_toy_tests(b"Piece,Torque [Nm],Held,Loss [mm]\n1,0.3,no,22\n", "tt.csv").file.refused
    assert "known words that are left (part, drops, height, came off, unit, tension," in str(refused)
    with pytest.raises(FileRefused, match="in German Stück, Teil, Drehmoment"):
        read_toy_tests(b"Stueckchen;Kraftakt\n1;2\n", "tt.csv")


def test_a_workbook_reads_alike() -> None:
    rows = [["Piece", "Part", "Torque [N·m]", "Held", "Came off [mm]"], ["A1", "HO-04", 0.46, "yes", None]]
    read = read_toy_tests(workbook(rows), "L1.xlsx")
    assert read.pieces[0].loads == PIECES[0].loads
    assert read.file.sheet == "Sheet1"


def test_the_units_of_the_law_are_read() -> None:
    text = "Piece,Torque [in·lbf],Tension [lbf],Drops,Height [ft],Held\n1,4,15,4,3,yes\n"
    (piece,) = read_toy_tests(text.encode(), "L1.csv").pieces
    assert piece.loads["torque"].value == independent(4 * 0.1129848290276167, way="by definition", rel=1e-6)
    assert piece.loads["tension"].value == independent(15 * 4.4482216152605, way="by definition", rel=1e-6)
    assert piece.height_m == independent(0.9144, way="three feet by definition")


def test_a_load_that_was_stopped_is_a_bound() -> None:
    read = read_toy_tests(b"Piece,Tension [N]\n1,>70\n2,41\n", "L1.csv")
    assert [one.loads["tension"] for one in read.pieces] == [
        LoadRead(value=70.0, stopped=True),
        LoadRead(value=41.0, stopped=False),
    ]
    assert [one.held for one in read.pieces] == [None, None]
    assert any("taken as that at which it came apart" in note for note in read.file.notes)


def test_what_came_off_did_not_hold() -> None:
    (piece,) = read_toy_tests("Piece,Torque [N·m],Came off [mm]\n1,0.5,18\n".encode(), "L1.csv").pieces
    assert piece.held is False


def test_falls_need_a_word_on_what_became_of_the_piece() -> None:
    read = read_toy_tests(b"Piece,Drops,Height [m],Held\n1,4,0.92,yes\n2,4,0.92,\n", "L1.csv")
    assert [one.piece for one in read.pieces] == ["1"]
    assert read.tests == ("drop",)
    (refused,) = read.file.refused
    assert (refused.row, refused.column) == (3, 1)
    assert "whether the piece held" in refused.why


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("1,abc,yes,", "no number"),
        ("1,-0.4,yes,", "below 0"),
        ("1,0.4,perhaps,", "no held that is known"),
        (",0.4,yes,", "names no piece"),
        ("1,,,", "says nothing of a test"),
        ("1,0.4,no,2000", "is more than 1000"),
    ],
)
def test_every_cell_that_cannot_be_is_named(row: str, why: str) -> None:
    text = f"Piece,Torque [N·m],Held,Came off [mm]\nA,0.5,yes,\n{row}\n"
    read = read_toy_tests(text.encode(), "L1.csv")
    assert [one.piece for one in read.pieces] == ["A"]
    assert any(why in str(cell) and cell.row == 3 for cell in read.file.refused), read.file.refused


def test_a_load_beyond_any_toy_is_asked_about() -> None:
    read = read_toy_tests("Piece,Torque [N·m]\n1,460\n".encode(), "L1.csv")
    assert "is its unit right?" in str(read.file.cautions[0])


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"a,b\n1,2\n", "no row of headings"),
        (b"Piece,Torque\n1,0.4\n", "has no unit"),
        (b"Piece,Torque [N]\n1,0.4\n", "torque is given in N"),
        (b"Piece,Held\n1,\n", "holds no piece of a test"),
    ],
)
def test_a_file_without_a_test_is_refused_with_what_to_do(content: bytes, said: str) -> None:
    with pytest.raises(FileRefused, match=said):
        read_toy_tests(content, "L1.csv")


def test_no_word_heads_two_fields() -> None:
    for field in VOCABULARY.fields:
        for heading in (word.strip() for line in field.words.splitlines() for word in line.split(",")):
            told = VOCABULARY.read(heading, 0)
            assert heading == "" or (told is not None and told.field.name == field.name), heading


@settings(max_examples=60, derandomize=True, database=None, deadline=None)
@given(content=st.binary(max_size=300) | st.text(max_size=200).map(lambda one: (IN_ENGLISH + one).encode()))
def test_no_bytes_raise_anything_but_a_refusal(content: bytes) -> None:
    try:
        read = read_toy_tests(content, "L1.csv")
    except FileRefused:
        return
    assert read.pieces
