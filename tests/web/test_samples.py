"""The register of samples: searched, a piece entered with its parts, nothing typed lost, all changes kept."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client

from offtool.records.models import Sample, SamplePart, Tool
from offtool.steps import sample_history
from offtool.steps.identify_sample import identify_sample, list_samples
from offtool.steps.keep_sample import PartSaid, register_sample
from offtool.steps.plain import as_plain
from tests.web import archived, otter
from tests.web.archived import NUMBER, SAMPLE, SAMPLES
from tests.web.rendering import Outline, faults

NEW = f"{SAMPLES}new/"
GIVEN = {
    "rows": "3", "number": "0418", "name": "loose otter", "place": "window sill", "holder": "", "purpose": "",
    "disposition": "", "found_on": "2026-04-02", "build": "EP1", "note": "", "made_by": "Ada",
    "part0-part": "HO-02", "part0-label": "", "part0-run": "M2/T1", "part0-state": "", "part0-cavity": "3",
    "part0-shot": "41", "part0-colour": "orange",
    "part2-part": "HO-04", "part2-label": "left arm", "part2-colour": "mint",
}  # fmt: skip


@pytest.fixture
def ground(trial: str) -> None:
    """A programme without a sample."""
    archived.make_ground(Tool.objects.get())


@pytest.fixture
def archive(trial: str) -> None:
    """The programme with its one piece."""
    archived.make_archive(Tool.objects.get())


def page(client: Client, address: str, *, status: int = 200, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def sent(client: Client, address: str, given: dict[str, str], *, status: int) -> str:
    answer = client.post(address, given)
    html = answer.content.decode()
    assert answer.status_code == status, html
    if status != 302:
        assert faults(html) == []
    return html


@pytest.mark.usefixtures("ground")
def test_an_empty_register_says_what_to_do_first(client: Client) -> None:
    html = page(client, SAMPLES)
    assert "What to do first" in html
    assert f'href="{NEW}"' in html
    assert "labels.pdf" not in html
    assert f'href="{SAMPLES}"' in page(client, f"/p/{otter.SLUG}/")


@pytest.mark.usefixtures("archive")
def test_the_register_says_of_each_piece_what_where_who_and_how_much_was_seen(client: Client) -> None:
    html = page(client, SAMPLES)
    text = Outline(html).text
    for words in (NUMBER, "otter without paint", "torso, left arm, right arm", "no tag", "drawer C4",
                  "archive", "to be told", "3 things, 1 photograph"):  # fmt: skip
        assert words in text
    assert f'href="{SAMPLE}"' in html
    assert "-small.jpg" in html


@pytest.mark.usefixtures("archive")
def test_a_search_is_answered_by_pieces_that_have_all_its_words(client: Client) -> None:
    register_sample(otter.SLUG, archived.piece(number="0500", place="shelf 9"), **archived.TOLD)
    assert NUMBER not in Outline(page(client, SAMPLES, words="shelf otter")).text
    html = page(client, SAMPLES, words="DRAWER left")
    assert NUMBER in html
    assert 'value="DRAWER left"' in html
    assert "0500" not in html
    nothing = page(client, SAMPLES, words="walrus")
    assert "No sample has all of these words" in nothing
    told = client.get(SAMPLES, {"words": "shelf", "format": "json"}).json()
    assert told == as_plain(list_samples(otter.SLUG, words="shelf"))
    assert client.get("/p/nowhere/samples/").status_code == 404


@pytest.mark.usefixtures("ground")
def test_a_piece_is_registered_with_its_parts_and_what_their_tags_say(client: Client) -> None:
    assert 'value="0001"' in page(client, NEW)
    sent(client, NEW, GIVEN, status=302)
    kept = Sample.objects.get()
    assert (kept.number, kept.place, kept.build and kept.build.code) == ("0418", "window sill", "EP1")
    assert (str(kept.found_on), kept.registered_by) == ("2026-04-02", "Ada")
    torso, arm = SamplePart.objects.order_by("pk")
    assert (torso.label, torso.trial and torso.trial.name, torso.shot) == ("HO-02", "T1", 41)
    assert (torso.cavity and torso.cavity.label, torso.colour) == ("3", "orange")
    assert (arm.label, arm.tool, arm.colour) == ("left arm", None, "mint")
    assert 'value="Ada"' in page(client, NEW)
    assert 'value="0419"' in page(client, NEW)


@pytest.mark.usefixtures("archive")
@pytest.mark.parametrize(
    ("changed", "said", "field"),
    [
        ({"number": NUMBER}, f"there is a sample {NUMBER} already", "id_number_error"),
        ({"number": ""}, "Give a name.", "id_number_error"),
        ({"found_on": "soon"}, "Give a day", "id_found_on_error"),
        ({"part0-cavity": "9"}, "No cavity 9 makes this part: M2 has the cavities 1, 2, 3, 4.",
         "id_part0-cavity_error"),
        ({"part0-shot": "x"}, "Give a whole number.", "id_part0-shot_error"),
        ({"part0-part": ""}, "Choose which part it is.", "id_part0-part_error"),
        ({"part2-part": "HO-02", "part2-label": ""}, "Two parts are called HO-02", "id_part2-label_error"),
    ],
)  # fmt: skip
def test_what_cannot_be_stands_at_its_field_and_nothing_typed_is_lost(
    client: Client, changed: dict[str, str], said: str, field: str
) -> None:
    html = sent(client, NEW, GIVEN | changed, status=422)
    assert said in html[html.index(f'id="{field}"') :]
    for typed in ("loose otter", "orange", "mint"):
        assert f'value="{typed}"' in html
    assert Sample.objects.count() == 1


@pytest.mark.usefixtures("ground")
def test_more_parts_are_asked_for_without_losing_or_keeping_anything(client: Client) -> None:
    html = sent(client, NEW, GIVEN | {"more": "1"}, status=200)
    assert 'name="rows" value="6"' in html
    assert 'name="part5-part"' in html
    assert 'value="left arm"' in html
    assert 'value="41"' in html
    assert Sample.objects.count() == 0
    sent(client, NEW, GIVEN | {"rows": "6"}, status=302)
    assert SamplePart.objects.count() == 2


@pytest.mark.usefixtures("archive")
def test_what_is_said_is_changed_and_what_was_said_stays_to_be_seen(client: Client) -> None:
    html = page(client, f"{SAMPLE}change/")
    assert 'value="drawer C4"' in html
    given = {"name": "otter without paint", "place": "cabinet 2", "holder": "archive", "build": "EP1",
             "reason": "moved", "made_by": "Ada"}  # fmt: skip
    sent(client, f"{SAMPLE}change/", given, status=302)
    found = identify_sample(otter.SLUG, NUMBER)
    assert (found.place, found.purpose, found.build) == ("cabinet 2", "", "EP1")
    text = Outline(page(client, SAMPLE)).text
    for words in ("Where it lies", "drawer C4", "cabinet 2", "moved", "Ada", "Build on its tag"):
        assert words in text


@pytest.mark.usefixtures("archive")
def test_a_part_is_added_and_its_tag_changed(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    address = f"{SAMPLE}parts/"
    monkeypatch.setattr(sample_history, "ENTERED_TOGETHER", timedelta(0))
    sent(client, address, {"part": "HO-04", "label": "torso"}, status=422)
    sent(client, address, {"part": "HO-04", "label": "paw", "run": "M2/T2", "made_by": "Ada"}, status=302)
    assert 'value="paw"' in page(client, f"{address}paw/")
    wrong = sent(client, f"{address}paw/", {"part": "HO-04", "label": "paw", "cavity": "1"}, status=422)
    assert "M2 has the cavities 5." in wrong
    given = {"part": "HO-04", "label": "paw", "run": "M2/T1", "cavity": "5", "note": "tag torn"}
    sent(client, f"{address}paw/", given, status=302)
    kept = SamplePart.objects.select_related("trial").get(label="paw")
    assert (kept.trial and kept.trial.name, kept.note) == ("T1", "tag torn")
    text = Outline(page(client, SAMPLE)).text
    assert "T1 of M2, cavity 5" in text
    assert "Part added" in text
    page(client, f"{address}tail/", status=404)


@pytest.mark.usefixtures("archive")
def test_a_part_that_was_looked_at_stays_that_part(client: Client) -> None:
    html = sent(client, f"{SAMPLE}parts/torso/", {"part": "HO-04", "label": "torso"}, status=422)
    assert 'id="id_part_error"' in html
    assert SamplePart.objects.get(label="torso").part.code == "HO-02"


@pytest.mark.usefixtures("ground")
def test_a_number_of_any_signs_leads_to_its_page(client: Client) -> None:
    for number in ("7/3", "a b", "..", "№ 9~"):
        told = archived.piece(number=number, parts=(PartSaid(part="HO-02"),))
        register_sample(otter.SLUG, told, **archived.TOLD)
    html = page(client, SAMPLES)
    for link in {one for one in Outline(html).links if one.startswith(SAMPLES) and one.count("/") == 5}:
        assert client.get(link).status_code == 200, link
