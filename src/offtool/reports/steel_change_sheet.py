"""The steel-change sheet: what the toolmaker cuts from, English and Chinese side by side, as a PDF."""

from __future__ import annotations

from pathlib import Path

from offtool.reports.steel_change_rows import sheet_rows
from offtool.reports.typeset import LayoutFlawed, typeset
from offtool.steps.steel_changes import ToolCorrection

LAYOUT = Path(__file__).with_suffix(".typ")


def steel_change_sheet(correction: ToolCorrection, *, made_by: str = "") -> bytes:
    """The sheet as a PDF: one block a change, then what stays, the shrinkage found, and the cautions.

    The same correction gives the same bytes: nothing on it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, sheet_rows(correction, made_by=made_by))


__all__ = ["LayoutFlawed", "steel_change_sheet"]
