"""Many rows into the database at once, by the fastest way each database has.

Rows go in some thousands at a time, so that memory does not grow with the file. All of it belongs inside a
transaction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from offtool.records.reading_arrays import NOT_RECORDED, ReadingColumns

ROWS_AT_ONCE = 20_000  # some 5 MB of Python numbers; more at once is not faster

Row = tuple[float | None, ...]


def insert_readings(source_id: int, readings: ReadingColumns, shot_ids: Mapping[int, int]) -> None:
    """Insert every reading of a file; shot_ids says which shot of the record has which number."""
    columns = ("source_id", "characteristic_id", "cavity_id", "shot_id", "part_no", "value", "row", "column")
    _insert(
        "records_reading",
        columns,
        (_rows(source_id, portion, shot_ids) for portion in readings.portions(ROWS_AT_ONCE)),
    )


def insert_shots(trial_id: int, numbers: Sequence[int]) -> None:
    """Insert new shots of a trial."""
    starts = range(0, len(numbers), ROWS_AT_ONCE)
    _insert(
        "records_shot",
        ("trial_id", "number"),
        ([(trial_id, number) for number in numbers[start : start + ROWS_AT_ONCE]] for start in starts),
    )


def look_up(table: Mapping[int, int], keys: NDArray[np.int64]) -> NDArray[np.int64]:
    """The table's value for every key; -1 for a key it does not have."""
    distinct, places = np.unique(keys, return_inverse=True)
    found = np.array([table.get(key, NOT_RECORDED) for key in distinct.tolist()], dtype=np.int64)
    return found[places]


def _insert(table: str, columns: Sequence[str], portions: Iterable[Sequence[Row]]) -> None:
    names = ", ".join(f'"{column}"' for column in columns)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                for rows in portions:
                    for row in rows:
                        copy.write_row(row)
            return
        values = ", ".join(["%s"] * len(columns))
        for rows in portions:
            cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({values})", rows)  # noqa: S608 our own names


def _rows(source_id: int, readings: ReadingColumns, shot_ids: Mapping[int, int]) -> list[Row]:
    columns = zip(
        [source_id] * len(readings),
        readings.characteristic_id.tolist(),
        _or_none(readings.cavity_id),
        _or_none(look_up(shot_ids, readings.shot)),
        _or_none(readings.part),
        readings.value.tolist(),
        readings.row.tolist(),
        readings.column.tolist(),
        strict=True,
    )
    return list(columns)


def _or_none(numbers: NDArray[np.int64]) -> list[int | None]:
    return [None if number == NOT_RECORDED else number for number in numbers.tolist()]
