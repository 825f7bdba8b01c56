"""The forms of planning: numbers of tools and presses, jobs, and trials that are asked for."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from offtool.handbook.sheet_numbers import PRESS_SHEET, TOOL_SHEET
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.records.models import Job, Press, Tool, ToolState, Trial, TrialRequest
from offtool.steps.ask_trial import RequestSaid, ask_for_trial, request_known, tool_asked
from offtool.steps.define_ground import PressSaid, keep_press
from offtool.steps.own_numbers import tool_numbers
from offtool.steps.plain import as_plain
from offtool.steps.prices import prices_known
from offtool.web.forms.planning import RequestForm, ToolNumbersForm, WithdrawForm
from offtool.web.pages.planning_forms import request_page, tool_numbers_page
from tests.records.example import NOON
from tests.steps.told_apart import make_told_apart
from tests.web.otter import SLUG
from tests.web.rendering import Outline, faults, render_page

NEW = f"/p/{SLUG}/plan/M3/new/"
CHANGE = f"/p/{SLUG}/plan/M3/T4/change/"
NUMBERS = f"/p/{SLUG}/presses/tools/M3/"
PRESS = f"/p/{SLUG}/told-apart-by/presses/"
ASKED = {
    "name": "T4",
    "for_sizes": "on",
    "for_assembly": "on",
    "pieces_assembly": "40",
    "due": "2026-04-03",
    "late_per_day": "250",
    "needs_engineer": "on",
    "wish": "any colour",
    "colour": "otter brown",
    "lightness": "38,5",
    "a": "12",
    "b": "18",
    "note": "the shoulder decides",
    "made_by": "ida",
}
SHEET = {
    "code": "P6",
    "clamp_kn": "785",
    "mould_least_mm": "150",
    "mould_most_mm": "380",
    "works_from_h": "6",
    "works_to_h": "22",
    "workdays": "Mon tue",
    "made_by": "ida",
}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    """Two tools; nothing is planned."""
    make_told_apart()


def page(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def sent(client: Client, address: str, what: dict[str, str], status: int) -> str:
    answer = client.post(address, what)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == [] if status == 422 else True
    return html


def test_a_trial_is_asked_for_and_its_plan_is_opened(client: Client) -> None:
    html = page(client, NEW)
    text = Outline(html).text
    assert "What is the next trial of tool M3 to show?" in text
    assert 'value="T0"' in html, "the tool has not run yet"
    for purpose in TrialPurpose:
        assert TRIAL_PURPOSES[purpose].says in text
    answer = client.post(NEW, ASKED)
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/p/{SLUG}/plan/M3/T4/")
    known = request_known(SLUG, "M3", "T4")
    assert [(one.purpose.value, one.pieces) for one in known.purposes] == [("sizes", None), ("assembly", 40)]
    assert (known.due, known.late_per_day, known.lightness, known.asked_by) == (
        date(2026, 4, 3),
        250.0,
        38.5,
        "ida",
    )


def test_what_was_asked_is_shown_again_and_changed(client: Client) -> None:
    client.post(NEW, ASKED)
    html = page(client, CHANGE)
    assert 'value="38.5"' in html
    assert html.count(" checked") == 3, "two purposes and the engineer"
    changed = {name: said for name, said in ASKED.items() if name not in ("needs_engineer", "for_sizes")}
    client.post(CHANGE, {**changed, "wish": "a light colour"})
    known = request_known(SLUG, "M3", "T4")
    assert (known.needs_engineer, known.wish, len(known.purposes)) == (False, "a light colour", 1)


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"name": ""}, "name", "Give a name."),
        ({"name": "new"}, "name", "no trial can be called new"),
        ({"due": "2026-01-01", "earliest": "2026-02-01"}, "due", "is before"),
        ({"due": "soon"}, "due", "Give a day"),
        ({"hours": "0"}, "hours", "0 h on the press"),
        ({"hours": "1e4"}, "hours", "Give 1000 at most"),
        ({"late_per_day": "-3"}, "late_per_day", "Give 0 or more"),
        ({"a": ""}, "a", "a part of the colour is missing"),
        ({"pieces_assembly": "many"}, "pieces_assembly", "Give a whole number."),
        ({"pieces_keep": "3"}, "pieces_keep", "Tick keep too"),
        ({"wish": "mauve"}, "wish", "mauve"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    client: Client, changed: dict[str, str], field: str, said: str
) -> None:
    html = sent(client, NEW, {**ASKED, **changed}, 422)
    at = html.index(f'id="id_{field}_error"')
    assert said.lower() in html[at : at + 300].lower()
    assert "the shoulder decides" in html
    assert not TrialRequest.objects.exists()


def test_without_a_purpose_the_page_says_what_to_do(client: Client) -> None:
    bare = {name: said for name, said in ASKED.items() if not name.startswith(("for_", "pieces_"))}
    assert "No purpose is given; say what the trial is to show." in sent(client, NEW, bare, 422)


def test_a_trial_is_withdrawn_with_a_reason_and_the_plan_is_opened(client: Client) -> None:
    client.post(NEW, ASKED)
    html = sent(client, CHANGE, {"withdraw": "1", "because": "", "made_by": "ida"}, 422)
    assert "Say why." in html
    answer = client.post(CHANGE, {"withdraw": "1", "because": "the line waits", "made_by": "ida"})
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/p/{SLUG}/plan/")
    assert not TrialRequest.objects.exists()


def test_a_trial_that_has_run_is_not_changed(client: Client) -> None:
    client.post(NEW, ASKED)
    tool = Tool.objects.get(code="M3")
    trial = Trial.objects.create(tool=tool, name="T4", state=ToolState.objects.get(tool=tool))
    trial.looks.create(pieces=1, looked_at=NOON)
    assert "It has run: what was asked stays as it is." in Outline(page(client, CHANGE)).text
    assert "has run already" in sent(client, CHANGE, ASKED, 422)


@pytest.mark.parametrize("address", [f"/p/{SLUG}/plan/M9/new/", CHANGE, f"/p/{SLUG}/presses/tools/M9/"])
def test_what_is_not_there_is_said(client: Client, address: str) -> None:
    page(client, address, status=404)


def test_a_request_is_to_be_had_as_json(client: Client) -> None:
    client.post(NEW, ASKED)
    assert client.get(f"{CHANGE}?format=json").json() == as_plain(request_known(SLUG, "M3", "T4"))


def test_numbers_of_a_tool_are_kept_and_the_presses_for_it_are_opened(client: Client) -> None:
    html = page(client, NUMBERS)
    text = Outline(html).text
    assert "None of the numbers of tool M3 is known yet." in text
    for number in TOOL_SHEET.values():
        assert number.read_at in text[:1].lower() + text or number.read_at[1:] in text
    answer = client.post(NUMBERS, {"wide_mm": "296,5", "feed": "hot runner", "made_by": "ida"})
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/p/{SLUG}/presses/for/M3/")
    tool = Tool.objects.get(code="M3")
    assert (tool.wide_mm, tool.feed, tool.high_mm) == (296.5, "hot runner", None)
    assert 'value="296.5"' in page(client, NUMBERS)
    assert client.get(f"{NUMBERS}?format=json").json() == as_plain(tool_numbers(SLUG, "M3"))


def test_a_number_that_cannot_be_is_said_at_its_field(client: Client) -> None:
    html = sent(client, NUMBERS, {"wide_mm": "0", "high_mm": "346"}, 422)
    at = html.index('id="id_wide_mm_error"')
    assert "0 mm must be above 0" in html[at : at + 200]
    assert 'value="346"' in html
    assert Tool.objects.get(code="M3").high_mm is None


def test_a_press_has_the_numbers_of_its_sheet_with_where_to_read_them(client: Client) -> None:
    text = Outline(page(client, PRESS)).text
    for number in PRESS_SHEET.values():
        assert number.label in text
        assert number.read_at[1:] in text
    client.post(PRESS, SHEET)
    press = Press.objects.get()
    assert (press.clamp_kn, press.workdays, press.works_to_h, press.barrel_g) == (
        785.0,
        "Mon Tue",
        22.0,
        None,
    )
    html = page(client, f"{PRESS}P6/")
    assert 'value="785"' in html
    client.post(f"{PRESS}P6/", {**SHEET, "clamp_kn": ""})
    press.refresh_from_db()
    assert press.clamp_kn is None


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"clamp_kn": "0"}, "clamp_kn", "0 kN must be above 0"),
        ({"works_to_h": ""}, "works_to_h", "only one of the two hours is given"),
        ({"works_to_h": "5"}, "works_to_h", "5 is not after 6"),
        ({"mould_most_mm": "100"}, "mould_most_mm", "below the least height"),
        ({"workdays": "Mon Someday"}, "workdays", "is no day of the week"),
        ({"barrel_g": "heavy"}, "barrel_g", "Give a number"),
    ],
)
def test_a_press_that_cannot_be_is_refused_at_its_field(
    client: Client, changed: dict[str, str], field: str, said: str
) -> None:
    html = sent(client, PRESS, {**SHEET, **changed}, 422)
    at = html.index(f'id="id_{field}_error"')
    assert said.lower() in html[at : at + 300].lower()
    assert not Press.objects.exists()


def test_a_job_says_whether_a_trial_may_interrupt_it_and_what_that_costs(client: Client) -> None:
    keep_press(SLUG, PressSaid(code="P6"), by="x")
    job = {"press": "P6", "code": "J1", "begins": "2026-03-20", "illuminant": "D65", "observer": "10",
           "resin": "PP", "may_stop": "no", "margin_per_h": "31,5", "restart_min": "12"}  # fmt: skip
    client.post(f"{PRESS}P6/jobs/", job)
    kept = Job.objects.get()
    assert (kept.resin, kept.may_stop, kept.margin_per_h, kept.restart_min) == ("PP", False, 31.5, 12.0)
    html = page(client, f"{PRESS}P6/jobs/J1/")
    assert '<option value="no" selected>' in html
    client.post(f"{PRESS}P6/jobs/J1/", {**job, "may_stop": ""})
    kept.refresh_from_db()
    assert kept.may_stop is None


def test_prices_are_kept_and_one_that_cannot_be_is_said_at_its_field(client: Client) -> None:
    address = f"/p/{SLUG}/presses/money/"
    (known,) = prices_known(SLUG).prices
    assert f"The price of {known.resin} is not known." in Outline(page(client, address)).text
    answer = client.post(address, {"currency": "USD", "price_0": "2,4", "made_by": "ida"})
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/p/{SLUG}/presses/")
    found = prices_known(SLUG)
    assert (found.currency, found.prices[0].price_per_kg) == ("USD", 2.4)
    assert client.get(f"{address}?format=json").json() == as_plain(found)
    html = sent(client, address, {"currency": "EUR", "price_0": "-1"}, 422)
    assert "Give 0 or more" in html[html.index('id="id_price_0_error"') :]
    assert 'value="EUR"' in html
    assert prices_known(SLUG) == found


def test_every_name_of_the_pages_is_there() -> None:
    known = tool_numbers(SLUG, "M3")
    render_page("ground_form.html", tool_numbers_page(known, ToolNumbersForm()))
    of = tool_asked(SLUG, "M3")
    render_page("ask_trial.html", request_page(of, RequestForm(), withdraw=None))
    said = RequestSaid(tool="M3", name="T4", purposes={TrialPurpose.KEEP: None})
    now = ask_for_trial(SLUG, said, by="ida")
    render_page("ask_trial.html", request_page(of, RequestForm(), now=now, withdraw=WithdrawForm()))
