"""The page of one sample: verdict first, evidence, parts, colours beside jobs, photographs."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from offtool.core.samples.identify.answers import Alike, Clash
from offtool.core.values import Caution
from offtool.records.models import SamplePhotograph, SeenDetail, Tool
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import register_sample
from offtool.steps.plain import as_plain
from offtool.steps.sample_found import SampleFound
from offtool.web.forms.samples import PhotographForm
from offtool.web.pages.sample import SamplePage, sample_page
from offtool.web.pages.sample_words import compared, draw_swatch, with_minus
from tests.exchange.test_pictures import HERE, photograph
from tests.reports import samples as pieces
from tests.web import archived, otter
from tests.web.archived import NUMBER, SAMPLE
from tests.web.rendering import Outline, faults, render_page

PICTURES = f"{SAMPLE}photographs/"


@pytest.fixture
def archive(trial: str) -> None:
    """The programme with its one piece."""
    archived.make_archive(Tool.objects.get())


def page(client: Client, address: str = SAMPLE, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def shown(found: SampleFound, origin: str = "") -> SamplePage:
    return sample_page(found, (), PhotographForm([], auto_id="photo_%s"), origin=origin)


@pytest.mark.usefixtures("archive")
def test_the_verdict_comes_first_and_all_that_stands_behind_it_follows(client: Client) -> None:
    html = page(client)
    found = identify_sample(otter.SLUG, NUMBER)
    order = [html.index(one) for one in (
        "<h1>", "What would settle it", 'id="when"', 'id="why"', 'id="parts"', 'id="interrupted"',
        'id="photographs"', 'id="seen"', 'id="register"',
    )]  # fmt: skip
    assert order == sorted(order)
    text = Outline(html).text
    for words in (found.headline, "For the engineer", "For the archive", "First shot?", "not a certificate",
                  "date mark", "drawer C4", "orange tug boat, job J1 on P6"):  # fmt: skip
        assert words in text
    for caution in found.cautions:
        assert caution.text[1:] in text
    assert html.count('class="odds"') == len(found.identified.top.evidence)
    assert client.get(f"{SAMPLE}?format=json").json() == as_plain(found)
    assert client.get(f"{archived.SAMPLES}nothing/").status_code == 404


@pytest.mark.usefixtures("archive")
def test_the_evidence_of_another_origin_is_shown_when_asked_for(client: Client) -> None:
    found = identify_sample(otter.SLUG, NUMBER)
    for one in found.identified.answers:
        if one.evidence:
            html = page(client, SAMPLE, origin=one.code)
            assert f'<option value="{one.code}" selected>' in html
            assert html.count('class="odds"') == len(one.evidence)
    top = page(client, SAMPLE, origin="no such origin")
    assert f'<option value="{found.identified.top.code}" selected>' in top


@pytest.mark.usefixtures("archive")
def test_what_was_seen_is_set_aside_with_a_reason_and_counts_no_more(client: Client) -> None:
    seen = SeenDetail.objects.get()
    address = f"{SAMPLE}seen/detail/{seen.pk}/aside/"
    assert f'href="{address}"' in page(client)
    refused = client.post(address, {"reason": "", "made_by": "Ada"})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert client.post(address, {"reason": "read in bad light", "made_by": "Ada"}).status_code == 302
    html = page(client)
    assert "Set aside: read in bad light" in Outline(html).text
    assert f'href="{address}"' not in html
    about = {one.about for one in identify_sample(otter.SLUG, NUMBER).identified.top.evidence}
    assert "date mark" not in about
    assert "It was set aside before" in page(client, address)
    for wrong in (f"{SAMPLE}seen/size/{seen.pk}/aside/", f"{SAMPLE}seen/walrus/1/aside/"):
        assert client.get(wrong).status_code == 404


@pytest.mark.usefixtures("archive")
def test_a_photograph_is_kept_without_where_it_was_taken_and_shown_drawn_anew(client: Client) -> None:
    one = SimpleUploadedFile("drawer.jpg", photograph(size=(900, 600), orientation=6))
    two = SimpleUploadedFile("arm.png", photograph("PNG"))
    told = {"photographs": [one, two], "part": "left arm", "note": "on the scale", "made_by": "Ada"}
    answer = client.post(PICTURES, told)
    assert (answer.status_code, answer.headers["Location"]) == (302, f"{SAMPLE}#photographs")
    kept = SamplePhotograph.objects.order_by("pk")[1:]
    assert [one.sample_part and one.sample_part.label for one in kept] == ["left arm", "left arm"]
    html = page(client)
    for one in kept:
        assert HERE not in bytes(one.content)
        for end in (".jpg", "-small.jpg"):
            assert f'"{PICTURES}{one.pk}{end}"' in html
            sent = client.get(f"{PICTURES}{one.pk}{end}")
            assert HERE not in sent.content
            assert Image.open(io.BytesIO(sent.content)).format == "JPEG"
    large = Image.open(io.BytesIO(client.get(f"{PICTURES}{kept[0].pk}.jpg").content))
    assert large.size == (600, 900)
    assert client.get(f"{PICTURES}999999.jpg").status_code == 404


@pytest.mark.usefixtures("archive")
def test_an_unchanged_photograph_is_not_sent_twice(client: Client) -> None:
    address = f"{PICTURES}{SamplePhotograph.objects.get().pk}.jpg"
    tag = client.get(address).headers["ETag"]
    again = client.get(address, headers={"if-none-match": tag})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.usefixtures("archive")
@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "no picture"), (b"not a picture", "no picture"), (photograph()[:300], "cut off or broken")],
)
def test_what_is_no_photograph_is_refused_at_its_field(client: Client, content: bytes, said: str) -> None:
    told = {"photographs": SimpleUploadedFile("x.jpg", content), "note": "on the scale"}
    answer = client.post(PICTURES, told)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in html
    assert 'value="on the scale"' in html
    assert faults(html) == []
    assert SamplePhotograph.objects.count() == 1
    assert client.post(PICTURES, {}).status_code == 422


@pytest.mark.usefixtures("archive")
def test_of_several_photographs_those_before_a_refused_one_are_kept_and_shown(client: Client) -> None:
    names = (("good.jpg", photograph("PNG")), ("bad.jpg", b"x"), ("never.jpg", photograph(size=(50, 50))))
    told = {"photographs": [SimpleUploadedFile(name, content) for name, content in names]}
    html = client.post(PICTURES, told).content.decode()
    assert "Those before it are kept: 1 photograph." in html
    assert SamplePhotograph.objects.count() == 2
    assert html.count("-small.jpg") == 2


@pytest.mark.usefixtures("archive")
def test_a_piece_without_parts_says_what_to_do_first(client: Client) -> None:
    register_sample(otter.SLUG, archived.piece(number="0500"), **archived.TOLD)
    html = page(client, f"{archived.SAMPLES}0500/")
    assert f'href="{archived.SAMPLES}0500/parts/"' in html
    assert "Nothing was looked at yet" in html
    assert 'id="interrupted"' not in html


def test_names_are_shown_and_never_run() -> None:
    wicked = "<script>alert(1)</script>\"'"
    seen = replace(pieces.observation(wicked, wicked), note=wicked, part=wicked)
    found = pieces.piece(
        name=wicked, place=wicked, holder=wicked, note=wicked, headline=wicked, observations=(seen,),
        parts=(pieces.part(wicked, wicked),), cautions=(Caution(wicked, wicked),),
    )  # fmt: skip
    html = render_page("sample.html", shown(found))
    assert html.count("<script") == 1, "the page's own, from a file"
    assert "<script>" not in draw_swatch("#000000", wicked)


def test_a_page_of_a_filled_result_has_no_fault_and_no_program_words() -> None:
    for found in (pieces.piece(), pieces.not_looked_at(), pieces.piece(parts=(), photographs=())):
        html = render_page("sample.html", shown(found))
        assert faults(html) == []
        assert not {"None", "nan", "True", "False"} & set(re.findall(r"\w+", Outline(html).text))


def test_contradictions_and_what_cannot_be_told_apart_are_named() -> None:
    identified = pieces.identified()
    clash = Clash(part="torso", against=("vent: there",), for_=("date mark: missing",), log_odds=3.0)
    parts = (replace(identified.parts[0], clashes=(clash,)), identified.parts[1])
    alike = (Alike(first="T1", second="T2", log_odds=0.1, tells="seam"),
             Alike(first="T1", second="EP", log_odds=0.1, tells=""))  # fmt: skip
    found = pieces.piece(
        identified=replace(identified, parts=parts, alike=alike),
        cautions=(Caution("T1 and T2 cannot be told apart by what was found; seam would"),),
    )
    text = Outline(render_page("sample.html", shown(found))).text
    assert "Vent: there contradicts date mark: missing" in text
    assert "T1 and T2: looking at seam would tell them apart." in text
    assert "T1 and EP: nothing that is recorded would tell them apart." in text
    assert "cannot be told apart by what was found" not in text, "it is said once"


def test_what_a_finding_says_names_the_origins_that_it_fits_best_and_least() -> None:
    answers = [one for one in pieces.identified().answers if one.evidence]
    by_code = {one.code: {each.about: each for each in one.evidence} for one in answers}
    for about in ("date mark", "paint"):
        counts = by_code[answers[0].code][about]
        logs = {code: found[about].log_odds for code, found in by_code.items()}
        said = compared(counts, answers)
        best, least = said.split(" best; ")
        assert max(logs, key=lambda code: logs[code]) in best or "more" in best
        assert min(logs, key=lambda code: logs[code]) in least or "more" in least
    assert compared(counts, [answers[0]]) == "says the same of all"


@pytest.mark.parametrize(
    ("said", "written"),
    [("a* -28.9, b* -.5", "a* −28.9, b* −.5"), ("left-arm 3-4", "left-arm 3-4"), ("-1.0 mm", "−1.0 mm")],
)
def test_numbers_have_a_minus_and_words_keep_their_hyphen(said: str, written: str) -> None:
    assert with_minus(said) == written
