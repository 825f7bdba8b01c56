"""The readings of one trial as a plain long table, a million rows of it too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from itertools import islice
from pathlib import Path
from typing import Annotated, Any, TextIO

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.programme.cells import Name, Number, Whole
from offtool.exchange.programme.csv_tables import (
    csv_cells,
    csv_line,
    read_cell,
    read_header,
    records,
    refuse_ragged,
)
from offtool.exchange.programme.files import find_file
from offtool.exchange.programme.limits import LARGEST_READINGS_BYTES
from offtool.exchange.programme.refused import Place
from offtool.exchange.programme.rows import Row, cells_of
from offtool.exchange.spreadsheet import read_safe_cell
from offtool.handbook.terms import LARGEST_NUMBER, LONGEST_FILE_NAME

FOLDER = "readings"
NOT_RECORDED = -1

_ROWS_AT_ONCE = 50_000
_LARGEST_COUNT = 2**62
_LONGEST_PLAIN = 9  # so many digits are below every limit; longer numbers are looked at one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow(Row):
    """One reading; `part` is the number of the piece; file, row and column are the cell it was read from."""

    part_code: Annotated[str, Name()]
    characteristic: Annotated[str, Name()]
    cavity: Annotated[str, Name(may_be_blank=True)]
    shot: Annotated[int | None, Whole(may_be_blank=True, at_most=_LARGEST_COUNT)]
    part: Annotated[int | None, Whole(may_be_blank=True, at_most=_LARGEST_COUNT)]
    value: Annotated[float, Number()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    row: Annotated[int, Whole(at_least=1)]
    column: Annotated[int, Whole(at_least=1)]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialReadings:
    """The readings of a trial as columns of equal length.

    characteristic, cavity and file count into the names: (part, number), (part, label), file. -1 stands for
    "not recorded" in cavity, shot and part. `line` is the line in the table.
    """

    characteristics: tuple[tuple[str, str], ...]
    cavities: tuple[tuple[str, str], ...]
    files: tuple[str, ...]
    characteristic: NDArray[np.int64]
    cavity: NDArray[np.int64]
    shot: NDArray[np.int64]
    part: NDArray[np.int64]
    value: NDArray[np.float64]
    file: NDArray[np.int64]
    row: NDArray[np.int64]
    column: NDArray[np.int64]
    line: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.value)

    def of_file(self, file: str) -> TrialReadings:
        """The readings that come from one file."""
        chosen = self.file == (self.files.index(file) if file in self.files else len(self.files))
        return replace(self, **{column: getattr(self, column)[chosen] for column in _KINDS})


_KINDS: dict[str, Any] = {
    each.name: np.float64 if each.name == "value" else np.int64
    for each in fields(TrialReadings)
    if each.name not in ("characteristics", "cavities", "files")
}


def cell_keys(row: NDArray[np.int64], column: NDArray[np.int64]) -> NDArray[np.int64]:
    """One number for each cell, so that many cells are found at once."""
    return row * 2**31 + column


def read_readings(folder: Path, file: str) -> TrialReadings | None:
    """The readings of a trial; None when its file is not there. Raises FolderRefused."""
    path = find_file(folder, FOLDER, file)
    if path is None:
        return None
    shown = f"{FOLDER}/{file}"
    lines = records(path, shown, LARGEST_READINGS_BYTES)
    columns = _Columns(shown, read_header(lines, shown, cells_of(ReadingRow)))
    while portion := list(islice(lines, _ROWS_AT_ONCE)):
        columns.add(portion)
    return columns.finished()


class _Columns:
    """Gathers the rows of a table as columns; only a portion that may be wrong is looked at cell by cell."""

    def __init__(self, shown: str, header: Sequence[str]) -> None:
        self.shown, self.header = shown, header
        self.characteristics: dict[tuple[str, str], int] = {}
        self.cavities: dict[tuple[str, str], int] = {}
        self.files: dict[str, int] = {}
        self.portions: dict[str, list[NDArray[Any]]] = {name: [np.empty(0, _KINDS[name])] for name in _KINDS}

    def add(self, portion: Sequence[tuple[int, list[str]]]) -> None:
        """Take some rows. Raises FolderRefused for the first that cannot be."""
        for line, record in portion:
            if len(record) != len(self.header):
                refuse_ragged(self.header, record, Place(self.shown, line))
        by_column = dict(zip(self.header, zip(*(record for _, record in portion), strict=True), strict=True))
        blank = ("",) * len(portion)
        texts = {column: by_column.get(column, blank) for column in cells_of(ReadingRow)}
        if not _plainly_right(texts):
            self._look_at_each(portion, texts)
        self._keep("line", [line for line, _ in portion])
        for column in ("shot", "part", "row", "column"):
            self._keep(column, [int(text) if text else NOT_RECORDED for text in texts[column]])
        self._keep("value", [float(text) for text in texts["value"]])
        self._keep_names(texts)

    def finished(self) -> TrialReadings:
        """All rows taken so far."""
        return TrialReadings(
            characteristics=_as_before(self.characteristics),
            cavities=_as_before(self.cavities),
            files=tuple(read_safe_cell(file) for file in self.files),
            **{column: np.concatenate(portions) for column, portions in self.portions.items()},
        )

    def _look_at_each(
        self, portion: Sequence[tuple[int, list[str]]], texts: Mapping[str, Sequence[str]]
    ) -> None:
        for at, (line, _) in enumerate(portion):
            for column, cell in cells_of(ReadingRow).items():
                read_cell(cell, texts[column][at], Place(self.shown, line, column))

    def _keep(self, column: str, numbers: list[int] | list[float]) -> None:
        self.portions[column].append(np.array(numbers, _KINDS[column]))

    def _keep_names(self, texts: Mapping[str, Sequence[str]]) -> None:
        """Each name once, and for each reading which one."""
        sizes, moulded, files = self.characteristics, self.cavities, self.files
        size_names = zip(texts["part_code"], texts["characteristic"], strict=True)
        self._keep("characteristic", [sizes.setdefault(name, len(sizes)) for name in size_names])
        cavity_names = zip(texts["part_code"], texts["cavity"], strict=True)
        self._keep(
            "cavity",
            [moulded.setdefault(name, len(moulded)) if name[1] else NOT_RECORDED for name in cavity_names],
        )
        self._keep("file", [files.setdefault(name, len(files)) for name in texts["file"]])


def _as_before(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    return tuple((read_safe_cell(first), read_safe_cell(second)) for first, second in pairs)


_DIGITS = frozenset("0123456789")
_OF_NUMBERS = _DIGITS | frozenset("+-.eE")
_REQUIRED = [column for column, cell in cells_of(ReadingRow).items() if not cell.may_be_blank]


def _plainly_right(texts: Mapping[str, Sequence[str]]) -> bool:
    """Whether nothing in these columns can be wrong, found without looking at each cell by itself."""
    if not all(all(texts[column]) for column in _REQUIRED):
        return False
    for column in ("shot", "part", "row", "column"):
        if not _DIGITS.issuperset("".join(texts[column])) or max(map(len, texts[column])) > _LONGEST_PLAIN:
            return False
    if min(map(int, texts["row"])) < 1 or min(map(int, texts["column"])) < 1:
        return False
    if not _OF_NUMBERS.issuperset("".join(texts["value"])):
        return False
    try:
        return max(map(abs, map(float, texts["value"]))) <= LARGEST_NUMBER
    except ValueError:
        return False


def write_readings(out: TextIO, readings: TrialReadings) -> None:
    """Write the table, the readings in the order in which they stand."""
    out.write(csv_line(cells_of(ReadingRow)))
    sizes = [csv_cells(size) for size in readings.characteristics]
    labels = [*(csv_cells([label]) for _, label in readings.cavities), ""]  # the last stands at -1
    files = [csv_cells([file]) for file in readings.files]
    for start in range(0, len(readings), _ROWS_AT_ONCE):
        now = slice(start, start + _ROWS_AT_ONCE)
        columns = (
            [sizes[at] for at in readings.characteristic[now].tolist()],
            [labels[at] for at in readings.cavity[now].tolist()],
            _or_blank(readings.shot[now]),
            _or_blank(readings.part[now]),
            map(repr, readings.value[now].tolist()),
            [files[at] for at in readings.file[now].tolist()],
            map(str, readings.row[now].tolist()),
            map(str, readings.column[now].tolist()),
        )
        out.writelines(f"{','.join(cells)}\n" for cells in zip(*columns, strict=True))


def _or_blank(numbers: NDArray[np.int64]) -> list[str]:
    return ["" if number == NOT_RECORDED else str(number) for number in numbers.tolist()]
