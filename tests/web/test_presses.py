"""The pages of presses: what they answer, numbers that are tried, and how they refuse."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.test import Client

from offtool.core.values import Caution
from offtool.records.models import Press
from offtool.steps.fit_presses import fit_presses, fit_tool
from offtool.steps.plain import as_plain
from offtool.steps.tool_at_press import ToolTyped
from offtool.web.forms.fit import TryShotForm
from offtool.web.pages.fit import fit_page
from offtool.web.pages.presses import presses_page
from tests.steps.pressed import Shape, make_presses, shaped
from tests.web import otter
from tests.web.rendering import Outline, faults, render_page

PRESSES = f"/p/{otter.SLUG}/presses/"
FIT = f"{PRESSES}for/{otter.TOOL}/"


@pytest.fixture
def bare(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tool, and no press yet."""
    shaped(monkeypatch, Shape())
    otter.make_programme()


@pytest.fixture
def pressed(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tool with three presses."""
    shaped(monkeypatch, Shape())
    make_presses(otter.make_programme())


def page(client: Client, address: str, status: int = 200, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == status, answer.content
    return answer.content.decode()


@pytest.mark.usefixtures("bare")
def test_without_a_press_both_pages_say_what_to_do_first(client: Client) -> None:
    for address in (PRESSES, FIT):
        html = page(client, address)
        assert "No press is written down yet" in Outline(html).text
        assert f"/p/{otter.SLUG}/told-apart-by/presses/" in html
        assert faults(html) == []


@pytest.mark.usefixtures("pressed")
def test_all_presses_show_every_tool_in_words_and_lead_on(client: Client) -> None:
    html = page(client, PRESSES)
    text = Outline(html).text
    for words in ("The one tool has a press.", "holds", "does not", "not shown", "800 kN, 82 t",
                  "not written down", "Write down the sheet of P3.", "nobody beneath"):  # fmt: skip
        assert words in text
    assert f'href="{FIT}"' in html
    assert f'href="/p/{otter.SLUG}/told-apart-by/presses/P3/"' in html
    assert faults(html) == []


@pytest.mark.usefixtures("pressed")
def test_one_tool_shows_verdict_checks_presses_cycle_and_cooling(client: Client) -> None:
    html = page(client, FIT)
    found = fit_tool(otter.SLUG, otter.TOOL)
    outline = Outline(html)
    assert (
        html.index("<h1>") < html.index("What to do") < html.index('id="checks"') < html.index('id="cycle"')
    )
    for words in (found.headline, "On P2", "Time in the barrel", "to spare", "a cycle", "parts a minute",
                  "Middle of the wall, closed form", "nobody beneath", "only trained people"):  # fmt: skip
        assert words in outline.text
    assert html.count('class="limit-bar span-bar"') == 8
    assert html.count('class="cooling"') == 1
    assert all(one.get("aria-label") for one in outline.drawings)
    assert f'href="{PRESSES}tools/{otter.TOOL}/"' in html
    assert faults(html) == []


@pytest.mark.usefixtures("pressed")
def test_without_a_mesh_the_page_says_so_and_where_to_read_one(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    shaped(monkeypatch, None)
    html = page(client, FIT)
    assert "no mesh of" in html.casefold()
    assert "Read in the mesh of" in Outline(html).text
    assert faults(html) == []


@pytest.mark.usefixtures("pressed")
def test_numbers_are_tried_in_the_address_and_stay_in_the_form(client: Client) -> None:
    html = page(client, FIT, **{"try": "1", "wall_mm": "3,5", "parts_g": "150"})
    assert "they are not kept" in html
    assert 'value="3,5"' in html
    assert "Cannot hold the shot." in Outline(html).text
    told = client.get(FIT, {"try": "1", "wall_mm": "3.5", "format": "json"}).json()
    assert told == as_plain(fit_tool(otter.SLUG, otter.TOOL, ToolTyped(wall_mm=3.5)))


@pytest.mark.usefixtures("pressed")
@pytest.mark.parametrize(("name", "value"), [("wall_mm", "-3"), ("wall_mm", "0"), ("parts_g", "heavy")])
def test_what_cannot_be_is_refused_at_its_field_and_the_page_stays(
    client: Client, name: str, value: str
) -> None:
    html = page(client, FIT, status=422, **{"try": "1", name: value})
    assert f'id="id_{name}_error"' in html
    assert "goes on P2" in html
    assert faults(html) == []


@pytest.mark.usefixtures("pressed")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    assert client.get(f"{PRESSES}?format=json").json() == as_plain(fit_presses(otter.SLUG))
    assert client.get(f"{FIT}?format=json").json() == as_plain(fit_tool(otter.SLUG, otter.TOOL))
    assert client.get(f"{PRESSES}for/M77/?format=json").status_code == 404
    assert client.get("/p/nowhere/presses/").status_code == 404
    assert client.post(FIT).status_code == 405
    refused = client.get(FIT, {"try": "1", "wall_mm": "0", "format": "json"})
    assert (refused.status_code, "wall_mm" in refused.json()["error"]) == (422, True)


@pytest.mark.usefixtures("pressed")
def test_names_are_shown_and_never_run() -> None:
    wicked = "<script>alert(1)</script>"
    Press.objects.filter(code="P2").update(name=wicked)
    found = replace(fit_tool(otter.SLUG, otter.TOOL), tool_name=wicked, cautions=(Caution(wicked),))
    for html in (
        render_page("fit.html", fit_page(found, TryShotForm())),
        render_page("presses.html", presses_page(fit_presses(otter.SLUG))),
    ):
        assert html.count("<script") == 1, "the page's own, from a file"
