"""The pages of the release review: what they show, what people enter there, and how they refuse."""

from __future__ import annotations

import io
import re
from datetime import UTC, date, datetime

import pytest
from django.test import Client

from offtool.records.models import Concession, Evidence, Programme, Sample
from offtool.steps.plain import as_plain
from offtool.steps.review_day import review_day
from offtool.steps.review_release import review_release
from offtool.web.pages.review import LINKS, review_page
from offtool.web.pages.review_line import review_line_page
from offtool.web.pages.review_why import WHY
from tests.reports import reviews as factories
from tests.steps import reviewed
from tests.steps.clip import SLUG, keep, make_clip, trial_file
from tests.web.rendering import Outline, faults, render_page
from tests.web.sent_of_form import sent_of_form

REVIEW = f"/p/{SLUG}/review/"
LINE = f"{REVIEW}lines/packaging/"
PAPER = {"says": "holds", "tested_on": "2026-03-10", "number": "D-7", "made_by": "ida"}
LEAVE = {"amount": "a scuffed corner", "until": "2099-01-01", "reason": "only one", "approved_by": "A. Moor",
         "given_on": "2026-03-10", "made_by": "ida"}  # fmt: skip


@pytest.fixture
def clip(db: None) -> Programme:
    """The clip; asked are its sizes, its packing and the signatures."""
    programme = make_clip()
    reviewed.only(programme, "sizes", "packaging")
    return programme


