"""Formulas on the terminal: the list, the call that is their example, the result."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from offtool.cli.shared_lines import cautions, heading, sentence
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.formulas import Formula, Parameter
from offtool.steps.plain import as_plain

DIGITS = 6


def formula_as_plain(formula: Formula) -> dict[str, Any]:
    """Name, parameters, units and ranges, ready for JSON."""
    return {
        "name": formula.name, "topic": formula.topic, "tells": formula.tells, "source": formula.source,
        "parameters": [_parameter_as_plain(one) for one in formula.parameters],
        "example": as_plain(dict(formula.example)),
    }  # fmt: skip


def _parameter_as_plain(parameter: Parameter) -> dict[str, Any]:
    said = parameter.range
    return {
        "name": parameter.name,
        "kind": parameter.kind,
        "meaning": said.meaning,
        "unit": said.unit,
        "required": parameter.required,
        "default": as_plain(parameter.default),
        "may_be_blank": parameter.may_be_blank,
        "choices": list(parameter.choices),
        "above": said.above,
        "at_least": said.at_least,
        "below": said.below,
        "at_most": said.at_most,
        "usual": as_plain(said.usual),
        "source": said.source,
    }


def list_lines(formulas: Sequence[Formula]) -> list[str]:
    """The formulas by topic, a line each."""
    lines: list[str] = []
    for topic, ones in groupby(formulas, key=lambda one: one.topic):
        lines += [*heading(topic), *table([[one.name, one.tells] for one in ones], width=width(), indent=2)]
    return [*lines[1:], "", "offtool calc NAME --help explains one, with an example."]


def example_command(formula: Formula) -> str:
    """The call that calculates the example of a formula."""
    options = [
        f"--{name.replace('_', '-')} {shlex.quote(as_text(value))}" for name, value in formula.example.items()
    ]
    return " ".join([f"offtool calc {formula.name}", *options])


def as_text(value: object) -> str:
    """A parameter's value as it is typed behind its option."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ",".join(str(one) for one in value)
    return str(value)


def result_lines(formula: Formula, result: Any) -> list[str]:
    """What a formula tells, every field of its result, and its cautions."""
    plain = as_plain(result)
    fields = (
        {name: value for name, value in plain.items() if name != "cautions"}
        if isinstance(plain, dict)
        else {"": plain}
    )
    rows = list(_rows(fields))
    return [*sentence(formula.tells), *table(rows, width=width(), indent=2), *cautions(result.cautions)]


def _rows(fields: Mapping[str, Any], before: str = "") -> Iterator[list[str]]:
    """A row for every field; fields within fields are named by both."""
    for name, value in fields.items():
        if isinstance(value, dict):
            yield from _rows(value, f"{before}{name} ")
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for number, one in enumerate(value, 1):
                yield from _rows(one, f"{before}{name} {number} ")
        else:
            yield [f"{before}{name}", _shown(value)]


def _shown(value: object) -> str:
    if value is None or value == "":
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.{DIGITS}g}"
    return ", ".join(_shown(one) for one in value) if isinstance(value, list) else str(value)
