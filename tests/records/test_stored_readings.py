"""A file of readings is in whole or not at all, and comes out as it went in."""

from __future__ import annotations

import hashlib
import tracemalloc
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.records.models import Reading, Shot, SourceFile
from offtool.records.operations import AlreadyRead, ReadFile, store_readings
from offtool.records.queries import load_readings
from offtool.records.reading_arrays import ReadingColumns
from tests.records.example import NOON, Example, a_file


def nothing_stored() -> bool:
    return not (SourceFile.objects.exists() or Shot.objects.exists() or Reading.objects.exists())


def test_readings_come_out_as_they_went_in(example: Example) -> None:
    given = example.columns(
        cavity_id=[example.cavities[1].pk, -1, example.cavities[0].pk, -1],
        shot=[7, -1, 3, 7],
        part=[-1, 5, 0, -1],
        value=[0.1 + 0.2, -0.0, 1e-300, 5e-324],
        row=[9, 2, 2, 2],
        column=[1, 4, 3, 2],
    )
    source = store_readings(example.trial, a_file(), given, read_at=NOON, read_by="Ada")
    found = load_readings(example.trial)
    for column in given.__slots__:
        np.testing.assert_array_equal(getattr(found, column), getattr(given, column), err_msg=column)
    assert set(found.source_id.tolist()) == {source.pk}


def test_the_bytes_are_kept_with_their_checksum(example: Example) -> None:
    content = bytes(range(256)) * 3
    kept = SourceFile.objects.get(pk=example.stored(content).pk)
    assert bytes(kept.content) == content
    assert (kept.size, kept.sha256) == (768, hashlib.sha256(content).hexdigest())
    assert (kept.read_by, kept.read_at, kept.read_options) == ("Ada", NOON, {"delimiter": ";"})


def test_a_trial_without_readings_gives_empty_columns(example: Example) -> None:
    found = load_readings(example.trial)
    assert len(found) == 0
    assert (found.value.dtype, found.cavity_id.dtype) == (np.float64, np.int64)


def test_files_of_one_trial_come_in_the_order_of_storing_and_share_their_shots(example: Example) -> None:
    first = example.stored(b"first")
    second = example.stored(b"second", shot=[2, 2, 3, 3])
    found = load_readings(example.trial)
    assert found.source_id.tolist() == [first.pk] * 4 + [second.pk] * 4
    assert found.shot.tolist() == [1, 1, 2, 2, 2, 2, 3, 3]
    assert sorted(example.trial.shots.values_list("number", flat=True)) == [1, 2, 3]


def test_readings_of_another_trial_stay_out(example: Example) -> None:
    example.stored()
    assert len(load_readings(example.trial_2)) == 0


def test_the_same_bytes_are_read_once_in_a_programme(example: Example) -> None:
    first = example.stored(b"same")
    with pytest.raises(AlreadyRead) as refused:
        store_readings(
            example.trial, a_file(b"same", name="copy.csv"), example.columns(), read_at=NOON, read_by="Bo"
        )
    assert refused.value.first == first
    assert refused.value.where == "copy.csv"
    assert refused.value.what == (
        "the same file was read before as T1.csv in trial T1 of tool M1, 2026-03-02 12:00 UTC by Ada"
    )
    assert SourceFile.objects.count() == 1
    assert Reading.objects.count() == 4


def test_the_same_workbook_is_read_sheet_by_sheet(example: Example) -> None:
    for sheet in ("Maße", "Gewicht"):
        file = a_file(b"book", read_options={"sheet": sheet})
        store_readings(example.trial, file, example.columns(), read_at=NOON, read_by="Ada")
    with pytest.raises(AlreadyRead, match="the same file, sheet Maße, was read before as"):
        store_readings(
            example.trial,
            a_file(b"book", read_options={"sheet": "Maße"}),
            example.columns(),
            read_at=NOON,
            read_by="Ada",
        )
    assert sorted(SourceFile.objects.values_list("sheet", flat=True)) == ["Gewicht", "Maße"]


def test_every_reading_comes_with_its_own_key(example: Example) -> None:
    example.stored(b"first")
    example.stored(b"second")
    found = load_readings(example.trial)
    kept = dict(Reading.objects.values_list("pk", "value"))
    assert len(set(found.reading_id.tolist())) == len(found) == 8
    assert [kept[key] for key in found.reading_id.tolist()] == found.value.tolist()


