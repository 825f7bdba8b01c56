"""Looking at pieces at the press: what is ticked is kept, what is not is not, photographs tell nothing."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image
from pytest_django import DjangoAssertNumQueries

from offtool.records.models import Defect, Look, Photograph, Programme, Trial
from offtool.steps.findings_at_press import look_back
from offtool.steps.plain import as_plain
from offtool.web.pages.frame import TrialPlace, anchor
from offtool.web.pages.press import press_section
from tests.exchange.test_pictures import HERE, photograph
from tests.web import otter
from tests.web.rendering import Outline, faults, render_page

NAMES = (otter.SLUG, otter.TOOL, otter.TRIAL)
PLACE = TrialPlace(
    programme=otter.SLUG,
    programme_title="Harbour otter",
    invented=True,
    tool=otter.TOOL,
    state="a",
    trial="T1",
)


@pytest.fixture
def looking(trial: str) -> str:
    """The address of the page on which pieces are looked at."""
    return f"{trial}look/"


def of(cavity: str, defect: str = "") -> str:
    mark = anchor("in", cavity)
    return f"{mark}-{anchor('of', defect)}" if defect else mark


def seen(cavity: str, defect: str, *, place: str = "", count: str = "") -> dict[str, str]:
    mark = of(cavity, defect)
    return {f"seen-{mark}": "on", f"place-{mark}": place, f"count-{mark}": count}


def clean(*cavities: str) -> dict[str, str]:
    return {f"clean-{of(cavity)}": "on" for cavity in cavities}


def wrong(html: str) -> list[str]:
    """What is wrong in a page; a script that comes from here is no inline one."""
    return [one for one in faults(html) if 'src="/static/' not in one]


def kept() -> Iterator[tuple[str, int | None, int, list[tuple[str, int, str]]]]:
    for look in Look.objects.order_by("pk"):
        flaws = [(one.defect.code, one.pieces, one.place) for one in look.flaws.order_by("pk")]
        yield str(look.cavity or ""), look.shot_number, look.pieces, flaws


def text(client: Client, address: str, **given: object) -> str:
    return client.get(address, **given).content.decode()  # type: ignore[arg-type]


def test_what_is_ticked_is_kept_and_a_cavity_without_a_tick_is_not(client: Client, looking: str) -> None:
    sent = {"shot": "12", "looked_by": "tooling", **seen("2", "flash", place=" left  ear"), **clean("1")}
    answer = client.post(looking, sent, follow=True)
    assert answer.redirect_chain == [(looking, 302)]
    assert list(kept()) == [("1", 12, 1, []), ("2", 12, 1, [("flash", 1, "left ear")])]
    html = answer.content.decode()
    assert "Shot 12 is kept: cavity 2 flash; cavity 1 nothing wrong." in html
    assert "Shot 13 of T1: what do you see?" in html
    assert 'value="tooling"' in html
    assert "flash, left ear, open since T1" in html
    assert Look.objects.first().looked_by == "tooling"  # type: ignore[union-attr]


def test_one_tap_says_that_nothing_was_wrong_in_any_cavity(client: Client, looking: str) -> None:
    answer = client.post(looking, {"shot": "3", "nothing_wrong": "1"}, follow=True)
    assert list(kept()) == [(cavity, 3, 1, []) for cavity in "1234"]
    assert "Shot 3 is kept: all 4 cavities nothing wrong." in answer.content.decode()


@pytest.mark.parametrize("given", ["pieces", "note", "clean", "photo"])
def test_nothing_wrong_in_all_cavities_keeps_what_is_said_of_pieces_of_an_unknown_one(
    client: Client, looking: str, given: str
) -> None:
    said = {"pieces": "5", "note": "from the box", "clean": "on", "photo": sent_photo()}[given]
    answer = client.post(looking, {"shot": "3", "nothing_wrong": "1", f"{given}-{of('')}": said}, follow=True)
    html = answer.content.decode()
    assert "Shot 3 is kept: all 4 cavities and one not known nothing wrong." in html
    assert list(kept())[-1] == ("", 3, 5 if given == "pieces" else 1, [])
    look = Look.objects.get(cavity=None)
    assert (look.note, look.photographs.count()) == ("from the box" * (given == "note"), given == "photo")


def test_pieces_of_an_unknown_cavity_alone_are_named_so(client: Client, looking: str) -> None:
    answer = client.post(looking, {"shot": "3", **clean("")}, follow=True)
    assert "Shot 3 is kept: cavity not known nothing wrong." in answer.content.decode()


def test_several_pieces_need_to_know_on_how_many(client: Client, looking: str) -> None:
    pieces = {f"pieces-{of('2')}": "24"}
    answer = client.post(looking, {**pieces, **seen("2", "flash")})
    assert answer.status_code == 422
    assert "Say on how many of the 24 pieces there is flash." in answer.content.decode()
    assert wrong(answer.content.decode()) == []
    client.post(looking, {**pieces, **seen("2", "flash", count="9")})
    assert list(kept()) == [("2", None, 24, [("flash", 9, "")])]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Nothing was kept: tick what you saw, or say that nothing was wrong."),
        ({"shot": "twelve", **clean("1")}, "Give a whole number."),
        ({**clean("2"), **seen("2", "flash")}, "Nothing wrong, and flash: take one of the two ticks away."),
        ({"nothing_wrong": "1", **seen("2", "flash")}, "Nothing wrong, and flash"),
        ({**clean("2"), f"pieces-{of('2')}": "0"}, "Say how many pieces were looked at"),
        ({**seen("2", "flash", count="2")}, "Flash is on 1 to 1 of the pieces, not 2."),
        ({**seen("2", "flash", count="many")}, "Flash is on 1 to 1 of the pieces, not many."),
        ({f"note-{of('2')}": "odd"}, "Tick what you saw, or that nothing was wrong."),
    ],
)
def test_what_cannot_be_is_said_at_its_cavity_and_nothing_is_kept(
    client: Client, looking: str, sent: dict[str, str], said: str
) -> None:
    answer = client.post(looking, sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in html
    assert wrong(html) == []
    assert Look.objects.count() == 0


def test_what_was_ticked_stays_ticked_when_something_was_wrong(client: Client, looking: str) -> None:
    answer = client.post(looking, {"shot": "x", **seen("3", "core-shift", place="neck", count="1")})
    html = answer.content.decode()
    mark = of("3", "core-shift")
    assert f'name="seen-{mark}" checked' in html
    assert f'name="place-{mark}" value="neck"' in html


def test_the_same_shot_is_not_looked_at_twice_in_one_cavity(client: Client, looking: str) -> None:
    for status in (302, 422):
        assert client.post(looking, {"shot": "3", "nothing_wrong": "1"}).status_code == status
    assert Look.objects.count() == 4


def test_a_tap_on_the_list_means_that_defect_also_when_the_list_has_changed(
    client: Client, looking: str
) -> None:
    """A tick carries the defect's code, not its place on a list that someone may change meanwhile."""
    Defect.objects.create(programme=Programme.objects.get(), code="a b/ü", name="own word")
    assert "Own word" in text(client, looking)
    client.post(looking, {**seen("1", "a b/ü"), **seen("2", "flash")})
    assert [flaws for *_, flaws in kept()] == [[("a b/ü", 1, "")], [("flash", 1, "")]]


