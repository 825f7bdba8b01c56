"""Write docs/formulas.md from the registry of formulas: python tools/make_formula_pages.py"""

from __future__ import annotations

import inspect
import os
import re
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from offtool.cli.show_formula import as_text, example_command, result_lines
from offtool.core.formulas import Formula, Parameter
from offtool.steps.calculate import calculate, list_formulas

PAGE = Path(__file__).resolve().parents[1] / "docs" / "formulas.md"
LONGEST_ANSWER = 12
"""Lines of an example's answer that are shown; of a longer one the first are."""
LINE = 90
LONGEST_CALL = 300
"""Signs of an example's call on the page; a longer one is left to `offtool calc NAME --help`."""

HEAD = """\
# Formulas

Every public function of the computing core, as `offtool calc NAME` calls it; the same list stands behind the
page of formulas and `offtool calc --list --json`. A value that cannot be is refused by name; one outside its
usual range is answered with a caution. In Python the function has the same name and the same parameters:

```python
>>> from offtool.core.correction import shrinkage
>>> shrinkage(60.0, 59.7).percent
0.49999...

```

This page is written by `tools/make_formula_pages.py` from the functions themselves; do not edit it.
"""


def formula_page() -> str:
    """The page: by topic, each formula with its equation, parameters, source and example."""
    topics = groupby(list_formulas(), key=lambda one: one.topic)
    return (
        "\n".join([HEAD, *(line for topic, ones in topics for line in _topic(topic, list(ones)))]).rstrip()
        + "\n"
    )


def _topic(topic: str, formulas: list[Formula]) -> Iterator[str]:
    yield f"## {topic.capitalize()}\n"
    for one in formulas:
        yield from _formula(one)


def _formula(formula: Formula) -> Iterator[str]:
    yield f"### {formula.name}\n"
    yield f"{formula.tells}\n"
    if body := _body(formula):
        yield f"{body}\n"
    yield "| parameter | what it is | kind, unit, range |\n| --- | --- | --- |"
    yield from map(_row, formula.parameters)
    yield f"\nSource: {formula.source}.\n"
    call = example_command(formula)
    if len(call) <= LONGEST_CALL:
        yield "\n".join(["```console", f"$ {_in_lines(call)}", *_answer(formula), "```\n"])


def _body(formula: Formula) -> str:
    """What the docstring says between its first sentence and its table of parameters."""
    doc = inspect.getdoc(formula.function) or ""
    return doc.partition("\n\nParameters:\n")[0].partition("\n")[2].strip().replace("*", r"\*")


def _row(parameter: Parameter) -> str:
    default = as_text(parameter.default) if parameter.default is not None else ""
    needed = "; must be given" if parameter.required else f"; {default} if not given" if default else ""
    meaning = parameter.range.meaning.replace("|", r"\|")
    return f"| `{parameter.name}` | {meaning} | {parameter.words()}{needed} |"


def _in_lines(call: str) -> str:
    """A call broken before its options, where it is longer than a line."""
    lines = [""]
    for piece in re.split(r" (?=--)", call):
        if lines[-1] and len(lines[-1]) + len(piece) > LINE:
            lines.append("    ")
        lines[-1] = f"{lines[-1]} {piece}" if lines[-1].strip() else lines[-1] + piece
    return " \\\n".join(lines)


def _answer(formula: Formula) -> list[str]:
    lines = [line.rstrip() for line in result_lines(formula, calculate(formula.name, formula.example))]
    return lines if len(lines) <= LONGEST_ANSWER else [*lines[:LONGEST_ANSWER], "…"]


if __name__ == "__main__":
    os.environ["COLUMNS"] = "100"  # as wide as the guides are run
    PAGE.write_text(formula_page(), encoding="utf-8")
