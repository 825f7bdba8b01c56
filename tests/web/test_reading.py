"""Reading a file through the pages: shown first, kept then, and nothing lost on the way."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import Part, Programme, Reading, Resin, SourceFile, Tool, Trial
from offtool.web import uploads
from offtool.web.forms import reading as forms
from tests.web import otter
from tests.web.conftest import TRIAL
from tests.web.rendering import Outline, faults

T2 = TRIAL.replace("T1", "T2")

MESSY = (
    "Gauge room report T2;;;\r\n\r\nShot;Cavity;12 Hip peg diameter;9 Ear spacing\r\n"
    "20;1;3,971*;24,61\r\n20;2;3,968;OOL\r\n21;1;3,970;24,60\r\n21;2;3,972;24,59\r\n"
).encode("utf-8-sig")

REPORT = (
    b"No,Characteristic,Nominal,Lower,Upper,Cav 1,Cav 2\n"
    b"1,Length,20.00,19.90,20.10,20.02,20.03\n2,Bore,4.05,4.05,4.08,4.06,4.07\n"
)


def send(client: Client, address: str, content: bytes, name: str = "M2_T2.csv") -> str:
    """Send a file; gives the address of its preview."""
    answer = client.post(f"{address}", {"file": SimpleUploadedFile(name, content)})
    assert answer.status_code == 302, answer.content.decode()
    return str(answer.url)


def slip_of(address: str) -> str:
    from urllib.parse import parse_qs, urlsplit

    return parse_qs(urlsplit(address).query)["upload"][0]


@pytest.fixture
def tool(db: None) -> None:
    otter.make_programme()


@pytest.mark.usefixtures("tool")
def test_a_file_is_shown_before_anything_is_kept(client: Client) -> None:
    html = client.get(send(client, f"{T2}read/", MESSY)).content.decode()
    text = Outline(html).text
    for words in (
        "7 readings of 2 sizes in 2 cavities",
        "1 cell cannot be read",
        "3,971*",
        "OOL",
        "semicolon",
    ):
        assert words in text
    assert faults(html) == []
    assert not SourceFile.objects.exists()


@pytest.mark.usefixtures("tool")
def test_refused_cells_must_be_left_out_by_hand_and_nothing_typed_is_lost(client: Client) -> None:
    slip = slip_of(send(client, f"{T2}read/", MESSY))
    given = {"upload": slip, "trial": "T2", "press": "press 6", "age_h": "20,5", "read_by": "gauge room"}
    refused = client.post(f"{T2}read/", given)
    html = refused.content.decode()
    assert refused.status_code == 422
    assert "1 cell cannot be read" in html
    assert 'value="press 6"' in html
    assert 'value="20,5"' in html
    assert not Trial.objects.exists()

    kept = client.post(f"{T2}read/", {**given, "leave_out": "on", "shot_on": "2026-03-20"}, follow=True)
    assert kept.redirect_chain == [(T2, 302)]
    assert "7 readings of M2_T2.csv are kept in trial T2, state a. 1 cell left out." in kept.content.decode()
    trial = Trial.objects.get()
    assert (trial.press, trial.age_h, str(trial.shot_on)) == ("press 6", 20.5, "2026-03-20")
    assert bytes(SourceFile.objects.get().content) == MESSY
    assert Reading.objects.count() == 7
    assert list(uploads.folder().iterdir()) == []


@pytest.mark.usefixtures("tool")
def test_the_name_given_once_is_offered_again(client: Client) -> None:
    slip = slip_of(send(client, f"{T2}read/", MESSY))
    client.post(f"{T2}read/", {"upload": slip, "trial": "T2", "leave_out": "on", "read_by": "Gauge room 2"})
    html = client.get(send(client, f"{T2}read/", MESSY + b"22;1;3,97;24,6\r\n")).content.decode()
    assert 'value="Gauge room 2"' in html


@pytest.mark.usefixtures("tool")
def test_a_new_name_on_the_form_makes_a_trial_of_that_name(client: Client) -> None:
    slip = slip_of(send(client, f"{T2}read/", MESSY))
    answer = client.post(f"{T2}read/", {"upload": slip, "trial": "pilot / 2", "leave_out": "on"})
    assert answer.url == f"/p/{otter.SLUG}/M2/pilot%20~-%202/"
    assert client.get(answer.url).status_code == 200
    assert Trial.objects.get().name == "pilot / 2"


@pytest.mark.usefixtures("tool")
@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("age_h", "-1", "greater than or equal to 0"),
        ("age_h", "a day", "Give a number"),
        ("age_h", "nan", "Give a number"),
        ("shot_on", "31.02.2026", "valid date"),
        ("moulded_at", "yesterday", "Give day and time"),
        ("trial", "", "Give a name."),
        ("trial", "x" * 101, "At most 100"),
    ],
)
def test_a_mistake_is_said_at_its_field_with_what_was_typed(
    client: Client, field: str, value: str, said: str
) -> None:
    slip = slip_of(send(client, f"{T2}read/", MESSY))
    given = {"upload": slip, "trial": "T2", "leave_out": "on", field: value}
    answer = client.post(f"{T2}read/", given)
    html = answer.content.decode()
    assert answer.status_code == 422
    (error,) = re.findall(rf'<div id="id_{field}_error">(.*?)</div>', html, re.S)
    assert said in error
    assert f'value="{value}"' in html or value == ""
    assert faults(html) == []
    assert not Trial.objects.exists()


@pytest.mark.usefixtures("tool")
def test_the_same_file_twice_is_refused_with_where_it_is(client: Client) -> None:
    for _ in range(2):
        slip = slip_of(send(client, f"{T2}read/", MESSY))
        answer = client.post(f"{T2}read/", {"upload": slip, "trial": "T2", "leave_out": "on"})
    assert answer.status_code == 422
    assert "the same file was read before as M2_T2.csv in trial T2" in answer.content.decode()
    assert SourceFile.objects.count() == 1


@pytest.mark.usefixtures("tool")
def test_the_layout_can_be_set_and_a_file_that_does_not_fit_it_says_why(client: Client) -> None:
    preview = send(client, f"{T2}read/", MESSY)
    answer = client.get(f"{preview}&layout=long")
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing can be made of this file." in html
    assert re.search(r'<option value="long" selected>', html)
    assert faults(html) == []
    assert client.get(f"{preview}&layout=wide").status_code == 200
    said = client.get(f"{preview}&layout=long&format=json")
    assert said.status_code == 422
    assert said.json()["error"]


@pytest.mark.usefixtures("tool")
def test_a_preview_as_json_lists_what_the_page_lists(client: Client) -> None:
    told = client.get(send(client, f"{T2}read/", MESSY) + "&format=json").json()
    assert told["readings"] == 7
    assert [(cell["row"], cell["column"], cell["found"]) for cell in told["refused"]] == [(5, 4, "OOL")]


@pytest.mark.usefixtures("tool")
def test_a_file_that_is_too_large_is_refused_before_it_is_put_aside(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("offtool.exchange.readings.limits.LIMITS", {"bytes": forms_limit(100)})
    answer = client.post(f"{T2}read/", {"file": SimpleUploadedFile("big.csv", b"1" * 101)})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "101 bytes, at most 100 are read" in html
    assert faults(html) == []
    assert not uploads.folder().exists()


def forms_limit(most: int) -> object:
    from offtool.core.values import Range

    return Range(meaning="size of a file", unit="bytes", at_most=most, remedy="send it in several files")


@pytest.mark.usefixtures("tool")
def test_no_file_an_empty_file_and_a_picture_are_answered_in_words(client: Client) -> None:
    answer = client.post(f"{T2}read/", {})
    assert answer.status_code == 422
    assert faults(answer.content.decode()) == []
    for content in (b"", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"):
        answer = client.get(send(client, f"{T2}read/", content))
        assert answer.status_code == 422
        assert "Nothing can be made of this file." in answer.content.decode()


@pytest.mark.usefixtures("tool")
def test_a_slip_that_is_gone_asks_for_the_file_again(client: Client) -> None:
    for answer in (
        client.get(f"{T2}read/", {"upload": "old"}),
        client.post(f"{T2}read/", {"upload": "old", "trial": "T2"}),
    ):
        assert answer.status_code == 422
        assert "no longer held for its preview" in answer.content.decode()
        assert 'type="file"' in answer.content.decode()


@pytest.mark.usefixtures("tool")
def test_a_wicked_file_name_stays_a_name(client: Client) -> None:
    preview = send(client, f"{T2}read/", MESSY, name="../../<img src=x>.csv")
    html = client.get(preview).content.decode()
    assert "<img" not in html
    slip = slip_of(preview)
    client.post(f"{T2}read/", {"upload": slip, "trial": "T2", "leave_out": "on"})
    source = SourceFile.objects.get()
    assert "/" not in source.name
    header = client.get(f"{T2}files/{source.pk}/")["Content-Disposition"]
    assert header == 'attachment; filename="-img src=x-.csv"'


def test_a_report_alone_becomes_a_verdict(client: Client, db: None) -> None:
    preview = send(client, "/start/", REPORT, name="fai.csv")
    html = client.get(preview).content.decode()
    assert "4 readings of 2 sizes in 2 cavities" in html
    assert faults(html) == []
    given = {"upload": slip_of(preview), "tool": "M1", "part": "P1", "trial": "T1", "resin": "ABS"}

    nameless = client.post("/start/", given)
    assert nameless.status_code == 422
    assert not Programme.objects.exists()

    answer = client.post("/start/", {**given, "title": "River crab", "required_index": "1,33"}, follow=True)
    assert answer.redirect_chain == [("/p/river-crab/M1/T1/", 302)]
    assert "2 sizes" in Outline(answer.content.decode()).text

    again = client.post(
        "/start/", {**given, "upload": slip_of(send(client, "/start/", REPORT)), "title": "River crab"}
    )
    assert again.status_code == 422
    assert "there is a programme" in again.content.decode()
    assert 'value="River crab"' in again.content.decode()


@pytest.mark.usefixtures("tool")
def test_a_part_is_added_to_a_programme_from_its_page(client: Client) -> None:
    page = client.get(f"/p/{otter.SLUG}/").content.decode()
    assert f'<a href="/p/{otter.SLUG}/add/">Add a part from its first-article report</a>' in page
    add = f"/p/{otter.SLUG}/add/"
    assert faults(client.get(add).content.decode()) == []

    preview = send(client, add, REPORT, name="fai.csv")
    html = client.get(preview).content.decode()
    assert "4 readings of 2 sizes in 2 cavities" in html
    assert 'name="title"' not in html
    assert faults(html) == []
    assert not SourceFile.objects.exists()

    given = {"upload": slip_of(preview), "tool": "B2", "part": "HO-09", "trial": "T1", "resin": "ABS"}
    for name, there in (("tool", "M2"), ("part", Part.objects.get().code)):
        refused = client.post(add, {**given, name: there})
        assert refused.status_code == 422
        assert f"there is a {name} &#x27;{there}&#x27; in {otter.SLUG} already" in refused.content.decode()
    answer = client.post(add, given, follow=True)
    assert answer.redirect_chain == [(f"/p/{otter.SLUG}/B2/T1/", 302)]
    assert sorted(Tool.objects.values_list("code", flat=True)) == ["B2", "M2"]
    assert Programme.objects.count() == 1


@pytest.mark.usefixtures("tool")
def test_a_tool_and_a_part_that_are_added_are_named_by_hand(client: Client) -> None:
    add = f"/p/{otter.SLUG}/add/"
    html = client.get(send(client, add, REPORT)).content.decode()
    for name in ("tool", "part"):
        (field,) = re.findall(rf'<input[^>]*name="{name}"[^>]*>', html)
        assert "value=" not in field
    answer = client.post(add, {"upload": slip_of(send(client, add, REPORT)), "trial": "T1", "resin": "ABS"})
    assert answer.status_code == 422
    assert not SourceFile.objects.exists()


def test_a_part_cannot_be_added_to_a_programme_that_is_not_there(client: Client, db: None) -> None:
    assert client.get("/p/nobody/add/").status_code == 404


def test_the_resins_of_a_programme_are_offered_first_and_once() -> None:
    own = (Resin(code="ABS", name="house ABS"), Resin(code="X7", name=""))
    choices = forms.AddPartForm(resins=own).fields["resin"].choices  # type: ignore[attr-defined]
    assert choices[:2] == [("ABS", "ABS, house ABS"), ("X7", "X7")]
    assert [code for code, _ in choices].count("ABS") == 1


def test_the_forms_offer_what_the_steps_know() -> None:
    assert dict(forms.StartForm().fields["resin"].choices)["ABS"].startswith("ABS, ")  # type: ignore[attr-defined]
