"""Defining a seam: the kind first, nothing typed is lost, and what cannot be is said at its field."""

from __future__ import annotations

import pytest
from django.test import Client

from offtool.core.values import OfftoolError
from offtool.records.models import Part, Seam
from offtool.steps.define_seam import SeamDefined
from offtool.steps.seam_place import seam_now
from offtool.web.forms.seams import KINDS
from tests.web import otter, welded
from tests.web.rendering import Outline, faults
from tests.web.sent_of_form import sent_of_form
from tests.web.welded import SEAM, SEAMS

NEW = f"{SEAMS}new/"
CHANGE = f"{SEAM}change/"
TYPED = {
    "kind": "ridge", "code": "torso", "name": "torso seam", "top_part": "HO-03", "bottom_part": "HO-02",
    "size_joint_width": "HO-03 7", "value_seam_length": "150", "value_ridge_height": "0,5",
    "plus_minus_ridge_height": "0.02", "required_n": "90", "largest_flash_mm": "0.15", "frequency_khz": "20",
    "converter_um": "20", "amplitude_pct": "80", "booster_gain": "1.5", "horn_gain": "2",
    "horn_distance_mm": "5", "note": "as drawn", "made_by": "tooling",
}  # fmt: skip


@pytest.fixture
def halves(db: None) -> None:
    """Two halves, and no seam yet."""
    welded.make_welded(otter.make_programme())


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


@pytest.mark.usefixtures("halves")
def test_the_kind_comes_first_and_each_shows_its_own_sizes(client: Client) -> None:
    html = page(client, NEW)
    assert faults(html) == []
    for kind in KINDS:
        assert f'href="{NEW}?kind={kind.name.lower()}"' in html
        asked = page(client, f"{NEW}?kind={kind.name.lower()}")
        assert faults(asked) == []
        assert ("Width of the tongue" in asked) is (kind.value == "tongue and groove")
        assert ("Overlap, each side" in asked) is (kind.value == "shear joint")


@pytest.mark.usefixtures("halves")
def test_amplitude_is_asked_for_peak_to_peak_in_words(client: Client) -> None:
    text = Outline(page(client, f"{NEW}?kind=ridge")).text
    assert "Converter, µm peak-to-peak" in text
    assert "the whole way from end to end. Stated as peak: give twice that." in text


def test_without_two_parts_the_page_says_what_to_do_first(client: Client, db: None) -> None:
    otter.make_programme()
    html = page(client, NEW)
    assert "What to do first" in html
    assert "offtool load FOLDER" in html
    assert faults(html) == []


@pytest.mark.usefixtures("halves")
def test_a_seam_is_kept_as_it_was_typed(client: Client) -> None:
    answer = client.post(NEW, TYPED)
    assert answer.status_code == 302, answer.content
    assert answer["Location"] == SEAM
    assert "Seam torso is kept." in page(client, SEAM)
    assert seam_now(otter.SLUG, "torso").defined == SeamDefined(
        code="torso", name="torso seam", kind="ridge", top_part="HO-03", bottom_part="HO-02",
        required_n=90.0, largest_flash_mm=0.15, frequency_khz=20.0, converter_um=20.0, amplitude_pct=80.0,
        booster_gain=1.5, horn_gain=2.0, horn_distance_mm=5.0, note="as drawn",
        sizes=seam_now(otter.SLUG, "torso").defined.sizes,
    )  # fmt: skip
    kept = {one.role: (str(one.characteristic or ""), one.value, one.plus_minus)
            for one in Seam.objects.get().sizes.all()}  # fmt: skip
    assert kept["ridge_height"] == ("", 0.5, 0.02)
    assert kept["joint_width"][0].startswith("7")


@pytest.mark.usefixtures("halves")
@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"value_ridge_height": "high"}, "value_ridge_height", "Give a number"),
        ({"value_ridge_height": "-1"}, "value_ridge_height", "give a number above 0"),
        ({"value_ridge_height": ""}, "value_ridge_height", "needs its height of the ridge"),
        ({"value_joint_width": "2"}, "size_joint_width", "Both the size HO-03 7 and the number 2"),
        (
            {"size_seam_length": "HO-02 99"},
            "size_seam_length",
            "This size is not in the programme: choose another.",
        ),
        (
            {"plus_minus_ridge_height": "-0.1"},
            "plus_minus_ridge_height",
            "Give 0 or more, or leave it blank.",
        ),
        ({"amplitude_pct": "120"}, "amplitude_pct", "Give 100 at most, or leave it blank."),
        ({"converter_um": "0"}, "converter_um", "above 0"),
        ({"code": ""}, "code", "Give a name"),
        ({"code": "new"}, "code", "No seam can be called new"),
        ({"top_part": ""}, "top_part", "Choose one."),
        ({"top_part": "HO-02"}, "size_joint_width", "is no size of HO-02 or HO-02"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    client: Client, changed: dict[str, str], field: str, words: str
) -> None:
    answer = client.post(NEW, TYPED | changed)
    html = answer.content.decode()
    assert answer.status_code == 422
    error = html[html.index(f'id="id_{field}_error"') :]
    assert words in Outline(error[: error.index("</div>")]).text
    assert ">\nas drawn</textarea>" in html
    assert 'value="150"' in html
    assert faults(html) == []
    assert not Seam.objects.exists()