def test_the_page_has_no_fault_empty_and_full(client: Client, looking: str) -> None:
    assert wrong(text(client, looking)) == []
    sent = {
        "shot": "12",
        **seen("2", "flash", place="<b>ear</b>"),
        **clean("1"),
        f"photo-{of('2')}": sent_photo(),
    }
    client.post(looking, sent)
    html = text(client, looking)
    assert wrong(html) == []
    assert "<b>ear</b>" not in html
    assert "only trained people work at the press, with its guards closed" in html.replace("\n", " ")


def test_a_trial_that_is_not_there_is_made_with_its_first_look(client: Client, looking: str) -> None:
    client.post(looking, {"shot": "1", **seen("2", "flash")})
    new = looking.replace("/T1/", "/T2/")
    html = text(client, new)
    assert "T2 is made with the first look" in html
    assert "flash, open since T1" in html
    assert wrong(html) == []
    assert not Trial.objects.filter(name="T2").exists()
    client.post(new, {"shot": "1", **clean("2")})
    assert Trial.objects.get(name="T2").state.label == "a"
    assert "not shown gone" in text(client, new).lower()


def sent_photo(content: bytes | None = None, name: str = "IMG_0007.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(
        name, content if content is not None else photograph(size=(900, 600), orientation=6)
    )


