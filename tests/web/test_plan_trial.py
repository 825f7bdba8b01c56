"""The page of a trial's plan: verdict, what to do, why; its papers; what it says where numbers lack."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client

from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import TrialPurpose
from offtool.records.models import Press, PressHolds
from offtool.steps.plain import as_plain
from offtool.steps.plan_trial import plan_trial
from offtool.web.pages.plan_trial import plan_trial_page
from tests.reports import plans
from tests.reports.test_layout_report import text_of
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.web import otter
from tests.web.rendering import Outline, faults, render_page

PLAN = f"/p/{otter.SLUG}/plan/{otter.TOOL}/{NAME}/"
AT = {"on": ON.isoformat()}


@pytest.fixture
def asked(db: None) -> None:
    """A trial that is asked for, a job on the press."""
    make_asked()
    run_job()


def page(client: Client, **given: str) -> str:
    answer = client.get(PLAN, {**AT, **given})
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


@pytest.mark.usefixtures("asked")
def test_the_verdict_comes_first_then_what_to_do_then_why(client: Client) -> None:
    html = page(client)
    found = plan_trial(otter.SLUG, otter.TOOL, NAME, on=ON)
    text = Outline(html).text
    assert found.headline in text
    places = [html.index(one) for one in ("<h1>", "What to do", 'id="run"', 'id="time"', 'id="where"')]
    assert places == sorted(places)
    for action in found.actions:
        assert action.do in text
    assert faults(html) == []


@pytest.mark.usefixtures("asked")
def test_every_run_of_shots_stands_there_with_its_numbers(client: Client) -> None:
    text = Outline(page(client)).text
    found = plan_trial(otter.SLUG, otter.TOOL, NAME, on=ON)
    assert found.shots is not None
    for group in found.shots.groups:
        assert f"{group.first} to {group.last}" in text
    assert AT_THE_PRESS.text in text


@pytest.mark.usefixtures("asked")
def test_the_papers_are_pdfs_of_the_same_plan(client: Client, tmp_path: Path) -> None:
    for paper, words in (("request.pdf", "Run in this order"), ("labels.pdf", "cavity 1")):
        answer = client.get(f"{PLAN}{paper}", AT)
        assert answer.status_code == 200
        content = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
        assert words in text_of(content, tmp_path)


@pytest.mark.usefixtures("asked")
def test_the_programme_leads_to_the_plan_and_the_trial_to_asking_for_the_next(client: Client) -> None:
    assert f'href="{PLAN}"' in client.get(f"/p/{otter.SLUG}/").content.decode()
    trial = client.get(f"/p/{otter.SLUG}/{otter.TOOL}/{otter.TRIAL}/").content.decode()
    assert f'href="/p/{otter.SLUG}/plan/{otter.TOOL}/new/"' in trial


@pytest.mark.usefixtures("asked")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    told = as_plain(plan_trial(otter.SLUG, otter.TOOL, NAME, on=ON))
    assert client.get(PLAN, {**AT, "format": "json"}).json() == told


@pytest.mark.usefixtures("asked")
def test_what_is_not_there_or_no_day_is_said_in_words(client: Client) -> None:
    assert client.get(f"{PLAN.replace(NAME, 'T9')}").status_code == 404
    answer = client.get(PLAN, {"on": "tomorrow"})
    assert answer.status_code == 422
    assert "write it as 2026-03-24" in answer.content.decode().casefold()
    assert client.post(PLAN).status_code in (403, 405)


@pytest.mark.django_db
def test_without_numbers_the_plan_stands_and_leads_to_where_they_are_typed(client: Client) -> None:
    make_asked(bare=True)
    run_job()
    html = page(client)
    assert "What is missing, and who knows it" in Outline(html).text
    assert f'href="/p/{otter.SLUG}/presses/tools/{otter.TOOL}/"' in html
    assert faults(html) == []


@pytest.mark.parametrize(
    "given",
    [
        {"press": None, "colour": None, "material": None, "time": None},
        {"shots": None, "time": None, "material": None, "steps": (), "bags": (), "bring": ()},
        {"confirm": (), "to_measure": (), "missing": (), "cautions": ()},
        {"colour": replace(plans.ORANGE, wrong_for=("assembly",))},
        {"has_run": True, "confirm": plans.planned().confirm * 20},
    ],
)
def test_each_lack_leaves_a_whole_page(given: dict[str, object]) -> None:
    html = render_page("plan_trial.html", plan_trial_page(replace(plans.planned(), **given)))  # type: ignore[arg-type]
    assert faults(html) == []


def test_a_purpose_that_the_colour_spoils_is_said_in_words() -> None:
    found = plans.planned(
        purposes=(TrialPurpose.COLOUR.value,), colour=replace(plans.ORANGE, wrong_for=("colour",))
    )
    html = render_page("plan_trial.html", plan_trial_page(found))
    assert "not in this colour" in Outline(html).text
    assert "It does not do for colour." in Outline(html).text


@pytest.mark.django_db
def test_the_change_of_colour_is_that_of_this_press_trial_and_day(client: Client) -> None:
    request = make_asked()
    request.colour, request.lightness, request.a, request.b = "otter brown", 38.0, 14.0, 20.0
    request.save()
    run_job()
    html = page(client)
    (href,) = {
        one for one in re.findall(r'href="([^"]+)"', html) if one.startswith(f"/p/{otter.SLUG}/colour/")
    }
    asked = parse_qs(urlsplit(unescape(href)).query)
    assert asked == {"press": ["P1"], "on": [ON.isoformat()], "new": [f"trial {otter.TOOL} {NAME}"]}
    answer = client.get(unescape(href))
    assert answer.status_code == 200
    assert "otter brown" in Outline(answer.content.decode()).text


@pytest.mark.django_db
def test_without_a_press_it_leads_to_where_one_is_written_down(client: Client) -> None:
    make_asked()
    PressHolds.objects.all().delete()
    Press.objects.all().delete()
    html = page(client)
    assert f'href="/p/{otter.SLUG}/told-apart-by/presses/"' in html
    assert "No press is written down yet." in Outline(html).text
    assert "No press of the record takes the tool." not in Outline(html).text
    assert faults(html) == []


@pytest.mark.usefixtures("asked")
def test_the_bags_are_counted_once(client: Client) -> None:
    found = plan_trial(otter.SLUG, otter.TOOL, NAME, on=ON)
    assert page(client).count(f"{len(found.bags)} bags") == 1
