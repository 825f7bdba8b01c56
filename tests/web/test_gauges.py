"""The pages of the gauges: what they answer, how a study is read, kept and set aside, and how they refuse."""

from __future__ import annotations

import io
from dataclasses import replace
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from examples.make_gauge_studies import CROSSED, LINEARITY, REFERENCE, Invented, study_files

from offtool.core.values import Caution
from offtool.handbook.terms import StudyKind
from offtool.records.models import GaugeStudy
from offtool.steps.keep_study import StudyAbout, keep_study
from offtool.steps.plain import as_plain
from offtool.steps.study_gauge import gauges_of, study_gauge
from offtool.web.pages.gauge import SIZES_SHOWN, gauge_page, gauges_page
from tests.web import otter
from tests.web.rendering import Outline, faults, render_page

GAUGES = f"/p/{otter.SLUG}/gauges/"
GAUGE = f"{GAUGES}G3/"
READ = f"{GAUGE}read/"


def keep(invented: Invented = CROSSED, size: str = "HO-02 12") -> None:
    about = StudyAbout(
        kind=StudyKind(invented.kind), size=size, tolerance=invented.tolerance, reference=invented.reference,
        reference_uncertainty=invented.reference_uncertainty, done_on=invented.done_on,
    )  # fmt: skip
    keep_study(
        study_files()[invented.file].encode(), invented.file, programme=otter.SLUG, gauge="G3",
        study=invented.name, about=about, read_at=otter.NOW, read_by="the gauge room",
    )  # fmt: skip


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def upload(client: Client, text: str, name: str = "study.csv") -> str:
    """Send a file; gives the address of its preview."""
    answer = client.post(READ, {"file": SimpleUploadedFile(name, text.encode())})
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def test_a_gauge_without_a_study_says_what_to_do_first(client: Client, trial: str) -> None:
    html = page(client, GAUGE)
    assert "is entered by hand" in html
    assert "Study it: 10 parts" in html
    assert f'href="{READ}"' in html
    assert faults(html) == []


@pytest.mark.parametrize("invented", [CROSSED, REFERENCE, LINEARITY])
def test_a_gauge_by_each_kind_of_study_has_no_fault(client: Client, trial: str, invented: Invented) -> None:
    keep(invented)
    html = page(client, GAUGE)
    assert faults(html) == []
    outline = Outline(html)
    assert outline.drawings
    assert "What it means for the sizes" in outline.text
    assert study_gauge(otter.SLUG, "G3").headline in outline.text


def test_all_gauges_lead_to_each(client: Client, trial: str) -> None:
    keep()
    html = page(client, GAUGES)
    assert f'href="{GAUGE}"' in html
    assert "Whether G3 is fit for HO-02 12 is not shown" in Outline(html).text
    assert faults(html) == []


def test_json_is_the_result_of_the_step(client: Client, trial: str) -> None:
    keep()
    keep(REFERENCE)
    assert client.get(f"{GAUGES}?format=json").json() == as_plain(gauges_of(otter.SLUG))
    assert client.get(f"{GAUGE}?format=json").json() == as_plain(study_gauge(otter.SLUG, "G3"))
    named = client.get(f"{GAUGE}?study=R1&format=json").json()
    assert named == as_plain(study_gauge(otter.SLUG, "G3", "R1"))
    assert client.get(f"{GAUGES}G9/?format=json").status_code == 404
    assert client.get(f"{GAUGE}?study=S9&format=json").status_code == 404


def test_the_page_shows_both_methods_the_table_and_what_the_gauge_takes_of_each_size(
    client: Client, trial: str
) -> None:
    keep()
    text = Outline(page(client, GAUGE)).text
    for words in ("Both methods side by side", "Analysis of variance", "The shares in numbers",
                  "Uncertainty of one reading", "average and range"):  # fmt: skip
        assert words in text
    found = gauge_page(study_gauge(otter.SLUG, "G3"))
    assert len(found.sizes) == SIZES_SHOWN
    assert len(found.sizes) + len(found.folded_sizes) == len(otter.DRAWN)
    taken = [row.share for row in found.sizes]
    assert float(taken[0].split()[0]) >= float(taken[-1].split()[0])


