"""What is written reads back as the same rows, and is written again as the same bytes."""

from __future__ import annotations

import tempfile
from dataclasses import fields
from io import StringIO
from pathlib import Path

from hypothesis import HealthCheck, given, settings

from offtool.exchange.programme import ProgrammeFolder, read_folder, write_folder
from offtool.exchange.programme.folder import FILES
from offtool.exchange.programme.readings import TrialReadings, write_readings
from tests.exchange.programme.folders import bytes_in, programme_folders


def text_of(readings: TrialReadings) -> str:
    out = StringIO()
    write_readings(out, readings)
    return out.getvalue()


def same(one: ProgrammeFolder, other: ProgrammeFolder) -> bool:
    tables = [each.name for each in fields(one) if each.name not in ("readings", "original_of")]
    assert {name: getattr(one, name) for name in tables} == {name: getattr(other, name) for name in tables}
    assert {key: text_of(table) for key, table in one.readings.items()} == {
        key: text_of(table) for key, table in other.readings.items()
    }
    for table in FILES:
        assert [one.original_of(row) for row in getattr(one, table)] == [
            other.original_of(row) for row in getattr(other, table)
        ]
    return True


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(programme_folders())
def test_a_folder_reads_back_as_it_was_written(told: ProgrammeFolder) -> None:
    with tempfile.TemporaryDirectory() as place:
        first, second = Path(place, "first"), Path(place, "second")
        files = write_folder(told, first)
        found = read_folder(first)
        assert same(found, told)
        write_folder(found, second)
        assert bytes_in(first) == bytes_in(second)
        assert set(files) == bytes_in(first).keys()
