"""The pages of the seams: what they answer, the question whether a piece is open, and how they refuse."""

from __future__ import annotations

import io
from dataclasses import replace
from math import exp, log

import pytest
from django.test import Client

from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, OfftoolError
from offtool.core.welding.open_seam import SeamEvidence
from offtool.records.models import WeldStudy
from offtool.steps.ask_if_open import PieceSeen, ask_if_open, heights_of_seam
from offtool.steps.judge_seam import judge_seam, judge_seams
from offtool.steps.plain import as_plain
from offtool.web.forms.seams import OpenForm
from offtool.web.pages.seam import seam_page
from offtool.web.pages.seam_words import span_in_words, speaks_in_words, wanted_in_words
from offtool.web.pages.seams import seams_page
from tests.labels import independent
from tests.reports import seams as factories
from tests.web import otter, welded
from tests.web.rendering import Outline, faults, render_page
from tests.web.welded import OPEN_MM, OPEN_PIECE, SEAM, SEAMS, WELDED_MM

ASK = {"ask": "1", "height_mm": "", "pull_n": "", "came_apart": "not looked", "ridge": "not looked",
       "flash": "not looked", "horn_mark": "not looked"}  # fmt: skip


@pytest.fixture
def halves(db: None) -> None:
    """Two halves, and no seam yet."""
    welded.make_welded(otter.make_programme())


@pytest.fixture
def seam(halves: None) -> None:
    """A seam that was never welded."""
    welded.define()


@pytest.fixture
def studied(seam: None) -> None:
    """The seam with its weld study."""
    welded.keep_study()


