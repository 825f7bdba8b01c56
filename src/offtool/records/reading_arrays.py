"""Readings as columns: the form in which a million of them go in and out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

NOT_RECORDED = -1
"""Stands in a column of whole numbers where the file did not say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingColumns:
    """The readings of one file, before they are stored; columns of equal length.

    characteristic_id and cavity_id are ids in the record; shot and part are numbers as in the file;
    -1 stands for "not recorded" in cavity_id, shot and part; row and column count from 1.
    """

    characteristic_id: NDArray[np.int64]
    cavity_id: NDArray[np.int64]
    shot: NDArray[np.int64]
    part: NDArray[np.int64]
    value: NDArray[np.float64]
    row: NDArray[np.int64]
    column: NDArray[np.int64]

    def __post_init__(self) -> None:
        """Any whole numbers will do for the ids and places; all columns must be equally long."""
        for column in fields(self):
            kind = np.float64 if column.name == "value" else np.int64
            given = np.asarray(getattr(self, column.name))
            object.__setattr__(self, column.name, given.astype(kind, casting="same_kind", copy=False))
        lengths = {column.name: len(getattr(self, column.name)) for column in fields(self)}
        if len(set(lengths.values())) > 1:
            raise ValueError(f"columns of unequal length: {lengths}")

    def __len__(self) -> int:
        return len(self.value)

    def portions(self, rows: int) -> Iterator[ReadingColumns]:
        """The same readings, so many rows at a time; nothing is copied."""
        for start in range(0, len(self), rows):
            part = slice(start, start + rows)
            yield ReadingColumns(**{column.name: getattr(self, column.name)[part] for column in fields(self)})


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingArrays:
    """The readings of a trial as kept, in the order in which they were stored; columns of equal length.

    -1 stands for "not recorded" in cavity_id, shot and part. source_id, row and column say from which cell
    of which file each value was read; reading_id is the reading's own key in the record.
    """

    reading_id: NDArray[np.int64]
    characteristic_id: NDArray[np.int64]
    cavity_id: NDArray[np.int64]
    shot: NDArray[np.int64]
    part: NDArray[np.int64]
    value: NDArray[np.float64]
    source_id: NDArray[np.int64]
    row: NDArray[np.int64]
    column: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.value)