def test_a_file_without_readings_is_refused(example: Example) -> None:
    columns = example.columns()
    empty = ReadingColumns(**{name: getattr(columns, name)[:0] for name in columns.__slots__})
    with pytest.raises(NotEnoughData, match=r"T1\.csv: no readings in it"):
        store_readings(example.trial, a_file(), empty, read_at=NOON, read_by="Ada")


def test_columns_of_unequal_length_are_the_callers_mistake(example: Example) -> None:
    with pytest.raises(ValueError, match="unequal length"):
        example.columns(value=[4.0])


def test_numbers_that_are_no_whole_ones_are_no_ids(example: Example) -> None:
    with pytest.raises(TypeError):
        example.columns(shot=[1.5, 1, 2, 2])


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"value": [4, 4, np.nan, 4]}, "row 4, column 3: value nan: no measured size"),
        ({"value": [4, 4, 4, np.inf]}, "row 5, column 3: value inf: no measured size"),
        ({"value": [4, 1e308, 4, 4]}, "row 3, column 3: value 1e+308: no measured size"),
        ({"shot": [1, -5, 1, 1]}, "row 3, column 3: shot -5, part -1: must be 0 or more"),
        ({"part": [1, 1, 1, -2]}, "row 5, column 3: shot 2, part -2: must be 0 or more"),
        ({"characteristic_id": [0, 0, 0, 0]}, "characteristic with id 0 is of no part that tool M1 makes"),
        ({"cavity_id": [-1, -1, -1, 10**9]}, "row 5, column 3: cavity with id 1000000000 is not in tool M1"),
    ],
)  # fmt: skip
def test_an_impossible_reading_is_refused_by_its_cell_and_nothing_stored(
    changed: Mapping[str, Any], said: str, example: Example
) -> None:
    with pytest.raises(OfftoolError) as refused:
        example.stored(**changed)
    assert said in str(refused.value)
    assert refused.value.remedy
    assert nothing_stored()


def test_a_characteristic_of_another_tools_part_is_refused(example: Example) -> None:
    with pytest.raises(OfftoolError, match="characteristic 1 is of no part that tool M1 makes"):
        example.stored(characteristic_id=[example.bore.pk] * 3 + [example.tail_length.pk])
    assert nothing_stored()


def test_a_cavity_of_another_tool_is_refused(example: Example) -> None:
    with pytest.raises(OfftoolError, match="cavity 1 is not in tool M1"):
        example.stored(cavity_id=[-1, -1, -1, example.tail_cavity.pk])
    assert nothing_stored()


def test_a_cavity_that_makes_another_part_is_refused(example: Example) -> None:
    with pytest.raises(OfftoolError, match="makes another part than the one with characteristic 1"):
        example.stored(cavity_id=[-1, -1, -1, example.limb_cavity.pk])
    assert nothing_stored()


def test_what_a_cell_may_hold_is_kept_readably_on_every_database(example: Example) -> None:
    file = ReadFile(
        name="T\x001\udcff.csv",
        content=b"odd",
        layout="wide",
        read_options={"sheet\x00": ("a", 1)},
        repairs=[{"found": "4\x00,1", "row": 2}],
        left_out=[("\ud800", None, 1.5, True)],
    )
    kept = store_readings(example.trial, file, example.columns(), read_at=NOON, read_by="Ada")
    kept.refresh_from_db()
    assert kept.name == "T␀1?.csv"
    assert kept.read_options == {"sheet␀": ["a", 1]}
    assert (kept.repairs, kept.left_out) == ([{"found": "4␀,1", "row": 2}], [["?", None, 1.5, True]])


def many(example: Example, count: int) -> ReadingColumns:
    at = np.arange(count)
    return ReadingColumns(
        characteristic_id=np.full(count, example.bore.pk),
        cavity_id=np.array([cavity.pk for cavity in example.cavities])[at % 2],
        shot=at % 100,
        part=np.full(count, -1),
        value=4 + np.sin(at),
        row=at + 2,
        column=np.full(count, 3),
    )


def test_memory_does_not_grow_with_the_file(example: Example) -> None:
    peaks = []
    for count in (40_000, 160_000):
        columns, file = many(example, count), a_file(str(count).encode())
        tracemalloc.start()
        store_readings(example.trial, file, columns, read_at=NOON, read_by="Ada")
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.1 * peaks[0]
