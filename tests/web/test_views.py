"""The pages that show: what they answer, as page and as JSON, and how they refuse."""

from __future__ import annotations

import io
import json
import zipfile

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from offtool.records.models import SourceFile, Trial
from offtool.steps.correct_tool import correct_tool
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.name_steel import sizes_without_steel
from offtool.steps.overview import list_programmes
from offtool.steps.plain import as_plain
from offtool.steps.programme_standing import programme_standing
from offtool.steps.review_day import review_day
from tests.web import otter
from tests.web.rendering import Outline, faults

HERE = (otter.SLUG, otter.TOOL, otter.TRIAL)


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def test_an_empty_record_says_what_to_do_first(client: Client, db: None) -> None:
    html = page(client, "/")
    assert "What to do first" in html
    assert 'href="/start/"' in html
    assert "offtool load FOLDER" in html


def test_programmes_programme_and_trial_lead_on_to_each_other(client: Client, trial: str) -> None:
    assert f'href="/p/{otter.SLUG}/"' in page(client, "/")
    html = page(client, f"/p/{otter.SLUG}/")
    assert f'href="{trial}"' in html
    assert f'href="/p/{otter.SLUG}/{otter.TOOL}/T2/read/"' in html
    assert f'href="/p/{otter.SLUG}/"' in page(client, trial)


@pytest.mark.parametrize("end", ["", "correction/", "read/", "steel/", "steel/HO-02/33/"])
def test_real_pages_of_a_trial_have_no_fault(client: Client, trial: str, end: str) -> None:
    otter_without_steel()
    assert faults(page(client, trial + end)) == []


def otter_without_steel() -> None:
    """Size 33 loses the feature that forms it, so that there is one to name."""
    from offtool.records.models import Move, SteelFeature

    Move.objects.filter(feature__code="F33").delete()
    SteelFeature.objects.filter(code="F33").delete()


def test_json_is_the_result_of_the_step_as_commands_print_it(client: Client, trial: str) -> None:
    results = {
        "/": list_programmes(),
        f"/p/{otter.SLUG}/": programme_standing(
            otter.SLUG, review_day(otter.SLUG, today=timezone.localdate())
        ),
        trial: inspect_trial(*HERE),
        f"{trial}correction/": correct_tool(*HERE),
        f"{trial}steel/": sizes_without_steel(*HERE[:2]),
    }
    for address, result in results.items():
        answer = client.get(address, {"format": "json"})
        assert answer["Content-Type"] == "application/json"
        assert json.loads(answer.content) == as_plain(result)


def test_an_unknown_name_is_answered_with_the_nearest_one(client: Client, trial: str) -> None:
    answer = client.get("/p/harbor-otter/")
    html = answer.content.decode()
    assert answer.status_code == 404
    assert "No programme &#x27;harbor-otter&#x27;" in html
    assert "Did you mean &#x27;harbour-otter&#x27;?" in html
    assert faults(html) == []
    answer = client.get(f"/p/{otter.SLUG}/M2/T7/", {"format": "json"})
    assert answer.status_code == 404
    assert answer.json() == {"error": "no trial 'T7' of tool M2", "where": "", "remedy": "known are: T1"}


def test_a_file_comes_back_byte_for_byte_and_is_saved_not_shown(client: Client, trial: str) -> None:
    source = SourceFile.objects.get()
    answer = client.get(f"{trial}files/{source.pk}/")
    assert b"".join(answer.streaming_content) == otter.readings_csv()
    assert answer["Content-Disposition"] == 'attachment; filename="M2_T1_gaugeroom.csv"'
    assert answer["Content-Type"] == "application/octet-stream"
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_a_file_is_found_under_its_own_trial_only(client: Client, trial: str) -> None:
    source = SourceFile.objects.get()
    first = Trial.objects.get()
    Trial.objects.create(tool=first.tool, name="T2", state=first.state)
    assert client.get(f"{trial.replace('T1', 'T2')}files/{source.pk}/").status_code == 404
    assert client.get(f"{trial}files/{source.pk + 1}/").status_code == 404


def test_workbook_and_sheet_are_handed_out_as_files(client: Client, trial: str) -> None:
    workbook = client.get(f"{trial}findings.xlsx")
    assert workbook["Content-Disposition"] == 'attachment; filename="harbour-otter_M2_T1_findings.xlsx"'
    with zipfile.ZipFile(io.BytesIO(b"".join(workbook.streaming_content))) as unpacked:
        assert "xl/workbook.xml" in unpacked.namelist()
    sheet = client.get(f"{trial}correction/sheet.pdf")
    assert sheet["Content-Disposition"] == 'attachment; filename="harbour-otter_M2_T1_steel-change.pdf"'
    assert b"".join(sheet.streaming_content).startswith(b"%PDF")


def test_a_trial_page_asks_no_more_of_the_record_for_more_sizes(
    client: Client, db: None, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    drawn = otter.many(30)
    otter.make_programme(drawn, cavities=1)
    otter.read_trial(otter.readings_csv(drawn, cavities=1))
    address = f"/p/{otter.SLUG}/{otter.TOOL}/{otter.TRIAL}/"
    for end in ("", "correction/"):
        with django_assert_max_num_queries(25):
            client.get(address + end)


def test_pages_load_nothing_from_elsewhere_and_cannot_be_framed(client: Client, trial: str) -> None:
    answer = client.get(trial)
    policy = answer["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer["X-Frame-Options"] == "DENY"
    html = answer.content.decode()
    assert [link for link in Outline(html).links if link.startswith(("http:", "https:", "//"))] == []
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "")


def test_an_address_that_leads_nowhere_is_answered_in_our_words(client: Client, db: None) -> None:
    answer = client.get("/nowhere/")
    assert answer.status_code == 404
    assert "There is no such page" in answer.content.decode()
    assert faults(answer.content.decode()) == []


def test_a_stranger_host_is_refused_in_our_words(db: None) -> None:
    answer = Client(headers={"host": "evil.example"}).get("/")
    assert answer.status_code == 400
    assert "What was sent cannot be read" in answer.content.decode()


def test_a_failure_of_ours_is_owned_and_shows_no_trace(
    db: None, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken() -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("offtool.web.views.programmes.list_programmes", broken)
    answer = Client(headers={"host": "localhost"}, raise_request_exception=False).get("/")
    html = answer.content.decode()
    assert answer.status_code == 500
    assert "Something broke in offtool; nothing was kept" in html
    assert "secret detail" not in html
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize("end", ["correction/", "read/"])
def test_a_form_without_its_token_changes_nothing(trial: str, end: str) -> None:
    strict = Client(headers={"host": "localhost"}, enforce_csrf_checks=True)
    answer = strict.post(trial + end, {"chosen": "x"})
    assert answer.status_code == 403
    assert "The form was too old to be sent; nothing was kept." in answer.content.decode()
    assert faults(answer.content.decode()) == []


@pytest.mark.parametrize("address", ["/", f"/p/{otter.SLUG}/", "/about/", "/formulas/"])
def test_pages_that_show_take_no_post(client: Client, trial: str, address: str) -> None:
    assert client.post(address).status_code == 405


def test_the_demo_is_loaded_by_its_button_only(client: Client, db: None) -> None:
    assert client.get("/demo/").url == "/"
    assert list_programmes() == ()
    answer = client.post("/demo/")
    assert answer.status_code == 302
    (line,) = list_programmes()
    assert line.invented
    assert "are invented." in page(client, answer.url)
