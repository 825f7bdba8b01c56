"""The pages of pilots: written down, read, shown with their reasons, set aside, as JSON and as a PDF."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import Pilot, PilotFile
from offtool.steps.judge_pilot import judge_pilot, pilots_of_programme
from offtool.steps.plain import as_plain
from tests.steps import piloted
from tests.web import otter
from tests.web import piloted as whole
from tests.web.piloted import PILOT, PILOTS, RAMP, read_of
from tests.web.rendering import Outline, faults

pytestmark = pytest.mark.django_db


def html_of(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


@pytest.fixture
def line(db: None) -> None:
    """The line and its pilot, with no sheet read."""
    otter.make_programme()
    piloted.make_line()
    piloted.make_pilot()


def test_without_a_line_the_list_says_what_to_do_first(client: Client) -> None:
    otter.make_programme()
    assert "Write down the line." in html_of(client, PILOTS)
    assert "Write down the line." in html_of(client, f"{PILOTS}new/")


def test_without_a_pilot_the_list_says_how_one_is_run(client: Client) -> None:
    otter.make_programme()
    piloted.make_line()
    assert "Write down a pilot." in html_of(client, PILOTS)


def test_a_pilot_is_written_down_and_changed(client: Client) -> None:
    otter.make_programme()
    otter.read_trial(otter.readings_csv())
    piloted.make_line()
    html = html_of(client, f"{PILOTS}new/")
    assert 'value="P1"' in html
    given: dict[str, Any] = {
        "name": "P1", "line": piloted.LINE, "ran_on": "2026-04-09", "pieces": "152", "hours": "3,5",
        "people": "4", "trials": [f"{otter.TOOL} {otter.TRIAL}"], "note": "first run", "made_by": "me",
    }  # fmt: skip
    answer = client.post(f"{PILOTS}new/", given)
    assert (answer.status_code, answer["Location"]) == (302, PILOT)
    pilot = Pilot.objects.get()
    assert (str(pilot.ran_on), pilot.pieces, pilot.hours, pilot.note) == ("2026-04-09", 152, 3.5, "first run")
    html = html_of(client, f"{PILOT}change/")
    assert 'value="3.5"' in html
    assert client.post(f"{PILOT}change/", given | {"pieces": "150", "trials": []}).status_code == 302
    pilot.refresh_from_db()
    assert (pilot.pieces, pilot.trials.count()) == (150, 0)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"pieces": "0"}, "Give 1 or more"),
        ({"hours": "0"}, "Give 0.01 or more"),
        ({"people": "some"}, "Give a whole number"),
        ({"name": ""}, "Give a name."),
        ({"ran_on": "soon"}, "Give a day"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(
    client: Client, line: None, wrong: dict[str, str], said: str
) -> None:
    answer = client.post(f"{PILOTS}new/", {"name": "P2", "line": piloted.LINE, **wrong})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert faults(answer.content.decode()) == []
    assert Pilot.objects.count() == 1


def test_a_pilot_without_sheets_names_each_with_one_to_copy(client: Client, line: None) -> None:
    text = Outline(html_of(client, PILOT)).text
    for kind in ("counts", "defects", "times", "audits"):
        assert f"No sheet of {kind} is read" in text
    assert "station,hour,tried,good first,reworked good,scrapped" in text


def test_the_page_says_verdict_what_to_do_and_why(client: Client) -> None:
    whole.make_all()
    html = html_of(client, PILOT)
    text = Outline(html).text
    for words in (
        "P1 made 112 good of 152 started and 31 an hour of the 40 planned: paint limits it.",
        "Bring paint from 210.0 s to 174.6 s, or give it more hands.",
        "31 good pieces an hour (24 to 37), 40 planned.",
        "152 started: 112 good, 4 scrapped, 36 still in the line.",
        "Waiting when it ended: 26 before paint and 10 before pack.",
        "85.6 % (78.2 to 91.2 %)",
        "Whole line, the first time",
        "one piece in ten over 221.5 s",
        "B 204.8 s, C 215.2 s",
        "13.00 (7.11 to 21.81), 60 % of all",
        "torso seam, pull",
        "No station is shown to have got better or worse.",
        "trained for it; the rules of the shop decide",
        "lets go under load",
        "P1, against all that is planned and asked: does not hold",
        "Defects by cost, in the money of the line's piece cost",
    ):
        assert words in text, words
    assert html.count('class="pilot-bar"') == 5 + 3 + 4
    assert html.count('class="audit"') == 2
    assert html.count('class="pilot-hours"') == 1


def test_json_of_the_pages_is_the_result_of_the_steps(client: Client, line: None) -> None:
    piloted.keep_all()
    assert client.get(f"{PILOT}?format=json").json() == as_plain(judge_pilot(otter.SLUG, piloted.PILOT))
    assert client.get(f"{PILOTS}?format=json").json() == as_plain(pilots_of_programme(otter.SLUG))


def test_a_sheet_is_set_aside_with_a_reason_only(client: Client, line: None) -> None:
    piloted.keep_all()
    key = PilotFile.objects.get(kind="counts").pk
    refused = client.post(PILOT, {"sheet": key, "reason": ""})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert faults(refused.content.decode()) == []
    assert client.post(PILOT, {"sheet": key, "reason": "counted twice", "made_by": "me"}).status_code == 302
    assert "set aside: counted twice" in html_of(client, PILOT)
    assert client.post(PILOT, {"sheet": "x", "reason": "why"}).status_code == 404


def test_a_sheet_is_opened_again_byte_for_byte(client: Client, line: None) -> None:
    piloted.keep_all()
    key = PilotFile.objects.get(kind="times").pk
    answer = client.get(f"{PILOT}sheets/{key}/")
    assert b"".join(answer).decode() == piloted.TIMES  # type: ignore[call-overload]
    assert client.get(f"{PILOT}sheets/{key + 100}/").status_code == 404


def test_the_report_is_a_pdf(client: Client, line: None) -> None:
    piloted.keep_all()
    answer = client.get(f"{PILOT}report.pdf")
    assert b"".join(answer)[:5] == b"%PDF-"  # type: ignore[call-overload]


def test_names_that_are_not_there_are_answered_in_words(client: Client, line: None) -> None:
    assert "No pilot &#x27;P9&#x27;" in html_of(client, f"{PILOTS}P9/", 404)
    html_of(client, PILOTS.replace("harbour", "harbor"), 404)
    assert client.get(read_of("weights")).status_code == 404


def upload(client: Client, kind: str, given: dict[str, Any]) -> str:
    answer = client.post(read_of(kind), given)
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def file_of(text: str, name: str = "counts.csv") -> dict[str, Any]:
    return {"file": SimpleUploadedFile(name, text.encode())}


def test_a_sheet_is_shown_then_told_more_of_and_kept(client: Client, line: None) -> None:
    html = html_of(client, read_of("counts"))
    assert "station, hour, tried, good first, reworked good, scrapped" in html
    address = upload(client, "counts", file_of(piloted.COUNTS))
    text = Outline(html_of(client, address)).text
    assert "12 counts in counts.csv, every row read." in text
    assert "107 of 125 good the first time, 15 after rework" in text
    assert not PilotFile.objects.exists()
    slip = parse_qs(urlsplit(address).query)["upload"][0]
    html_of(client, f"{address}&{urlencode({'begins': '8:00', 'sheet': ''})}")
    given = {"upload": slip, "begins": "", "sheet": "", "name": "shift 1", "note": "", "read_by": "me"}
    answer = client.post(read_of("counts"), given)
    assert (answer.status_code, answer["Location"]) == (302, PILOT)
    assert PilotFile.objects.get().name == "shift 1"
    assert "12 rows of counts.csv are kept as counts shift 1 of pilot P1." in html_of(client, PILOT)


def test_cells_pasted_from_a_spreadsheet_are_kept_as_they_are(client: Client, line: None) -> None:
    pasted = piloted.COUNTS.replace(",", "\t")
    address = upload(client, "counts", {"pasted": pasted})
    assert "12 counts in pasted.csv, every row read." in html_of(client, address)
    slip = parse_qs(urlsplit(address).query)["upload"][0]
    assert (
        client.post(read_of("counts"), {"upload": slip, "begins": "", "sheet": "", "name": "1"}).status_code
        == 302
    )
    kept = PilotFile.objects.get()
    assert (kept.file_name, bytes(kept.content).decode().replace("\r\n", "\n")) == ("pasted.csv", pasted)


def test_a_file_or_its_cells_but_not_both_nor_neither(client: Client, line: None) -> None:
    neither = client.post(read_of("counts"), {})
    assert neither.status_code == 422
    assert "Choose a file first, or paste its cells." in neither.content.decode()
    both = client.post(read_of("counts"), {**file_of("x"), "pasted": "y"})
    assert both.status_code == 422
    assert "not both" in both.content.decode()
    assert faults(both.content.decode()) == []


def test_rows_that_cannot_be_taken_are_listed_and_left_out_only_by_hand(client: Client, line: None) -> None:
    wrong = piloted.COUNTS.replace("paint,1,26,20", "paint,1,26,29").replace("pack,4", "packing,4")
    address = upload(client, "counts", file_of(wrong))
    text = Outline(html_of(client, address)).text
    assert "2 rows or cells cannot be taken." in text
    assert "is more than the 26 tried: a yield over 1 cannot be" in text
    assert "is no station of line otter line" in text
    slip = parse_qs(urlsplit(address).query)["upload"][0]
    given = {"upload": slip, "begins": "", "sheet": "", "name": "1"}
    assert client.post(read_of("counts"), given).status_code == 422
    assert client.post(read_of("counts"), given | {"leave_out": "on"}).status_code == 302


def test_a_file_that_is_no_sheet_can_be_chosen_again(client: Client, line: None) -> None:
    address = upload(client, "audits", file_of("hello\nworld\n"))
    assert "Nothing can be made of this file." in html_of(client, address, 422)
    wrong = upload(client, "counts", file_of(piloted.COUNTS))
    assert "Write it on the clock" in html_of(client, f"{wrong}&begins=soon")


def test_the_ramp_names_the_day_and_its_band(client: Client, line: None) -> None:
    piloted.keep_all()
    html = html_of(client, f"{RAMP}?starts_on=2026-04-13")
    text = Outline(html).text
    assert "2,000 good pieces are there on 21 April 2026" in text
    assert 'class="ramp"' in html
    assert "Day by day" in text, "every day of a short ramp is a row"
    assert "fitted to 3 hours of P1 after the first" in text
    found = client.get(f"{RAMP}?starts_on=2026-04-13&format=json").json()
    assert found["dates"]["middle"] == "2026-04-21"
    later = client.get(f"{RAMP}?starts_on=2026-04-13&quantity=4000&format=json").json()
    assert later["dates"]["middle"] > found["dates"]["middle"]
    longer = Outline(html_of(client, f"{RAMP}?starts_on=2026-04-13&quantity=12000")).text
    assert "working days" in longer
    assert "Day by day" not in longer


@pytest.mark.parametrize("address", [PILOT, RAMP])
def test_cautions_stand_on_paper_too(client: Client, line: None, address: str) -> None:
    """A section of class further is not printed."""
    piloted.keep_all()
    html = html_of(client, address)
    hidden = re.findall(r'<section class="further">.*?</section>', html, flags=re.DOTALL)
    assert hidden
    assert 'class="caution' in html
    assert not [one for one in hidden if 'class="caution' in one]


def test_a_ramp_without_counts_says_what_is_missing(client: Client, line: None) -> None:
    assert "No ramp yet: say the counts of P1, hour by hour." in html_of(client, RAMP)


def test_a_ramp_asked_wrongly_is_answered_at_its_field(client: Client, line: None) -> None:
    piloted.keep_all()
    assert "Give 100 at most" in html_of(client, f"{RAMP}?planned_yield=120", 422)
    assert "Give a whole number" in html_of(client, f"{RAMP}?quantity=many", 422)
