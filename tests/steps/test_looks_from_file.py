"""Looks from a file: a row a defect, rows of one look together, all kept or none."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.core.values import OfftoolError
from offtool.exchange.looks_file import COLUMNS, read_looks
from offtool.exchange.readings.table import FileRefused
from offtool.records.models import Flaw, Look
from offtool.steps.look_at_pieces import LooksKept
from offtool.steps.looks_from_file import keep_looks_of_file
from tests.steps.press import NOW, SLUG, TOOL, found, make_tool

TABLE = """cavity,shot,pieces,defect,count,place,note
1,12,,,,,
2,12,,flash,,left ear,a skin of 0.1 mm
2,12,,sink,,rib,
3,,24,short-shot,3,,
3,,24,,,,
"""


def keep(text: str, trial: str = "T1") -> tuple[LooksKept, ...]:
    place = {"programme": SLUG, "tool": TOOL, "trial": trial}
    return keep_looks_of_file(text.encode(), "looks.csv", **place, looked_at=NOW, looked_by="tooling")


@pytest.mark.django_db
def test_rows_of_one_look_are_put_together_and_a_row_without_a_defect_is_a_clean_look() -> None:
    make_tool()
    (kept,) = keep(TABLE)
    assert (kept.looks, kept.pieces, kept.flaws) == (4, 50, 3)
    looks = {
        (one.cavity, one.shot, one.pieces): [flaw.defect for flaw in one.flaws] for one in found("T1").looks
    }
    assert looks["1", 12, 1] == []
    assert looks["2", 12, 1] == ["flash", "sink"]
    assert sorted(one.pieces for one in Flaw.objects.all()) == [1, 1, 3]


@pytest.mark.django_db
def test_a_column_says_the_trial_and_semicolons_are_read_too() -> None:
    make_tool()
    kept = keep("trial;cavity;defect\nT1;1;\nT2;1;flash\n;2;\n", trial="T3")
    assert [(one.trial, one.looks) for one in kept] == [("T1", 1), ("T2", 1), ("T3", 1)]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("text", "said"),
    [
        (TABLE + "9,1,,,,,\n", "no cavity '9'"),
        (TABLE + "1,13,,flsh,,,\n", "did you mean 'flash'"),
        (TABLE + "2,12,,,,,\n", "row 7: shot 12 of cavity 2 stands in row 3 already"),
        (TABLE + "1,13,,flash,,,\n1,13,,Flash,,,\n", "there is one already with the same"),
    ],
)
def test_a_file_that_is_wrong_anywhere_leaves_nothing(text: str, said: str) -> None:
    make_tool()
    with pytest.raises(OfftoolError, match=said):
        keep(text)
    assert Look.objects.count() == 0


@pytest.mark.django_db
def test_the_same_file_is_not_counted_twice() -> None:
    make_tool()
    keep("cavity,pieces,defect\n1,8,\n")
    with pytest.raises(FileRefused, match="the same file was read before, into trial T1"):
        keep("cavity,pieces,defect\n1,8,\n")
    keep(TABLE)
    with pytest.raises(OfftoolError, match="was looked at before"):
        keep(TABLE + "1,14,,,,,\n")
    assert Look.objects.count() == 5


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "there is no column 'cavity'"),
        ("cavity,defect\n", "no row below the headings"),
        ("cavity,shot\n1,2\n", "there is no column 'defect'"),
        ("cavity,defekt\n1,2\n", "the heading 'defekt' is not known; did you mean 'defect'"),
        ("cavity,defect,defect\n1,,\n", "two columns are headed 'defect'"),
        ("cavity,shot,defect\n1,twelve,\n", "row 2: shot 'twelve' is no whole number"),
        ("cavity,shot,defect\n1,-3,\n", "shot '-3' is no whole number"),
        ("cavity,pieces,defect\n1,0,\n", "no piece was looked at"),
        ("cavity,defect,count\n1,,2\n", "count 2 without a defect"),
        ("cavity,defect,place\n1,,ear\n", "place 'ear' without a defect"),
        ("cavity,pieces,defect,count\n1,4,flash,5\n", "flash on 5 of 4 pieces"),
        ("cavity,pieces,defect,count\n1,4,flash,0\n", "flash on 0 of 4 pieces"),
        ("cavity,defect\n1,flash,left ear\n", "more cells than headings"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_row(text: str, said: str) -> None:
    with pytest.raises(FileRefused, match=said) as refusal:
        read_looks(text.encode(), "looks.csv")
    assert "looks.csv" in refusal.value.where
    assert refusal.value.remedy


def test_a_spreadsheets_whole_numbers_are_whole() -> None:
    (row,) = read_looks(b"cavity,shot,pieces,defect\n1,12.0,3,\n", "looks.csv")
    assert (row.shot, row.pieces) == (12, 3)


CELLS = st.one_of(st.sampled_from([*COLUMNS, "1", "12.0", "", "flash", '"', ";", "\t"]), st.text(max_size=8))


@given(rows=st.lists(st.lists(CELLS, max_size=9), max_size=6), bare=st.binary(max_size=80))
@settings(max_examples=300, deadline=None)
def test_any_bytes_give_rows_or_a_refusal(rows: list[list[str]], bare: bytes) -> None:
    for content in ("\n".join(map(",".join, rows)).encode("utf-8", "replace"), b"cavity,defect\n" + bare):
        try:
            found_rows = read_looks(content, "looks.csv")
        except FileRefused:
            continue
        assert found_rows
        assert all(row.pieces >= 1 for row in found_rows)
        assert all(row.count is None or 1 <= row.count <= row.pieces for row in found_rows)
