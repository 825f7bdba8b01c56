"""The page of a change of colour: what it answers, how it refuses, and how a file of shots is read."""

from __future__ import annotations

import io
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.test import Client

from offtool.handbook.terms import TrialPurpose
from offtool.records.models import ColourChange, ColourShot, Job, Press, Tool
from offtool.steps.colour_change import ColourAsked, find_change
from offtool.steps.plain import as_plain
from offtool.web import uploads
from tests.steps import coloured
from tests.steps.coloured import BROWN, DAY, YELLOW
from tests.steps.pressed import Shape, shaped
from tests.web import otter
from tests.web.rendering import Outline, faults

COLOUR = f"/p/{otter.SLUG}/colour/"
READ = f"{COLOUR}P1/read/"
ON = {"on": DAY.isoformat()}
TOLD = {
    "old_lightness": BROWN[0], "old_a": BROWN[1], "old_b": BROWN[2], "old_name": "brown",
    "new_lightness": YELLOW[0], "new_a": YELLOW[1], "new_b": YELLOW[2], "new_name": "yellow",
    "shot_g": coloured.SHOT_G, "purge_kg": "", "resin": "", "tool": "", "illuminant": "D65", "observer": "10",
    "done_on": "2026-03-02", "sheet": "",
}  # fmt: skip


@pytest.fixture
def bare(db: None, monkeypatch: pytest.MonkeyPatch) -> Tool:
    """The tool, and no press yet."""
    shaped(monkeypatch, Shape())
    return otter.make_programme()


@pytest.fixture
def tool(bare: Tool) -> Tool:
    """The tool beside presses that run colours."""
    coloured.make_coloured(bare)
    return Tool.objects.get(pk=bare.pk)


def page(client: Client, address: str = COLOUR, status: int = 200, **asked: str) -> str:
    answer = client.get(address, {**ON, **asked} if address == COLOUR else asked)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def test_without_a_press_it_says_what_to_do_first(client: Client, bare: Tool) -> None:
    html = client.get(COLOUR).content.decode()
    assert "No press is written down yet" in Outline(html).text
    assert f'href="/p/{otter.SLUG}/told-apart-by/"' in html
    assert faults(html) == []


def test_it_answers_at_once_for_what_runs_and_what_waits(client: Client, tool: Tool) -> None:
    html = page(client)
    found = find_change(otter.SLUG, ColourAsked(), on=DAY)
    outline = Outline(html)
    assert html.index("<h1>") < html.index("What to do") < html.index("What it rests on")
    for words in (
        found.headline,
        "Shoot in yellow, which is on the press",
        "serves all that is asked",
        "When purging pays",
        "only trained people",
        "Shots from each colour to each other on P1",
        "None is read yet",
    ):
        assert words.casefold() in outline.text.casefold(), words
    assert html.count('class="washout"') == 2
    assert html.count('class="break-even"') == 1
    assert all(one.get("aria-label") for one in outline.drawings)


def test_json_is_the_result_of_the_step(client: Client, tool: Tool) -> None:
    told = client.get(COLOUR, {**ON, "press": "P1", "format": "json"}).json()
    assert told == as_plain(find_change(otter.SLUG, ColourAsked(press="P1"), on=DAY))


def test_pom_after_pvc_stands_above_everything_and_no_field_takes_it_away(client: Client, tool: Tool) -> None:
    coloured.ask(tool, "T5", TrialPurpose.SIZES, resin="POM")
    asked = {"press": "P2", "new": f"trial {tool.code} T5"}
    for more in ({}, {"limit_de": "50"}, {"trial_shots": "5", "worth_per_shot": "1000"}):
        html = page(client, **asked, **more)
        assert html.index('role="alert"') < html.index("What to do")
        assert "must never meet" in Outline(html).text
        assert "Take another press" in html
        assert 'class="washout"' not in html


