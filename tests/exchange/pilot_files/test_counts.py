"""Sheets of counts as lines write them: found by their headings, checked against themselves row by row."""

from __future__ import annotations

from typing import Any

import pytest

from offtool.exchange.pilot_files import CountRead, PilotTable, read_pilot_counts
from offtool.exchange.pilot_files.hours import ClockTime
from offtool.exchange.readings import FileRefused
from tests.exchange.readings.gauge_room import workbook

HEADINGS = {
    "English": "Station,Hour,Tried,Good first,Reworked good,Scrapped",
    "German": "Station,Stunde,Eingang,i.O.,Nacharbeit i.O.,Ausschuss",
    "German, said": "Station,Stunde,gestartet,gut auf Anhieb,nach Nacharbeit gut,Ausschuss",
    "Chinese": "工位,小时,投入,一次合格,返工合格,报废",
}


def read(text: str, **told: Any) -> PilotTable[CountRead]:
    return read_pilot_counts(text.encode(), "counts.csv", **told)


def refusals(text: str) -> list[str]:
    return [str(one) for one in read(text).file.refused]


@pytest.mark.parametrize("language", HEADINGS)
def test_the_columns_are_found_in_three_languages(language: str) -> None:
    table = read(f"{HEADINGS[language]}\npaint,2,32,27,4,1\n")
    assert table.rows == (
        CountRead(
            station="paint", hour=2, tried=32, good_first=27, reworked_good=4, scrapped=1, row=2, column=3
        ),
    )
    assert table.file.refused == ()


@pytest.mark.parametrize(
    ("headings", "row", "tried", "good"),
    [
        ("station,tried,failed", "weld,40,3", 40, 37),
        ("station,good first,failed", "weld,37,3", 40, 37),
        ("station,tried,good first,failed", "weld,40,37,3", 40, 37),
        ("station,tried,good first,yield", "weld,40,38,95 %", 40, 38),
        ("station,tried,good first,yield", 'weld,40,38,"0,95"', 40, 38),
    ],
)
def test_of_tried_good_and_failed_two_are_enough(headings: str, row: str, tried: int, good: int) -> None:
    found = read(f"{headings}\n{row}\n").rows[0]
    assert (found.tried, found.good_first, found.scrapped) == (tried, good, None)


@pytest.mark.parametrize(
    ("row", "where", "said"),
    [
        ('paint,1,30,"98,0%",0,0', "row 3, column 4: '98,0%'", "is a share; write how many pieces that is"),
        ("paint,1,30,31,0,0", "row 3, column 4: '31'", "is more than the 30 tried: a yield over 1 cannot be"),
        ("paint,1,30,25,6,0", "row 3, column 5: '6'", "is more than the 5 that were not good the first time"),
        ("paint,1,30,25,3,3", "row 3, column 6: '3'", "is more than the 2 that are not good in the end"),
        ("paint,1,30,,,", "row 3, column 3: '30'", "is half a count"),
        (",1,30,25,3,2", "row 3, column 1: ''", "names no station"),
        ("paint,0,30,25,3,2", "row 3, column 2: '0'", "is no hour"),
        ("paint,8:75,30,25,3,2", "row 3, column 2: '8:75'", "is no hour"),
        ("paint,1,thirty,25,3,2", "row 3, column 3: 'thirty'", "is no whole number"),
        ("weld,1,30,25,3,2", "row 3, column 3: 'weld'", "is counted in hour 1 in row 2 already"),
    ],
)
def test_counts_that_cannot_be_are_refused_with_their_row(row: str, where: str, said: str) -> None:
    first = ",1,20,20,0,0" if not row.split(",")[0] else "weld,1,20,20,0,0"
    text = f"station,hour,tried,good first,reworked good,scrapped\n{first}\n{row}\npack,1,9,9,0,0\n"
    found = refusals(text)
    assert len(found) == (2 if not row.split(",")[0] else 1)
    assert found[-1].startswith(where)
    assert said in found[-1]
    assert read(text).rows[-1].station == "pack"


@pytest.mark.parametrize(
    ("headings", "row", "said"),
    [
        ("station,tried,good first,failed", "weld,40,37,4", "and the 37 good do not make the 40 tried"),
        ("station,tried,failed", "weld,40,41", "is more than the 40 tried"),
        ("station,tried,good first,yield", "weld,40,38,105 %", "is a yield over 1"),
        ("station,tried,good first,yield", "weld,40,38,1.05", "is not what 38 good of 40 make"),
        ("station,tried,good first,yield", "weld,40,38,90 %", "is not what 38 good of 40 make, 95.0 %"),
    ],
)
def test_numbers_that_contradict_each_other_are_refused(headings: str, row: str, said: str) -> None:
    width = len(headings.split(","))
    good = ",".join(["pack", "9", "9", "0" if "failed" in headings else ""][:width])
    good = "pack,9,0" if headings == "station,tried,failed" else good
    table = read(f"{headings}\n{row}\n{good}\n")
    assert [one.station for one in table.rows] == ["pack"]
    assert [said in str(one) for one in table.file.refused] == [True]


def test_what_a_heading_is_taken_for_is_said_where_it_could_mean_more() -> None:
    notes = read("station,tried,OK,repaired\nweld,40,37,2\n").file.notes
    assert "Column 3, 'OK', is taken as good the first time, before rework." in notes
    assert "Column 4, 'repaired', is taken as good after rework." in notes


