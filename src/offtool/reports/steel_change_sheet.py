"""The steel-change sheet: what the toolmaker cuts from, English and Chinese side by side, as a PDF."""

from __future__ import annotations

import json
from pathlib import Path

import typst

from offtool.places import fonts_folder
from offtool.reports.steel_change_rows import sheet_rows
from offtool.steps.steel_changes import ToolCorrection

LAYOUT = Path(__file__).with_suffix(".typ")


class LayoutFlawed(RuntimeError):
    """The layout gave a warning: a font or a sign would be missing on the sheet. A fault of the program."""


def steel_change_sheet(correction: ToolCorrection, *, made_by: str = "") -> bytes:
    """The sheet as a PDF: one block a change, then what stays, the shrinkage found, and the cautions.

    The same correction gives the same bytes: nothing on it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    rows = json.dumps(sheet_rows(correction, made_by=made_by), ensure_ascii=False)
    pdf, warnings = typst.compile_with_warnings(
        LAYOUT,
        root=LAYOUT.parent,
        font_paths=[fonts_folder()],
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"rows": rows},
    )
    if warnings:
        raise LayoutFlawed("; ".join(str(one.message) for one in warnings))
    if not isinstance(pdf, bytes):
        raise LayoutFlawed("the layout gave no single file")
    return pdf