@pytest.fixture
def pictured(client: Client, looking: str) -> Photograph:
    """A look with a photograph."""
    answer = client.post(looking, {"shot": "12", **seen("2", "flash"), f"photo-{of('2')}": sent_photo()})
    assert answer.status_code == 302
    return Photograph.objects.get()


def test_the_bytes_of_a_photograph_are_kept_and_what_is_shown_tells_nothing(
    client: Client, looking: str, pictured: Photograph
) -> None:
    assert bytes(pictured.content) == photograph(size=(900, 600), orientation=6)
    assert (pictured.width, pictured.height) == (600, 900)
    assert pictured.flaw is not None
    assert pictured.flaw.defect.code == "flash"
    for end, longest in ((".jpg", 900), ("-small.jpg", 320)):
        answer = client.get(f"{looking}photographs/{pictured.pk}{end}")
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
        assert HERE not in answer.content
        assert max(Image.open(io.BytesIO(answer.content)).size) == longest


def test_a_photograph_the_browser_has_is_not_drawn_again(
    client: Client, looking: str, pictured: Photograph
) -> None:
    address = f"{looking}photographs/{pictured.pk}.jpg"
    tag = client.get(address)["ETag"]
    answer = client.get(address, headers={"if-none-match": tag})
    assert (answer.status_code, answer.content) == (304, b"")
    assert answer["ETag"] == tag


def test_a_photograph_is_found_under_its_own_trial_only(
    client: Client, looking: str, pictured: Photograph
) -> None:
    trial = Trial.objects.get()
    Trial.objects.create(tool=trial.tool, name="T2", state=trial.state)
    assert client.get(f"{looking.replace('/T1/', '/T2/')}photographs/{pictured.pk}.jpg").status_code == 404
    assert client.get(f"{looking}photographs/{pictured.pk + 1}.jpg").status_code == 404


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no picture", "is no picture that can be read"),
        (b"\0\0\0\x18ftypheic", "is a HEIC picture"),
        (photograph()[:300], "cut off or broken"),
    ],
)
def test_what_is_no_photograph_is_refused_in_words_and_the_look_with_it(
    client: Client, looking: str, content: bytes, said: str
) -> None:
    answer = client.post(looking, {**seen("2", "flash"), f"photo-{of('2')}": sent_photo(content)})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in html
    assert "IMG_0007.jpg" in html
    assert "Choose the photographs again" in html
    assert Look.objects.count() == 0


def test_json_is_the_findings_with_links_to_photographs_and_never_their_bytes(
    client: Client, looking: str, pictured: Photograph
) -> None:
    answer = client.get(looking, {"format": "json"})
    assert answer["Content-Type"] == "application/json"
    found = json.loads(answer.content)
    link = found["looks"][0]["photographs"][0].pop("link")
    assert link == f"{looking}photographs/{pictured.pk}.jpg"
    bare = as_plain(look_back(*NAMES))
    bare["looks"][0]["photographs"][0].pop("link")
    assert found == bare


