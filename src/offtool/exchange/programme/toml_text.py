"""TOML as text: on which line each table and key stands, and tables written out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from datetime import date
from typing import TypeAlias

KeyPath: TypeAlias = tuple[str | int, ...]
"""The way to a table or key: ("tool", 0, "state", 1, "label"); a number counts the tables of an array."""

_STEP = r'(?:"(?:[^"\\]|\\.)*"|\'[^\']*\'|[A-Za-z0-9_-]+)'
_DOTTED = rf"{_STEP}(?:\s*\.\s*{_STEP})*"
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_DOTTED})\s*\]\]?")
_KEY = re.compile(rf"\s*({_DOTTED})\s*=")
_BARE = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)
_ESCAPED = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"}


def lines_of(text: str) -> dict[KeyPath, int]:
    """The line of every table and key. The parser gives values without their places; this finds those.

    Lines inside a text of several lines are passed over.
    """
    lines: dict[KeyPath, int] = {}
    counts: Counter[KeyPath] = Counter()
    table: KeyPath = ()
    inside = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if not inside:
            header, key = _HEADER.match(line), _KEY.match(line)
            if header:
                table = _table(_steps(header[2]), counts, is_array=header[1] == "[[")
                lines.setdefault(table, number)
                if header[1] == "[[":
                    lines.setdefault(table[:-1], number)  # the array itself: where its first table stands
            elif key:
                lines.setdefault((*table, *_steps(key[1])), number)
        inside = _still_inside(line, inside)
    return lines


def _steps(dotted: str) -> list[str]:
    return [step[1:-1] if step[0] in "\"'" else step for step in re.findall(_STEP, dotted)]


def _table(steps: list[str], counts: Counter[KeyPath], *, is_array: bool) -> KeyPath:
    """The path of a header; under an array it is the array's last table."""
    path: KeyPath = ()
    for place, step in enumerate(steps):
        path = (*path, step)
        if is_array and place == len(steps) - 1:
            counts[path] += 1
        if counts[path]:
            path = (*path, counts[path] - 1)
    return path


def _still_inside(line: str, inside: str) -> str:
    """The quotes of a text of several lines that is open at the end of this line, or nothing."""
    for quotes in re.findall(r'"""|\'\'\'', line):
        if not inside:
            inside = quotes
        elif inside == quotes:
            inside = ""
    return inside


def toml_value(value: object) -> str:
    """A value as TOML writes it; floats in the shortest digits that read back as the same number."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(entry) for entry in value)}]"
    if isinstance(value, Mapping):
        entries = ", ".join(f"{toml_key(key)} = {toml_value(entry)}" for key, entry in value.items())
        return f"{{ {entries} }}" if entries else "{}"
    return f'"{"".join(_escaped(sign) for sign in str(value))}"'


def _escaped(sign: str) -> str:
    if sign in _ESCAPED:
        return _ESCAPED[sign]
    return f"\\u{ord(sign):04x}" if sign < " " or sign == "\x7f" else sign


def toml_key(key: str) -> str:
    """A key, in quotes where it needs them."""
    return key if _BARE.fullmatch(key) else toml_value(key)


def toml_table(header: str, entries: Mapping[str, object]) -> str:
    """A table with its header; what is blank is left out."""
    told = {key: value for key, value in entries.items() if value is not None and value != ""}
    return (
        "\n".join([header, *(f"{toml_key(key)} = {toml_value(value)}" for key, value in told.items())]) + "\n"
    )
