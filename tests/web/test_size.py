"""The page of one characteristic: it shows what the step says, and readings are left out on it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from django.test import Client
from playwright.sync_api import Page, expect

from offtool.records.models import Exclusion
from offtool.steps.inspect_size import inspect_size
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.plain import as_plain
from tests.web import otter
from tests.web.conftest import TRIAL
from tests.web.rendering import faults

SIZE = f"{TRIAL}size/HO-02/12/"
HERE = (otter.SLUG, otter.TOOL, otter.TRIAL)

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


def shown(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def token(html: str) -> str:
    found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', html)
    assert found
    return found[1]


def test_the_page_has_no_fault_and_says_what_the_step_says(client: Client, trial: str) -> None:
    html, found = shown(client, SIZE), inspect_size(*HERE, "HO-02 12")
    assert faults(html) == []
    assert found.headline in html
    for action in found.actions:
        assert action.do in html
    for mark in ('class="run"', 'class="probability-plot"', 'class="differences"', 'class="shares"'):
        assert mark in html
    assert html.count('name="readings"') == len(found.analysis.readings)


def test_json_is_the_result_of_the_step(client: Client, trial: str) -> None:
    answer = client.get(f"{SIZE}?format=json")
    assert answer.json() == as_plain(inspect_size(*HERE, "HO-02 12"))


def test_the_trial_leads_to_each_size_and_its_report_holds_them(client: Client, trial: str) -> None:
    assert f'href="{SIZE}"' in shown(client, trial)
    answer = client.get(f"{trial}layout.pdf")
    assert answer.status_code == 200
    assert b"".join(answer).startswith(b"%PDF")  # type: ignore[arg-type]


def test_cavity_and_shape_are_chosen_by_the_address(client: Client, trial: str) -> None:
    html = shown(client, f"{SIZE}?cavity=2&family=Weibull")
    assert "The Weibull shape for cavity 2" in html
    assert '<option value="Weibull" selected>' in html


@pytest.mark.parametrize("wrong", ["?cavity=77", "?family=unheard", "?cavity=2&family="])
def test_a_choice_that_is_not_there_is_answered_in_words(client: Client, trial: str, wrong: str) -> None:
    answer = client.get(f"{SIZE}{wrong}")
    assert answer.status_code == (404 if "77" in wrong else 200)


@pytest.mark.parametrize("wrong", ["size/HO-02/999/", "size/NO/12/"])
def test_a_size_that_is_not_there_is_not_found(client: Client, trial: str, wrong: str) -> None:
    assert client.get(trial + wrong).status_code == 404


def test_a_reading_is_left_out_with_a_reason_and_taken_back(client: Client, trial: str) -> None:
    before = inspect_size(*HERE, "HO-02 12")
    chosen = before.analysis.readings[-1].reading_id
    sent = {
        "csrfmiddlewaretoken": token(shown(client, SIZE)),
        "readings": [chosen],
        "reason": "fell on the floor",
        "made_by": "tester",
    }
    assert client.post(SIZE, sent).status_code == 302
    html = shown(client, SIZE)
    assert "left out: fell on the floor" in html
    assert "fell on the floor (tester)" in shown(client, TRIAL)
    assert len(inspect_trial(*HERE).left_out) == 1
    assert client.post(SIZE, sent | {"back": "1", "reason": "it was another"}).status_code == 302
    after = inspect_size(*HERE, "HO-02 12")
    assert [(word.is_left_out, word.reason) for word in after.said] == [
        (False, "it was another"),
        (True, "fell on the floor"),
    ]
    assert as_plain(replace(after, said=())) == as_plain(before)
    assert "it was another" in shown(client, SIZE)
    assert Exclusion.objects.count() == 2


@pytest.mark.parametrize("missing", ["readings", "reason"])
def test_what_is_missing_is_said_at_the_field_and_nothing_is_kept(
    client: Client, trial: str, missing: str
) -> None:
    chosen = inspect_size(*HERE, "HO-02 12").analysis.readings[0].reading_id
    sent = {"csrfmiddlewaretoken": token(shown(client, SIZE)), "readings": [chosen], "reason": "fell"}
    del sent[missing]
    answer = client.post(SIZE, sent)
    assert answer.status_code == 422
    assert {"readings": "Nothing was kept", "reason": "Say why in a few words."}[
        missing
    ] in answer.content.decode()
    assert not Exclusion.objects.exists()


def test_the_trial_takes_a_word_on_settling_with_its_reason(client: Client, trial: str) -> None:
    shots = sorted({one.shot for one in inspect_size(*HERE, "HO-02 12").analysis.readings if one.shot})
    sent = {"csrfmiddlewaretoken": token(shown(client, TRIAL)), "settled_from": shots[1], "reason": "new lot"}
    assert client.post(TRIAL, sent).status_code == 302
    assert "by your word (new lot)" in shown(client, TRIAL)
    answer = client.post(TRIAL, sent | {"reason": ""})
    assert answer.status_code == 422
    assert "Say why in a few words." in answer.content.decode()


def test_drawings_change_in_place_and_marks_say_their_values(page: Page, server: str) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(server + SIZE)
    page.evaluate("window.stays = true")
    before = page.locator("#drawings .probability-plot").get_attribute("aria-label")
    page.get_by_label("Cavity", exact=True).select_option("2")
    expect(page.locator("#drawings figcaption").first).to_contain_text("for cavity 2")
    assert page.locator("#drawings .probability-plot").get_attribute("aria-label") != before
    assert page.evaluate("window.stays")
    assert "cavity=2" in page.url
    page.locator(".run .counts").last.hover()
    expect(page.locator(".tip")).to_contain_text("mm, shot")
    assert said == []


@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_fits_its_window(page: Page, server: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(server + SIZE)
    for fold in page.locator("details").all():
        fold.evaluate("one => one.open = true")
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_ticks_survive_a_missing_reason(client: Client, trial: str) -> None:
    chosen = inspect_size(*HERE, "HO-02 12").analysis.readings[0].reading_id
    sent = {"csrfmiddlewaretoken": token(shown(client, SIZE)), "readings": [chosen], "reason": ""}
    html = client.post(SIZE, sent).content.decode()
    assert re.findall(r'value="(\d+)" checked', html) == [str(chosen)]


def test_a_shape_that_cannot_be_says_why_and_what_is_shown_instead(client: Client, trial: str) -> None:
    html = shown(client, f"{SIZE}?family=gamma")
    assert "The gamma does not fit these readings" in html
    assert "Shown instead: the normal" in html
