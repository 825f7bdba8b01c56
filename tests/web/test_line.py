"""The pages of a line: verdict first, then what to do, the drawing, why; forms that keep or name a slip."""

from __future__ import annotations

import json
import re
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.records.models import Line, LineTask, Programme
from offtool.records.operations import define_line
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import BreakSaid, adopt, keep_break
from offtool.steps.know_line import know_line
from offtool.steps.line_table import EXAMPLE, table_of
from offtool.steps.plain import as_plain
from tests.steps.lined import LINE, ONE_EACH, SLUG, make_line, name_station
from tests.web.rendering import Outline, faults

pytestmark = pytest.mark.django_db
LINES = f"/p/{SLUG}/line/"
PAGE = f"{LINES}boat%20line/"
LONG = 26


def get(client: Client, address: str = PAGE, **given: object) -> str:
    answer = client.get(address, given)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def post(client: Client, address: str, **given: object) -> str:
    """What is answered to a form that is kept: the page it leads to."""
    answer = client.post(address, given)
    assert answer.status_code == 302, answer.content.decode()
    return str(answer.headers["Location"])


def refused(client: Client, address: str, **given: object) -> str:
    answer = client.post(address, given)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert faults(html) == []
    return html


@pytest.fixture(autouse=True)
def no_tokens(client: Client) -> None:
    client.handler.enforce_csrf_checks = False


def test_verdict_first_then_what_to_do_the_drawing_the_stations_and_why(client: Client) -> None:
    make_line()
    html = get(client)
    found = balance_line(SLUG)
    text = Outline(html).text
    assert found.headline in text
    marks = ("<h1>", "What to do", 'id="drawing"', 'id="adopt"', 'id="stations"', 'id="why"', 'id="presses"')
    places = [html.index(one) for one in marks]
    assert places == sorted(places)
    for task in ONE_EACH:
        assert task in text
    assert "fewer do not" in text
    for caution in found.cautions:
        assert caution.text in text
    (drawing,) = Outline(html).drawings
    assert "cycle 30 s" in str(drawing["aria-label"])


def test_a_station_that_is_left_over_is_offered_to_be_taken_out(client: Client) -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    adopt(SLUG, LINE, {**ONE_EACH, "pack": 5}, by="x")
    html = get(client)
    assert "Take station 6 out" in html
    assert f'href="{PAGE}stations/6/"' in html


def test_a_narrow_page_says_that_the_drawing_moves(client: Client) -> None:
    make_line()
    assert "the drawing moves sideways" in get(client)


def test_json_is_the_result_of_the_step(client: Client) -> None:
    make_line()
    assert client.get(PAGE, {"format": "json"}).json() == as_plain(balance_line(SLUG))
    asked = client.get(PAGE, {"people": "4", "format": "json"}).json()
    assert asked == as_plain(balance_line(SLUG, people=4))


def test_a_programme_without_a_line_says_what_to_do_and_shows_a_table(client: Client) -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    html = get(client, LINES)
    text = Outline(html).text
    assert "No line is written down yet" in text
    assert f"{LINES}read/" in html
    for row in EXAMPLE.splitlines():
        assert row in text


def test_the_only_line_is_found_without_its_name(client: Client) -> None:
    line = make_line()
    assert client.get(LINES).headers["Location"] == PAGE
    define_line(line.programme, "second", {}, made_by="x")
    assert "Line second" in Outline(get(client)).text
    assert "has no task yet" in get(client, f"{LINES}second/")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"rate": "100"}, "where 100 are asked for"),
        ({"people": "4"}, "so many stations make no more"),
        ({"people": "5", "stations": "3"}, "shared out over 3 stations"),
        ({"rate": "100,5"}, "100.5 are asked for"),
        ({"rate": "300"}, "the time of weld, 18 s, must be at most the cycle, 12 s"),
        ({"stations": "400"}, ""),
    ],
)
def test_other_questions_are_answered_or_refused_at_their_field(
    client: Client, asked: dict[str, str], words: str
) -> None:
    make_line()
    answer = client.get(PAGE, asked)
    html = answer.content.decode()
    assert answer.status_code == (200 if words else 422)
    assert words in Outline(html).text
    assert faults(html) == []


@pytest.mark.parametrize("asked", [{"rate": "soon"}, {"rate": "90", "people": "3"}, {"seconds": "61"}])
def test_a_question_that_cannot_be_is_marked_and_the_plan_shown(
    client: Client, asked: dict[str, str]
) -> None:
    make_line()
    answer = client.get(PAGE, asked)
    assert answer.status_code == 422
    assert balance_line(SLUG).headline in Outline(answer.content.decode()).text
    assert client.get(PAGE, {**asked, "format": "json"}).status_code == 422


