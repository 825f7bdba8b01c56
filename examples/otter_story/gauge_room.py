"""Files as gauge rooms send them, one style each: German, English and Chinese, CSV and XLSX."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, time
from typing import Any
from zipfile import ZIP_STORED, ZipFile, ZipInfo

import xlsxwriter
from examples.otter_story.drawings import Size
from examples.otter_story.measured import Measured

_GERMAN_UNIT = {"mm": "mm", "deg": "Grad", "g": "g"}
_CHINESE_UNIT = {"mm": "毫米", "deg": "度", "g": "克"}
_SIGN = {"diameter": "⌀", "angle": ""}
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)


def wide_german_csv(found: Measured) -> bytes:
    """Semicolons, decimal commas, Windows-1252, title rows, a row of units."""
    sizes = found.drawing.sizes
    rows: list[Sequence[str]] = [
        ['Messprotokoll "Harbour otter" (erfundenes Beispiel)'],
        [f"Werkzeug {found.drawing.code}", f"Versuch {found.trial}", f"Datum {found.shot_on:%d.%m.%Y}"],
        [],
        ["Schuss-Nr", "Kavität", *(size.key for size in sizes)],
        ["", "", *(_GERMAN_UNIT[size.unit] for size in sizes)],
    ]
    for shot, cavity in found.places():
        cells = [found.text(shot, i, cavity, decimal=",") for i in range(len(sizes))]
        rows.append([str(found.shots[shot]), found.drawing.labels[cavity], *cells])
    return _csv(rows, ";").encode("cp1252")


def long_csv(found: Measured) -> bytes:
    """A row a reading, UTF-8 with its mark."""
    rows: list[Sequence[str]] = [["Characteristic", "Cavity", "Shot", "Measured value", "Unit", "Instrument"]]
    for i, size in enumerate(found.drawing.sizes):
        for shot, cavity in found.places():
            place = [size.key, found.drawing.labels[cavity], str(found.shots[shot])]
            rows.append([*place, found.text(shot, i, cavity), size.unit, size.gauge])
    return _csv(rows, ",").encode("utf-8-sig")


def long_chinese_csv(found: Measured) -> bytes:
    """A row a reading, Chinese headings, GB18030."""
    rows: list[Sequence[str]] = [
        [f"模具 {found.drawing.code}", f"试模 {found.trial}", f"{found.shot_on:%Y-%m-%d}", "虚构示例"],
        ["模次", "穴号", "尺寸", "实测值", "单位", "量具"],
    ]
    for shot, cavity in found.places():
        for i, size in enumerate(found.drawing.sizes):
            place = [str(found.shots[shot]), f"{found.drawing.labels[cavity]}号", size.key]
            rows.append([*place, found.text(shot, i, cavity), _CHINESE_UNIT[size.unit], size.gauge])
    return _csv(rows, ",").encode("gb18030")


def report_xlsx(found: Measured) -> bytes:
    """A first-article report: merged titles, drawing signs and tolerances, a column a cavity and part."""
    labels, parts = found.drawing.labels, len(found.shots)
    first, last = 5, 4 + len(labels) * parts

    def fill(book: xlsxwriter.Workbook) -> None:
        title, head = book.add_format({"bold": True, "align": "center"}), book.add_format({"bold": True})
        sheet = book.add_worksheet("FAI")
        sheet.merge_range(0, 0, 0, last + 1, "FIRST ARTICLE REPORT  Harbour otter (invented example)", title)
        sheet.merge_range(1, 0, 1, 4, f"Tool {found.drawing.code}, trial {found.trial}", title)
        sheet.merge_range(1, 5, 1, last + 1, f"{found.shot_on:%Y-%m-%d}, parts from settled shots", title)
        for column, text in enumerate(("No.", "Characteristic", "Unit", "Nominal", "Tolerance")):
            sheet.merge_range(3, column, 4, column, text, head)
        for c, label in enumerate(labels):
            start = first + c * parts
            sheet.merge_range(3, start, 3, start + parts - 1, f"Cavity {label}", head)
            sheet.write_row(4, start, range(1, parts + 1), head)
        sheet.merge_range(3, last + 1, 4, last + 1, "OK/NG", head)
        for i, size in enumerate(found.drawing.sizes):
            sheet.write_row(5 + i, 0, [size.number, size.name, size.unit, _nominal(size), _tolerance(size)])
            for c in range(len(labels)):
                values = [float(found.text(shot, i, c)) for shot in range(parts)]
                sheet.write_row(5 + i, first + c * parts, values)
            sheet.write(5 + i, last + 1, "OK" if _all_inside(found, i, size) else "NG")

    return _workbook(fill, found)


def wide_text_xlsx(found: Measured) -> bytes:
    """A column a characteristic; every number was typed as text."""

    def fill(book: xlsxwriter.Workbook) -> None:
        sheet = book.add_worksheet("Data")
        sheet.write(0, 0, f"Tool {found.drawing.code} trial {found.trial} (invented example)")
        for row, cells in enumerate(_wide_rows(found), 2):
            for column, text in enumerate(cells):
                sheet.write_string(row, column, text)

    return _workbook(fill, found)


def wide_messy_xlsx(found: Measured) -> bytes:
    """A column a characteristic; the headings once more in the middle, statistics at the end."""

    def fill(book: xlsxwriter.Workbook) -> None:
        sheet = book.add_worksheet("T3")
        rows = list(_wide_rows(found))
        head, parts = rows[:2], rows[2:]
        title = f"Harbour otter (invented example), tool {found.drawing.code}, {found.trial}"
        sheet.merge_range(0, 0, 0, len(head[0]) - 1, title)
        middle = len(parts) // 2
        statistics = [
            [name, "", *(_statistic(of, column, parts) for column in range(2, len(head[0])))]
            for name, of in (("Mean", _mean), ("Min", min), ("Max", max))
        ]
        for row, cells in enumerate([*head, *parts[:middle], *head, *parts[middle:], [], *statistics], 2):
            for column, text in enumerate(cells):
                sheet.write(row, column, _as_number(text))

    return _workbook(fill, found)


def _wide_rows(found: Measured) -> Iterable[list[str]]:
    sizes = found.drawing.sizes
    yield ["Shot", "Cavity", *(size.key for size in sizes)]
    yield ["", "", *(size.unit for size in sizes)]
    for shot, cavity in found.places():
        cells = [found.text(shot, i, cavity) for i in range(len(sizes))]
        yield [str(found.shots[shot]), found.drawing.labels[cavity], *cells]


def _nominal(size: Size) -> str:
    return f"{_SIGN.get(size.kind, '')}{size.nominal:.2f}" + ("°" if size.unit == "deg" else "")


def _tolerance(size: Size) -> str:
    above, below = round((size.upper or 0) - size.nominal, 4), round((size.lower or 0) - size.nominal, 4)
    return f"±{above:g}" if above == -below else f"+{above:g}/−{-below:g}"


def _all_inside(found: Measured, place: int, size: Size) -> bool:
    value = found.value[:, place, :]
    return bool((value >= (size.lower or 0)).all() and (value <= (size.upper or 0)).all())


def _mean(values: Iterable[float]) -> float:
    listed = list(values)
    return sum(listed) / len(listed)


def _statistic(of: Callable[[Iterable[float]], float], column: int, rows: Sequence[Sequence[str]]) -> str:
    numbers = [number for row in rows if isinstance(number := _as_number(row[column]), float)]
    return f"{of(numbers):.4f}"


def _as_number(text: str) -> str | float:
    try:
        return float(text)
    except ValueError:
        return text


def _csv(rows: Iterable[Sequence[str]], separator: str) -> str:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator="\r\n").writerows(rows)
    return out.getvalue()


def _workbook(fill: Callable[[Any], None], found: Measured) -> bytes:
    """A workbook with the same bytes on every computer: dated by its trial, stored uncompressed."""
    packed, plain = io.BytesIO(), io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        made = datetime.combine(found.shot_on, time(12))
        book.set_properties({"created": made, "comments": "Invented example."})
        fill(book)
    with ZipFile(packed) as before, ZipFile(plain, "w", ZIP_STORED) as after:
        for member in before.namelist():
            after.writestr(ZipInfo(member, _ZIP_TIME), before.read(member))
    return plain.getvalue()
