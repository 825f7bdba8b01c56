"""The one registry of what can be computed: every public function of core, with its units and ranges.

A function joins by `@formula(...)`. Its parameters' meanings, units and ranges are said there once; the
docstring, the range checks, `offtool calc`, and the generated page all read that one table.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import types
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, is_dataclass, replace
from functools import cache, wraps
from math import isfinite
from typing import Any, Literal, ParamSpec, TypeAlias, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import Caution, ImpossibleInput, OfftoolError, Range

Numbers: TypeAlias = Sequence[float] | NDArray[np.float64]
Texts: TypeAlias = Sequence[str]

Kind = Literal["number", "whole number", "yes or no", "choice", "text", "numbers", "texts", "table"]
_KINDS: dict[object, Kind] = {
    float: "number",
    int: "whole number",
    bool: "yes or no",
    str: "text",
    Numbers: "numbers",
    Texts: "texts",
}

NUMERIC: frozenset[Kind] = frozenset({"number", "whole number", "numbers"})
ARTICLE: dict[Kind, str] = {
    "number": "a number",
    "whole number": "a whole number",
    "yes or no": "yes or no",
    "choice": "one of the choices",
    "text": "text",
    "numbers": "a list of numbers",
    "texts": "a list of names",
    "table": "a table",
}

LARGEST_WHOLE = 10**300
"""A longer whole number fits no floating point number."""

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One argument of a formula, as help, pages and checks need it."""

    name: str
    kind: Kind
    type: Any
    range: Range
    required: bool
    default: object = None
    may_be_blank: bool = False
    choices: tuple[str, ...] = ()

    def refuse_other_kind(self, value: object) -> None:
        """Raise ImpossibleInput for a value that is not of the parameter's kind."""
        if not _IS_KIND[self.kind](self, value):
            shown = str(value)
            raise ImpossibleInput(
                self.name,
                shown if len(shown) <= 40 else shown[:37] + "…",
                "",
                f"must be {ARTICLE[self.kind]}",
            )

    def words(self) -> str:
        """Kind, unit and range in one line."""
        span = ", ".join(self.choices) or (
            "" if self.kind in ("text", "texts", "yes or no", "table") else self.range.words()
        )
        return ", ".join(part for part in (self.kind, self.range.unit, span) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A public function of core, ready to be called by name."""

    name: str
    topic: str
    tells: str
    source: str
    parameters: tuple[Parameter, ...]
    example: Mapping[str, Any]
    function: Callable[..., Any]


_REGISTERED: dict[str, Formula] = {}


def formula(
    *, limits: Mapping[str, Range], example: Mapping[str, Any], source: str
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Make a function of core public: check its arguments against `limits`, list it, document it.

    `limits` names every parameter; `example` is a call that runs, shown on the page and in help; `source` is
    where the method is published, or "common practice, no source".
    """

    def register(function: Callable[P, R]) -> Callable[P, R]:
        parameters = tuple(_parameters(function, limits))
        by_name = {parameter.name: parameter for parameter in parameters}
        signature = inspect.signature(function)

        @wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> R:
            bound = signature.bind(*args, **kwargs)
            cautions = []
            for name, value in bound.arguments.items():
                parameter = by_name[name]
                if value is None and parameter.may_be_blank:
                    continue
                parameter.refuse_other_kind(value)
                if parameter.kind in NUMERIC:
                    parameter.range.refuse_impossible(name, value)
                    if caution := parameter.range.caution(name, value):
                        cautions.append(caution)
            # Slipped exponents give infinities, which results may carry; they are no reason for a warning.
            try:
                with np.errstate(all="ignore"):
                    result = function(*bound.args, **bound.kwargs)
            except (ArithmeticError, ValueError, np.linalg.LinAlgError) as error:
                raise OfftoolError(
                    f"{function.__name__} cannot be calculated with these values",
                    remedy="they are too large, too small or too flat: compare them with the ranges",
                ) from error
            return _with_cautions(result, cautions) if cautions else result

        name = function.__name__
        if name in _REGISTERED and _REGISTERED[name].function.__module__ != function.__module__:
            raise RuntimeError(f"two formulas are named {name}")
        checked.__doc__ = _documented(function, parameters, source)
        _REGISTERED[name] = Formula(
            name=name,
            topic=function.__module__.removeprefix("offtool.core.").split(".")[0],
            tells=(function.__doc__ or "").strip().splitlines()[0],
            source=source,
            parameters=parameters,
            example=example,
            function=checked,
        )
        return checked

    return register


def _is_number(value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float, np.integer, np.floating)):
        return False
    return not isinstance(value, int) or abs(value) <= LARGEST_WHOLE


