"""The page of the plan, its forms, the times and the file of jobs."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.utils import timezone

from offtool.handbook.defects import AT_THE_PRESS
from offtool.records.models import EngineersThere, Job, PressOff, Programme, Trial, TrialRequest
from offtool.steps.place_trials import place_waiting_trials
from offtool.steps.plain import as_plain
from offtool.web.forms.slots import slots_typed
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.web import otter
from tests.web.rendering import Outline, faults

PLAN = f"/p/{otter.SLUG}/plan/"
AT = {"from_day": ON.isoformat()}


@pytest.fixture
def asked(db: None) -> None:
    """A trial that is asked for, a job on one of two presses."""
    make_asked()
    run_job()


def page(client: Client, address: str = PLAN, **given: str) -> str:
    answer = client.get(address, {**AT, **given})
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def post(client: Client, address: str, **given: str) -> int:
    html = client.get(address).content.decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', html)
    assert token is not None
    return client.post(address, {**given, "csrfmiddlewaretoken": token[1]}).status_code


@pytest.mark.usefixtures("asked")
def test_verdict_first_then_what_to_do_the_drawing_and_why(client: Client) -> None:
    html = page(client)
    found = place_waiting_trials(otter.SLUG, from_day=ON)
    text = Outline(html).text
    assert found.headline in text
    places = [
        html.index(one)
        for one in ("<h1>", "What to do", 'id="drawing"', 'id="trials"', 'id="why"', 'id="fix"')
    ]
    assert places == sorted(places)
    assert AT_THE_PRESS.text in text
    assert "no plan is better: it is proved" in text
    assert faults(html) == []


@pytest.mark.usefixtures("asked")
def test_json_is_what_the_step_says(client: Client) -> None:
    answer = client.get(PLAN, {**AT, "format": "json"})
    assert answer.json() == as_plain(place_waiting_trials(otter.SLUG, from_day=ON))


@pytest.mark.usefixtures("asked")
def test_a_slot_is_fixed_and_left_open_again(client: Client) -> None:
    address = f"{PLAN}?from_day={ON}"
    slots = slots_typed(place_waiting_trials(otter.SLUG, from_day=ON).placed)
    assert post(client, address, do="fix", slots=slots, made_by="tester") == 302
    request = TrialRequest.objects.get(name=NAME)
    assert request.is_fixed
    assert "fixed" in Outline(page(client)).text
    assert post(client, address, do="release", slots=slots, made_by="tester") == 302
    request.refresh_from_db()
    assert not request.is_fixed


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize("slots", ["", "[]", "no list", '[["M2", "T2", "P1", "yesterday"]]'])
def test_slots_that_are_not_understood_are_refused(client: Client, slots: str) -> None:
    assert post(client, f"{PLAN}?from_day={ON}", do="fix", slots=slots, made_by="") == 422
    assert not TrialRequest.objects.get(name=NAME).is_fixed


@pytest.mark.usefixtures("asked")
def test_what_moves_is_said_when_a_trial_slips(client: Client) -> None:
    text = Outline(page(client, slip=f"{otter.TOOL} {NAME}", by_h="48")).text
    assert f"If {otter.TOOL} {NAME} slips by 2 days" in text


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize(
    "asked_for", [{"from_day": "soon"}, {"days": "0"}, {"by_h": "-3"}, {"slip": "M9 T9"}]
)
def test_what_cannot_be_asked_is_marked_at_its_field(client: Client, asked_for: dict[str, str]) -> None:
    answer = client.get(PLAN, {**AT, **asked_for})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_{next(iter(asked_for))}_error"' in html
    assert 'id="trials"' in html
    assert "it is marked at its field" in html
    assert faults(html) == []
    assert "error" in client.get(PLAN, {**AT, **asked_for, "format": "json"}).json()


@pytest.mark.usefixtures("asked")
def test_the_form_says_from_which_day_is_planned_where_none_is_given(client: Client) -> None:
    assert f"Blank for {Trial.objects.latest('shot_on').shot_on}." in Outline(page(client)).text
    Programme.objects.update(note="")
    assert f"Blank for {timezone.localdate()}." in Outline(page(client)).text


@pytest.mark.django_db
def test_without_a_trial_the_page_says_what_to_do_first(client: Client) -> None:
    otter.make_programme()
    html = page(client)
    assert "No trial waits." in Outline(html).text
    assert faults(html) == []


@pytest.mark.usefixtures("asked")
def test_times_are_said_and_taken_back(client: Client) -> None:
    times = f"{PLAN}times/"
    there = {"begins": "2026-03-24T08:00", "ends": "2026-03-24T17:00", "made_by": "tester"}
    assert post(client, times, say="engineer", who="product engineer", **there) == 302
    assert EngineersThere.objects.get().begins_at == datetime(2026, 3, 24, 8, tzinfo=UTC)
    assert post(client, times, say="press", press="P1", why="check ring", **there) == 302
    assert PressOff.objects.get().press.code == "P1"
    html = page(client, times)
    assert "product engineer" in html
    assert faults(html) == []
    assert post(client, times, key=str(EngineersThere.objects.get().pk), of="engineer") == 302
    assert not EngineersThere.objects.exists()


@pytest.mark.usefixtures("asked")
def test_times_that_run_backwards_are_refused_at_the_form(client: Client) -> None:
    back = {"begins": "2026-03-24T17:00", "ends": "2026-03-24T08:00", "made_by": ""}
    assert post(client, f"{PLAN}times/", say="engineer", who="", **back) == 422
    assert not EngineersThere.objects.exists()


@pytest.mark.usefixtures("asked")
def test_a_file_of_jobs_is_shown_and_then_kept(client: Client) -> None:
    address = f"{PLAN}jobs/"
    html = page(client, address)
    assert faults(html) == []
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', html)
    assert token is not None
    file = io.BytesIO(b"job,press,begins,ends,may stop\nJ-9,P2,2026-04-13,2026-04-20,yes\n")
    file.name = "jobs.csv"
    sent = client.post(address, {"file": file, "csrfmiddlewaretoken": token[1]})
    shown = client.get(sent.headers["Location"])
    assert "J-9" in Outline(shown.content.decode()).text
    assert faults(shown.content.decode()) == []
    assert not Job.objects.filter(code="J-9").exists()
    slip = re.search(r'name="upload" value="([^"]+)"', shown.content.decode())
    assert slip is not None
    kept = client.post(address, {"upload": slip[1], "read_by": "tester", "csrfmiddlewaretoken": token[1]})
    assert kept.headers["Location"] == PLAN
    assert Job.objects.get(code="J-9").may_stop


@pytest.mark.usefixtures("asked")
def test_what_must_never_meet_stands_before_all_else_and_once(client: Client) -> None:
    TrialRequest.objects.update(resin="POM")
    Job.objects.update(resin="PVC-P")
    run_job("P2", resin="PVC-P")
    html = page(client)
    assert html.index("must never meet") < html.index("<h1>")
    assert Outline(html).text.count("must never meet") == 1
    assert faults(html) == []
    told = client.get(PLAN, {**AT, "format": "json"}).json()
    assert "must never meet" in told["never"][0]["text"]
    assert told["cautions"][0] == told["never"][0]