def test_the_proposal_is_adopted_and_the_page_then_compares(client: Client) -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    html = get(client)
    assert "As adopted, and as proposed" in html
    places = re.search(r'name="places" value="([^"]+)"', html)
    assert places is not None
    sent = places[1].replace("&quot;", '"')
    assert post(client, PAGE, places=sent, made_by="Kim") == PAGE
    found = balance_line(SLUG)
    assert found.adopted is not None
    assert len(found.adopted.stations) == 3  # 87 s of work, 30 s each
    assert found.moved == ()
    assert LineTask.history.filter(history_user_id="Kim").exists()
    assert "Adopt what is proposed" not in get(client)


@pytest.mark.parametrize("places", ["", "[]", "{", '{"clip": 1}', '{"clip": "x"}'])
def test_places_that_are_not_understood_or_cannot_be_are_refused(client: Client, places: str) -> None:
    make_line()
    html = refused(client, PAGE, places=places, made_by="x")
    assert 'role="alert"' in html
    assert not LineTask.objects.exclude(placed_at=None).exists()


def test_the_plan_is_changed_in_per_cent(client: Client) -> None:
    make_line()
    form = get(client, f"{PAGE}plan/")
    assert 'name="planned_per_h" value="120"' in form
    given = {"planned_per_h": "150", "planned_final_yield": "98", "people": "9", "made_by": "Kim"}
    assert post(client, f"{PAGE}plan/", **given) == PAGE
    known = know_line(SLUG)
    assert (known.planned_per_h, known.planned_final_yield, known.people) == (150, 0.98, 9)
    html = refused(client, f"{PAGE}plan/", planned_final_yield="120")
    assert "120 % must be at most 100" in html


def test_a_new_line_is_entered(client: Client) -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    get(client, f"{LINES}new/")
    assert post(client, f"{LINES}new/", name="boat line", planned_per_h="120") == PAGE
    assert "There is a line" in refused(client, f"{LINES}new/", name="boat line")


def test_a_station_is_entered_changed_and_taken_out(client: Client) -> None:
    make_line()
    get(client, f"{PAGE}stations/")
    given = {"number": "2", "name": "welder", "people": "2", "fails": "2,5", "has": "welder", "made_by": "x"}
    assert post(client, f"{PAGE}stations/", **given) == f"{PAGE}#stations"
    found = know_line(SLUG).station_numbered(2)
    assert found is not None
    assert (found.name, found.people, found.fails, found.has) == ("welder", 2, 0.025, ("welder",))
    assert 'value="2.5"' in get(client, f"{PAGE}stations/2/")
    assert "0 must be at least 1" in refused(client, f"{PAGE}stations/2/", people="0")
    post(client, f"{PAGE}stations/2/", take_out="on")
    assert know_line(SLUG).stations == ()
    get(client, f"{PAGE}stations/7/")  # of which nothing is said yet


def test_a_task_is_entered_changed_and_taken_out(client: Client) -> None:
    make_line()
    given = {"task": "sticker", "time_s": "4", "after": "look; arms", "needs": "printer", "side": "either"}
    assert post(client, f"{PAGE}tasks/", **given) == f"{PAGE}#stations"
    task = know_line(SLUG).task_named("sticker")
    assert task is not None
    assert (set(task.after), task.needs, task.readings) == ({"look", "arms"}, ("printer",), 0)
    html = refused(client, f"{PAGE}tasks/sticker/", **{**given, "after": "loook"})
    assert "did you mean &#x27;look&#x27;?" in html
    ring = {"task": "look", "time_s": "7", "after": "pack", "side": "either"}
    assert "pack → look → pack" in refused(client, f"{PAGE}tasks/look/", **ring)
    post(client, f"{PAGE}tasks/sticker/", **given, take_out="on")
    assert know_line(SLUG).task_named("sticker") is None
    assert client.get(f"{PAGE}tasks/sticker/").status_code == 404


def test_equipment_feeds_and_breaks_are_entered(client: Client) -> None:
    line = make_line()
    line.programme.tools.create(code="M1", name="hull")
    get(client, f"{PAGE}equipment/welder/")
    post(client, f"{PAGE}equipment/welder/", at_most="2")
    refused(client, f"{PAGE}equipment/welder/", at_most="0")
    assert {one.name: one.at_most for one in know_line(SLUG).equipment}["welder"] == 2
    post(client, f"{PAGE}presses/", tool="M1", cycle_s="36", rejects="1,5", task="clip")
    assert know_line(SLUG).presses[0].rejects == 0.015
    assert 'value="1.5"' in get(client, f"{PAGE}presses/M1/")
    post(client, f"{PAGE}presses/M1/", take_out="on")
    post(client, f"{PAGE}breaks/", begins_h="2", ends_h="2,25")
    assert "2 h to 2.25 h" in get(client)
    assert "not after" in refused(client, f"{PAGE}breaks/", begins_h="3", ends_h="2")
    post(client, f"{PAGE}breaks/out/", begins_h="2", station="")
    known = know_line(SLUG)
    assert (known.presses, known.breaks) == ((), ())


