"""Whatever numbers are given: an answer or a refusal in words, never a crash, a warning, or a full memory."""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from offtool.core.formulas import Formula, Parameter, all_formulas
from offtool.core.values import OfftoolError, Range

# The tables of plan_corrections are checked cell by cell where they are read: tests/exchange, tests/steps.
FORMULAS = {name: one for name, one in all_formulas().items() if name != "plan_corrections"}

EVERYDAY = [-50.0, -1.0, -0.01, 0.0, 1e-6, 0.001, 0.005, 0.02, 0.5, 1.0, 4.0, 20.0, 60.0, 1000.0]
ABSURD = [-1e308, -1e30, -1e12, -1e-300, 1e-300, 1e-30, 1e-12, 1e12, 1e30, 1e154, 1e308]


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
    # What lies between makes billions of steps to a cut: see test_choose_cut for a step that is too fine.
    if parameter.name == "step_mm":
        values = [value for value in values if value >= 0.01 or value <= 1e-30]
    if parameter.name == "moves":
        values = [-2.0, -0.98, 0.0, 0.5, 1.0]
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
    length = draw(st.integers(0, 5))
    return {one.name: draw(drawn(one, values, length)) for one in formula.parameters}


def answered_or_refused(formula: Formula, call: Mapping[str, Any]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            formula.function(**call)
        except OfftoolError as refused:
            assert str(refused)


def fuzz(name: str, values: list[float], examples: int) -> None:
    @settings(max_examples=examples, derandomize=True, database=None, deadline=None,
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(call=calls(FORMULAS[name], values))
    def run(call: Mapping[str, Any]) -> None:
        answered_or_refused(FORMULAS[name], call)

    run()


@pytest.mark.parametrize("name", FORMULAS)
def test_everyday_numbers_in_any_mixture_are_answered_or_refused(name: str) -> None:
    fuzz(name, EVERYDAY, 150)


@pytest.mark.parametrize("name", FORMULAS)
def test_absurd_numbers_are_answered_or_refused(name: str) -> None:
    """A slipped exponent: 1e308 for a size, 1e-300 for a step."""
    fuzz(name, EVERYDAY + ABSURD, 150)
