"""A register of samples from a file: shop words, a row a part, every refused cell named, and out again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from io import BytesIO

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.exchange.headed_tables.fields import keys
from offtool.exchange.readings import FileRefused
from offtool.exchange.samples_file import HEADINGS, SampleRowRead, SamplesTable, read_samples, samples_csv
from offtool.exchange.samples_file.read import read_date
from offtool.exchange.samples_file.words import FIELDS, vocabulary
from tests.exchange.programme.made_up import FORMULAS

ENGLISH = """\
Register of the archive
Sample No.,What it is,Part,Part label,Mould,Tool state,Cav,Trial,Shot no,Colour,Purpose,Drawer,Who has it,\
Found on,Remarks
S1,otter without paint,body,torso,M1,a,2,T1,14,blue,limit sample,3,Ada,2026-04-01,"washed, dried"
S1,,limb,left arm,,,,,,,,,,,
S2,,,,,,,,,,,,,,
"""
GERMAN = (
    "Muster Nr;Bezeichnung;Teil;Werkzeug;Nest;Schuss;Farbe;Lagerort;Datum\n"
    "S1;Otter;body;M1;2;14;blau;3;1.4.2026\n"
)
CHINESE = "样品编号,名称,零件,模具,穴号,试模,颜色,位置,日期\nS1,水獭,body,M1,2,T1,蓝,3,2026/4/1\n"


def read(text: str | bytes) -> SamplesTable:
    content = text.encode() if isinstance(text, str) else text
    return read_samples(content, "register.csv")


def refusals(table: SamplesTable) -> list[str]:
    return [str(cell) for cell in table.file.refused]


def test_a_register_in_english_is_read_row_by_row() -> None:
    table = read(ENGLISH)
    first, second, third = table.rows
    assert first == SampleRowRead(
        number="S1",
        name="otter without paint",
        part="body",
        label="torso",
        tool="M1",
        state="a",
        cavity="2",
        trial="T1",
        shot=14,
        colour="blue",
        purpose="limit sample",
        place="3",
        holder="Ada",
        found_on=date(2026, 4, 1),
        note="washed, dried",
        row=3,
    )
    assert (second.part, second.label, second.tool, second.row) == ("limb", "left arm", "", 4)
    assert (third.number, third.part, third.row) == ("S2", "", 5)
    assert table.columns["note"] == 15
    assert refusals(table) == []


def test_what_is_said_of_the_sample_once_stands_in_each_of_its_rows_whichever_says_it() -> None:
    rows = read("sample,part,holder,place\nS1,body,,3\nS1,limb,Ada,\n").rows
    assert [(row.holder, row.place) for row in rows] == [("Ada", "3"), ("Ada", "3")]


@pytest.mark.parametrize("text", [GERMAN, CHINESE])
def test_other_tongues_are_read_too(text: str) -> None:
    (row,) = read(text).rows
    assert (row.number, row.part, row.tool, row.cavity, row.place) == ("S1", "body", "M1", "2", "3")
    assert row.found_on == date(2026, 4, 1)


@pytest.mark.parametrize("name", FIELDS)
def test_every_word_of_a_field_heads_its_column(name: str) -> None:
    for word in keys(FIELDS[name].words):
        told = vocabulary().read(word, 0)
        assert told is not None, word
        assert told.field.name == FIELDS[name].name, word


WRONG = [
    (
        "S1,x,,,\n,y,body,,",
        "row 3, column 1: '' names no sample; write the number of the sample in every",
    ),
    ("S1,,,M1,", "row 2, column 4: 'M1' is said of a part, and no part is named; name the part in its row"),
    ("S1,x,body,,\nS1,y,limb,,", "row 3, column 2: 'y' is said of sample S1 otherwise in row 2, x; say the"),
    ("S1,,,,3/4/2026", "row 2, column 5: '3/4/2026' is no date; write year-month-day, such as 2026-03-31"),
    ("S1,,,,31.2.2026", "row 2, column 5: '31.2.2026' is no date; write year-month-day, such as 2026-03-31"),
    (f"S1,{'x' * 101},,,\nS2,,,,", "is longer than the 100 signs that a name may have; shorten the name"),
]


@pytest.mark.parametrize(("lines", "said"), WRONG)
def test_a_cell_that_cannot_be_read_is_named_with_row_column_and_remedy(lines: str, said: str) -> None:
    try:
        (refusal,) = refusals(read(f"sample,what,part,tool,found on\n{lines}\n"))
    except FileRefused as refused:  # nothing else stood in the file
        refusal = str(refused)
    assert said in refusal


def test_a_shot_that_is_no_number_is_refused_and_the_row_stands() -> None:
    table = read("sample,part,shot\nS1,body,first\n")
    assert table.rows[0].shot is None
    assert refusals(table) == [
        "row 2, column 3: 'first' is no whole number; give the number alone, such as 3"
    ]


@pytest.mark.parametrize("content", [b"", b"a,b\n1,2\n", b"part,tool\nbody,M1\n", b"\x00\x01"])
def test_a_file_without_samples_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(FileRefused) as refused:
        read(content)
    assert refused.value.remedy


def test_a_workbook_with_dates_and_a_number_merged_over_its_parts_is_read() -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (["Sample", "Part", "Found"], [7, "body", datetime(2026, 4, 1)], [None, "limb", None]):
        sheet.append(row)
    sheet.merge_cells("A2:A3")
    out = BytesIO()
    book.save(out)
    rows = read_samples(out.getvalue(), "register.xlsx").rows
    assert [(row.number, row.part, row.found_on) for row in rows] == [
        ("7", "body", date(2026, 4, 1)),
        ("7", "limb", date(2026, 4, 1)),
    ]


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2026-3-1", date(2026, 3, 1)),
        ("1. 3. 2026", date(2026, 3, 1)),
        ("2026/03/01", date(2026, 3, 1)),
        ("-", None),
    ],
)
def test_a_day_is_read_however_the_year_comes_first_or_with_dots(cell: str, day: date | None) -> None:
    assert read_date(cell) == day


said = st.sampled_from(
    ["", "Ada", "drawer 3", "a,b", 'q"q', "=1+1", "+x", "@x", "\u6a21\u5177", "\xe9", *FORMULAS[:1]]
)
rows_made_up = st.builds(
    SampleRowRead,
    number=st.sampled_from(["S1", "S2", "01", "=S", "T10"]),
    part=st.sampled_from(["body", "limb"]),
    label=said,
    tool=said,
    state=said,
    cavity=said,
    trial=said,
    shot=st.none() | st.integers(0, 10**9),
    colour=said,
    row=st.just(0),
)
of_sample = st.fixed_dictionaries(
    dict.fromkeys(("name", "build", "purpose", "disposition", "place", "holder", "note"), said)
    | {"found_on": st.none() | st.dates(date(1950, 1, 1), date(2999, 1, 1))}
)


@given(st.lists(rows_made_up, min_size=1, max_size=4), st.data())
def test_what_is_written_is_read_back(rows: list[SampleRowRead], data: st.DataObject) -> None:
    told = {number: data.draw(of_sample) for number in dict.fromkeys(row.number for row in rows)}
    given_rows = [replace(row, **told[row.number], row=at) for at, row in enumerate(rows, start=2)]
    table = read(samples_csv(given_rows))
    assert list(table.rows) == given_rows
    assert refusals(table) == []


def test_every_field_of_a_row_is_written_under_a_heading_that_is_known() -> None:
    assert HEADINGS.keys() == FIELDS.keys()
    for name, heading in HEADINGS.items():
        told = vocabulary().read(heading, 0)
        assert told is not None
        assert told.field is FIELDS[name]


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused_in_words(content: bytes) -> None:
    try:
        found: object = read(content).rows
    except FileRefused as refused:
        found = refused.remedy
    assert found