def read_table(client: Client, address: str, text: str, **how: str) -> tuple[str, str]:
    """The address of the preview, and the preview itself."""
    shown = post(client, address, file=SimpleUploadedFile("tasks.csv", text.encode()))
    sent = dict(parse_qsl(urlsplit(shown).query))
    html = client.get(address, {**sent, **how}).content.decode()
    assert faults(html) == []
    return sent["upload"], html


def test_a_table_is_shown_before_it_is_kept(client: Client) -> None:
    make_line()
    text = table_of(know_line(SLUG)).decode("utf-8-sig").replace("weld,,18,", "weld,,19,")
    upload, html = read_table(client, f"{PAGE}read/", text)
    assert "changed: time" in html
    assert LineTask.objects.get(name="weld").time_s == 18
    assert post(client, f"{PAGE}read/", upload=upload, read_by="Kim") == PAGE
    assert LineTask.objects.get(name="weld").time_s == 19


def test_a_table_makes_a_line_once_it_has_a_name_and_its_times_a_unit(client: Client) -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    text = EXAMPLE.replace(" [s]", "")
    _, html = read_table(client, f"{LINES}read/", text)
    assert "The line has no name" in html
    assert "The times have no unit" in html
    how = {"line": "boat line", "unit": "s"}
    upload, html = read_table(client, f"{LINES}read/", text, **how)
    assert "6 tasks" in html
    assert not Line.objects.exists()
    assert post(client, f"{LINES}read/", upload=upload, read_by="Kim", **how) == PAGE
    assert len(know_line(SLUG).tasks) == 6


def test_a_table_with_a_ring_is_refused_with_the_ring(client: Client) -> None:
    make_line()
    text = table_of(know_line(SLUG)).decode("utf-8-sig").replace("clip,,12,1.5,12,", "clip,,12,1.5,12,look")
    _, html = read_table(client, f"{PAGE}read/", text)
    assert "clip → weld → look → clip" in html
    assert "Keep these tasks" not in html


def test_table_and_sheet_are_handed_out(client: Client) -> None:
    make_line()
    table = b"".join(client.get(f"{PAGE}tasks.csv").streaming_content)  # type: ignore[attr-defined]
    assert table == table_of(know_line(SLUG))
    sheet = b"".join(client.get(f"{PAGE}sheet.pdf").streaming_content)  # type: ignore[attr-defined]
    assert sheet.startswith(b"%PDF")


def test_people_who_are_shared_out_are_adopted_on_the_page(client: Client) -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    html = client.get(PAGE, {"people": "5", "stations": "3"}).content.decode()
    found = balance_line(SLUG, people=5, stations=3)
    assert found.proposal is not None
    assert f"station {found.manned[0].station}: {found.manned[0].now} people, not 1" in html
    places = {placed.task: load.station for load in found.proposal.stations for placed in load.tasks}
    people = {one.station: one.now for one in found.manned}
    sent = {"places": json.dumps(places), "people": json.dumps(people), "made_by": "Kim"}
    assert client.post(PAGE, sent).status_code == 302
    after = balance_line(SLUG).adopted
    assert after is not None
    assert after.people == found.proposal.people
    assert client.post(PAGE, sent | {"people": "[1]"}).status_code == 422
    assert client.post(PAGE, sent | {"people": '{"1": 0}'}).status_code == 422


def test_what_people_call_things_is_shown_as_text(client: Client) -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    name_station(line, 3, name="<b>bench</b> & more")
    LineTask.objects.filter(name="look").update(title="<script>alert(1)</script>", name="l" * LONG + "<i>")
    keep_break(SLUG, LINE, BreakSaid(begins_h=1.0, ends_h=1.5), by="x")
    html = get(client)
    assert "<script>alert" not in html
    assert "<b>bench</b>" not in html
    assert "<i>" not in html


def test_an_unknown_line_task_or_equipment_is_not_found(client: Client) -> None:
    make_line()
    for address in (f"{LINES}boot/", f"{PAGE}tasks/wold/", f"{PAGE}equipment/wilder/", f"{PAGE}presses/M9/"):
        assert client.get(address).status_code == 404