def test_a_typed_colour_and_numbers_are_taken(client: Client, tool: Tool) -> None:
    typed = {"new_lightness": "28", "new_a": "2", "new_b": "−15", "new_name": "navy", "new_resin": "ABS",
             "shot_g": "12,5", "cycle_s": "9", "trial_shots": "40", "worth_per_shot": "0.8"}  # fmt: skip
    text = Outline(page(client, **typed)).text
    for words in ("until navy is inside ΔE 1", "12.5 g, as given", "9 s, as given", "With 40 shots"):
        assert words in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"limit_de": "x"}, "Give a number"),
        ({"shot_g": "0"}, "Give 0.01 or more"),
        ({"new_lightness": "50"}, "give all three or none"),
        ({"old": "job P9 J-1"}, "Choose one of the list"),
        ({"new_lightness": "110", "new_a": "0", "new_b": "0"}, "no surface"),
        ({"press": "P3"}, "nothing is known to have run on P3"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(
    client: Client, tool: Tool, asked: dict[str, str], said: str
) -> None:
    html = page(client, status=422, **asked)
    assert said in Outline(html).text
    answer = client.get(COLOUR, {**ON, **asked, "format": "json"})
    assert answer.status_code == 422
    assert answer.json()["error"]


def test_a_press_with_nothing_on_it_can_still_be_asked_with_a_typed_colour(
    client: Client, tool: Tool
) -> None:
    text = Outline(page(client, press="P3", old_lightness="50", old_a="0", old_b="0", old_resin="ABS")).text
    assert "The largest shot of P3" in text


def test_a_colour_nobody_measured_gets_a_question_mark_in_the_table(client: Client, tool: Tool) -> None:
    Job.objects.create(press=Press.objects.get(code="P3"), code="J-1", colour="grey", begins=DAY)
    html = page(client)
    assert "?</td>" in html
    assert "the shop's rule stands" in Outline(html).text.replace("’", "'")


def test_a_measured_change_is_drawn_with_its_fit_and_set_aside_with_a_reason(
    client: Client, tool: Tool
) -> None:
    kept = coloured.keep(otter.SLUG)
    html = page(client)
    text = Outline(html).text
    assert "16 shots of 1 change tell" in text
    assert "By the fit" in text
    assert html.count('class="measured"') == 16
    file = client.get(f"{COLOUR}P1/{kept.change_id}/")
    assert b"".join(file.streaming_content) == coloured.shots_csv().encode()  # type: ignore[attr-defined]
    assert client.get(f"{COLOUR}P2/{kept.change_id}/").status_code == 404
    told = {"press": "P1", "change": "change 1", "made_by": "press hall"}
    refused = client.post(COLOUR, {**told, "reason": ""})
    assert refused.status_code == 422
    assert "Say why in a few words" in refused.content.decode()
    done = client.post(COLOUR, {**told, "reason": "it stood between"}, follow=True)
    assert "change 1 of P1 is set aside" in done.content.decode()
    assert ColourChange.objects.get().set_aside == "it stood between"


def upload(client: Client, text: str) -> str:
    sent = io.BytesIO(text.encode())
    sent.name = coloured.FILE
    answer = client.post(READ, {"file": sent})
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def slip(address: str) -> str:
    return parse_qs(urlsplit(address).query)["upload"][0]


def test_a_file_is_shown_then_told_then_kept(client: Client, tool: Tool) -> None:
    assert "How to measure it" in page(client, READ)
    address = upload(client, coloured.shots_csv())
    html = page(client, address)
    assert "16 shots of brown_to_yellow.csv: 1 thing to mend first" in Outline(html).text
    assert "Say both colours" in Outline(html).text
    html = page(client, f"{address}&{urlencode(TOLD)}")
    assert "every cell read" in Outline(html).text
    assert "tell what barrel and feed hold" in Outline(html).text
    assert not ColourChange.objects.exists()
    given = {**TOLD, "upload": slip(address), "name": "March", "read_by": "press hall", "note": "dry day"}
    answer = client.post(READ, given)
    assert answer.status_code == 302, answer.content
    kept = ColourChange.objects.get()
    assert (kept.name, kept.note, kept.from_name, str(kept.done_on)) == (
        "March",
        "dry day",
        "brown",
        "2026-03-02",
    )
    assert ColourShot.objects.count() == 16
    assert list(uploads.folder().iterdir()) == []
    assert (
        "16 shots of brown_to_yellow.csv are kept as March of P1"
        in client.get(answer["Location"]).content.decode()
    )


def test_what_the_file_does_not_say_is_mended_before_it_is_kept(client: Client, tool: Tool) -> None:
    address = upload(client, coloured.shots_csv())
    wrong = {**TOLD, "shot_g": "", "upload": slip(address), "name": "March"}
    answer = client.post(READ, wrong)
    assert answer.status_code == 422
    assert "Weigh one shot" in answer.content.decode()
    assert faults(answer.content.decode()) == []
    assert not ColourChange.objects.exists()


def test_cells_that_cannot_be_read_are_listed_and_left_out_only_by_hand(client: Client, tool: Tool) -> None:
    address = upload(client, coloured.shots_csv().replace("\n8,", "\n8,x", 1))
    html = page(client, f"{address}&{urlencode(TOLD)}")
    assert "1 cell cannot be read" in Outline(html).text
    given = {**TOLD, "upload": slip(address), "name": "March"}
    assert client.post(READ, given).status_code == 422
    assert client.post(READ, {**given, "leave_out": "on"}).status_code == 302


def test_a_file_that_holds_no_shots_can_be_chosen_again(client: Client, tool: Tool) -> None:
    address = upload(client, "hello\nworld\n")
    html = page(client, address, status=422)
    assert "Choose another file" in html
