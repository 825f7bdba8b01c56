"""Any formula by its name: from text as typed, from plain data, and what stands in the way."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import pytest

from offtool.core.formulas import all_formulas
from offtool.core.inspection import performance_index
from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.steps.calculate import calculate, find_formula, list_formulas
from offtool.steps.plain import as_plain

EVERY = pytest.mark.parametrize("name", sorted(all_formulas()))


def as_text(value: Any) -> str:
    """A value as somebody types it into a form."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return json.dumps(value) if isinstance(value, Mapping) else str(value)


@EVERY
def test_every_formula_runs_on_its_example_and_answers_in_plain_data(name: str) -> None:
    plain = as_plain(calculate(name, find_formula(name).example))
    assert isinstance(plain, dict)
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain


@EVERY
def test_text_gives_what_data_gives(name: str) -> None:
    example = find_formula(name).example
    typed = {parameter: as_text(value) for parameter, value in example.items()}
    assert as_plain(calculate(name, typed)) == as_plain(calculate(name, example))


def required_of(name: str) -> list[str]:
    return [one.name for one in find_formula(name).parameters if one.required]


@pytest.mark.parametrize("name", [name for name in all_formulas() if required_of(name)])
def test_a_missing_parameter_is_named(name: str) -> None:
    formula = find_formula(name)
    for missing in required_of(name):
        given = {**formula.example, missing: ""}
        with pytest.raises(ImpossibleInput, match=f"{missing} = nothing: must be given"):
            calculate(name, given)


def test_formulas_are_listed_by_topic_and_name() -> None:
    listed = [(one.topic, one.name) for one in list_formulas()]
    assert listed == sorted(listed)
    assert {name for _, name in listed} == set(all_formulas())


def test_a_blank_takes_the_default() -> None:
    given = {"mean": "16", "sd": "2", "parts": "30", "lower": "8", "upper": "20"}
    expected = performance_index(16.0, 2.0, 30, lower=8.0, upper=20.0)
    assert calculate("performance_index", given | {"confidence": "", "degrees_of_freedom": None}) == expected


def test_a_true_minus_and_lists_by_line_are_read() -> None:
    assert calculate("mean_interval", {"values": "−1\n0; 1"}).mean == pytest.approx(0.0)
    assert calculate("mean_interval", {"values": "[1.5, 2.5]"}).mean == 2.0


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"parts": "thirty"}, "parts = thirty: must be a whole number"),
        ({"parts": "2.5"}, "parts = 2.5: must be a whole number"),
        ({"parts": "nan"}, "parts = nan: must be a whole number"),
        ({"parts": "inf"}, "parts = inf: must be a whole number"),
        ({"sd": "2,5 mm"}, "sd = 2,5 mm: must be a number"),
        ({"sd": True}, "sd = True: must be a number"),
        ({"sd": "nan"}, "must be a finite number"),
        ({"sd": "0"}, "sd = 0.0 as measured: must be above 0"),
        ({"lower": "21"}, "lower"),
        ({"mean": "x" * 200}, "…: must be a number"),
    ],
)
def test_a_value_that_cannot_be_is_refused_by_name_and_limit(changed: dict[str, object], said: str) -> None:
    given = {"mean": 16.0, "sd": 2.0, "parts": 30, "lower": 8.0, "upper": 20.0} | changed
    with pytest.raises(ImpossibleInput) as refusal:
        calculate("performance_index", given)
    assert said in str(refusal.value)
    assert len(str(refusal.value)) < 250


@pytest.mark.parametrize(
    ("parameter", "value"),
    [
        ("means", "4.0, four"),
        ("can_add", "perhaps"),
        ("means", "{"),
        ("means", "[4.0"),
    ],
)
def test_lists_and_yes_or_no_are_refused_likewise(parameter: str, value: str) -> None:
    with pytest.raises(ImpossibleInput, match=parameter):
        calculate("choose_cut", {**find_formula("choose_cut").example, parameter: value})


@pytest.mark.parametrize("value", ["{}", "[]", "peg", '{"state": "a"}'])
def test_a_table_that_is_none_is_refused(value: str) -> None:
    with pytest.raises(ImpossibleInput, match=r"evidence .*must be a table as JSON"):
        calculate("plan_corrections", {"evidence": value})


def test_unknown_names_are_answered_with_the_nearest() -> None:
    with pytest.raises(OfftoolError) as refusal:
        calculate("performance_indx", {})
    assert refusal.value.remedy == "did you mean 'performance_index'?"
    with pytest.raises(OfftoolError) as refusal:
        calculate("performance_index", {"meen": 1})
    assert refusal.value.remedy == "did you mean 'mean'?"
    with pytest.raises(OfftoolError) as refusal:
        calculate("xyz", {})
    assert refusal.value.remedy.startswith("known are: ")
