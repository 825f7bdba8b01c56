"""The register of samples as a workbook: a row a part of a sample, under headings that the reader knows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from io import BytesIO

import xlsxwriter

from offtool.exchange.samples_file import HEADINGS, SampleRowRead, cells_of_row
from offtool.reports.plain_text import printable, shorten

NO_DATE = datetime(2000, 1, 1)
LONGEST_TEXT = 32_000
"""A cell of a workbook holds 32767 signs."""
OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
WIDTHS = {"name": 30, "place": 22, "holder": 16, "purpose": 18, "disposition": 14, "note": 50}
USUAL_WIDTH = 11


def samples_workbook(title: str, rows: Sequence[SampleRowRead]) -> bytes:
    """The workbook's bytes; the same rows give the same bytes, nothing comes from the clock."""
    target = BytesIO()
    with xlsxwriter.Workbook(target, OPTIONS) as book:
        book.set_properties(
            {"title": printable(f"{title}, samples"), "author": "offtool", "created": NO_DATE}
        )
        bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        text = book.add_format({"num_format": "@", "valign": "top", "text_wrap": True})
        sheet = book.add_worksheet("Samples")
        for column, (name, heading) in enumerate(HEADINGS.items()):
            sheet.set_column(column, column, WIDTHS.get(name, USUAL_WIDTH))
            sheet.write_string(0, column, heading, bold)
        for line, row in enumerate(rows, start=1):
            for column, cell in enumerate(cells_of_row(row)):
                if cell:
                    sheet.write_string(line, column, shorten(printable(cell), LONGEST_TEXT), text)
        sheet.freeze_panes(1, 1)
        sheet.autofilter(0, 0, max(len(rows), 1), len(HEADINGS) - 1)
    return target.getvalue()
