"""The small table of steel sizes that goes to the toolmaker empty and comes back measured."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from offtool.core.values import OfftoolError
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.spreadsheet import read_safe_cell, write_safe_cell
from offtool.steps.cut_steel import STEEL_UNCERTAINTY_MM, SteelMeasured

if TYPE_CHECKING:
    from offtool.steps.steel_changes import KeptCorrection

COLUMNS = ("feature", "cavity", "asked_mm", "measured_mm", "allowance_mm", "uncertainty_mm")
NEEDED = ("feature", "cavity", "measured_mm")


def empty_steel_file(waiting: Sequence[KeptCorrection]) -> bytes:
    """A row for every correction that waits to be cut, its measured size left empty."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in waiting:
        writer.writerow(
            [
                write_safe_cell(one.feature),
                write_safe_cell(one.cavity),
                f"{one.size_after_mm:.3f}",
                "",
                "",
                "",
            ]
        )
    return out.getvalue().encode("utf-8-sig")  # with its mark, so that spreadsheets read names in any script


def read_steel_file(path: Path) -> dict[tuple[str, str], SteelMeasured]:
    """The sizes that were filled in, (feature, cavity) each; rows without a size are passed over.

    Separated by comma, semicolon or tab; with the latter two a decimal comma is read too. Raises OfftoolError
    that names the line and the column.
    """
    content = path.read_bytes()
    text = content.decode(find_encoding(content, path.name).codec)
    if not text.strip():
        raise OfftoolError("is empty", where=path.name, remedy=f"its columns are {', '.join(COLUMNS)}")
    separator = max(",;\t", key=text.partition("\n")[0].count)
    measured: dict[tuple[str, str], SteelMeasured] = {}
    for line, row in _rows(text, separator, path.name):
        where = f"{path.name} line {line}"
        if not row.get("measured_mm"):
            continue
        place = (read_safe_cell(row["feature"]), read_safe_cell(row["cavity"]))
        if place in measured:
            raise OfftoolError(
                f"{place[0]} in cavity {place[1]} a second time", where=where, remedy="keep one row"
            )
        sizes = {
            column: _number(row[column], separator, f"{where}, {column}")
            for column in COLUMNS[3:]
            if row.get(column)
        }
        measured[place] = SteelMeasured(
            measured_mm=sizes["measured_mm"],
            uncertainty_mm=sizes.get("uncertainty_mm", STEEL_UNCERTAINTY_MM),
            allowance_mm=sizes.get("allowance_mm"),
        )
    if not measured:
        raise OfftoolError(
            "no steel size is filled in", where=path.name, remedy="fill in the column measured_mm"
        )
    return measured


def _rows(text: str, separator: str, name: str) -> Iterator[tuple[int, Mapping[str, str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    header = [cell.strip() for cell in next(reader, [])]
    missing = [column for column in NEEDED if column not in header]
    unknown = [column for column in header if column and column not in COLUMNS]
    if missing or unknown:
        what = f"no column {', '.join(missing)}" if missing else f"unknown column {', '.join(unknown)}"
        raise OfftoolError(what, where=f"{name} line 1", remedy=f"the columns are {', '.join(COLUMNS)}")
    for cells in reader:
        if any(cell.strip() for cell in cells):
            yield reader.line_num, dict(zip(header, (cell.strip() for cell in cells), strict=False))


def _number(text: str, separator: str, where: str) -> float:
    try:
        return float(text if separator == "," else text.replace(",", "."))
    except ValueError as error:
        raise OfftoolError(
            f"{text!r} is no number", where=where, remedy="write digits only, such as 4.05"
        ) from error
