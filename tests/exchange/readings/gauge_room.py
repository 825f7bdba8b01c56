"""Files as a gauge room sends them, and short ways to ask what was read. All sizes and names are invented."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Sequence
from typing import Any, NamedTuple

import xlsxwriter

from offtool.exchange.readings import Layout, ReadingTable, read_table

Cell = str | float | int | bool | None


class Taken(NamedTuple):
    """One reading in words."""

    characteristic: str
    cavity: str | None
    shot: int | None
    part: int | None
    value: float


def read(
    text: str, encoding: str = "utf-8", *, layout: Layout | None = None, name: str = "T1.csv"
) -> ReadingTable:
    return read_table(text.encode(encoding), name, layout=layout)


def taken(table: ReadingTable) -> list[Taken]:
    return [
        Taken(
            table.characteristics[table.characteristic[i]].label,
            None if table.cavity[i] < 0 else table.cavities[table.cavity[i]],
            None if table.shot[i] < 0 else int(table.shot[i]),
            None if table.part[i] < 0 else int(table.part[i]),
            float(table.value[i]),
        )
        for i in range(len(table.value))
    ]


def values(table: ReadingTable) -> list[float]:
    return [float(value) for value in table.value]


def cells_of(table: ReadingTable) -> list[tuple[int, int]]:
    return list(zip(table.row.tolist(), table.column.tolist(), strict=True))


def limits(table: ReadingTable) -> list[tuple[float | None, float | None, float | None]]:
    return [(each.nominal, each.lower, each.upper) for each in table.characteristics]


def said(table: ReadingTable) -> str:
    return "\n".join(table.notes)


def rows_of(text: str, separator: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))


def written(rows: Sequence[Sequence[object]], separator: str = ",") -> str:
    """Rows as a spreadsheet writes them to CSV."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(rows)
    return out.getvalue()


def workbook(*sheets: Sequence[Sequence[Any]], hidden: int | None = None) -> bytes:
    """Sheets of a workbook; None leaves a cell out, a tuple is a formula and its stored result."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_numbers": False}) as book:
        for number, rows in enumerate(sheets):
            sheet = book.add_worksheet(f"Sheet{number + 1}")
            if number == hidden:
                sheet.hide()
            for r, row in enumerate(rows):
                for c, cell in enumerate(row):
                    if isinstance(cell, tuple):
                        sheet.write_formula(r, c, cell[0], None, cell[1])
                    elif isinstance(cell, str) and cell:
                        sheet.write_string(r, c, cell)
                    elif cell is not None and cell != "":
                        sheet.write(r, c, cell)
    return out.getvalue()


def with_sheet_xml(sheet: str, content: bytes) -> bytes:
    """The workbook with the XML between its sheetData tags replaced."""
    changed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(changed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            xml = old.read(name).decode()
            if name == "xl/worksheets/sheet1.xml":
                start, end = xml.index("<sheetData"), xml.index("</sheetData>") + len("</sheetData>")
                xml = f"{xml[:start]}<sheetData>{sheet}</sheetData>{xml[end:]}"
            new.writestr(name, xml)
    return changed.getvalue()
