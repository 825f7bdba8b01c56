"""A layout and its words into a PDF."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import typst

from offtool.places import fonts_folder


class LayoutFlawed(RuntimeError):
    """The layout gave a warning: a font or a sign would be missing on the sheet. A fault of the program."""


def typeset(layout: Path, rows: Any) -> bytes:
    """The PDF of a layout whose texts all come worded in `rows`; the same rows give the same bytes.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    pdf, warnings = typst.compile_with_warnings(
        layout,
        root=layout.parent,
        font_paths=[fonts_folder()],
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"rows": json.dumps(rows, ensure_ascii=False)},
    )
    if warnings:
        raise LayoutFlawed("; ".join(str(one.message) for one in warnings))
    if not isinstance(pdf, bytes):
        raise LayoutFlawed("the layout gave no single file")
    return pdf
