"""The pages of the safety of a toy: who decides stands always, own tests part by part, files in two steps."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.utils import timezone

from offtool.records.models import Programme, ToyTestRun
from offtool.steps.keep_toy_test import ToyTestAbout, preview_toy_test
from offtool.steps.plain import as_plain
from offtool.steps.toy_market import know_market
from offtool.steps.toy_safety import know_safety
from offtool.web.forms.toy import MarketForm, ShareForm
from offtool.web.pages.toy import safety_page
from offtool.web.pages.toy_test import market_page, toy_test_shown
from tests.steps.clip import SLUG, make_clip
from tests.steps.toyed import drop_file, keep, keep_shape, sold, torque_file
from tests.web.rendering import Outline, faults, render_page

SAFETY = f"/p/{SLUG}/safety/"
MARKET, READ = f"{SAFETY}for-whom/", f"{SAFETY}read/"
DECIDES = "An accredited laboratory and the law of the place decide"
AT_THE_BENCH = "Parts fly when they break, and presses pinch"


@pytest.fixture
def bare(db: None) -> Programme:
    """Nothing is said of market and age."""
    return make_clip()


@pytest.fixture
def toy(bare: Programme) -> Programme:
    """A toy for the United States with a test of twelve pieces, one of which failed."""
    sold(bare)
    keep(torque_file(11, 1))
    return bare


def page(client: Client, address: str = SAFETY, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


@pytest.mark.usefixtures("bare")
def test_without_a_market_the_page_says_what_to_do_first(client: Client) -> None:
    text = Outline(page(client)).text
    assert "Say where it will be sold and for which ages" in text
    assert "hangs on the age, which is not said" in text
    assert "For these ages the law does not ask" not in text
    assert DECIDES in text
    assert AT_THE_BENCH in text


@pytest.mark.usefixtures("toy")
def test_the_verdict_stands_first_and_who_decides_beside_it(client: Client) -> None:
    html = page(client)
    text = Outline(html).text
    assert html.index("<h1>Own tests: torque does not hold, 1 of 12 failed") < html.index("What to do")
    assert DECIDES in text
    assert "4 in·lbf" in text
    assert "0.452 N·m" in text
    assert "16 CFR 1500.53(e)" in text
    assert "this is no legal advice" in text.casefold()
    assert "From memory" in text, "how sure a value is stands beside it"
    assert 'class="no"' in html


@pytest.mark.usefixtures("toy")
def test_the_share_to_be_shown_may_be_said(client: Client) -> None:
    keep(drop_file(12), "L2")
    assert "stood on 12 pieces, too few to show 90 %" in page(client)
    assert "drop holds on 12 pieces" in page(client, share="75")
    wrong = client.get(SAFETY, {"share": "100"})
    assert wrong.status_code == 422
    assert "give less than 100" in wrong.content.decode()
    assert client.get(SAFETY, {"share": "100", "format": "json"}).status_code == 422


@pytest.mark.usefixtures("toy")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    on = timezone.localdate()
    assert client.get(SAFETY, {"format": "json"}).json() == as_plain(know_safety(SLUG, on))
    asked = client.get(SAFETY, {"format": "json", "share": "75"}).json()
    assert asked == as_plain(know_safety(SLUG, on, share=0.75))
    assert client.get("/p/nowhere/safety/").status_code == 404


def test_small_parts_are_told_with_their_place_and_what_must_not_come_off(
    client: Client, toy: Programme
) -> None:
    sold(toy, from_months=18.0)
    keep_shape("P1", 20, 20, 20)
    text = Outline(page(client)).text
    assert "What must never come off or be sold loose: P1." in text
    assert "in the axes of the mesh" in text
    assert "No shape is read of P2" in text
    assert "a piece of 22 mm fits into the cylinder" in text.replace("A piece", "a piece")


def test_for_whom_it_is_is_kept_and_a_mistake_stands_at_its_field(client: Client, bare: Programme) -> None:
    page(client, MARKET)
    wrong = {"markets": ["US"], "from_months": "96", "to_months": "36", "mass_kg": "0.05", "made_by": "x"}
    answer = client.post(MARKET, wrong)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "must be above the youngest age, 96" in html[html.index('id="id_to_months_error"') :]
    right = {**wrong, "from_months": "36", "to_months": "96", "markets": ["US", "EU"]}
    assert client.post(MARKET, right).status_code == 302
    known = know_market(SLUG)
    assert (known.markets, known.from_months, known.to_months) == (("US", "EU"), 36, 96)
    assert "For whom it is, is kept." in page(client)
    assert "checked" in page(client, MARKET)


def test_a_file_is_shown_and_then_kept(client: Client, bare: Programme) -> None:
    sold(bare)
    assert AT_THE_BENCH in Outline(page(client, READ)).text
    file = io.BytesIO(torque_file(3))
    file.name = "torque.csv"
    shown_at = client.post(READ, {"file": file}).headers["Location"]
    html = page(client, shown_at)
    assert "3 pieces of torque.csv, every cell read." in html
    assert ToyTestRun.objects.count() == 0
    (slip,) = parse_qs(urlsplit(shown_at).query)["upload"]
    told = {"upload": slip, "market": "US", "test": "torque", "sheet": "", "drops": "", "height_m": ""}
    kept = client.post(READ, {**told, "done_on": "2026-03-04", "name": "L1", "note": "", "read_by": "x"})
    assert kept.status_code == 302, kept.content
    run = ToyTestRun.objects.get()
    assert (run.name, run.done_on, run.pieces.count()) == ("L1", date(2026, 3, 4), 3)
    assert "3 pieces of torque.csv are kept as torque test L1." in page(client)
    sent = client.get(f"{SAFETY}tests/{run.pk}/")
    assert b"".join(sent.streaming_content) == torque_file(3)  # type: ignore[attr-defined]
    assert client.get(f"/p/elsewhere/safety/tests/{run.pk}/").status_code == 404


def test_what_cannot_be_made_of_a_file_is_said(client: Client, bare: Programme) -> None:
    file = io.BytesIO(b"a,b\n1,2\n")
    file.name = "bad.csv"
    answer = client.get(client.post(READ, {"file": file}).headers["Location"])
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "Nothing can be made of this file." in html
    assert faults(html) == []


@pytest.mark.usefixtures("toy")
def test_a_test_is_set_aside_with_its_reason(client: Client) -> None:
    refused = client.post(SAFETY, {"run": "L1", "reason": "", "made_by": "x"})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert client.post(SAFETY, {"run": "L1", "reason": "slipped", "made_by": "x"}).status_code == 302
    text = Outline(page(client)).text
    assert "set aside: slipped" in text
    assert "No own test is kept yet" in text


def test_every_field_of_the_pages_is_there(toy: Programme) -> None:
    keep_shape("P1", 20, 20, 20)
    shown = safety_page(know_safety(SLUG, date(2026, 4, 1)), ShareForm())
    render_page("toy_safety.html", shown)
    render_page("toy_safety.html", replace(shown, markets=(), runs=()))
    render_page("ground_form.html", market_page(know_market(SLUG), MarketForm()))
    told = ToyTestAbout(market="US")
    preview = preview_toy_test(torque_file(2), "L.csv", programme=SLUG, about=told)
    assert toy_test_shown(preview).can_be_kept
