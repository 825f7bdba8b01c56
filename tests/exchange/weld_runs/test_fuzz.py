"""A weld study that was written is read back; and no bytes raise anything but FileRefused."""

from __future__ import annotations

from math import isfinite

from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.weld_runs import read_weld_study
from offtool.exchange.weld_runs.words import APPEARANCE_WORDS, FAILURE_WORDS, NUMBERS, RIDGE_WORDS, vocabulary
from offtool.handbook.terms import Appearance, Failure, Ridge
from tests.exchange.readings.gauge_room import workbook
from tests.exchange.weld_runs.test_runs import IN_CHINESE, IN_ENGLISH, IN_GERMAN


def test_no_word_heads_two_fields() -> None:
    words = vocabulary(("HO-02",), ("HO-03",))
    for field in words.fields:
        for heading in (word.strip() for line in field.words.splitlines() for word in line.split(",")):
            told = words.read(heading, 0)
            assert heading == "" or (told is not None and told.field.name == field.name), heading


SHOWN = {
    "time_s": "weld time [s]",
    "pressure_bar": "pressure [bar]",
    "amplitude_um": "amplitude p-p [µm]",
    "strength_n": "strength [N]",
    "flash_mm": "flash [mm]",
}
VALUES = st.none() | st.integers(0, 10**6).map(lambda i: i / 1000)
ROWS = st.lists(
    st.tuples(
        st.integers(1, 999).map(str),
        *(VALUES for _ in SHOWN),
        st.sampled_from(list(Failure)),
        st.sampled_from(list(Appearance)),
        st.sampled_from(list(Ridge)),
    ).filter(lambda row: any(one is not None for one in row[1:6])),
    min_size=1,
    max_size=20,
)


@given(
    ROWS,
    st.sampled_from([(",", "."), (";", ","), ("\t", ","), ("|", ".")]),
    st.sampled_from(["utf-8", "utf-16"]),
)
@settings(max_examples=80, deadline=None)
def test_a_table_that_was_written_is_read_back(
    rows: list[tuple[object, ...]], marks: tuple[str, str], encoding: str
) -> None:
    separator, decimal = marks

    def shown(cell: object) -> str:
        return (
            ""
            if cell is None
            else (f"{cell:.3f}" if isinstance(cell, float) else str(cell)).replace(".", decimal)
        )

    heads = ["piece", *SHOWN.values(), "failure", "appearance", "ridge"]
    lines = [separator.join(heads), *(separator.join(map(shown, row)) for row in rows), ""]
    table = read_weld_study("\n".join(lines).encode(encoding), "w.csv")
    found = [
        (one.piece, *(getattr(one, name) for name in SHOWN), one.failure, one.appearance, one.ridge)
        for one in table.runs
    ]
    assert found == rows
    assert table.file.refused == ()


TEXTS = [text.encode() for text in (IN_ENGLISH, IN_GERMAN, IN_CHINESE)]
BOOK = workbook([["Piece", "Weld time [ms]", "Strength [N]"], ["1", 300, ">400"], ["2", 300, "380,5"]])
PIECES = st.one_of(
    st.sampled_from("\n,;\t\"'|-+/()12\r\ufeff\x1a"),
    st.sampled_from(
        ["4,05", "4.05", "12.345", "1e308", "NaN", "=1", "Average", ">400", "5+", ">", "+", "ms", "psi"]
    ),
    st.sampled_from([*FAILURE_WORDS, *APPEARANCE_WORDS, *RIDGE_WORDS]),
    st.sampled_from(
        ["piece", "failure", "ridge", "cavity", "unit", *(field.name for field in NUMBERS.values())]
    ),
    st.sampled_from(list(SHOWN.values())),
)


def read_or_refused(content: bytes) -> None:
    refusals: list[FileRefused] = []
    try:
        table = read_weld_study(content, "w")
    except FileRefused as refusal:
        refusals.append(refusal)
    if refusals:
        assert refusals[0].what
        assert refusals[0].remedy
        return
    assert table.runs
    assert len({one.row for one in table.runs}) == len(table.runs)
    for run in table.runs:
        values = {name: getattr(run, name) for name in NUMBERS if getattr(run, name) is not None}
        assert run.piece
        assert all(isfinite(value) and abs(value) <= 2 * MAX_SIZE for value in values.values())
        assert min([0.0, *(value for name, value in values.items() if name != "collapse_mm")]) == 0


@given(st.binary(max_size=400))
@settings(max_examples=100, deadline=None)
def test_no_bytes_raise_anything_else(content: bytes) -> None:
    read_or_refused(content)


@given(st.lists(PIECES, max_size=60).map("".join))
@settings(max_examples=200, deadline=None)
def test_no_text_of_the_trade_raises_anything_else(text: str) -> None:
    read_or_refused(text.encode("utf-8", "replace"))


@given(st.sampled_from([*TEXTS, BOOK]), st.integers(0, 10_000), st.binary(max_size=6), st.integers(0, 6))
@settings(max_examples=200, deadline=None)
def test_no_damage_to_a_study_raises_anything_else(content: bytes, at: int, piece: bytes, gone: int) -> None:
    at %= len(content)
    read_or_refused(content[:at] + piece + content[at + gone :])