def test_json_of_the_trial_has_the_same_links(client: Client, looking: str, pictured: Photograph) -> None:
    found = client.get(looking.removesuffix("look/"), {"format": "json"}).json()["at_press"]
    assert found == client.get(looking, {"format": "json"}).json()
    assert found["looks"][0]["photographs"][0]["link"] == f"{looking}photographs/{pictured.pk}.jpg"


def test_a_look_is_set_aside_with_a_reason_and_stays_to_be_seen(client: Client, looking: str) -> None:
    client.post(looking, {"shot": "12", **seen("2", "flash")})
    number = Look.objects.get().pk
    aside = f"{looking}{number}/aside/"
    assert aside in Outline(text(client, looking)).links
    assert wrong(text(client, aside)) == []
    refused = client.post(aside, {"reason": " "})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    answer = client.post(aside, {"reason": "wrong cavity", "made_by": "quality"}, follow=True)
    html = answer.content.decode()
    assert "Set aside: wrong cavity" in html
    assert "Nothing was looked at in T1 yet." in html
    assert wrong(html) == []
    again = client.post(aside, {"reason": "again"})
    assert again.status_code == 422
    assert client.get(f"{looking}{number + 1}/aside/").status_code == 404


def test_the_list_of_defects_is_shown_and_changed_with_its_history(client: Client, looking: str) -> None:
    address = f"/p/{otter.SLUG}/defects/"
    html = text(client, address)
    assert wrong(html) == []
    assert "28 defects are looked for." in html
    add = {"code": "whisker-line", "name": "whisker line", "weight_class": "minor", "is_listed": "on"}
    assert client.post(address, add).status_code == 302
    assert "29 defects are looked for." in text(client, address)
    filled = text(client, address, data={"change": "flash"})
    assert 'value="flash"' in filled
    assert "readonly" in filled
    gone = {
        "code": "flash",
        "name": "flash",
        "weight_class": "major",
        "reason": "no such tool",
        "made_by": "quality",
    }
    assert client.post(f"{address}?change=flash", gone).status_code == 302
    row = Defect.objects.get(code="flash").history.latest()
    assert (row.is_listed, row.history_user_id, row.history_change_reason) == (
        False,
        "quality",
        "no such tool",
    )
    assert "Flash</label>" not in text(client, looking)
    refused = client.post(address, {"code": "", "name": "", "weight_class": "grave"})
    assert refused.status_code == 422
    assert wrong(refused.content.decode()) == []


def test_the_section_for_the_trials_page_is_whole(client: Client, looking: str) -> None:
    client.post(looking, {"shot": "12", **seen("2", "flash", place="left ear"), **clean("1", "3", "4")})
    section = press_section(look_back(*NAMES), PLACE)
    html = render_page("press.html", None, press=section, bare=False)
    assert "1 defect seen on 4 pieces of T1." in html
    assert f'href="{looking}"' in html
    assert "Open</span> since T1 (state a): 1 of 1 in T1." in html
    assert "common practice, no source" in html.lower()


@pytest.mark.parametrize("end", ["", "1/aside/"])
def test_a_form_without_its_token_changes_nothing(looking: str, end: str) -> None:
    strict = Client(headers={"host": "localhost"}, enforce_csrf_checks=True)
    assert strict.post(looking + end, {"nothing_wrong": "1", "shot": "1"}).status_code == 403
    assert Look.objects.count() == 0


def test_unknown_names_are_answered_in_words(client: Client, looking: str) -> None:
    assert client.get(looking.replace(otter.TOOL, "M77")).status_code == 404
    assert client.get("/p/harbor-otter/defects/").status_code == 404


def test_a_page_asks_no_more_of_the_record_for_more_looks(
    client: Client, looking: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for shot in range(1, 16):
        client.post(looking, {"shot": str(shot), **seen("2", "flash"), **clean("1", "3", "4")})
    with django_assert_max_num_queries(25):
        html = text(client, looking)
    assert "7 earlier" in html
