"""Reading the file of a joint test: shown first, told more of, kept, and refused in words."""

from __future__ import annotations

from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import JointTest
from offtool.steps.joint_places import place_of_joint_test
from tests.web import jointed, otter
from tests.web.jointed import JOINT
from tests.web.rendering import Outline, faults

READ = f"{JOINT}read/"
BLANK = dict.fromkeys(("inner_trial", "outer_trial", "gauge", "done_on", "sheet"), "")


@pytest.fixture(autouse=True)
def shoulder(trial: str) -> None:
    """The arm's peg in the torso."""
    jointed.make_arm()
    jointed.a_joint()


def upload(client: Client, text: str, name: str = "torque.csv") -> str:
    """Send a file; gives the address of its preview."""
    answer = client.post(READ, {"file": SimpleUploadedFile(name, text.encode())})
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def slip(address: str) -> str:
    return parse_qs(urlsplit(address).query)["upload"][0]


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def test_a_test_is_shown_then_told_more_of_and_kept(client: Client) -> None:
    assert "cavity of each part" in page(client, READ)
    address = upload(client, jointed.torque_csv())
    text = Outline(page(client, address)).text
    for words in ("24 readings of 8 pieces, every cell read.", "HO-04 of M3 T1", "HO-02 of M2 T1",
                  "Breakaway torque, N·m", "1 with 1"):  # fmt: skip
        assert words in text
    told = {**BLANK, "inner_trial": "M3 T1", "gauge": "G3", "done_on": "2026-03-20"}
    assert "G3" in page(client, f"{address}&{urlencode(told)}")
    given = {**told, "upload": slip(address), "name": "torque 1", "read_by": "lab", "note": "dry"}
    answer = client.post(READ, given)
    assert answer.status_code == 302, answer.content
    assert answer["Location"] == JOINT
    kept = JointTest.objects.get()
    assert (kept.name, kept.read_by, kept.note, str(kept.done_on)) == ("torque 1", "lab", "dry", "2026-03-20")
    assert "24 readings of torque.csv are kept as torque 1." in page(client, JOINT)
    again = client.post(READ, given)
    assert again.status_code == 422
    assert "no longer held" in again.content.decode()


def test_json_of_a_preview_is_what_the_step_understood(client: Client) -> None:
    address = upload(client, jointed.torque_csv())
    seen = client.get(f"{address}&format=json").json()
    assert (seen["readings"], seen["inner_trial"]) == (24, "M3 T1")


def test_cells_that_cannot_be_read_are_named_and_left_out_on_request(client: Client) -> None:
    address = upload(client, jointed.torque_csv().replace("\n2,2,1,", "\n2,9,1,", 1))
    html = page(client, address)
    assert "is no cavity of HO-04" in html
    given = {**BLANK, "upload": slip(address), "name": "torque 1", "read_by": "", "note": ""}
    refused = client.post(READ, given)
    assert refused.status_code == 422
    assert faults(refused.content.decode()) == []
    assert client.post(READ, {**given, "leave_out": "on"}).status_code == 302
    assert JointTest.objects.get().readings.count() == 23


def test_a_file_that_is_no_test_can_be_chosen_again(client: Client) -> None:
    address = upload(client, "hello\nworld\n")
    answer = client.get(address)
    assert answer.status_code == 422
    assert "Nothing can be made of this file." in answer.content.decode()
    assert faults(answer.content.decode()) == []
    assert client.get(f"{address}&format=json").status_code == 422
    without = client.post(READ, {})
    assert without.status_code == 422
    assert "Choose a file first." in without.content.decode()
    gone = client.get(f"{READ}?upload=nothing")
    assert gone.status_code == 422
    assert "no longer held" in gone.content.decode()


def test_a_wrong_day_is_said_before_anything_is_kept(client: Client) -> None:
    address = upload(client, jointed.torque_csv())
    given = {**BLANK, "done_on": "yesterday", "upload": slip(address), "name": "t", "read_by": "", "note": ""}
    answer = client.post(READ, given)
    assert answer.status_code == 422
    assert "in the margin" in answer.content.decode()
    assert not JointTest.objects.exists()


def test_the_next_name_is_free_and_the_newest_trial_comes_first() -> None:
    jointed.keep_test("test 1")
    place = place_of_joint_test(otter.SLUG, "shoulder")
    assert place.next_name == "test 2"
    assert (place.inner_trials, place.outer_trials) == (("M3 T1",), ("M2 T1",))


def test_an_unknown_joint_is_answered_by_its_name(client: Client) -> None:
    answer = client.get(READ.replace("shoulder", "sholder"))
    assert answer.status_code == 404
    assert "shoulder" in answer.content.decode()
