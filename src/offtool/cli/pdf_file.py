"""The file that a report is written into: a PDF, so that no file of readings is written over by one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click


class _NewPdf(click.Path):
    """A file to be written that ends in .pdf."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        path = super().convert(value, param, ctx)
        if Path(str(path)).suffix.lower() != ".pdf":
            self.fail(f"{value} does not end in .pdf: a report is a PDF", param, ctx)
        return path


NEW_PDF = _NewPdf(dir_okay=False, path_type=Path)
