"""Looking at a sample: what tells most first, three ways for each, only what was filled in is kept."""

from __future__ import annotations

import pytest
from django.test import Client

from offtool.handbook.sample_signs import SIGNS
from offtool.records.models import SampleColour, SampleSize, SeenDetail, SeenSign, Tool
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import PartSaid, register_sample
from offtool.steps.look_at_sample import FIRST, FoundOn, keep_what_was_found, sample_to_look_at
from offtool.web.forms.sample_look import USUAL_UNCERTAINTY_DE
from offtool.web.pages.frame import anchor
from tests.web import archived, otter
from tests.web.archived import NUMBER, SAMPLE
from tests.web.rendering import Outline, faults

LOOK = f"{SAMPLE}look/"
PEG = anchor("size", "torso", "12")
TORSO = anchor("colour", "torso")
VENT = anchor("detail", "left arm", "vent")


@pytest.fixture
def archive(trial: str) -> None:
    """The programme with its one piece."""
    archived.make_archive(Tool.objects.get())


def page(client: Client, address: str = LOOK) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def sent(client: Client, given: dict[str, str], *, status: int) -> str:
    answer = client.post(LOOK, given)
    html = answer.content.decode()
    assert answer.status_code == status, html
    if status != 302:
        assert faults(html) == []
    return html


def kept() -> int:
    models = (SeenDetail, SeenSign, SampleSize, SampleColour)
    return sum(one._default_manager.count() for one in models)


@pytest.mark.usefixtures("archive")
def test_everything_that_can_be_looked_at_stands_there_once_and_unchosen(client: Client) -> None:
    html = page(client)
    place = sample_to_look_at(otter.SLUG, NUMBER)
    looks = [*place.first, *(one for part in place.parts for one in part.looks)]
    names = [(one.part, one.kind, one.code) for one in looks]
    assert len(set(names)) == len(names)
    of_parts = sum(one.of_each_part for one in SIGNS.values())
    assert sum(kind == "sign" for _, kind, _ in names) == 3 * of_parts + len(SIGNS) - of_parts
    assert sum(kind == "detail" for _, kind, _ in names) == 3
    assert sum(kind == "size" for _, kind, _ in names) == len(otter.DRAWN)
    asked = sum(kind != "size" for _, kind, _ in names)
    assert html.count('type="radio"') == sum(len(one.outcomes) + 1 for one in looks if one.kind != "size")
    assert html.count(" checked") == asked, "each says that nobody looked"
    assert "Last seen: missing" in html


@pytest.mark.usefixtures("archive")
def test_what_tells_most_stands_first_with_what_it_would_say(client: Client) -> None:
    parts = (PartSaid(part="HO-02", label="torso"), PartSaid(part="HO-04"))
    register_sample(otter.SLUG, archived.piece(number="0500", parts=parts), **archived.TOLD)
    ahead = identify_sample(otter.SLUG, "0500").identified.look_next
    first = sample_to_look_at(otter.SLUG, "0500").first
    assert 0 < len(first) <= FIRST
    assert [(one.part, one.named) for one in first] == [(one.part, one.about) for one in ahead[: len(first)]]
    html = page(client, f"{archived.SAMPLES}0500/look/")
    assert html.index("These tell most") < html.index("The whole piece")
    for one in first:
        assert one.tells in Outline(html).text


