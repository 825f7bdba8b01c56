"""Slips of a unit or a decimal mark in weld studies, and a column "Result" that tells of failures."""

from __future__ import annotations

import pytest

from offtool.exchange.weld_runs import WeldStudyTable, read_weld_study
from offtool.handbook.terms import Failure


def read(text: str) -> WeldStudyTable:
    return read_weld_study(text.encode(), "w.csv")


def cautions(table: WeldStudyTable) -> list[str]:
    return [one.text for one in table.file.cautions]


def test_a_time_in_seconds_among_milliseconds_is_named() -> None:
    (said,) = cautions(read("piece,weld time [ms]\n1,300\n2,400\n3,0.4\n4,500\n5,400\n"))
    assert "column 2, 'weld time [ms]': row 4 " in said
    assert "about 1,000 times as large: another unit?" in said


def test_a_pull_that_lost_its_decimal_mark_is_named() -> None:
    (said,) = cautions(read("piece,strength [N]\n1,180\n2,1750\n3,171\n4,186\n"))
    assert "row 3 is about 9.4 times the next highest" in said


def test_a_pull_that_is_next_to_nothing_may_be_an_open_seam() -> None:
    (said,) = cautions(read("piece,strength [N]\n1,180\n2,1.2\n3,171\n4,186\n"))
    assert "row 3 " in said
    assert said.endswith("another unit, or an open seam?")


def test_pulls_of_weak_and_strong_settings_raise_no_question() -> None:
    assert cautions(read("piece,strength [N]\n1,20\n2,22\n3,25\n4,380\n5,400\n")) == []


def test_a_result_of_failures_is_the_column_of_failures() -> None:
    table = read("piece,strength [N],Result\n1,180,peeled\n2,390,torn\n3,400,held\n")
    assert [one.failure for one in table.runs] == [Failure.PEELED, Failure.TORN, Failure.HELD]


@pytest.mark.parametrize("heads", ["Failure,Result", "Note,Result"])
def test_a_result_that_says_something_else_is_not_read(heads: str) -> None:
    table = read(f"piece,strength [N],{heads}\n1,180,torn,ok\n")
    assert table.file.refused == ()
    assert len(table.runs) == 1
    assert any("not read" in note and "Result" in note for note in table.file.notes)
