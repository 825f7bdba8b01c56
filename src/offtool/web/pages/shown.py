"""Any result of a formula in words: lines, tables and groups, whatever its fields are.

A new formula appears on its page by itself, so nothing here knows one result from another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any

import numpy as np

from offtool.core.values import Caution, Interval

UNITS = {"mm": "mm", "c": "°C", "mpa": "MPa", "nm": "N·m", "g": "g", "n": "N", "s": "s", "h": "h", "pct": "%"}
"""The endings of names that are units."""
MOST_INLINE = 12
"""A list of more values than this goes under a heading of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One field of a result, in words."""

    about: str
    unit: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Several of the same kind: a column a field."""

    about: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A result, or a part of one."""

    about: str
    lines: tuple[Line, ...]
    tables: tuple[Table, ...]
    groups: tuple[Shown, ...]
    cautions: tuple[Caution, ...]


def show(result: Any, about: str = "") -> Shown:
    """The result in words."""
    lines: list[Line] = []
    tables: list[Table] = []
    groups: list[Shown] = []
    cautions: tuple[Caution, ...] = ()
    for name, value in _named(result):
        title, unit = _title(name)
        if name == "cautions":
            cautions = tuple(value)
        elif _is_list_of_results(value):
            tables.append(_table(_with_unit(title, unit), value))
        elif (is_dataclass(value) and not isinstance(value, Interval)) or _is_mapping_of_results(value):
            groups.append(show(value, title))
        else:
            lines.append(Line(about=title, unit=unit, says=in_words(value)))
    return Shown(
        about=about, lines=tuple(lines), tables=tuple(tables), groups=tuple(groups), cautions=cautions
    )


def in_words(value: Any) -> str:
    """One value in words."""
    if value is None:
        return "not known"
    if isinstance(value, Enum):
        return str(value.value) or "none"
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, Interval):
        return f"{in_words(value.low)} to {in_words(value.high)} ({value.confidence:.0%})"
    if isinstance(value, int | np.integer):
        return f"{value:,}"
    if isinstance(value, float | np.floating):
        return _number(float(value))
    if isinstance(value, np.ndarray):
        return in_words(value.tolist())
    if isinstance(value, Mapping):
        return "; ".join(f"{key}: {in_words(one)}" for key, one in value.items()) or "none"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(map(in_words, value)) or "none"
    return str(value) or "none"


def _number(value: float) -> str:
    """Six digits that count: a result of a formula has no drawing that would say how many are fit."""
    if np.isnan(value):
        return "not known"
    if np.isinf(value):
        return "without end" if value > 0 else "without end below"
    return f"{value:.6g}".replace("-", "−")


def _named(result: Any) -> Iterator[tuple[str, Any]]:
    if is_dataclass(result):
        yield from ((one.name, getattr(result, one.name)) for one in fields(result))
    elif isinstance(result, Mapping):
        yield from ((str(key), value) for key, value in result.items())
    else:
        yield "result", result


def _title(name: str) -> tuple[str, str]:
    """part_after_mm: "part after", "mm"."""
    stem, _, ending = name.rpartition("_")
    if stem and ending in UNITS:
        return stem.replace("_", " "), UNITS[ending]
    return name.replace("_", " "), ""


def _with_unit(title: str, unit: str) -> str:
    return f"{title}, {unit}" if unit else title


def _is_list_of_results(value: Any) -> bool:
    return isinstance(value, tuple | list) and bool(value) and all(map(is_dataclass, value))


def _is_mapping_of_results(value: Any) -> bool:
    return isinstance(value, Mapping) and bool(value) and all(map(is_dataclass, value.values()))


def _table(about: str, results: Sequence[Any]) -> Table:
    rows = [_flat(one) for one in results]
    headings = tuple(dict.fromkeys(heading for row in rows for heading in row))
    return Table(
        about=about,
        headings=headings,
        rows=tuple(tuple(row.get(heading, "") for heading in headings) for row in rows),
    )


def _flat(result: Any) -> dict[str, str]:
    """The fields of one result by heading; a result inside it is said in one cell."""
    row = {}
    for name, value in _named(result):
        if name == "cautions" and not value:
            continue
        row[_with_unit(*_title(name))] = _cell(value)
    return row


def _cell(value: Any) -> str:
    if is_dataclass(value) and not isinstance(value, Interval | Caution):
        return "; ".join(f"{about} {says}" for about, says in _flat(value).items())
    if _is_list_of_results(value):
        return " | ".join(map(_cell, value))
    return in_words(value)
