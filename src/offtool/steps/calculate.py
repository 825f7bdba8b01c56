"""Any formula of core by its name, from text or plain data."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import cattrs

from offtool.core.formulas import Formula, Kind, Parameter, all_formulas
from offtool.core.values import ImpossibleInput, OfftoolError, nearest


def list_formulas() -> tuple[Formula, ...]:
    """Every formula, by topic and name."""
    return tuple(sorted(all_formulas().values(), key=lambda one: (one.topic, one.name)))


def find_formula(name: str) -> Formula:
    """The formula of this name. Raises OfftoolError with the nearest one."""
    known = all_formulas()
    if name not in known:
        raise OfftoolError(f"no formula {name!r}", remedy=nearest(name, known))
    return known[name]


def calculate(name: str, given: Mapping[str, object]) -> Any:
    """The result of a formula for values given as text or as plain data; blanks are left to their default.

    Raises OfftoolError for an unknown formula or parameter, ImpossibleInput for a value that is missing, not
    of its kind, or out of range.
    """
    formula = find_formula(name)
    known = {one.name: one for one in formula.parameters}
    for unknown in given.keys() - known.keys():
        raise OfftoolError(f"{name} has no parameter {unknown!r}", remedy=nearest(unknown, known))
    arguments = {}
    for parameter in formula.parameters:
        value = given.get(parameter.name)
        if value is None or value == "":
            if parameter.required:
                raise ImpossibleInput(parameter.name, "nothing", "", "must be given", parameter.range.meaning)
            continue
        arguments[parameter.name] = _parsed(parameter, value)
    return formula.function(**arguments)


def _parsed(parameter: Parameter, value: object) -> object:
    try:
        return _BY_KIND[parameter.kind](parameter, value)
    except ImpossibleInput:
        raise
    except (ValueError, TypeError, KeyError, OverflowError, cattrs.BaseValidationError) as error:
        raise ImpossibleInput(
            parameter.name, _short(value), "", f"must be {_ARTICLE[parameter.kind]}", parameter.range.meaning
        ) from error


def _number(parameter: Parameter, value: object) -> float:
    if isinstance(value, bool):
        raise TypeError
    return float(value.replace("−", "-") if isinstance(value, str) else value)  # type: ignore[arg-type]


def _whole(parameter: Parameter, value: object) -> int:
    number = _number(parameter, value)
    if number != int(number):
        raise ValueError
    return int(number)


def _yes_or_no(parameter: Parameter, value: object) -> bool:
    if isinstance(value, bool):
        return value
    return {"yes": True, "true": True, "1": True, "on": True, "no": False, "false": False, "0": False}[
        str(value).strip().lower()
    ]


def _choice(parameter: Parameter, value: object) -> str:
    if value not in parameter.choices:
        raise ValueError
    return str(value)


def _items(value: object) -> list[object]:
    """A list as given, or text parted by commas, semicolons or line ends."""
    if isinstance(value, str):
        text = value.strip()
        if text.startswith("["):
            return [*json.loads(text)]
        return [one.strip() for one in text.replace(";", ",").replace("\n", ",").split(",") if one.strip()]
    if not isinstance(value, Iterable):
        raise TypeError
    return [*value]


def _numbers(parameter: Parameter, value: object) -> list[float]:
    return [_number(parameter, one) for one in _items(value)]


def _texts(parameter: Parameter, value: object) -> list[str]:
    return [str(one) for one in _items(value)]


def _table(parameter: Parameter, value: object) -> object:
    return cattrs.structure(json.loads(value) if isinstance(value, str) else value, parameter.type)


_BY_KIND: Mapping[Kind, Callable[[Parameter, object], object]] = {
    "number": _number,
    "whole number": _whole,
    "yes or no": _yes_or_no,
    "choice": _choice,
    "text": lambda _, value: str(value),
    "numbers": _numbers,
    "texts": _texts,
    "table": _table,
}
_ARTICLE: Mapping[Kind, str] = {
    "number": "a number",
    "whole number": "a whole number",
    "yes or no": "yes or no",
    "choice": "one of the choices",
    "text": "text",
    "numbers": "numbers, parted by commas",
    "texts": "names, parted by commas",
    "table": "a table as JSON, as the example shows",
}


def _short(value: object) -> str:
    text = str(value)
    return text if len(text) <= 40 else text[:37] + "…"
