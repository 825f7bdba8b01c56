"""Text on its way into a spreadsheet, so that none of it is taken for a formula.

A cell that begins with =, +, - or @ is calculated when a CSV is opened in a spreadsheet; a name in the record
could so run what a stranger wrote. An apostrophe before it makes it text; taken off again on the way back in,
nothing is lost.
"""

from __future__ import annotations

import re

_STARTS_A_FORMULA = "=+-@＝＋－＠"
_STARTS_A_CELL = "\t\r\n"
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_GUARD = "'"


def write_safe_cell(text: str) -> str:
    """The text for a cell of a CSV or XLSX file; numbers and lone signs stay as they are.

    Example: ``write_safe_cell("=1+1")`` is ``"'=1+1"``, ``write_safe_cell("-0.05")`` is ``"-0.05"``.
    """
    return f"{_GUARD}{text}" if _is_dangerous(text.lstrip(_GUARD)) else text


def read_safe_cell(text: str) -> str:
    """The text as it was before `write_safe_cell`."""
    guarded = text.startswith(_GUARD) and _is_dangerous(text.lstrip(_GUARD))
    return text.removeprefix(_GUARD) if guarded else text


def _is_dangerous(text: str) -> bool:
    if text[:1] in _STARTS_A_CELL and text:
        return True
    start = text.lstrip()
    return len(start) > 1 and start[0] in _STARTS_A_FORMULA and not _NUMBER.fullmatch(start)
