"""The page of sampling plans: one question at a time, the answer first, a mistake at its field."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from django.test import Client

from offtool.steps.plain import as_plain
from offtool.steps.plan_sampling import plan_sampling
from offtool.steps.sampling_asked import ASKS, Ask, LotAsked, LotsAsked
from offtool.web.forms.sampling import FORMS, LotForm
from offtool.web.pages.sampling import sampling_page
from tests.web.rendering import Outline, faults, render_page

SAMPLING = "/sampling/"
FILLED: dict[Ask, dict[str, str]] = {
    "lot": {"lot": "2000", "aql": "0.65"},
    "own": {"pieces": "89", "accept": "2", "good": "1", "bad": "6 %"},
    "find": {"good": "1", "bad": "6"},
    "zero": {"reliability": "95"},
    "measured": {"good": "1", "bad": "10", "limits": "two", "spread": "known"},
    "lots": {"aql": "0.65", "found": "2000; 1\n2000; 3\n2000; 0\n2000; 4"},
}


def page(client: Client, ask: str, status: int = 200, **given: str) -> str:
    answer = client.get(SAMPLING, {"ask": ask, **given} if ask else {})
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def test_the_page_begins_with_the_questions(client: Client, db: None) -> None:
    html = page(client, "")
    assert "What do you want to know?" in Outline(html).text
    for ask, (title, _) in ASKS.items():
        assert f'href="{SAMPLING}?ask={ask}"' in html
        assert title in html
    assert page(client, "nothing") == html


def test_every_question_has_a_form_and_an_example_that_is_answered(client: Client, db: None) -> None:
    assert set(FORMS) == set(get_args(Ask)) == set(FILLED)
    for ask, given in FILLED.items():
        empty = Outline(page(client, ask)).text
        assert ASKS[ask][1] in empty
        html = page(client, ask, **given)
        text = Outline(html).text
        assert "What it does not promise" in text
        assert "left to a sample" in text, "the caution stands on every plan"
        assert html.index("<h1>") < html.index('class="told"') < html.index('class="give"')
        assert ('class="operating-curve"' in html) is (ask != "lots")


def test_the_plan_of_the_public_table_is_shown_with_both_risks(client: Client, db: None) -> None:
    text = Outline(page(client, "lot", lot="2000", aql="0.65")).text
    assert "Look at 125 of 2,000, drawn at random: accept with up to 2 bad pieces, refuse from 3 on." in text
    assert "A lot with 0.65 % bad is refused 4.3 times in 100" in text
    assert "K for 2,000 pieces" in text


def test_json_is_the_result_of_the_step(client: Client, db: None) -> None:
    asked = client.get(SAMPLING, {"ask": "lot", **FILLED["lot"], "format": "json"})
    assert asked.json() == as_plain(plan_sampling(LotAsked(lot=2000, aql=0.65)))
    refused = client.get(SAMPLING, {"ask": "lot", "lot": "0", "aql": "0.65", "format": "json"})
    assert refused.status_code == 422
    assert "must be at least 2" in refused.json()["error"]
    missing = client.get(SAMPLING, {"ask": "lot", "lot": "20", "format": "json"})
    assert missing.status_code == 422
    assert missing.json()["where"] == "aql"


def test_lots_are_shown_one_by_one_the_newest_first(client: Client, db: None) -> None:
    html = page(client, "lots", **FILLED["lots"])
    text = Outline(html).text
    assert "The next lot is looked at under tightened inspection." in text
    rows = html[html.index('id="lots"') :]
    assert rows.index("tightened from here on") < rows.index("accepted")
    assert rows.count('class="no"') == 2


@pytest.mark.parametrize(
    ("ask", "given", "field", "said"),
    [
        ("lot", {"lot": "0", "aql": "0.65"}, "lot", "0: must be at least 2; give the size of the lot"),
        ("lot", {"lot": "100", "aql": "0.7"}, "aql", "0.7 is not on the list of quality limits"),
        ("lot", {"lot": "many", "aql": "0.65"}, "lot", "Give a whole number"),
        ("own", {"pieces": "50", "accept": "1", "lot": "40"}, "pieces", "must be at most the 40 in the lot"),
        ("own", {"pieces": "50", "accept": "1", "good": "6", "bad": "1"}, "good", "6 %: must be below"),
        ("find", {"good": "1", "bad": "100"}, "bad", "100 %: must be below 100"),
        ("find", {"good": "1", "bad": "6", "producer_risk": "60"}, "producer_risk", "must be below 50"),
        ("zero", {"reliability": "95", "confidence": "30"}, "confidence", "30 %: must be above 50"),
        ("measured", {"good": "1", "bad": "10", "pieces": "20"}, "factor", "must be given with the other"),
        ("lots", {"aql": "0.65", "found": "2000; 1\nx"}, "found", "line 2"),
        ("lots", {"aql": "0.65", "found": "2000; 500"}, "found", "must"),
    ],
)
def test_a_mistake_stands_at_its_field(
    client: Client, db: None, ask: str, given: dict[str, str], field: str, said: str
) -> None:
    html = page(client, ask, 422, **given)
    place = html.index(f'id="id_{field}_error"')
    assert said.replace("'", "&#x27;") in html[place : place + 400]
    assert "There is no plan yet" in html


def test_every_field_of_the_page_is_there() -> None:
    lot = {"lot": "2000", "aql": "0.65"}
    form = LotForm(lot)
    assert form.is_valid()
    shown = sampling_page(form, plan_sampling(LotAsked(lot=2000, aql=0.65)), asked=lot)
    render_page("sampling.html", shown)
    lots = sampling_page(form, plan_sampling(LotsAsked(lots=(20,), found=(0,), aql=0.65)))
    render_page("sampling.html", lots)
    render_page("sampling.html", replace(shown, curves=(), actions=()))
    render_page("sampling.html", sampling_page())
