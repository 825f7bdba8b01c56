"""Formulas called with any numbers that their ranges let pass: `python -m tests.core.fuzz everyday NAME...`

Run as a program of its own, because what must not happen can only be stopped from outside: a call that never
comes back, or one that fills the memory. Prints one JSON line for each formula: its name and what went wrong.
"""

from __future__ import annotations

import json
import sys
import warnings
from collections.abc import Iterator, Mapping
from dataclasses import fields
from math import isnan
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from offtool.core.formulas import Formula, Parameter, all_formulas
from offtool.core.values import OfftoolError, Range

EVERYDAY = [-50.0, -1.0, -0.01, 0.0, 1e-6, 0.001, 0.005, 0.02, 0.5, 1.0, 4.0, 20.0, 60.0, 1000.0]
ABSURD = [-1e308, -1e30, -1e12, -1e-300, 1e-300, 1e-30, 1e-12, 1e12, 1e30, 1e154, 1e308]
NUMBERS = {"everyday": EVERYDAY, "absurd": EVERYDAY + ABSURD}
EXAMPLES = 100
MOST_MEMORY = 4 * 2**30


def possible(range_: Range, values: list[float]) -> list[float]:
    """Those of the values that the range does not refuse."""

    def passes(value: float) -> bool:
        try:
            range_.refuse_impossible("it", value)
        except OfftoolError:
            return False
        return True

    return [value for value in values if passes(value)]


def drawn(parameter: Parameter, values: list[float], length: int) -> st.SearchStrategy[Any]:
    """Values of the parameter's kind and range."""
    numbers = st.sampled_from(possible(parameter.range, values) or [parameter.default])
    match parameter.kind:
        case "number":
            one: st.SearchStrategy[Any] = numbers
        case "whole number":
            one = st.sampled_from([whole for whole in (1, 2, 5, 200) if possible(parameter.range, [whole])])
        case "numbers":
            one = st.lists(numbers, min_size=length, max_size=length)
        case "texts":
            one = st.lists(st.sampled_from(["1", "2", ""]), min_size=length, max_size=length)
        case "yes or no":
            one = st.booleans()
        case _:
            one = st.sampled_from(parameter.choices or [""])
    return st.none() | one if parameter.may_be_blank else one


@st.composite
def calls(draw: st.DrawFn, formula: Formula, values: list[float]) -> Mapping[str, Any]:
    """Arguments for a formula; its lists are equally long, or empty."""
    length = draw(st.integers(0, 5))
    return {one.name: draw(drawn(one, values, length)) for one in formula.parameters}


def fault(formula: Formula, values: list[float]) -> str:
    """What went wrong over many calls: a warning, or an error that is not ours. Empty when nothing did."""

    @settings(
        max_examples=EXAMPLES,
        derandomize=True,
        database=None,
        deadline=None,
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
    )
    @given(call=calls(formula, values))
    def every_call_is_answered_or_refused(call: Mapping[str, Any]) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            try:
                answer = formula.function(**call)
            except OfftoolError:
                return
            except (Exception, Warning) as error:
                raise AssertionError(f"{type(error).__name__}: {error} in {call}") from error
        unknown = [name for name, value in plain_numbers(answer) if isnan(value)]
        assert not (unknown and values is EVERYDAY), f"{unknown} are not numbers in {call}"

    try:
        every_call_is_answered_or_refused()
    except AssertionError as failed:
        return str(failed)
    return ""


def plain_numbers(result: Any) -> Iterator[tuple[str, float]]:
    """The numbers of a result by name; what its parts hold is for their own tests."""
    for field in fields(result):
        value = getattr(result, field.name)
        if isinstance(value, float):
            yield field.name, value


def main(numbers: str, names: list[str]) -> None:
    limit_memory()
    for name in names:
        sys.stdout.write(json.dumps([name, fault(all_formulas()[name], NUMBERS[numbers])]) + "\n")
        sys.stdout.flush()


def limit_memory() -> None:
    """A MemoryError instead of a machine that stands still; where the system can."""
    try:
        import resource
    except ImportError:  # Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
