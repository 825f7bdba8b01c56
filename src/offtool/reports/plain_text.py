"""User text on its way into a drawing, a sheet or a workbook."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text on one line, without signs that cannot be printed or written down: they become spaces."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def shorten(text: str, most: int) -> str:
    """The text, cut with … where it is longer than `most` signs."""
    return text if len(text) <= most else text[: most - 1] + "…"
