"""A register of samples as CSV, under headings that the reader knows again."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping

from offtool.exchange.samples_file.table import SampleRowRead
from offtool.exchange.spreadsheet import write_safe_cell

HEADINGS: Mapping[str, str] = {
    "number": "sample",
    "name": "what",
    "part": "part",
    "label": "part label",
    "tool": "tool",
    "state": "tool state",
    "cavity": "cavity",
    "trial": "trial",
    "build": "build",
    "shot": "shot",
    "colour": "colour",
    "purpose": "purpose",
    "disposition": "disposition",
    "place": "place",
    "holder": "holder",
    "found_on": "found on",
    "note": "note",
}
"""By the name of the field in a row: the heading under which it is written, in this order."""


def cells_of_row(row: SampleRowRead) -> list[str]:
    """The cells of a row as text, harmless in a spreadsheet; blank where nothing is said."""
    values = (getattr(row, name) for name in HEADINGS)
    return ["" if value is None else write_safe_cell(str(value)) for value in values]


def samples_csv(rows: Iterable[SampleRowRead]) -> str:
    """The register as CSV text: comma, one row of headings, a row a part; `read_samples` reads it back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADINGS.values())
    writer.writerows(map(cells_of_row, rows))
    return out.getvalue()