@pytest.mark.usefixtures("archive")
def test_only_what_was_filled_in_is_kept(client: Client) -> None:
    before = kept()
    given = {
        f"saw-{VENT}": "there", f"unsure-{VENT}": "on",
        f"saw-{anchor('detail', 'right arm', 'vent')}": "missing",
        f"saw-{anchor('detail', 'torso', 'date-mark')}": "",
        f"saw-{anchor('sign', '', 'seam')}": "open, ridge whole",
        f"saw-{anchor('sign', 'torso', 'gate')}": "trimmed by hand",
        f"value-{PEG}": "3,974", f"plus-{PEG}": "0.002",
        f"lightness-{TORSO}": "61.5", f"a-{TORSO}": "45", f"b-{TORSO}": "−3,5", f"place-{TORSO}": "belly",
        f"illuminant-{TORSO}": "D50", f"observer-{TORSO}": "2",
        "note": "by the window", "looked_by": "Ada",
    }  # fmt: skip
    sent(client, given, status=302)
    assert kept() == before + 6
    left = SeenDetail.objects.get(sample_part__label="left arm")
    assert (left.is_there, left.is_sure, left.note, left.seen_by) == (True, False, "by the window", "Ada")
    right = SeenDetail.objects.get(sample_part__label="right arm")
    assert (right.is_there, right.is_sure) == (False, True)
    seam = SeenSign.objects.get(sign="seam")
    assert (seam.sample_part, seam.outcome) == (None, "open, ridge whole")
    gate = SeenSign.objects.select_related("sample_part").get(sign="gate")
    assert gate.sample_part is not None
    assert gate.sample_part.label == "torso"
    size = SampleSize.objects.get()
    assert (size.value, size.uncertainty) == (3.974, 0.002)
    colour = SampleColour.objects.get(place="belly")
    assert (colour.lightness, colour.a, colour.b) == (61.5, 45.0, -3.5)
    assert (colour.illuminant, colour.observer, colour.uncertainty_de) == ("D50", 2, USUAL_UNCERTAINTY_DE)
    assert "6 things are kept." in client.get(SAMPLE).content.decode()


@pytest.mark.usefixtures("archive")
@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({f"value-{PEG}": "four"}, "Give a number, such as 4.02."),
        ({f"value-{PEG}": "1e300"}, "No size is as large as that"),
        ({f"value-{PEG}": "nan"}, "Give a number, such as 4.02."),
        ({f"plus-{PEG}": "0.01"}, "Give the value that was measured, too."),
        ({f"value-{PEG}": "4", f"plus-{PEG}": "-1"}, "An uncertainty is 0 or more"),
        ({f"lightness-{TORSO}": "60"}, "A colour is L*, a* and b*: give all three."),
        ({f"lightness-{TORSO}": "600", f"a-{TORSO}": "1", f"b-{TORSO}": "1"}, "L* lies between 0 and 120."),
        ({f"saw-{VENT}": "perhaps"}, "Choose one of: there, missing."),
    ],
)
def test_what_cannot_be_stands_at_its_row_and_nothing_is_kept_or_lost(
    client: Client, given: dict[str, str], said: str
) -> None:
    before = kept()
    fine = {f"saw-{anchor('sign', '', 'seam')}": "welded", "note": "by the window"}
    html = sent(client, fine | given, status=422)
    assert said in Outline(html).text
    assert "Nothing was kept: see the marked one." in html
    assert "by the window" in html
    assert 'value="welded" checked' in html
    for value in given.values():
        assert f'value="{value}"' in html or value == "perhaps"
    assert kept() == before


@pytest.mark.usefixtures("archive")
def test_an_empty_sheet_is_told_so(client: Client) -> None:
    before = kept()
    assert "Nothing was kept: say what you saw, missed or measured." in sent(
        client, {"note": "x"}, status=422
    )
    assert kept() == before


@pytest.mark.usefixtures("archive")
def test_one_look_is_kept_whole_or_not_at_all() -> None:
    from offtool.core.values import OfftoolError

    before = kept()
    found = [
        FoundOn(part="left arm", kind="detail", code="vent", outcome="there"),
        FoundOn(part="left arm", kind="detail", code="no such detail", outcome="there"),
    ]
    with pytest.raises(OfftoolError):
        keep_what_was_found(otter.SLUG, NUMBER, found, at=otter.NOW, by="Ada")
    assert kept() == before


@pytest.mark.usefixtures("archive")
def test_a_piece_without_parts_can_be_looked_at_as_a_whole(client: Client) -> None:
    register_sample(otter.SLUG, archived.piece(number="0500"), **archived.TOLD)
    html = page(client, f"{archived.SAMPLES}0500/look/")
    assert "Add its parts first" in html
    assert len({one.code for one in sample_to_look_at(otter.SLUG, "0500").parts[-1].looks}) + len(
        sample_to_look_at(otter.SLUG, "0500").first
    ) == len(SIGNS)
    assert client.get(f"{archived.SAMPLES}nothing/look/").status_code == 404