def _is_numbers(value: object) -> bool:
    if isinstance(value, np.ndarray):
        return value.dtype.kind in "iuf"
    return isinstance(value, (list, tuple)) and all(map(_is_number, value))


_IS_KIND: dict[Kind, Callable[[Parameter, Any], bool]] = {
    "number": lambda _, value: _is_number(value),
    "whole number": lambda _, value: _is_number(value) and not (isfinite(value) and value != int(value)),
    "yes or no": lambda _, value: isinstance(value, (bool, np.bool_)),
    "choice": lambda parameter, value: value in parameter.choices,
    "text": lambda _, value: isinstance(value, str),
    "numbers": lambda _, value: _is_numbers(value),
    "texts": lambda _, value: isinstance(value, (list, tuple, np.ndarray)),
    "table": lambda parameter, value: isinstance(value, parameter.type),
}


@cache
def all_formulas() -> Mapping[str, Formula]:
    """Every formula by name; imports all of core, so that a new function appears by itself."""
    import offtool.core

    for module in pkgutil.walk_packages(offtool.core.__path__, "offtool.core."):
        importlib.import_module(module.name)
    return types.MappingProxyType(dict(sorted(_REGISTERED.items())))


def _with_cautions(result: R, cautions: Sequence[Caution]) -> R:
    """The result with cautions added to its own; every result of a formula has a place for them."""
    own: tuple[Caution, ...] = getattr(result, "cautions", ())
    return replace(result, cautions=(*own, *cautions))  # type: ignore[type-var]


def _parameters(function: Callable[..., Any], limits: Mapping[str, Range]) -> Iterator[Parameter]:
    hints = get_type_hints(function)
    arguments = inspect.signature(function).parameters
    if set(arguments) != set(limits):
        raise TypeError(
            f"{function.__name__}: limits name {sorted(limits)}, the signature {sorted(arguments)}"
        )
    for name, argument in arguments.items():
        hint, may_be_blank = _without_none(hints[name])
        choices = tuple(get_args(hint)) if get_origin(hint) is Literal else ()
        yield Parameter(
            name=name,
            kind="choice" if choices else "table" if is_dataclass(hint) else _KINDS[hint],
            type=hint,
            range=limits[name],
            required=argument.default is inspect.Parameter.empty,
            default=None if argument.default is inspect.Parameter.empty else argument.default,
            may_be_blank=may_be_blank,
            choices=choices,
        )


def _without_none(hint: Any) -> tuple[Any, bool]:
    if get_origin(hint) not in (Union, types.UnionType):
        return hint, False
    rest = tuple(one for one in get_args(hint) if one is not type(None))
    if len(rest) == len(get_args(hint)):
        return hint, False
    return Union[rest] if len(rest) > 1 else rest[0], True  # noqa: UP007 made from a tuple


def _documented(function: Callable[..., Any], parameters: Sequence[Parameter], source: str) -> str:
    lines = [inspect.cleandoc(function.__doc__ or ""), "", "Parameters:"]
    for parameter in parameters:
        lines.append(f"    {parameter.name}: {parameter.range.meaning} ({parameter.words()})")
    return "\n".join([*lines, "", f"Source: {source}"])


__all__ = ["Formula", "Numbers", "Parameter", "Texts", "all_formulas", "formula"]
