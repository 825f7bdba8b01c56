"""User text on its way into a drawing, a sheet or a workbook."""

from __future__ import annotations

from typing import Any


def printable(text: str) -> str:
    """The text on one line, without signs that cannot be printed or written down: they become spaces."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def shorten(text: str, most: int) -> str:
    """The text, cut with … where it is longer than `most` signs."""
    return text if len(text) <= most else text[: most - 1] + "…"


def printable_rows(rows: Any) -> Any:
    """Every text in nested rows made printable; drawings have seen to their own."""
    if isinstance(rows, str):
        return rows if rows.startswith("<svg") else printable(rows)
    if isinstance(rows, dict):
        return {key: printable_rows(value) for key, value in rows.items()}
    return [printable_rows(one) for one in rows] if isinstance(rows, (list, tuple)) else rows
