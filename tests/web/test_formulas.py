"""The bench of formulas: a page for each, made from the one table."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import unescape

import numpy as np
import pytest
from django.test import Client

from offtool.core.formulas import all_formulas
from offtool.core.values import Caution, Interval, Verdict
from offtool.steps.calculate import calculate
from offtool.steps.plain import as_plain
from offtool.web.forms.formula import FormulaForm
from offtool.web.pages.shown import in_words, show
from tests.web.rendering import Outline, faults

NAMES = sorted(all_formulas())


def typed(name: str) -> dict[str, str]:
    """The example as the form shows it."""
    form = FormulaForm(all_formulas()[name])
    return {str(key): str(value) for key, value in form.initial.items()}


def test_every_formula_is_on_the_list(client: Client) -> None:
    html = client.get("/formulas/").content.decode()
    assert [name for name in NAMES if f'href="/formulas/{name}/"' not in html] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_formula_shows_its_example_at_once(client: Client, name: str) -> None:
    answer = client.get(f"/formulas/{name}/")
    html = answer.content.decode()
    assert answer.status_code == 200
    assert faults(html) == []
    names = {unescape(one) for one in re.findall(r' name="(\w+)"', html)}
    assert names >= {parameter.name for parameter in all_formulas()[name].parameters}


@pytest.mark.parametrize("name", NAMES)
def test_the_example_typed_into_the_form_gives_the_result_of_the_function(client: Client, name: str) -> None:
    answer = client.post(f"/formulas/{name}/", {**typed(name), "format": "json"})
    assert answer.status_code == 200
    assert answer.json() == as_plain(calculate(name, all_formulas()[name].example))


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"cavity_mm": "60", "part_mm": "0"}, "part_mm", "must be above 0"),
        ({"cavity_mm": "60", "part_mm": "many"}, "part_mm", "must be a number"),
        ({"cavity_mm": "60", "part_mm": ""}, "part_mm", "must be given"),
        ({"cavity_mm": "60", "part_mm": "30"}, "part_mm", "does not belong to steel of 60 mm"),
    ],
)
def test_a_mistake_is_said_at_its_field_and_nothing_typed_is_lost(
    client: Client, given: dict[str, str], field: str, said: str
) -> None:
    answer = client.post("/formulas/shrinkage/", given)
    html = answer.content.decode()
    assert answer.status_code == 422
    (error,) = re.findall(rf'<div id="id_{field}_error">(.*?)</div>', html, re.S)
    assert said in error
    assert 'value="60"' in html
    assert faults(html) == []
    told = client.post("/formulas/shrinkage/", {**given, "format": "json"})
    assert told.status_code == 422
    assert said in told.json()["error"]


def test_an_unknown_formula_is_answered_with_the_nearest(client: Client) -> None:
    answer = client.get("/formulas/shrinkige/")
    assert answer.status_code == 404
    assert "Did you mean 'shrinkage'?" in Outline(answer.content.decode()).text


def test_a_caution_of_a_result_stands_on_the_page(client: Client) -> None:
    given = {**typed("steel_cut"), "allowance_mm": "0.01"}
    text = Outline(client.post("/formulas/steel_cut/", given).content.decode()).text
    assert "the steel-safe allowance ends before the target is reached" in text


@dataclass(frozen=True)
class Inner:
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Row:
    cavity: str
    mean_mm: float
    index: Inner | None


@dataclass(frozen=True)
class Result:
    part_after_mm: float
    verdict: Verdict
    span: Interval
    rows: tuple[Row, ...]
    by_name: Mapping[str, Row]
    weights: object
    missing: float | None
    cautions: tuple[Caution, ...]


def test_any_result_is_shown_in_words_tables_and_groups() -> None:
    result = Result(
        part_after_mm=3.94,
        verdict=Verdict.NOT_SHOWN,
        span=Interval(low=-np.inf, high=4.0, confidence=0.95),
        rows=(Row("1", 4.0, Inner(1.2, 1.0, 1.4)), Row("2", 4.1, None)),
        by_name={"flow": Row("1", 1e-7, None)},
        weights=np.array([1.0, 0.5]),
        missing=None,
        cautions=(Caution("careful", "a book"),),
    )
    shown = show(result)
    assert [(line.about, line.says, line.unit) for line in shown.lines] == [
        ("part after", "3.94", "mm"),
        ("verdict", "not shown", ""),
        ("span", "−∞ to 4 (95 %)", ""),
        ("weights", "1, 0.5", ""),
        ("missing", "none", ""),
    ]
    (table,) = shown.tables
    assert table.headings == ("cavity", "mean, mm", "index")
    assert table.rows == (("1", "4", "1.2 (1 to 1.4)"), ("2", "4.1", "none"))
    (group,) = shown.groups
    assert (group.about, group.groups[0].about) == ("by name", "flow")
    assert group.groups[0].lines[1].says == "1 × 10⁻⁷"
    assert shown.cautions == result.cautions


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.1 + 0.2, "0.3"),
        (-0.0, "0"),
        (1440, "1,440"),
        (-0.02, "−0.02"),
        (float("nan"), "–"),
        (True, "yes"),
        (np.bool_(False), "no"),
        (np.float64(9.261460), "9.26146"),
        (12345678.0, "1.23457 × 10⁷"),
        ((), "none"),
        ("", "none"),
        ({"a": 1.5}, "a: 1.5"),
    ],
)
def test_a_value_is_worded_for_people(value: object, words: str) -> None:
    assert in_words(value) == words
