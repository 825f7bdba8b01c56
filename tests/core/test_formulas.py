"""The one registry: what is public is on it, every example runs, and the docstring says every argument."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from dataclasses import fields, is_dataclass
from typing import Any, Literal

import cattrs
import pytest

import offtool.core
from offtool.core.formulas import Formula, Numbers, all_formulas, formula
from offtool.core.values import Caution, ImpossibleInput, Range

FORMULAS = all_formulas()

NOT_ON_THE_BENCH = {
    "judge_coded_size": "judge_size for readings whose cavities are numbered already",
    "middle": "the middle of two limits: no computation of its own",
    "predicted_interval": "takes pairs of variance and freedom, which no form can ask for",
    "expected_after": "takes cuts that plan_corrections made",
    "material_of": "looks a material up in the handbook: no computation of its own",
    "ciede2000": "colour_difference for many colours at once",
    "lab_in_light": "a step of bringing colours to one light: no answer of its own",
    "compare_presses": "takes all presses of a record; fit_press takes one",
    "correct_card": "takes the patches of a photographed card, which the page marks",
    "correct_colour": "takes a correction that correct_card made",
    "identify": "takes findings over the runs of a record; stage_of_piece needs none",
    "interrupted_run": "takes jobs and presses of a record",
    "colour_change": "takes what is believed of a press's washout; shots_to_change needs none",
    "inspect_mesh": "takes the triangles of a file, which the page and the command read",
    "measure_part": "takes a mesh that inspect_mesh looked at",
    "make_picture": "takes the walls that measure_part measured",
    "read_picture": "takes the bytes of a picture: no computation of its own",
    "change_table": "colour_change for every pair of colours on a press",
    "decide_colour": "takes what is believed of a press's washout, which the page reads from the record",
    "fit_washout": "takes measured shots of a press, which the page and the command read",
    "place_trials": "takes presses, jobs and trials of a record, which the page and the command read",
    "slip_trial": "place_trials again with one of its trials later",
    "order_lot": "takes a table of pieces and details, which the page and the command read",
    "simulate_line": "takes a whole line, an executor and a way to stop; station_queue needs one station",
    "what_more_gives": "simulate_line once for each addition",
    "timed_rate": "takes a line that fewest_stations or best_rate balanced",
    "judge_small_part": "takes the corners of a mesh, which the page and the command read",
    "ramp_dates": "puts the days of ramp_up on the caller's working days, which are dates",
}
"""Public functions that cannot be called by name from a form, and why."""


def packages() -> list[str]:
    """The packages of core: each holds one subject of the job."""
    return [one.name for one in pkgutil.iter_modules(offtool.core.__path__, "offtool.core.") if one.ispkg]


def as_called(one: Formula) -> dict[str, Any]:
    """The example, with its tables built from plain data as a JSON file gives them."""
    kinds = {parameter.name: parameter for parameter in one.parameters}
    return {
        name: cattrs.structure(value, kinds[name].type) if kinds[name].kind == "table" else value
        for name, value in one.example.items()
    }


@pytest.mark.parametrize("package", packages())
def test_every_public_function_is_on_the_bench_or_says_why_not(package: str) -> None:
    module = importlib.import_module(package)
    public = {name for name in module.__all__ if inspect.isfunction(getattr(module, name))}
    assert public
    assert {name for name in public if name not in FORMULAS} <= set(NOT_ON_THE_BENCH)
    assert not public & set(FORMULAS) & set(NOT_ON_THE_BENCH)


def test_everything_on_the_bench_is_public() -> None:
    public = {name for package in packages() for name in importlib.import_module(package).__all__}
    assert set(FORMULAS) <= public


@pytest.mark.parametrize("name", FORMULAS)
def test_the_example_runs_and_gives_a_result_with_cautions(name: str) -> None:
    result = FORMULAS[name].function(**as_called(FORMULAS[name]))
    assert is_dataclass(result)
    assert isinstance(result.cautions, tuple)
    assert all(isinstance(caution, Caution) for caution in result.cautions)


@pytest.mark.parametrize("name", FORMULAS)
def test_results_are_frozen_named_and_not_iterable(name: str) -> None:
    result = FORMULAS[name].function(**as_called(FORMULAS[name]))
    with pytest.raises(AttributeError):
        setattr(result, fields(result)[0].name, None)
    with pytest.raises(TypeError):
        iter(result)


@pytest.mark.parametrize("name", FORMULAS)
def test_help_says_every_argument_with_unit_and_range(name: str) -> None:
    one = FORMULAS[name]
    said = one.function.__doc__ or ""
    assert one.tells
    assert one.tells in said.splitlines()[0]
    assert "Returns:" in said
    assert f"Source: {one.source}" in said
    for parameter in one.parameters:
        assert parameter.range.meaning, parameter.name
        line = next(line for line in said.splitlines() if line.strip().startswith(f"{parameter.name}:"))
        assert parameter.range.meaning in line
        assert parameter.range.unit in line
        if parameter.kind in ("number", "whole number", "numbers"):
            assert parameter.range.words() in line


@pytest.mark.parametrize("name", FORMULAS)
def test_the_table_and_the_signature_name_the_same_arguments(name: str) -> None:
    one = FORMULAS[name]
    arguments = inspect.signature(one.function).parameters
    assert [parameter.name for parameter in one.parameters] == list(arguments)
    for parameter in one.parameters:
        default = arguments[parameter.name].default
        assert parameter.required is (default is inspect.Parameter.empty)
        assert parameter.required or parameter.default == default
        assert not (parameter.default is None and not parameter.required) or parameter.may_be_blank


@pytest.mark.parametrize("name", FORMULAS)
def test_the_defaults_are_usual(name: str) -> None:
    """What is filled in before a user says anything is neither impossible nor cautioned against."""
    for parameter in FORMULAS[name].parameters:
        if (
            parameter.required
            or parameter.default is None
            or parameter.kind not in ("number", "whole number")
        ):
            continue
        parameter.range.refuse_impossible(parameter.name, parameter.default)
        assert parameter.range.caution(parameter.name, parameter.default) is None


BOUNDED = [
    (name, parameter.name, bad, limit)
    for name, one in FORMULAS.items()
    for parameter in one.parameters
    if parameter.kind in ("number", "whole number", "numbers")
    for bad, limit in (
        (
            parameter.range.above,
            f"must be above {parameter.range.above:g}" if parameter.range.above is not None else "",
        ),
        (
            parameter.range.below,
            f"must be below {parameter.range.below:g}" if parameter.range.below is not None else "",
        ),
        (float("nan"), "must be a finite number"),
    )
    if limit
]


@pytest.mark.parametrize(("name", "argument", "bad", "limit"), BOUNDED)
def test_every_impossible_argument_is_refused_by_name_and_limit(
    name: str, argument: str, bad: float, limit: str
) -> None:
    call = as_called(FORMULAS[name])
    parameter = next(one for one in FORMULAS[name].parameters if one.name == argument)
    if parameter.kind == "numbers":
        call[argument] = [bad, *list(call.get(argument, [bad]))[1:]]
    else:
        call[argument] = int(bad) if parameter.kind == "whole number" and bad == bad else bad
    with pytest.raises(ImpossibleInput) as refused:
        FORMULAS[name].function(**call)
    assert (refused.value.argument, refused.value.limit) == (argument, limit)
    assert refused.value.unit == parameter.range.unit


OF_ANOTHER_KIND = {
    "number": ["4.0", [4.0, 5.0], True, None, 10**400],
    "whole number": ["4", 4.5, True, None, 10**400],
    "numbers": [["4.0", "x"], "4.0", None, [10**400]],
    "texts": [None],
    "table": [None],
}
"""Text, a list, a yes, a blank, or more than a computer's number holds, where a number belongs; a broken
number where a whole one does."""


@pytest.mark.parametrize("name", FORMULAS)
def test_a_value_of_another_kind_is_refused_by_name(name: str) -> None:
    one = FORMULAS[name]
    let_through = []
    for parameter in one.parameters:
        for wrong in OF_ANOTHER_KIND.get(parameter.kind, []):
            if wrong is None and parameter.may_be_blank:
                continue
            try:
                one.function(**{**as_called(one), parameter.name: wrong})
                said: object = "an answer"
            except ImpossibleInput as refused:
                said = "" if refused.argument == parameter.name else f"a refusal of {refused.argument}"
            except Exception as error:
                said = type(error).__name__
            if said:
                let_through.append((parameter.name, wrong, said))
    assert let_through == []


def test_a_limit_that_names_no_argument_is_a_mistake_at_once() -> None:
    with pytest.raises(TypeError, match="limits name"):

        @formula(limits={"wall": Range(meaning="wall")}, example={}, source="")
        def cooling(wall_mm: float) -> None: ...


def test_kinds_come_from_the_signature() -> None:
    @formula(
        limits={name: Range(meaning=name) for name in ("a", "b", "c", "d", "e")}, example={}, source="nowhere"
    )
    def kinds_of_arguments(
        a: float, b: int | None, c: bool, d: Literal["x", "y"] = "x", *, e: Numbers = ()
    ) -> None:
        """Nothing."""

    try:
        found = {one.name: one for one in _registered("kinds_of_arguments").parameters}
        assert [one.kind for one in found.values()] == [
            "number",
            "whole number",
            "yes or no",
            "choice",
            "numbers",
        ]
        assert found["b"].may_be_blank
        assert found["d"].choices == ("x", "y")
        assert not found["e"].required
    finally:
        _registered("kinds_of_arguments", forget=True)


def _registered(name: str, *, forget: bool = False) -> Formula:
    """The formula as registered just now; `all_formulas` keeps what it listed before."""
    from offtool.core import formulas

    return formulas._REGISTERED.pop(name) if forget else formulas._REGISTERED[name]
