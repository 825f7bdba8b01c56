"""Every formula can be calculated by its name, with options or with JSON."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from offtool.cli.show_formula import example_command
from offtool.core.formulas import all_formulas
from offtool.steps.calculate import calculate
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run

FORMULAS = all_formulas()
NAMES = sorted(FORMULAS)


def options_of(name: str) -> list[str]:
    """The example of a formula as it is typed."""
    return shlex.split(example_command(FORMULAS[name]))[2:]


@pytest.mark.parametrize("name", NAMES)
def test_the_example_in_help_gives_what_the_function_gives(run: Run, name: str) -> None:
    answer = run("calc", *options_of(name), "--json")
    assert answer.exit_code == 0, answer.err
    assert answer.json == as_plain(calculate(name, FORMULAS[name].example))


@pytest.mark.parametrize("name", NAMES)
def test_json_from_standard_input_gives_the_same(run: Run, name: str) -> None:
    given = json.dumps(as_plain(dict(FORMULAS[name].example)))
    answer = run("calc", name, "--input", "-", "--json", stdin=given)
    assert answer.exit_code == 0, answer.err
    assert answer.json == run("calc", *options_of(name), "--json").json


@pytest.mark.parametrize("name", NAMES)
def test_the_terminal_shows_every_field_of_the_result(run: Run, name: str) -> None:
    answer = run("calc", *options_of(name))
    assert answer.exit_code == 0
    fields = [field for field in as_plain(calculate(name, FORMULAS[name].example)) if field != "cautions"]
    below = answer.out[len(FORMULAS[name].tells) :]
    assert [field for field in fields if f"\n  {field}" not in below and f" {field}" not in below] == []


@pytest.mark.parametrize("name", NAMES)
def test_help_names_every_parameter_with_unit_and_range(run: Run, name: str) -> None:
    shown = " ".join(run("calc", name, "--help").out.split())
    for parameter in FORMULAS[name].parameters:
        assert f"--{parameter.name.replace('_', '-')}" in shown
        assert parameter.range.unit in shown
    assert "Source: " in shown


def test_the_list_in_json_has_names_parameters_units_and_ranges(run: Run) -> None:
    listed = {one["name"]: one for one in run("calc", "--list", "--json").json}
    assert sorted(listed) == NAMES
    cavity = next(one for one in listed["shrinkage"]["parameters"] if one["name"] == "cavity_mm")
    assert (cavity["unit"], cavity["above"], cavity["required"]) == ("mm", 0, True)


def test_the_list_names_every_formula(run: Run) -> None:
    shown = run("calc", "--list").out
    assert [name for name in NAMES if name not in shown] == []


def test_an_option_goes_before_what_the_file_says(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "given.json"
    file.write_text('{"cavity_mm": 60, "part_mm": 50}', encoding="utf-8")
    assert run("calc", "shrinkage", "--input", file, "--part-mm", "59.7", "--json").json[
        "value"
    ] == pytest.approx(0.005)


def test_a_name_may_be_typed_with_hyphens(run: Run) -> None:
    assert run("calc", "mean-interval", "--values", "1,2,3", "--json").json["mean"] == 2


def test_a_negative_number_is_a_value_not_an_option(run: Run) -> None:
    words = (
        "steel_cut",
        "--part-mm",
        "4.1",
        "--target-mm",
        "4",
        "--shrinkage",
        "0.005",
        "--factor",
        "-2",
        "--json",
    )
    assert run("calc", *words).json["amount_mm"] == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("shrinkage", "--cavity-mm", "0", "--part-mm", "2"), "cavity_mm = 0.0 mm: must be above 0"),
        (("shrinkage", "--cavity-mm", "wide", "--part-mm", "2"), "cavity_mm = wide: must be a number"),
        (("shrinkage", "--cavity-mm", "nan", "--part-mm", "2"), "must be a finite number"),
        (("mean_interval", "--values", "4.01"), "one reading has no interval; measure at least two parts"),
    ],
)
def test_a_value_that_cannot_be_is_refused_by_name(run: Run, words: tuple[str, ...], said: str) -> None:
    answer = run("calc", *words)
    assert answer.exit_code == 1
    assert said in answer.err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{", "is no JSON"),
        ("[1]", "holds no object"),
        ('{"cavty_mm": 1, "part_mm": 1, "cavity_mm": 1}', "did you mean 'cavity_mm'?"),
        ("[" * 100_000, "is no JSON"),
    ],
    ids=["broken", "list", "misspelt", "deep"],
)
def test_json_that_gives_no_parameters_is_refused(run: Run, content: str, said: str) -> None:
    answer = run("calc", "shrinkage", "--input", "-", stdin=content)
    assert answer.exit_code == 1
    assert said in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("shrinkge",), "did you mean shrinkage?"),
        (("zzz",), "offtool calc --list"),
        (("shrinkage", "--cavity-mm", "60"), "shrinkage needs --part-mm"),
        (("--list", "shrinkage"), "--list needs no formula"),
        (("--json", "shrinkage"), "stands behind its name"),
    ],
)
def test_wrong_usage_says_what_would_be_right(run: Run, words: tuple[str, ...], said: str) -> None:
    answer = run("calc", *words)
    assert answer.exit_code == 2
    assert said in answer.err
