"""Card and piece are marked by typing; colours are shown, then kept; nothing typed is lost."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from django.test import Client

from offtool.records.models import SampleColour
from offtool.steps.colour_from_photograph import colours_from_photograph, place_of_photograph
from offtool.steps.keep_sample import PartSaid, SampleSaid, photograph_sample, register_sample
from offtool.steps.plain import as_plain
from offtool.web.forms.card_colour import MarksForm
from offtool.web.pages.card_colour import card_colour_page
from tests.steps import card_picture
from tests.steps.card_picture import CARD
from tests.steps.test_colour_from_photograph import MARKS
from tests.steps.told_apart import PART, make_told_apart
from tests.web.otter import NOW, SLUG
from tests.web.rendering import Outline, faults, render_page

NUMBER = "0417"
TYPED = {
    "kind": "grid", "corners": "55 15; 93 15; 93 60; 55 60", "rows": "3", "columns": "4", "light": "D65/2",
    "part_0": PART, "place_0": "back", "box_0": "10 20 30 60", "made_by": "ida",
}  # fmt: skip


@pytest.fixture
def key(db: None) -> int:
    """A photograph of a piece with a card."""
    make_told_apart()
    register_sample(SLUG, SampleSaid(number=NUMBER, parts=(PartSaid(part=PART),)), at=NOW, by="x")
    return photograph_sample(SLUG, NUMBER, card_picture.photograph(), "otter.png", at=NOW, by="x")


def address(key: int) -> str:
    return f"/p/{SLUG}/samples/{NUMBER}/photographs/{key}/colour/"


def card(content: str = CARD) -> io.BytesIO:
    file = io.BytesIO(content.encode())
    file.name = "card.csv"
    return file


def test_the_photograph_is_shown_with_a_scale_for_typing(client: Client, key: int) -> None:
    html = client.get(address(key)).content.decode()
    assert faults(html) == []
    assert f'href="/p/{SLUG}/samples/{NUMBER}/photographs/{key}.jpg"' in html
    assert "with a scale in per cent along its edges" in html
    assert html.count('class="tick-says"') == 18
    assert client.get(address(key + 1)).status_code == 404


def test_colours_are_shown_and_nothing_is_kept_yet(client: Client, key: int) -> None:
    answer = client.post(address(key), {**TYPED, "card": card(), "show": "1"})
    html = answer.content.decode()
    assert answer.status_code == 200
    assert faults(html) == []
    found = colours_from_photograph(SLUG, NUMBER, key, MARKS)
    text = Outline(html).text
    assert found.headline in text
    for words in ("give or take", "12 of 12 patches", "Values from card.csv", "Keep these colours"):
        assert words in text
    assert html.count("<rect x=") >= 12
    assert not SampleColour.objects.exists()


def test_json_is_the_result_of_the_step(client: Client, key: int) -> None:
    answer = client.post(address(key), {**TYPED, "card": card(), "format": "json"})
    assert answer.json() == as_plain(colours_from_photograph(SLUG, NUMBER, key, MARKS))


def test_what_was_shown_is_kept_without_sending_the_card_again(client: Client, key: int) -> None:
    html = client.post(address(key), {**TYPED, "card": card(), "show": "1"}).content.decode()
    start = html.index('name="card_slip" value="') + len('name="card_slip" value="')
    slip = html[start : html.index('"', start)]
    answer = client.post(address(key), {**TYPED, "card_slip": slip, "keep": "1"})
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/p/{SLUG}/samples/{NUMBER}/")
    kept = SampleColour.objects.get()
    shown = colours_from_photograph(SLUG, NUMBER, key, MARKS).regions[0].colour
    assert (kept.lightness, kept.place, kept.seen_by) == (shown.lightness, "back", "ida")


def test_one_grey_patch_needs_no_file(client: Client, key: int) -> None:
    grey = {**TYPED, "kind": "grey", "corners": "74 15; 83.5 15; 83.5 30; 74 30", "grey_lightness": "65"}
    answer = client.post(address(key), {**grey, "rows": "", "columns": "", "show": "1"})
    assert answer.status_code == 200
    assert "one patch cannot show how well" in answer.content.decode()


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"corners": ""}, "corners", "Mark the card on the picture"),
        ({"corners": "1 2 3"}, "corners", "Give four corners"),
        ({"corners": "55 15; 93 60; 93 15; 55 60"}, "corners", "must go round the card"),
        ({"box_0": ""}, "box_0", "Mark a region of the piece"),
        ({"box_0": "30 20 10 60"}, None, "from its upper left to its lower right"),
        ({"box_0": "120 20 130 60"}, "box_0", "Give left, top, right and bottom"),
        ({"rows": ""}, "rows", "Count its rows."),
        ({"rows": "5"}, "rows", "the file has 12"),
        ({"kind": "grey"}, "grey_lightness", "Give the L* of the grey."),
        ({"card_slip": "forged"}, "card", "no longer held"),
    ],
)
def test_marks_that_cannot_be_are_said_at_their_field_and_stay_typed(
    client: Client, key: int, changed: dict[str, str], field: str | None, said: str
) -> None:
    sent = {**TYPED, **changed, "show": "1"}
    if "card_slip" not in changed:
        sent["card"] = card()  # type: ignore[assignment]
    answer = client.post(address(key), sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert faults(html) == []
    at = html.index(f'id="id_{field}_error"') if field else html.index('role="alert"')
    assert said in html[at : at + 400]
    assert 'value="back"' in html
    assert not SampleColour.objects.exists()


def test_a_file_that_is_no_card_is_refused_in_words(client: Client, key: int) -> None:
    answer = client.post(address(key), {**TYPED, "card": card("patch,colour\nP1,red\n"), "show": "1"})
    assert answer.status_code == 422
    assert "card.csv" in answer.content.decode()


def test_every_field_of_the_page_is_there(key: int) -> None:
    place = place_of_photograph(SLUG, NUMBER, key)
    found = colours_from_photograph(SLUG, NUMBER, key, MARKS)
    shown = card_colour_page(place, MarksForm(place), found=found, card_name="card.csv")
    render_page("card_colour.html", shown)
    render_page("card_colour.html", replace(shown, shown=None))
