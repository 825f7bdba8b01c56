"""The folder's tables as CSV: comma, UTF-8, one header row, every row checked as it is read."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from offtool.core.values import nearest
from offtool.exchange.programme.cells import Cell, Refused, Text
from offtool.exchange.programme.files import find_file, not_utf8, refuse_too_large, unreadable_in_words
from offtool.exchange.programme.limits import LARGEST_TABLE_BYTES
from offtool.exchange.programme.refused import Place
from offtool.exchange.programme.rows import Row, cells_of
from offtool.exchange.spreadsheet import read_safe_cell, write_safe_cell

R = TypeVar("R", bound=Row)

_NEEDS_QUOTES = re.compile(r'[,"\r\n]')


def read_table(folder: Path, row: type[R]) -> tuple[R, ...]:
    """The rows of a table; none when its file is not there. Raises FolderRefused."""
    file = row.table
    path = find_file(folder, file)
    if path is None:
        return ()
    lines = records(path, file)
    cells = cells_of(row)
    header = read_header(lines, file, cells)
    return tuple(_row(row, header, record, Place(file, line)) for line, record in lines)


def _row(row: type[R], header: Sequence[str], record: Sequence[str], place: Place) -> R:
    refuse_ragged(header, record, place)
    told = dict(zip(header, record, strict=True))
    values = {
        column: read_cell(cell, told.get(column, ""), replace(place, column=column))
        for column, cell in cells_of(row).items()
    }
    return row(line=place.line, **values)


def refuse_ragged(header: Sequence[str], record: Sequence[str], place: Place) -> None:
    """Raise FolderRefused unless there is a cell for every column."""
    if len(record) != len(header):
        raise place.refuse(
            f"{len(record)} cells under {len(header)} columns",
            "separate by commas, put text with commas in quotes",
        )


def records(path: Path, shown: str, largest: int = LARGEST_TABLE_BYTES) -> Iterator[tuple[int, list[str]]]:
    """The records of a CSV file that are not blank, each with the line on which it begins, one by one."""
    # a list of ten thousand repairs is one cell; the module's limit is for all of the process
    csv.field_size_limit(max(csv.field_size_limit(), LARGEST_TABLE_BYTES))
    begins = 1
    with unreadable_in_words(shown):
        refuse_too_large(path, shown, largest)
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.reader(file, strict=True)
            try:
                for record in reader:
                    if record:
                        yield begins, record
                    begins = reader.line_num + 1
            except csv.Error as error:
                remedy = "put text with commas or quotes in quotes"
                raise Place(shown, begins).refuse(str(error), remedy) from error
            except UnicodeDecodeError as error:
                raise not_utf8(shown, path.read_bytes()) from error


def read_header(lines: Iterator[tuple[int, list[str]]], file: str, cells: Mapping[str, Cell]) -> list[str]:
    """The columns in the order of the file. Raises FolderRefused for an unknown, missing or second one."""
    line, header = next(lines, (1, []))
    needed = [column for column, cell in cells.items() if not cell.may_be_blank]
    place = Place(file, line)
    for column in header:
        if column not in cells:
            raise place.refuse(f"unknown column {column!r}", nearest(column, cells))
        if header.count(column) > 1:
            raise place.refuse(f"column {column!r} twice", "keep one of them")
    missing = [column for column in needed if column not in header]
    if missing:
        raise place.refuse(f"no column {', '.join(missing)}", f"the columns are: {', '.join(cells)}")
    return header


def read_cell(cell: Cell, text: str, place: Place) -> object:
    """The checked value of one cell. Raises FolderRefused naming the place."""
    if not text:
        if cell.may_be_blank:
            return cell.blank
        raise place.refuse("must not be empty", "fill it in")
    try:
        return cell.check(cell.parse(read_safe_cell(text) if isinstance(cell, Text) else text))
    except Refused as refused:
        raise place.refuse(refused.what, refused.remedy) from refused


def show_cell(cell: Cell, value: object) -> str:
    """The text of one cell, harmless in a spreadsheet."""
    if value is None:
        return ""
    text = cell.show(value)
    return write_safe_cell(text) if isinstance(cell, Text) else text


def csv_cells(texts: Iterable[str]) -> str:
    """Texts as cells of one line, harmless in a spreadsheet."""
    return ",".join(_quoted(write_safe_cell(text)) for text in texts)


def _quoted(text: str) -> str:
    """The text in quotes where it needs them. The standard writer leaves a lone carriage return bare."""
    return '"' + text.replace('"', '""') + '"' if _NEEDS_QUOTES.search(text) else text


def csv_line(texts: Iterable[str]) -> str:
    """One line of a table, of texts that are harmless already."""
    return ",".join(map(_quoted, texts)) + "\n"


def table_text(row: type[R], rows: Iterable[R]) -> str:
    """A table as CSV text."""
    cells = cells_of(row)
    lines = ([show_cell(cell, getattr(each, column)) for column, cell in cells.items()] for each in rows)
    return "".join([csv_line(cells), *map(csv_line, lines)])