@pytest.mark.usefixtures("halves")
def test_a_code_that_is_taken_is_refused(client: Client) -> None:
    welded.define()
    answer = client.post(NEW, TYPED)
    assert answer.status_code == 422
    assert "There is a seam torso already" in answer.content.decode()


@pytest.mark.usefixtures("halves")
def test_another_kind_shows_its_sizes_and_keeps_what_was_typed(client: Client) -> None:
    answer = client.post(NEW, TYPED | {"kind": "shear joint", "show": "kind"})
    assert answer.status_code == 200
    html = answer.content.decode()
    assert "Overlap, each side" in html
    assert 'class="error"' not in html
    assert 'value="150"' in html
    assert '<input type="hidden" name="value_ridge_height" value="0,5">' in html
    assert faults(html) == []
    assert not Seam.objects.exists()
    no_kind = client.post(NEW, TYPED | {"kind": "glue"})
    assert no_kind.status_code == 422
    assert "no kind of seam is called" in Outline(no_kind.content.decode()).text.replace("No kind", "no kind")


@pytest.mark.usefixtures("halves")
def test_a_seam_is_shown_as_defined_changed_and_taken_out(client: Client) -> None:
    welded.define()
    html = page(client, CHANGE)
    assert faults(html) == []
    for value in ("torso seam", "1.25", "0.03", "24.43"):
        assert f'value="{value}"' in html
    before = seam_now(otter.SLUG, "torso").defined
    same = {name: value for name, value in sent_of_form(html).items() if value}
    assert client.post(CHANGE, same).status_code == 302
    assert seam_now(otter.SLUG, "torso").defined == before
    assert client.post(CHANGE, same | {"required_n": "75"}).status_code == 302
    assert Seam.objects.get().required_n == 75.0
    unnamed = client.post(CHANGE, {"take_out": "1", "made_by": "x" * 101})
    assert unnamed.status_code == 422
    assert "At most 100 signs are kept." in unnamed.content.decode()
    assert faults(unnamed.content.decode()) == []
    assert Seam.objects.exists()
    out = client.post(CHANGE, {"take_out": "1", "made_by": "tooling"})
    assert out["Location"] == SEAMS
    assert not Seam.objects.exists()


@pytest.mark.usefixtures("halves")
def test_a_seam_with_studies_keeps_its_kind_and_its_parts(client: Client) -> None:
    welded.define()
    welded.keep_study()
    html = page(client, CHANGE)
    assert "Weld studies hang on this seam" in html
    assert "Take this seam out" not in html
    assert faults(html) == []
    sent = {name: value for name, value in sent_of_form(html).items() if value}
    swapped = client.post(CHANGE, sent | {"top_part": "HO-02", "bottom_part": "HO-03"})
    assert swapped.status_code == 422
    assert "weld studies of seam torso" in swapped.content.decode().lower()
    stays = client.post(CHANGE, {"take_out": "1", "made_by": ""})
    assert stays.status_code == 422
    assert "seam torso has weld studies (1) in the record" in stays.content.decode()
    assert 'name="value_seam_length"' in stays.content.decode()
    assert Seam.objects.count() == 1


@pytest.mark.usefixtures("halves")
def test_a_seam_that_is_not_there_is_answered_by_its_name(client: Client) -> None:
    answer = client.get(f"{SEAMS}tale/change/")
    assert answer.status_code == 404
    assert "tale" in answer.content.decode()
    assert client.get("/p/nowhere/seams/new/").status_code == 404


@pytest.mark.usefixtures("halves")
def test_names_of_parts_and_sizes_are_shown_and_never_run(client: Client) -> None:
    Part.objects.filter(code="HO-03").update(name="<script>alert(1)</script>")
    html = page(client, f"{NEW}?kind=ridge")
    assert html.count("<script") == 1


@pytest.mark.usefixtures("halves")
def test_what_the_record_refuses_is_said_with_all_that_was_typed(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*given: object, **named: object) -> str:
        raise OfftoolError("the record is full", remedy="make room")

    monkeypatch.setattr("offtool.web.views.seam_define.define_seam", refuse)
    answer = client.post(NEW, TYPED)
    assert answer.status_code == 422
    assert "the record is full" in answer.content.decode()
    assert 'value="150"' in answer.content.decode()