def page(client: Client, address: str, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


@pytest.mark.usefixtures("halves")
def test_without_a_seam_the_page_says_what_to_do_first(client: Client) -> None:
    html = page(client, SEAMS)
    assert "What to do first" in html
    assert f'href="{SEAMS}new/"' in html
    assert "report.pdf" not in html
    assert faults(html) == []


@pytest.mark.usefixtures("seam")
def test_a_seam_that_was_never_welded_says_what_is_missing(client: Client) -> None:
    html = page(client, SEAM)
    text = Outline(html).text
    for words in (
        "No piece was welded and pulled yet",
        "Never touch a horn",
        "A welder is loud",
        "45 µm peak-to-peak",
        "stated as peak it is half, 22.5 µm",
        "A plan follows once",
    ):
        assert words in text
    assert f'href="{welded.READ}"' in html
    assert faults(html) == []


@pytest.mark.usefixtures("studied")
def test_the_page_shows_the_verdict_first_and_all_that_stands_behind_it(client: Client) -> None:
    html = page(client, SEAM)
    found = judge_seam(otter.SLUG, "torso")
    assert html.index("Torso seam") < html.index("What to do") < html.index('id="window"')
    assert faults(html) == []
    outline = Outline(html)
    for words in (found.headline, "Weld window", "as a Weibull distribution", "Melt against its room",
                  "Gap beside the tongue, each side", "in order of magnitude", "near field",
                  f"Piece {OPEN_PIECE} of study W1"):  # fmt: skip
        assert words in outline.text
    assert html.count('class="limit-bar span-bar"') == len(found.window.settings) + len(found.design.rows) + 2  # type: ignore[union-attr]


@pytest.mark.usefixtures("studied")
def test_all_seams_lead_to_each_with_bound_stand_design_and_next(client: Client) -> None:
    welded.define(code="tail", name="", required_n=None)
    html = page(client, SEAMS)
    assert f'href="{SEAM}"' in html
    outline = Outline(html)
    for words in ("60 N asked", "no pull is asked yet", "no window yet", "Say what pull the seam must hold."):
        assert words in outline.text
    assert faults(html) == []


@pytest.mark.usefixtures("studied")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    asked = {**ASK, "height_mm": "24,43", "format": "json"}
    assert client.get(f"{SEAMS}?format=json").json() == as_plain(judge_seams(otter.SLUG))
    assert client.get(f"{SEAM}?format=json").json() == as_plain(judge_seam(otter.SLUG, "torso"))
    told = as_plain(ask_if_open(otter.SLUG, "torso", PieceSeen(height_mm=24.43)))
    assert client.get(SEAM, asked).json() == told
    assert client.get(f"{SEAMS}tale/?format=json").status_code == 404
    assert client.get("/p/nowhere/seams/?format=json").status_code == 404


@pytest.mark.usefixtures("studied")
def test_a_piece_is_judged_by_the_seams_own_heights(client: Client) -> None:
    heights = heights_of_seam(otter.SLUG, "torso")
    assert heights.welded_pieces == 36
    assert heights.welded_mm == pytest.approx(WELDED_MM, abs=0.02)
    assert heights.open_mm == OPEN_MM
    html = page(client, SEAM, **ASK | {"height_mm": str(OPEN_MM), "flash": "absent"})
    text = Outline(html).text
    for words in ("The piece in your hand", "strongly for open, 1,000 to 1, the most it may count",
                  "somewhat for open, 2.4 to 1"):  # fmt: skip
        assert words in text
    assert faults(html) == []
    html = page(client, SEAM, **ASK | {"height_mm": str(WELDED_MM), "ridge": "melted"})
    assert "for welded" in Outline(html).text
    assert WeldStudy.objects.count() == 1


@pytest.mark.usefixtures("studied")
def test_the_odds_of_a_piece_are_those_of_bayes() -> None:
    found = ask_if_open(otter.SLUG, "torso", PieceSeen(flash="absent", ridge="intact")).found
    odds = log(0.95 / 0.40) + log(10)  # 0.90 / 0.03 is capped at ten to one
    assert found.probability_open == independent(
        1 / (1 + exp(-odds)), way="Bayes by hand, shares of the table"
    )


@pytest.mark.usefixtures("seam")
def test_a_height_tells_nothing_where_no_welded_piece_was_measured(client: Client) -> None:
    html = page(client, SEAM, **ASK | {"height_mm": "24.4"})
    text = Outline(html).text
    assert "Of welded pieces 0 heights are known, three are needed" in text
    assert "A height tells nothing without those of welded pieces" in text
    assert "What to look at next" in text


@pytest.mark.usefixtures("studied")
def test_a_reading_that_cannot_be_is_refused_at_its_field_and_stays_written(client: Client) -> None:
    for typed in ("tall", "-3", "20000"):
        answer = client.get(SEAM, ASK | {"height_mm": typed, "pull_n": "17"})
        html = answer.content.decode()
        assert answer.status_code == 422
        assert f'value="{typed}"' in html
        assert 'value="17"' in html
        assert 'class="error"' in html
        assert faults(html) == []


@pytest.mark.usefixtures("studied")
def test_a_reading_that_cannot_be_is_refused_as_json_with_the_reason(client: Client) -> None:
    answer = client.get(SEAM, {"ask": "1", "height_mm": "zz", "format": "json"})
    assert answer.status_code == 422
    assert set(answer.json()) == {"error", "where", "remedy"}
    assert answer.json()["where"] == "height_mm"
    assert answer.json()["error"]


@pytest.mark.usefixtures("halves")
def test_an_open_height_below_the_welded_one_is_said_in_words(client: Client) -> None:
    welded.define(sizes=dict(welded.seam_defined().sizes) | {"open_height": 20.0})
    welded.keep_study()
    answer = client.get(SEAM, ASK | {"height_mm": "24.1"})
    assert answer.status_code == 422
    assert "must lie above the 24.0" in Outline(answer.content.decode()).text
    as_json = client.get(SEAM, ASK | {"height_mm": "24.1", "format": "json"})
    assert as_json.status_code == 422
    assert "open_height_mm" in as_json.json()["where"] + as_json.json()["error"]


@pytest.mark.usefixtures("studied")
def test_a_study_is_set_aside_with_a_reason_and_stays_visible(client: Client) -> None:
    refused = client.post(SEAM, {"study": "W1", "reason": " ", "made_by": ""})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert faults(refused.content.decode()) == []
    answer = client.post(SEAM, {"study": "W1", "reason": "wrong <horn>", "made_by": "bench"})
    assert answer.status_code == 302
    html = page(client, SEAM)
    assert "Weld study W1 is set aside." in html
    assert "set aside: wrong &lt;horn&gt;" in html
    assert "No piece was welded and pulled yet" in html
    assert faults(html) == []
    assert client.post(SEAM, {"study": "W1", "reason": "again", "made_by": ""}).status_code == 422
    assert client.post(SEAM, {"study": "W9", "reason": "again", "made_by": ""}).status_code == 404


@pytest.mark.usefixtures("studied")
def test_the_file_of_a_study_comes_back_as_it_was_sent(client: Client) -> None:
    kept = WeldStudy.objects.get()
    answer = client.get(f"{SEAM}studies/{kept.pk}/")
    assert io.BytesIO(b"".join(answer.streaming_content)).read() == welded.study_csv().encode()  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == f'attachment; filename="{welded.FILE}"'
    assert client.get(f"{SEAMS}tail/studies/{kept.pk}/").status_code == 404
    assert client.get(f"{SEAM}studies/999/").status_code == 404


@pytest.mark.usefixtures("studied")
def test_the_report_is_a_pdf_of_all_seams(client: Client) -> None:
    answer = client.get(f"{SEAMS}report.pdf")
    assert b"".join(answer.streaming_content).startswith(b"%PDF-")  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == f'attachment; filename="{otter.SLUG}_seams.pdf"'


@pytest.mark.usefixtures("seam")
def test_a_form_without_its_token_is_refused() -> None:
    strict = Client(enforce_csrf_checks=True, headers={"host": "localhost"})
    for address in (SEAM, welded.READ, f"{SEAMS}new/", f"{SEAM}change/"):
        assert strict.post(address, {"study": "W1", "reason": "x"}).status_code == 403


@pytest.mark.usefixtures("studied")
def test_cautions_of_the_welder_stand_under_their_own_heading_and_each_once() -> None:
    found = judge_seam(otter.SLUG, "torso")
    assert len(set(found.cautions)) == len(found.cautions)
    shown = seam_page(found, heights_of_seam(otter.SLUG, "torso"), OpenForm())
    assert [one.text.split()[0] for one in shown.at_the_welder[:3]] == ["Never", "A", "Melt"]
    assert len(shown.at_the_welder) + len(shown.cautions) == len(found.cautions)


def test_names_from_files_are_shown_and_never_run(seam: None) -> None:
    wicked = "<script>alert(1)</script>"
    found = factories.torso(
        name=wicked, missing=(wicked,), cautions=(Caution(wicked),), said=(wicked,),
        studies=(factories.study_seen(name=wicked, file=wicked, note=wicked),),
    )  # fmt: skip
    html = render_page("seam.html", seam_page(found, heights_of_seam(otter.SLUG, "torso"), OpenForm()))
    assert html.count("<script") == 1, "the page's own, from a file"
    listed = render_page("seams.html", seams_page(factories.all_seams(found)))
    assert listed.count("<script") == 1


def test_ranges_are_worded_without_ends_that_are_not_there() -> None:
    inf = float("inf")
    assert span_in_words(Span(low=0.4832, high=0.5256), "mm") == "0.483 to 0.526 mm"
    assert span_in_words(Span(low=0.345, high=0.375), "1") == "34.5 to 37.5 %"
    assert span_in_words(Span(low=90, high=90), "deg") == "90°"
    assert wanted_in_words(Span(low=0.1, high=inf), "1") == "at least 10 %"
    assert wanted_in_words(Span(low=0.0, high=1.0), "1") == "at most 100 %"
    assert wanted_in_words(Span(low=1e-3, high=inf), "mm") == "above 0 mm"


@pytest.mark.parametrize(
    ("times", "capped", "words"),
    [
        (1.2, False, "hardly either way"),
        (2.375, False, "somewhat for open, 2.4 to 1"),
        (1 / 4.5, False, "clearly for welded, 4.5 to 1"),
        (10, True, "strongly for open, 10 to 1, the most it may count"),
        (1 / 1000, True, "strongly for welded, 1,000 to 1, the most it may count"),
    ],
)
def test_log_odds_are_said_as_odds_and_which_way_they_speak(times: float, capped: bool, words: str) -> None:
    one = SeamEvidence(name="ridge", found="x", log_odds=log(times), capped=capped, observed=True, source="")
    assert speaks_in_words(one) == words
    assert speaks_in_words(replace(one, observed=False)) == "says nothing"


@pytest.mark.usefixtures("seam")
def test_a_piece_that_cannot_be_is_refused_by_the_step() -> None:
    with pytest.raises(OfftoolError, match="height_mm"):
        ask_if_open(otter.SLUG, "torso", PieceSeen(height_mm=-1.0))
