"""The page of a programme: how far its release is, what to do next; the days of its steps; the dossier."""

from __future__ import annotations

import hashlib
import io
import zipfile
from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from offtool.handbook.release_steps import RELEASE_STEPS
from offtool.records.models import Programme
from offtool.steps.programme_standing import programme_standing
from offtool.steps.step_days import step_days_known
from offtool.steps.way_sentences import in_time
from offtool.web.pages.programmes import programme_page
from tests.reports import reviews
from tests.reports.ways import way
from tests.web import otter
from tests.web.rendering import Outline, faults, render_page
from tests.web.test_pages import OVERVIEW

HERE = f"/p/{otter.SLUG}/"
DAYS = f"{HERE}way/"


def page(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def test_the_page_says_how_far_the_release_is_what_to_do_and_what_decides(client: Client, trial: str) -> None:
    html = page(client, HERE)
    text = Outline(html).text
    kept = Programme.objects.get()
    found = programme_standing(otter.SLUG, otter.NOW.date())
    assert found.way is not None
    assert "from release if nothing else is found" in text
    assert found.way.actions[0].do in text
    assert kept.title in text
    assert 'class="way"' in html
    for one in found.way.cautions:
        assert one.text in text
    assert f'href="{reverse("review_line", args=[otter.SLUG, "sizes"])}"' in html


def test_every_step_leads_to_its_line_of_the_review_or_to_where_it_is_done() -> None:
    shown = programme_page(OVERVIEW)
    assert shown.steps[0].title == "Correction decided, M3"
    leads = {one.do: one.href for one in shown.actions}
    assert all(leads.values())
    html = render_page("programme.html", shown)
    for row in shown.steps:
        assert all(one.href in html for one in row.lines)


def test_the_day_that_is_asked_for_stands_below_the_headline() -> None:
    found = way()
    shown = programme_page(replace(OVERVIEW, way=found))
    assert in_time(found) in Outline(render_page("programme.html", shown)).text


def test_what_became_stale_names_the_change_and_leads_to_the_lines() -> None:
    html = render_page("programme.html", programme_page(OVERVIEW))
    assert "18 March 2026: a new mask of the belly" in Outline(html).text
    assert f'href="{reverse("review_line", args=[otter.SLUG, "decoration"])}"' in html


def test_what_is_older_than_a_change_and_was_open_before_stands_beside_it() -> None:
    found = way()
    (told,) = found.gone_stale
    shown = replace(found, gone_stale=(replace(told, older=(("joints-fresh", "Joints, fresh"),)),))
    text = Outline(render_page("programme.html", programme_page(replace(OVERVIEW, way=shown)))).text
    assert "Open before, and older than this too: Joints, fresh" in " ".join(text.split())


def test_a_programme_that_is_ready_sends_its_reader_to_the_review() -> None:
    ready = (
        reviews.line("sizes", reviews.Standing.HOLDS),
        reviews.line("signatures", reviews.Standing.HOLDS),
    )
    shown = programme_page(replace(OVERVIEW, way=way(reviews.review(lines=ready))))
    assert "Nothing is left to do" in Outline(render_page("programme.html", shown)).text


def test_the_days_of_the_steps_are_shown_kept_and_taken_back(client: Client, trial: str) -> None:
    html = page(client, DAYS)
    for one in RELEASE_STEPS:
        assert one.title in html
    said = {"low_laboratory": "8", "high_laboratory": "12,5", "release_due": "2026-09-01", "made_by": "ida"}
    answer = client.post(DAYS, said)
    assert (answer.status_code, answer.headers["Location"]) == (302, HERE)
    known = step_days_known(otter.SLUG)
    own = [(one.step, one.low_days, one.high_days) for one in known.steps if one.is_own]
    assert own == [("laboratory", 8.0, 12.5)]
    assert str(known.due) == "2026-09-01"
    assert 'value="12.5"' in page(client, DAYS)
    client.post(DAYS, {"made_by": "ida"})
    again = step_days_known(otter.SLUG)
    assert (again.due, [one.step for one in again.steps if one.is_own]) == (None, [])


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({"low_laboratory": "8"}, "high_laboratory", "Only one of the two is given"),
        ({"low_laboratory": "8", "high_laboratory": "2"}, "high_laboratory", "2 is below the low 8"),
        ({"low_laboratory": "-1", "high_laboratory": "2"}, "low_laboratory", "Give 0 or more"),
        ({"low_laboratory": "soon", "high_laboratory": "2"}, "low_laboratory", "number"),
        ({"release_due": "soon"}, "release_due", "Give a day"),
    ],
)
def test_days_that_cannot_be_are_refused_at_their_field(
    client: Client, trial: str, sent: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(DAYS, {**sent, "made_by": "ida"})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert faults(html) == []
    assert f'id="id_{field}_error"' in html
    assert said in Outline(html).text
    assert not any(one.is_own for one in step_days_known(otter.SLUG).steps)


def test_the_review_is_handed_out_as_a_pdf(client: Client, trial: str) -> None:
    answer = client.get(f"{HERE}review/dossier.pdf")
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content).startswith(b"%PDF-")  # type: ignore[arg-type]
    assert "attachment" in answer["Content-Disposition"]


def test_the_dossier_is_handed_out_whole(client: Client, trial: str) -> None:
    answer = client.get(f"{HERE}review/dossier.zip")
    assert answer.status_code == 200
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as archive:  # type: ignore[arg-type]
        sums = archive.read("SHA256SUMS").decode().splitlines()
        told = {line[66:]: line[:64] for line in sums}
        assert set(told) == set(archive.namelist()) - {"SHA256SUMS"}
        for name, digest in told.items():
            assert hashlib.sha256(archive.read(name)).hexdigest() == digest
        assert any(name.startswith("files/readings/") for name in told)


@pytest.mark.parametrize("address", ["way/", "review/dossier.pdf", "review/dossier.zip", ""])
def test_an_unknown_programme_is_answered_with_the_nearest(client: Client, trial: str, address: str) -> None:
    answer = client.get(f"/p/harbor-otter/{address}")
    assert answer.status_code == 404
    assert "harbour-otter" in answer.content.decode()