def shown(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def test_the_templates_show_a_review_with_every_standing() -> None:
    found = factories.review()
    html = render_page("review.html", review_page(found))
    text = Outline(html).text
    assert found.headline in text
    for line in found.lines:
        assert line.standing.value in text
        assert line.title in text
    for line in found.lines:
        one = render_page("review_line.html", review_line_page(found, line.code))
        assert faults(one) == []
    assert faults(html) == []


@pytest.mark.usefixtures("clip")
def test_the_verdict_comes_first_then_what_to_do_then_the_list(client: Client) -> None:
    html = shown(client, REVIEW)
    found = review_release(SLUG, date.today())
    assert html.index(found.headline) < html.index("What to do, in this order") < html.index('id="list"')
    assert f'href="{LINE}"' in html
    assert "not in this test" in html  # the lines that are not asked, with the reason


@pytest.mark.usefixtures("clip")
def test_the_list_counts_its_lines_as_the_verdict_does(client: Client) -> None:
    found = review_release(SLUG, date.today())
    page = review_page(found)
    verdict = found.headline.partition("not start: ")[2]
    counted = [int(each) for each in re.findall(r"(\d+)(?: of \d+ lines)? (?:does|do|is|are)", page.counts)]
    assert sum(counted) == len(found.lines) - 1 == int(re.findall(r"of (\d+) lines", verdict)[0])
    assert page.counts.endswith("the signatures")
    assert ("Lines asked", "2 and the signatures; 20 lines not") in [
        (one.about, one.says) for one in page.facts
    ]
    assert page.counts in shown(client, REVIEW)


@pytest.mark.usefixtures("clip")
def test_as_json_it_is_the_result_itself(client: Client) -> None:
    found = review_release(SLUG, review_day(SLUG, today=date.today()))
    assert client.get(REVIEW, {"format": "json"}).json() == as_plain(found)
    assert client.get(LINE, {"format": "json"}).json() == as_plain(found.line("packaging"))


@pytest.mark.usefixtures("clip")
def test_a_line_leads_to_the_size_behind_it(client: Client) -> None:
    keep(trial_file())
    html = shown(client, f"{REVIEW}lines/sizes/")
    assert f'href="/p/{SLUG}/M1/T1/size/P1/1/"' in html
    assert "does not hold" in html


@pytest.mark.usefixtures("clip")
def test_evidence_is_given_with_its_file_and_comes_back_byte_for_byte(client: Client) -> None:
    assert "Back, without keeping" in shown(client, f"{LINE}evidence/")
    sent = client.post(f"{LINE}evidence/", {**PAPER, "file": io.BytesIO(b"%PDF-1 drop")})
    assert sent.status_code == 302, sent.content
    kept = Evidence.objects.get()
    assert (kept.number, kept.given_by) == ("D-7", "ida")
    file = client.get(f"{REVIEW}evidence/{kept.pk}/")
    assert b"".join(file.streaming_content) == b"%PDF-1 drop"  # type: ignore[attr-defined]
    assert review_release(SLUG, date.today()).line("packaging").holds


@pytest.mark.usefixtures("clip")
def test_what_is_wrong_stands_at_its_field_and_nothing_is_kept(client: Client) -> None:
    answer = client.post(f"{LINE}evidence/", {**PAPER, "tested_on": "2099-01-01"})
    assert answer.status_code == 422
    assert "is yet to come" in answer.content.decode()
    assert client.post(f"{LINE}evidence/", {}).status_code == 422
    assert client.post(f"{LINE}concession/", {**LEAVE, "until": ""}).status_code == 422
    assert not Evidence.objects.exists()


@pytest.mark.usefixtures("clip")
def test_a_stale_paper_is_ticked_to_be_replaced(client: Client) -> None:
    old = reviewed.evidence("packaging", states=("M1 a",))
    reviewed.cut(Programme.objects.get())
    html = shown(client, f"{LINE}evidence/")
    assert f'value="{old}" ' in html
    assert "checked" in html
    client.post(f"{LINE}evidence/", {**PAPER, "tested_on": "2026-05-02", "instead_of": [str(old)]})
    assert Evidence.objects.get(pk=old).set_aside == "D-7 takes its place"


@pytest.mark.usefixtures("clip")
def test_a_concession_is_given_shown_and_ended(client: Client) -> None:
    assert client.post(f"{LINE}concession/", LEAVE).status_code == 302
    html = shown(client, LINE)
    assert "holds under a concession" in html
    key = review_release(SLUG, date.today()).line("packaging").concessions[0].key
    answer = client.post(LINE, {"concession": key, "reason": "", "made_by": "ida"})
    assert (answer.status_code, b"Say why in a few words" in answer.content) == (422, True)
    assert client.post(LINE, {"concession": key, "reason": "put right", "made_by": "ida"}).status_code == 302
    assert not review_release(SLUG, date.today()).line("packaging").holds


@pytest.mark.usefixtures("clip")
def test_a_change_is_told_of_a_part_and_set_aside(client: Client) -> None:
    sent = {"what": "pack", "on": "2026-03-11", "words": "new tray", "about": "part:P1", "made_by": "ida"}
    assert client.post(f"{REVIEW}changes/", sent).status_code == 302
    (one,) = (one for one in review_release(SLUG, date.today()).changes if one.is_told)
    assert (one.about, one.words) == ("P1", "new tray")
    assert "pack (P1): new tray" in shown(client, f"{REVIEW}changes/")
    ended = client.post(f"{REVIEW}changes/", {"end": one.key, "reason": "mistake", "made_by": "ida"})
    assert ended.status_code == 302
    assert client.post(f"{REVIEW}changes/", {"end": "9" * 9, "reason": "x"}).status_code == 422


def test_a_limit_sample_is_signed_and_withdrawn(client: Client, clip: Programme) -> None:
    Sample.objects.create(programme=clip, number="1", registered_at=datetime.now(UTC))
    sent = {
        "sample": "1",
        "kind": "limit",
        "signed_by": "A. Moor",
        "signed_on": "2026-03-11",
        "made_by": "ida",
    }
    refused = client.post(f"{REVIEW}limit-samples/", sent)
    assert (refused.status_code, b"tells the station nothing" in refused.content) == (422, True)
    whole = {**sent, "area": "edge", "accepts": "a nick of 0.2 mm"}
    assert client.post(f"{REVIEW}limit-samples/", whole).status_code == 302
    assert "a nick of 0.2 mm" in shown(client, f"{REVIEW}limit-samples/")
    (one,) = review_release(SLUG, date.today()).limit_samples
    client.post(f"{REVIEW}limit-samples/", {"end": one.key, "reason": "lost", "made_by": "ida"})
    assert review_release(SLUG, date.today()).limit_samples[0].withdrawn == "lost"


@pytest.mark.usefixtures("clip")
def test_a_line_is_added_changed_and_taken_out(client: Client) -> None:
    sent = {"code": "scarf", "title": "Scarf", "asks": "it stays on", "fed_by": "decoration checks",
            "stale_by": ["paint"], "made_by": "ida"}  # fmt: skip
    shown(client, f"{REVIEW}new-line/")
    assert client.post(f"{REVIEW}new-line/", sent).status_code == 302
    form = sent_of_form(shown(client, f"{REVIEW}lines/scarf/change/"))
    assert form["title"] == "Scarf"
    told = {**sent, "asks": "it stays on in the wash", "because": "the buyer asks it"}
    assert client.post(f"{REVIEW}lines/scarf/change/", told).status_code == 302
    assert "a line of this programme: the buyer asks it" in shown(client, f"{REVIEW}lines/scarf/")
    changed = {**sent, "not_asked": "no scarf any more"}
    assert client.post(f"{REVIEW}lines/scarf/change/", changed).status_code == 302
    assert "no scarf any more" in shown(client, REVIEW)
    gone = {"restore": "1", "reason": "never mind", "made_by": "ida"}
    assert client.post(f"{REVIEW}lines/scarf/change/", gone).status_code == 302
    assert client.get(f"{REVIEW}lines/scarf/").status_code == 404


class TestSigning:
    """A person signs; the form fills in nobody."""

    @pytest.fixture(autouse=True)
    def asked(self, clip: Programme) -> None:
        reviewed.only(clip, "packaging")

    def test_no_name_and_no_role_is_filled_in_even_where_one_is_remembered(self, client: Client) -> None:
        client.post(f"{LINE}evidence/", PAPER)  # remembers the name ida
        form = sent_of_form(shown(client, f"{REVIEW}sign/"))
        assert form["person"] == ""
        assert form.get("role", "") == ""
        assert "ida" not in form.values()

    def test_released_is_refused_while_a_line_is_missing(self, client: Client) -> None:
        answer = client.post(f"{REVIEW}sign/", self.sent(client, "released"))
        assert answer.status_code == 422
        assert "it cannot be released" in answer.content.decode().lower()

    def test_without_the_tick_that_it_was_read_nothing_is_signed(self, client: Client) -> None:
        sent = self.sent(client, "not released")
        del sent["has_read"]
        answer = client.post(f"{REVIEW}sign/", sent)
        assert (answer.status_code, b"Read the review first" in answer.content) == (422, True)

    def test_a_page_that_was_open_while_the_review_changed_is_refused(self, client: Client) -> None:
        sent = self.sent(client, "not released")
        reviewed.evidence("packaging")
        answer = client.post(f"{REVIEW}sign/", sent)
        assert answer.status_code == 422
        assert "not the one that was read" in answer.content.decode()

    def test_signed_it_stands_and_is_withdrawn_with_a_reason(self, client: Client) -> None:
        assert client.post(f"{REVIEW}sign/", self.sent(client, "not released")).status_code == 302
        html = shown(client, f"{REVIEW}sign/")
        assert "Quality: B. Lund" in html
        (one,) = review_release(SLUG, date.today()).signatures
        assert one.stands
        client.post(f"{REVIEW}sign/", {**self.sent(client, "not released"), "role": "product"})
        twice = "One person signed for 2 roles: B. Lund for quality and product."
        assert twice in shown(client, REVIEW)
        assert twice in shown(client, f"{REVIEW}sign/")
        ended = client.post(f"{REVIEW}sign/", {"end": one.key, "reason": "wrong role", "made_by": "ida"})
        assert ended.status_code == 302
        assert review_release(SLUG, date.today()).signatures[1].withdrawn == "wrong role"

    def sent(self, client: Client, states: str) -> dict[str, str]:
        form = sent_of_form(shown(client, f"{REVIEW}sign/"))
        typed = {"person": "B. Lund", "role": "quality", "states": states, "has_read": "on"}
        return {**form, **typed}


@pytest.mark.usefixtures("clip")
def test_what_is_not_there_is_named(client: Client) -> None:
    assert client.get(f"{REVIEW}lines/nothing/").status_code == 404
    assert client.get("/p/nothing/review/").status_code == 404
    assert client.get(f"{REVIEW}evidence/99/").status_code == 404


def test_every_link_says_something_and_every_form_says_what_is_meant() -> None:
    assert all(LINKS.values())
    assert all(len(rows) >= 3 for rows in WHY.values())


def test_an_invented_programme_is_reviewed_on_its_last_told_day(db: None) -> None:
    programme = make_clip()
    today = date(2030, 1, 1)
    assert review_day(SLUG, today=today) == today
    Programme.objects.filter(pk=programme.pk).update(note="invented")
    keep(trial_file())
    reviewed.only(programme, "packaging")
    reviewed.evidence("packaging")
    assert review_day(SLUG, today=today) == max(reviewed.TESTED, date(2026, 3, 10))


def test_on_a_line_of_the_law_no_concession_is_offered_and_one_that_is_sent_is_refused(
    client: Client, clip: Programme
) -> None:
    reviewed.only(clip, "toy-tests")
    address = f"{REVIEW}lines/toy-tests/"
    html = shown(client, address)
    assert "No concession of a firm allows what the law asks." in html
    assert f"{address}concession/" not in html
    answer = client.post(f"{address}concession/", LEAVE)
    assert answer.status_code == 422
    assert "no concession of a firm allows what the law asks" in answer.content.decode().casefold()
    assert not Concession.objects.exists()
