"""Sheets of defects, times and audits, and that no bytes raise anything but FileRefused."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.exchange.pilot_files import (
    AuditRead,
    DefectRead,
    TimeRead,
    read_pilot_audits,
    read_pilot_counts,
    read_pilot_defects,
    read_pilot_times,
    words,
)
from offtool.exchange.readings import FileRefused
from tests.labels import independent

UNITS = {"torso": "N", "shoulder": "N·m", "stack": "mm"}
READERS: dict[str, Callable[..., Any]] = {
    "counts": read_pilot_counts,
    "defects": read_pilot_defects,
    "times": read_pilot_times,
    "audits": partial(read_pilot_audits, units=UNITS),
}


@pytest.mark.parametrize("vocabulary", [words.COUNTS, words.DEFECTS, words.TIMES, words.AUDITS])
def test_no_word_heads_two_fields(vocabulary: Any) -> None:
    for field in vocabulary.fields:
        for heading in (word.strip() for line in field.words.splitlines() for word in line.split(",")):
            told = vocabulary.read(heading, 0)
            assert heading == "" or (told is not None and told.field.name == field.name), heading


@pytest.mark.parametrize(
    "headings",
    [
        "station;defect;count;scrapped;rework minutes [min]",
        "Arbeitsplatz;Fehlerart;Anzahl;Ausschuss;Nacharbeitszeit",
        "工位;缺陷;数量;报废;返工时间",
    ],
)
def test_defects_are_read_in_three_languages_and_with_a_decimal_comma(headings: str) -> None:
    table = read_pilot_defects(f"{headings}\npaint;overspray;14;2;1,5\n".encode(), "d.csv")
    assert table.rows == (
        DefectRead(
            station="paint", defect="overspray", count=14, scrapped=2, rework_minutes=1.5, hour=None, row=2,
            column=3,
        ),
    )  # fmt: skip


def test_rework_in_seconds_becomes_minutes_and_what_is_not_said_stays_unknown() -> None:
    text = "station,defect,count,scrapped,rework time [s]\npaint,overspray,14,,90\npaint,run,2,,\n"
    first, second = read_pilot_defects(text.encode(), "d.csv").rows
    assert first.rework_minutes == independent(1.5, way="90 s / 60")
    assert (first.scrapped, second.scrapped, second.rework_minutes) == (None, None, None)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("paint,overspray,2,3,1", "row 3, column 4: '3' is more than the 2 found"),
        ("paint,,2,0,1", "row 3, column 2: '' names no defect"),
        ("paint,overspray,,0,1", "row 3, column 3: '' does not say how often"),
        ("paint,overspray,2,0,-1", "row 3, column 5: '-1' is below 0"),
        ("paint,overspray,2.5,0,1", "row 3, column 3: '2.5' is no whole number"),
    ],
)
def test_defects_that_cannot_be_are_refused_with_their_row(row: str, said: str) -> None:
    text = f"station,defect,count,scrapped,rework minutes\npack,torn,1,0,1\n{row}\n"
    table = read_pilot_defects(text.encode(), "d.csv")
    assert len(table.rows) == 1
    assert str(table.file.refused[0]).startswith(said)


def test_times_are_read_in_seconds_or_minutes_with_task_operator_and_hour() -> None:
    text = "station\ttask\ttime [min]\toperator\thour\npaint\tmask\t1,5\tMax\t2\npaint\t\t0,52\tB\t3\n"
    table = read_pilot_times(text.encode(), "t.csv")
    assert table.rows == (
        TimeRead(station="paint", task="mask", time_s=90.0, operator="Max", hour=2, row=2, column=3),
        TimeRead(station="paint", task="", time_s=31.2, operator="B", hour=3, row=3, column=3),
    )


def test_a_time_of_nothing_is_refused_and_one_far_off_is_asked_about() -> None:
    rows = "".join(f"paint,{time}\n" for time in (30, 31, 29, 32, 0, 31000))
    table = read_pilot_times(f"station,time [s]\n{rows}".encode(), "t.csv")
    assert str(table.file.refused[0]) == (
        "row 6, column 2: '0' took no time; time it again, or delete the row; it is left out"
    )
    assert "row 7" in table.file.cautions[0].text


@pytest.mark.parametrize(
    ("headings", "row"),
    [
        ("hour,seam or joint,value,unit", "2,shoulder,21,N·cm"),
        ("hour,joint,torque [N·cm]", "2,shoulder,21"),
        ("Stunde;Gelenk;Drehmoment [N·m]", "2;shoulder;0,21"),
        ("hour,joint,value", "2,Shoulder,210 N·mm"),
    ],
)
def test_an_audit_says_its_unit_in_heading_cell_or_row(headings: str, row: str) -> None:
    found = read_pilot_audits(f"{headings}\n{row}\n".encode(), "a.csv", units=UNITS).rows[0]
    assert (found.what, found.unit, found.hour) == ("shoulder", "N·m", 2)
    assert found.value == independent(0.21, way="21 N·cm are 0.21 N·m")


def test_seams_and_joints_stand_in_one_sheet() -> None:
    text = "hour,seam,joint,value,unit\n1,torso,,118,N\n1,,shoulder,0.2,N·m\n1,,stack,-0.05,mm\n"
    rows = read_pilot_audits(text.encode(), "a.csv", units=UNITS).rows
    assert rows[2] == AuditRead(what="stack", value=-0.05, unit="mm", hour=1, row=4, column=4)
    assert [one.what for one in rows] == ["torso", "shoulder", "stack"]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("1,sholder,0.2,N·m", "is no seam and no joint of the programme; did you mean 'shoulder'?"),
        ("1,torso,0.2,N·m", "is in N·m: value is given in N"),
        ("1,torso,118,", "has no unit; here it is N"),
        ("1,torso,118,stone", "has a unit that is not known, 'stone'"),
        ("1,torso,-3,N", "is below 0"),
        ("1,,118,N", "names neither seam nor joint"),
        ("1,torso,many,N", "is no number"),
    ],
)
def test_audits_that_cannot_be_are_refused_with_their_row(row: str, said: str) -> None:
    text = f"hour,seam or joint,value,unit\n1,torso,118,N\n{row}\n"
    table = read_pilot_audits(text.encode(), "a.csv", units=UNITS)
    assert len(table.rows) == 1
    assert table.file.refused[0].row == 3
    assert said in str(table.file.refused[0])


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        ("defects", "station,defect\nweld,x\n", "has no column count"),
        ("times", "time\n3\n", "has no column station"),
        ("audits", "hour,value\n1,3\n", "has no column seam, joint, or seam or joint"),
        ("audits", "seam,value\ntorso,\n", "holds no audit that can be read"),
    ],
)
def test_a_sheet_without_what_it_needs_is_refused_in_words(kind: str, text: str, said: str) -> None:
    with pytest.raises(FileRefused, match=said):
        READERS[kind](text.encode(), "sheet.csv")


HEADS = {
    "counts": "station,hour,tried,good,reworked,scrapped,failed,yield",
    "defects": "station,hour,defect,count,scrapped,rework minutes",
    "times": "station,hour,task,time,operator",
    "audits": "hour,seam,joint,value,unit",
}
CELL = st.sampled_from(
    ["", "weld", "torso", "1", "40", "38", "-1", "8:00", "95 %", "0,5", "N", "x", "1e9", "∞", "'=1"]
)


@settings(max_examples=150, derandomize=True, database=None, deadline=None)
@given(
    kind=st.sampled_from(list(READERS)),
    rows=st.lists(st.lists(CELL, min_size=1, max_size=9), max_size=6),
    raw=st.binary(max_size=40),
)
def test_no_bytes_raise_anything_but_a_refusal(kind: str, rows: list[list[str]], raw: bytes) -> None:
    written = "\n".join([HEADS[kind], *(";".join(row).replace(";", ",") for row in rows)]).encode()
    for content in (written, written + raw, raw):
        try:
            table = READERS[kind](content, "sheet.csv")
        except FileRefused:
            continue
        assert table.rows
        for one in table.rows:
            if kind == "counts":
                assert 0 <= one.good_first <= one.good_first + one.reworked_good <= one.tried