def test_a_station_stands_for_the_rows_below_and_totals_are_passed_over() -> None:
    table = read("station,hour,tried,good\nweld,1,40,38\n,2,41,41\nall,,81,79\npaint,1,30,30\n")
    assert [(one.station, one.hour) for one in table.rows] == [("weld", 1), ("weld", 2), ("paint", 1)]
    assert any("adds up others" in one for one in table.file.notes)
    assert len(table.file.repairs) == 1


@pytest.mark.parametrize("row", ["weld,total,81,79", "Gesamtsumme,,81,79", "weld,,81,79"])
def test_a_row_that_adds_up_the_hours_is_passed_over_and_said(row: str) -> None:
    table = read(f"station,hour,tried,good\nweld,1,40,38\nweld,2,41,41\n{row}\n")
    assert [(one.station, one.hour) for one in table.rows] == [("weld", 1), ("weld", 2)]
    assert [one for one in table.file.notes if "passed over" in one]
    assert table.file.refused == ()


def test_a_row_without_an_hour_that_is_no_sum_is_kept_and_said() -> None:
    table = read("station,hour,tried,good\nweld,1,40,38\nweld,,30,30\n")
    assert [one.hour for one in table.rows] == [1, None]
    assert [one.text for one in table.file.cautions] == [
        "row 3 of weld says no hour, others do: it is added to them"
    ]


def test_a_yield_of_a_row_may_be_that_after_rework() -> None:
    table = read("station,tried,good,rework good,yield\nweld,40,36,3,97.5 %\npaint,40,36,3,99 %\n")
    assert [one.station for one in table.rows] == ["weld"]
    assert "is not what 36 good of 40 make" in str(table.file.refused[0])


@pytest.mark.parametrize(
    ("written", "hours"),
    [
        (("1", "2", "3"), [1, 2, 3]),
        (("hour 1", "2nd", "3. Stunde"), [1, 2, 3]),
        (("8:00", "9:00", "11:00"), [1, 2, 4]),
        (("8:00-9:00", "9:00 - 10:00", "10:00 to 11:00"), [1, 2, 3]),
        (("8-9", "9-10", "10-11"), [1, 2, 3]),
        (("11 am", "12 pm", "1 pm"), [1, 2, 3]),
        (("11-12", "12-1 pm", "1-2 pm"), [1, 2, 3]),
        (("22:00", "23:00", "1:00"), [1, 2, 4]),
        (("07.30", "08.30", "09.30"), [1, 2, 3]),
        (("", "", ""), [None, None, None]),
    ],
)
def test_an_hour_is_a_number_or_a_time_on_the_clock(
    written: tuple[str, str, str], hours: list[int | None]
) -> None:
    rows = "".join(f"s{i},{hour},10,9\n" for i, hour in enumerate(written))
    assert [one.hour for one in read(f"station,hour,tried,good\n{rows}").rows] == hours


def test_hours_on_the_clock_count_from_the_beginning_that_is_told() -> None:
    text = "station,hour,tried,good\nweld,9:00,10,9\nweld,10:30,10,9\n"
    assert [one.hour for one in read(text).rows] == [1, 2]
    assert any("hour 1 is taken to begin at 9:00" in one for one in read(text).file.notes)
    told = read(text, begins=ClockTime(7.5))
    assert [one.hour for one in told.rows] == [2, 4]
    night = "station,hour,tried,good\nweld,22:00,10,9\nweld,1:00,10,9\n"
    assert [one.hour for one in read(night, begins=ClockTime(22.0)).rows] == [1, 4]


def test_numbers_beside_times_and_numbers_that_look_like_times_are_said() -> None:
    mixed = "station,hour,tried,good\nweld,1,10,9\nweld,9:00,10,9\n"
    assert "is a time, where other rows count the hours" in refusals(mixed)[0]
    late = read("station,hour,tried,good\nweld,8,10,9\nweld,9,10,9\n")
    assert "The first hour is 8" in late.file.cautions[0].text


def test_a_workbook_keeps_a_time_of_day_as_a_part_of_the_day() -> None:
    rows = [["Station", "Time", "In", "OK"], ["weld", 8 / 24, 40, 38], ["weld", 9 / 24, 41.0, 41]]
    book = workbook(rows)
    table = read_pilot_counts(book, "counts.xlsx")
    assert [(one.hour, one.tried) for one in table.rows] == [(1, 40), (2, 41)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("hello\n", "no row of headings"),
        ("hour,tried,good\n1,2,2\n", "has no column station"),
        ("station,good\nweld,2\n", "only good first: no yield follows from one"),
        ("station,tried,good\nweld,1,2\n", "holds no count that can be read"),
    ],
)
def test_a_file_without_counts_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(FileRefused, match=said):
        read(text)


def test_a_file_without_headings_is_told_them_in_its_own_language() -> None:
    with pytest.raises(FileRefused, match="in German Station, Stunde, gestartet, auf Anhieb gut") as refused:
        read("Platzierung,Menschen\nweld,3\n")
    said = refused.value.remedy.split("in German ")[1]
    german, chinese = said.split("; in Chinese ")
    for headings in (german, chinese):
        assert read(f"{headings.replace(', ', ',')}\nweld,1,40,38,1,1\n").rows[0].scrapped == 1
