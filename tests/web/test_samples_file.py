"""A register read from a file: shown as it is understood, then kept; what cannot be read is named by cell."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import Sample, SamplePart, Tool
from tests.web import archived
from tests.web.archived import NUMBER, SAMPLES
from tests.web.rendering import Outline, faults
from tests.web.sent_of_form import sent_of_form

READ = f"{SAMPLES}read/"
FILE = b"""Number,What it is,Part,Part label,Trial,Tool,Cavity,Where
0601,loose arm,HO-04,left arm,T2,M2,5,drawer 9
0602,otter,HO-02,,,,,drawer 9
0602,otter,HO-04,arm,,,,drawer 9
"""


@pytest.fixture
def archive(trial: str) -> None:
    """The programme with its one piece."""
    archived.make_archive(Tool.objects.get())


def previewed(client: Client, content: bytes) -> tuple[str, str]:
    """The address of the preview, and its page."""
    answer = client.post(READ, {"file": SimpleUploadedFile("drawer9.csv", content)})
    assert answer.status_code == 302, answer.content
    address = answer.headers["Location"]
    html = client.get(address).content.decode()
    assert faults(html) == []
    return address, html


@pytest.mark.usefixtures("archive")
def test_a_file_is_shown_as_it_is_understood_and_then_kept(client: Client) -> None:
    assert f'href="{READ}"' in client.get(SAMPLES).content.decode()
    assert faults(client.get(READ).content.decode()) == []
    address, html = previewed(client, FILE)
    text = Outline(html).text
    for words in (
        "2 samples of drawer9.csv, every cell read.",
        "0601",
        "loose arm",
        "left arm (HO-04): T2 of M2, cavity 5",
        "HO-02; arm (HO-04)",
        "drawer 9",
    ):
        assert words in text
    assert Sample.objects.count() == 1
    assert [one["number"] for one in client.get(f"{address}&format=json").json()["samples"]] == [
        "0601",
        "0602",
    ]
    answer = client.post(READ, {**sent_of_form(html), "read_by": "Ada"})
    assert (answer.status_code, answer.headers["Location"]) == (302, SAMPLES)
    assert "2 samples of drawer9.csv are registered." in client.get(SAMPLES).content.decode()
    left = SamplePart.objects.select_related("trial", "cavity").get(label="left arm", sample__number="0601")
    assert (left.trial and left.trial.name, left.cavity and left.cavity.label) == ("T2", "5")


@pytest.mark.usefixtures("archive")
def test_what_cannot_be_read_is_named_by_cell_and_left_out_only_when_said(client: Client) -> None:
    _, html = previewed(client, FILE.replace(b"0601,loose arm,HO-04", b"0601,loose arm,HO-99"))
    text = Outline(html).text
    assert "row 2, column 3" in text
    assert "HO-99" in text
    sent = {name: value for name, value in sent_of_form(html).items() if name != "leave_out"}
    refused = client.post(READ, sent)
    assert refused.status_code == 422
    assert Sample.objects.count() == 1
    assert client.post(READ, sent | {"leave_out": "on"}).status_code == 302
    assert set(Sample.objects.values_list("number", flat=True)) == {NUMBER, "0602"}


@pytest.mark.usefixtures("archive")
@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02", b"a,b\n1,2\n"])
def test_a_file_of_which_nothing_can_be_made_says_so(client: Client, content: bytes) -> None:
    answer = client.post(READ, {"file": SimpleUploadedFile("x.csv", content)}, follow=True)
    assert answer.status_code in (200, 422)
    assert faults(answer.content.decode()) == []
    assert Sample.objects.count() == 1
