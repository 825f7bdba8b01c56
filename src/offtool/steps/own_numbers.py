"""The own numbers of a press or a tool, as a plan asks for them: what is known, where the rest is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from offtool.core.values import ImpossibleInput, Range, nearest
from offtool.handbook.sheet_numbers import PRESS_SHEET, TOOL_SHEET, SheetNumber
from offtool.handbook.terms import Feed
from offtool.handbook.workdays import WORKDAYS, workdays_named
from offtool.records.models import Press, Programme, Tool
from offtool.records.operations import define_press, define_tool_size
from offtool.records.queries import find_press, find_programme, find_tool
from offtool.steps.overview import is_invented
from offtool.steps.sizes_given import DefinitionRefused

Numbers = Mapping[str, float | str | None]
"""By the name in the record: a number, a word, or None for not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberKnown:
    """One number as it stands in the record; None where nobody has written it down."""

    name: str
    says: str
    unit: str
    value: float | None
    read_at: str
    """Where it is to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumbersKnown:
    """All numbers of one press or tool."""

    programme: str
    programme_title: str
    invented: bool
    currency: str
    thing: str
    """press, or tool."""
    code: str
    name: str
    headline: str
    word: str
    """The days a press works, or how a tool is fed; blank where it is not said."""
    numbers: tuple[NumberKnown, ...]

    @property
    def missing(self) -> tuple[NumberKnown, ...]:
        """What nobody has written down."""
        return tuple(one for one in self.numbers if one.value is None)


def press_numbers(programme: str, press: str) -> NumbersKnown:
    """The numbers of a press. Raises NotInRecord."""
    found = find_programme(programme)
    return _known(found, find_press(found, press), "press", PRESS_SHEET, "workdays")


def has_press(programme: str, press: str) -> bool:
    """Whether the programme has a press of this code. Raises NotInRecord for an unknown programme."""
    return find_programme(programme).presses.filter(code=press).exists()


def tool_numbers(programme: str, tool: str) -> NumbersKnown:
    """The numbers of a tool. Raises NotInRecord."""
    found = find_programme(programme)
    return _known(found, find_tool(found, tool), "tool", TOOL_SHEET, "feed")


def keep_press_numbers(programme: str, press: str, numbers: Numbers, *, by: str) -> NumbersKnown:
    """Write numbers of a press; those not named stay. Returns all of them.

    Raises DefinitionRefused, naming the number, for one that cannot be, and for hours or heights that are
    out of order.
    """
    found = find_programme(programme)
    kept = find_press(found, press)
    define_press(found, press_columns(numbers, kept), made_by=by, press=kept)
    return press_numbers(programme, press)


def keep_tool_numbers(programme: str, tool: str, numbers: Numbers, *, by: str) -> NumbersKnown:
    """Write numbers of a tool; those not named stay. Returns all of them. Raises DefinitionRefused."""
    found = find_programme(programme)
    columns = {name: value for name, value in numbers.items() if name != "feed"}
    refuse_impossible(columns, TOOL_SHEET)
    if "feed" in numbers:
        columns["feed"] = _feed(str(numbers["feed"] or ""))
    define_tool_size(find_tool(found, tool), columns, made_by=by)
    return tool_numbers(programme, tool)


def press_columns(numbers: Numbers, now: Press | None = None) -> dict[str, Any]:
    """Numbers of a press as columns of the record, with what is known of it `now` taken into account.

    Raises DefinitionRefused, naming the number.
    """
    columns = {name: value for name, value in numbers.items() if name != "workdays"}
    refuse_impossible(columns, PRESS_SHEET)
    told = {name: columns.get(name, getattr(now, name, None)) for name in PRESS_SHEET}
    _refuse_disorder(told)
    if "workdays" in numbers:
        columns["workdays"] = _workdays(str(numbers["workdays"] or ""))
    return columns


def refuse_impossible(numbers: Numbers, sheet: Mapping[str, SheetNumber]) -> None:
    """Raise DefinitionRefused for a name that is none, and for a number that cannot be."""
    for name, value in numbers.items():
        if name not in sheet:
            raise DefinitionRefused(name, f"no number is called {name!r}", nearest(name, sheet))
        if value is None:
            continue
        number = sheet[name]
        try:
            reach = Range(meaning=number.says, unit=number.unit, **number.ends)
            reach.refuse_impossible(name, float(value))
        except ImpossibleInput as error:
            shown = f"{error.value:g} {number.unit}".rstrip()
            raise DefinitionRefused(name, f"{shown} {error.limit}", f"read it at {number.read_at}") from error


def _refuse_disorder(told: Mapping[str, Any]) -> None:
    """Hours are both given and in order; the greatest mould is not below the least."""
    starts, stops = told["works_from_h"], told["works_to_h"]
    if (starts is None) != (stops is None):
        field = "works_from_h" if starts is None else "works_to_h"
        raise DefinitionRefused(field, "only one of the two hours is given", "give both, or none")
    if starts is not None and stops <= starts:
        what = f"{stops:g} is not after {starts:g}"
        raise DefinitionRefused("works_to_h", what, "give 0 and 24, or none, for round the clock")
    least, most = told["mould_least_mm"], told["mould_most_mm"]
    if least is not None and most is not None and most < least:
        what = f"{most:g} mm is below the least height of {least:g} mm"
        raise DefinitionRefused("mould_most_mm", what, "look at the two heights")


def _workdays(typed: str) -> str:
    try:
        return " ".join(workdays_named(typed))
    except ValueError as error:
        remedy = f"write days such as {' '.join(WORKDAYS[:5])}, or leave it blank"
        raise DefinitionRefused("workdays", f"{str(error)!r} is no day of the week", remedy) from error


def _feed(typed: str) -> str:
    known = [one.value for one in Feed]
    if typed not in known:
        raise DefinitionRefused("feed", f"no way of feeding is called {typed!r}", nearest(typed, known))
    return typed


def _known(
    programme: Programme, row: Press | Tool, thing: str, sheet: Mapping[str, SheetNumber], word: str
) -> NumbersKnown:
    numbers = tuple(
        NumberKnown(
            name=name,
            says=number.says,
            unit=number.unit or (programme.currency if name == "per_hour" else ""),
            value=getattr(row, name),
            read_at=number.read_at,
        )
        for name, number in sheet.items()
    )
    return NumbersKnown(
        programme=programme.slug,
        programme_title=programme.title,
        invented=is_invented(programme),
        currency=programme.currency,
        thing=thing,
        code=row.code,
        name=row.name,
        headline=_headline(f"{thing} {row.code}", numbers),
        word=getattr(row, word),
        numbers=numbers,
    )


def _headline(thing: str, numbers: tuple[NumberKnown, ...]) -> str:
    missing = [one for one in numbers if one.value is None]
    if not missing:
        return f"All numbers of {thing} are known."
    if len(missing) == len(numbers):
        return f"None of the numbers of {thing} is known yet."
    known = len(numbers) - len(missing)
    return f"Of the {len(numbers)} numbers of {thing}, {known} {'is' if known == 1 else 'are'} known."
