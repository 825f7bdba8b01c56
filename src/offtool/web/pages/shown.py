"""Any result of a formula in words: lines, tables and groups, whatever its fields are.

A new formula appears on its page by itself, so nothing here knows one result from another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from math import isfinite
from typing import Any

import numpy as np

from offtool.core.values import Caution, Interval
from offtool.reports import words
from offtool.web.wording import title_and_unit

RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


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
        title, unit = title_and_unit(name)
        if name == "cautions":
            cautions = tuple(value)
        elif _is_list_of_results(value) and all(map(_fits_a_row, value)):
            tables.append(_table(title, value))
        elif _is_list_of_results(value):
            groups.extend(show(one, f"{title} {place}") for place, one in enumerate(value, 1))
        elif _is_group(value):
            groups.append(show(value, title))
        else:
            lines.append(Line(about=title, unit=unit, says=in_words(value)))
    return Shown(
        about=about, lines=tuple(lines), tables=tuple(tables), groups=tuple(groups), cautions=cautions
    )


def in_words(value: Any) -> str:
    """One value in words."""
    if value is None:
        return "none"
    if isinstance(value, Enum):
        return str(value.value) or "none"
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, Interval):
        return f"{in_words(value.low)} to {in_words(value.high)} ({words.percent(value.confidence, 0)})"
    if _has_bounds(value):
        return f"{in_words(value.value)} ({in_words(value.low)} to {in_words(value.high)})"
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
    if not isfinite(value):
        return words.number(value, 0)
    value = value or 0.0  # never −0
    digits, _, power = f"{value:.6g}".replace("-", words.MINUS).partition("e")
    return f"{digits} × 10{str(int(power.replace(words.MINUS, '-'))).translate(RAISED)}" if power else digits


def _named(result: Any) -> Iterator[tuple[str, Any]]:
    if is_dataclass(result):
        yield from ((one.name, getattr(result, one.name)) for one in fields(result))
    elif isinstance(result, Mapping):
        yield from ((str(key), value) for key, value in result.items())
    else:
        yield "result", result


def _is_group(value: Any) -> bool:
    """A result of its own inside a result, or several by name."""
    if isinstance(value, Mapping):
        return bool(value) and all(map(is_dataclass, value.values()))
    return is_dataclass(value) and not isinstance(value, Interval)


def _is_list_of_results(value: Any) -> bool:
    return isinstance(value, tuple | list) and bool(value) and all(map(is_dataclass, value))


def _has_bounds(value: Any) -> bool:
    """Whether a result is one number between two bounds, which one cell can hold."""
    return is_dataclass(value) and {"value", "low", "high"} <= {one.name for one in fields(value)}


def _fits_a_row(result: Any) -> bool:
    """Whether a result inside a list is of plain values, so that the list is a table."""
    values = [value for name, value in _named(result) if name != "cautions" or value]
    return not any(_is_list_of_results(one) or (_is_group(one) and not _has_bounds(one)) for one in values)


def _table(about: str, results: Sequence[Any]) -> Table:
    rows = [{_heading(name): value for name, value in _named(one) if name != "cautions"} for one in results]
    headings = tuple(dict.fromkeys(heading for row in rows for heading in row))
    cells = tuple(
        tuple(in_words(row[heading]) if heading in row else "" for heading in headings) for row in rows
    )
    return Table(about=about, headings=headings, rows=cells)


def _heading(name: str) -> str:
    title, unit = title_and_unit(name)
    return f"{title}, {unit}" if unit else title
