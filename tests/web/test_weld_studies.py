"""Reading the file of a weld study through the pages: shown first, then told more of, then kept."""

from __future__ import annotations

from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import Trial, WeldRun, WeldStudy
from offtool.steps.keep_weld_study import WeldStudyAbout, preview_weld_study
from offtool.steps.plain import as_plain
from offtool.steps.seam_place import place_of_weld_study
from offtool.web import uploads
from tests.web import otter, welded
from tests.web.rendering import Outline, faults
from tests.web.welded import FILE, READ, SEAM

BLANK = dict.fromkeys(("top_trial", "bottom_trial", "gauge", "done_on", "sheet"), "")


@pytest.fixture(autouse=True)
def seam(db: None) -> None:
    """A seam whose halves were moulded once."""
    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())  # before the other half: the file says no part
    welded.make_welded(tool)
    welded.define()


def upload(client: Client, text: str, name: str = FILE) -> str:
    """Send a file; gives the address of its preview."""
    answer = client.post(READ, {"file": SimpleUploadedFile(name, text.encode())})
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def slip(address: str) -> str:
    return parse_qs(urlsplit(address).query)["upload"][0]


def test_a_file_is_chosen_first(client: Client) -> None:
    html = client.get(READ).content.decode()
    assert "Read a weld study of seam torso." in html
    assert "guard the tester" in html
    assert faults(html) == []
    without = client.post(READ, {})
    assert without.status_code == 422
    assert "Choose a file first." in without.content.decode()


def test_a_study_is_shown_then_told_more_of_and_kept(client: Client) -> None:
    address = upload(client, welded.study_csv())
    html = client.get(address).content.decode()
    text = Outline(html).text
    for words in ("37 pieces of torso_weld.csv, every cell read.", "3 different", "0.2 to 0.4 s",
                  "45 µm peak-to-peak", "HO-03, M2 T1"):  # fmt: skip
        assert words in text
    assert faults(html) == []
    assert not WeldStudy.objects.exists()
    told = {**BLANK, "gauge": "G3", "done_on": "2026-03-20", "top_trial": "M2 T1"}
    html = client.get(f"{address}&{urlencode(told)}").content.decode()
    assert "G3" in Outline(html).text
    assert faults(html) == []
    given = {**told, "upload": slip(address), "name": "W1", "read_by": "bench", "note": "warm horn"}
    answer = client.post(READ, given)
    assert answer.status_code == 302, answer.content
    assert answer["Location"] == SEAM
    kept = WeldStudy.objects.select_related("gauge", "top_trial").get()
    assert (kept.name, kept.read_by, str(kept.done_on), kept.note[:9]) == (
        "W1",
        "bench",
        "2026-03-20",
        "warm horn",
    )
    assert kept.gauge is not None
    assert kept.gauge.code == "G3"
    assert kept.top_trial == Trial.objects.get()
    assert WeldRun.objects.count() == 37
    assert list(uploads.folder().iterdir()) == []
    page = client.get(SEAM).content.decode()
    assert "37 pieces of torso_weld.csv are kept as weld study W1." in page
    assert place_of_weld_study(otter.SLUG, "torso").next_name == "W2"
    again = client.post(READ, given)
    assert again.status_code == 422
    assert "no longer held" in again.content.decode()


def test_json_of_a_preview_is_the_result_of_the_step(client: Client) -> None:
    address = upload(client, welded.study_csv())
    seen = preview_weld_study(
        welded.study_csv().encode(), FILE, programme=otter.SLUG, seam="torso", about=WeldStudyAbout()
    )
    assert client.get(f"{address}&format=json").json() == as_plain(seen)


def test_cells_that_cannot_be_read_are_listed_and_left_out_only_by_hand(client: Client) -> None:
    address = upload(client, welded.study_csv().replace(",torn,24.0", ",torn,x24.0", 1))
    html = client.get(address).content.decode()
    assert "1 cell cannot be read." in html
    assert 'href="#refused"' in html
    assert faults(html) == []
    given = {**BLANK, "upload": slip(address), "name": "W1", "note": "kept note"}
    refused = client.post(READ, given)
    assert refused.status_code == 422
    assert 'value="kept note"' in refused.content.decode()
    assert faults(refused.content.decode()) == []
    assert client.post(READ, given | {"leave_out": "on"}).status_code == 302


def test_the_same_file_is_not_kept_twice(client: Client) -> None:
    welded.keep_study()
    address = upload(client, welded.study_csv())
    html = client.get(address).content.decode()
    assert "study W1 of this seam counts too" in html
    answer = client.post(READ, {**BLANK, "upload": slip(address), "name": "W2"})
    assert answer.status_code == 422
    assert "the same file is" in answer.content.decode()
    assert WeldStudy.objects.count() == 1


def test_a_file_that_is_no_study_can_be_chosen_again(client: Client) -> None:
    address = upload(client, "hello\nworld\n")
    answer = client.get(address)
    assert answer.status_code == 422
    assert "Nothing can be made of this file." in answer.content.decode()
    assert faults(answer.content.decode()) == []
    assert client.get(f"{address}&format=json").status_code == 422
    gone = client.get(f"{READ}?upload=nothing")
    assert gone.status_code == 422
    assert "no longer held" in gone.content.decode()


def test_what_the_file_does_not_say_is_mended_before_it_is_kept(client: Client) -> None:
    address = upload(client, welded.study_csv())
    wrong = {**BLANK, "upload": slip(address), "done_on": "some day", "name": "W1"}
    answer = client.post(READ, wrong)
    assert answer.status_code == 422
    assert "Mend what the file does not say" in answer.content.decode()
    assert not WeldStudy.objects.exists()
    assert client.post(READ, wrong | {"done_on": "", "name": ""}).status_code == 422


def test_a_seam_that_is_not_there_is_answered_by_its_name(client: Client) -> None:
    assert client.get(READ.replace("torso", "tale")).status_code == 404