def test_a_study_is_shown_then_told_more_of_and_kept(client: Client, trial: str) -> None:
    address = upload(client, study_files()[CROSSED.file])
    html = page(client, address)
    assert "60 readings of 10 parts by 3 people, every cell read." in html
    assert "row 7, column 2" in html
    assert faults(html) == []
    blank = dict.fromkeys(("tolerance", "reference", "reference_uncertainty", "sheet"), "")
    told = {"kind": "crossed", "size": "HO-02 12", **blank}
    html = page(client, f"{address}&{urlencode(told)}")
    assert "Whether G3 is fit for HO-02 12 is not shown" in Outline(html).text
    assert faults(html) == []
    upload_slip = parse_qs(urlsplit(address).query)["upload"][0]
    given = {**told, "upload": upload_slip, "name": "S1", "read_by": "tooling", "done_on": "2026-01-20"}
    answer = client.post(READ, given)
    assert answer.status_code == 302, answer.content
    assert answer["Location"] == f"{GAUGE}?study=S1"
    kept = GaugeStudy.objects.get()
    assert (kept.name, str(kept.characteristic.number), kept.read_by) == ("S1", "12", "tooling")  # type: ignore[union-attr]
    assert "60 readings of study.csv are kept as study S1." in page(client, str(answer["Location"]))
    again = client.post(READ, given)
    assert again.status_code == 422
    assert "no longer held" in again.content.decode()


def test_what_stands_in_the_way_of_keeping_is_said(client: Client, trial: str) -> None:
    address = upload(client, study_files()[REFERENCE.file])
    html = page(client, f"{address}&kind=reference+part")
    assert "1 thing to mend first" in html
    assert "25 of 25 readings have no reference" in Outline(html).text
    assert "Keep this study" not in html
    html = page(client, f"{address}&kind=reference+part&reference=5&tolerance=0,05")
    assert "Keep this study" in html
    assert "reads 0.0009 mm large" in Outline(html).text
    assert faults(html) == []


def test_a_file_that_is_no_study_can_be_chosen_again(client: Client, trial: str) -> None:
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


def test_a_study_is_set_aside_with_a_reason_and_stays_visible(client: Client, trial: str) -> None:
    keep()
    refused = client.post(GAUGE, {"study": "S1", "reason": " ", "made_by": ""})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert faults(refused.content.decode()) == []
    answer = client.post(GAUGE, {"study": "S1", "reason": "worn <anvil>", "made_by": "tooling"})
    assert answer.status_code == 302
    html = page(client, GAUGE)
    assert "Study S1 is set aside." in html
    assert "set aside: worn &lt;anvil&gt;" in html
    assert "is entered by hand" in html
    assert faults(html) == []
    twice = client.post(GAUGE, {"study": "S1", "reason": "again", "made_by": ""})
    assert twice.status_code == 422


@pytest.mark.parametrize("reason", ["again", ""])
def test_setting_aside_what_is_not_there_is_answered_by_its_name(
    client: Client, trial: str, reason: str
) -> None:
    keep()
    missing = client.post(GAUGE, {"study": "S9", "reason": reason, "made_by": ""})
    assert missing.status_code == 404
    assert "study &#x27;S9&#x27; of gauge G3" in missing.content.decode()
    other = client.post(f"{GAUGES}G9/", {"study": "S1", "reason": reason, "made_by": ""})
    assert other.status_code == 404
    assert "gauge &#x27;G9&#x27; in " in other.content.decode()


def test_the_file_of_a_study_comes_back_as_it_was_sent(client: Client, trial: str) -> None:
    keep()
    kept = GaugeStudy.objects.get()
    answer = client.get(f"{GAUGE}studies/{kept.pk}/")
    assert io.BytesIO(b"".join(answer.streaming_content)).read() == study_files()[CROSSED.file].encode()  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == f'attachment; filename="{CROSSED.file}"'
    assert client.get(f"{GAUGES}G9/studies/{kept.pk}/").status_code == 404
    assert client.get(f"{GAUGE}studies/999/").status_code == 404


def test_a_form_without_its_token_is_refused(trial: str) -> None:
    strict = Client(enforce_csrf_checks=True, headers={"host": "localhost"})
    assert strict.post(GAUGE, {"study": "S1", "reason": "x"}).status_code == 403
    assert strict.post(READ, {}).status_code == 403


def test_the_templates_render_from_filled_pages(trial: str) -> None:
    keep()
    found = study_gauge(otter.SLUG, "G3")
    html = render_page("gauge.html", gauge_page(found))
    assert faults(html) == []
    warned = replace(found, cautions=(Caution("mind <this>", "a source"),), sizes=(), studies=(), actions=())
    html = render_page("gauge.html", gauge_page(warned))
    assert "mind &lt;this&gt;" in html
    assert "No trial has measured a size with this gauge yet." in html
    assert faults(html) == []
    assert faults(render_page("gauges.html", gauges_page(gauges_of(otter.SLUG)))) == []
    none = replace(gauges_of(otter.SLUG), gauges=(), headline="No gauge is named yet.")
    assert "What to do first" in render_page("gauges.html", gauges_page(none))
