"""Writing to the terminal: its width, JSON, and what is written where a sign cannot be."""

from __future__ import annotations

import codecs
import json
import shutil
import sys
from collections.abc import Iterable

NARROWEST, USUAL, WIDEST = 60, 100, 120

PLAINER = {
    "±": "+/-", "−": "-", "–": "-", "×": "x", "·": ".", "…": "...", "→": "->", "⌀": "dia. ", "µ": "u",
    "°": " deg", "²": "^2", "≥": ">=", "≤": "<=", "∞": "infinite",
    "●": "*", "○": "o", "─": "-", "━": "=", "│": "|", "┊": ":", "┼": "+", "┿": "+",
    "’": "'", "“": '"', "”": '"',
}  # fmt: skip
"""What stands for a sign that the terminal cannot write."""

_HANDLER = "offtool.plainer"


def never_fail_to_write() -> None:
    """Let a terminal that cannot write a sign show a plainer one instead."""
    codecs.register_error(_HANDLER, _plainer)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=_HANDLER)


def _plainer(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lost = error.object[error.start : error.end]
    return "".join(PLAINER.get(sign, "?") for sign in lost), error.end


def width() -> int:
    """Columns to write in: those of the terminal (or COLUMNS), within what reads well."""
    return max(NARROWEST, min(shutil.get_terminal_size((USUAL, 24)).columns, WIDEST))


def say(lines: Iterable[str]) -> None:
    """Write lines to standard output."""
    # click.echo would write UTF-8 to a terminal that is set to ASCII
    sys.stdout.write("".join(f"{line.rstrip()}\n" for line in lines))
    sys.stdout.flush()


def say_json(plain: object) -> None:
    """Write a JSON-ready value; beyond ASCII as it is where the terminal writes UTF-8, else escaped."""
    utf8 = codecs.lookup(sys.stdout.encoding or "ascii").name.startswith("utf")
    say([json.dumps(plain, ensure_ascii=not utf8, indent=2, allow_nan=False, default=str)])  # paths as text
