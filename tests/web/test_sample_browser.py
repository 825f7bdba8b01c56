"""The pages of samples in a real browser: a piece is registered, looked at by phone, photographed, judged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.exchange.test_pictures import photograph
from tests.web.archived import SAMPLE, SAMPLES
from tests.web.conftest import served

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages over a record with one piece in its archive."""
    with served("tests.web.serve_archived", tmp_path_factory.mktemp("archived")) as address:
        yield address


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def test_a_piece_is_registered_looked_at_photographed_and_told(
    quiet_page: Page, archive: str, tmp_path: Path
) -> None:
    """The whole way, as the keeper of an archive goes it with a phone at the drawer."""
    page = quiet_page
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(archive + SAMPLES)
    page.get_by_role("link", name="Register a piece").click()
    expect(page.get_by_label("Number")).to_have_value("0418")
    page.get_by_label("What it is").fill("otter torso")
    page.get_by_role("group", name="Part 1").get_by_label("Part", exact=True).select_option("HO-02")
    page.get_by_label("Your name").fill("Ada")
    page.get_by_role("button", name="Register it").last.click()
    expect(page.get_by_role("status")).to_contain_text("Sample 0418 is registered.")

    page.get_by_role("link", name="Enter what you see").first.click()
    mark = page.get_by_role("group", name="date mark").first
    expect(mark.get_by_label("not sure")).to_be_hidden()
    mark.get_by_label("There", exact=True).check()
    mark.get_by_label("not sure").check()
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.get_by_role("button", name="Keep what is filled in").click()
    expect(page.get_by_role("status")).to_contain_text("1 thing is kept.")
    expect(page.locator("#seen")).to_contain_text("there, not sure")

    picture = tmp_path / "drawer.jpg"
    picture.write_bytes(photograph(size=(800, 600), orientation=6))
    page.get_by_label("Photographs").set_input_files(picture)
    page.get_by_role("button", name="Keep the photographs").click()
    expect(page.get_by_role("status")).to_contain_text("1 photograph is kept.")
    shown = page.locator(".sample-photographs img").first
    shown.scroll_into_view_if_needed()
    expect(shown).to_have_js_property("naturalWidth", 240)  # upright, 320 high

    page.get_by_role("link", name="set aside").first.click()
    page.get_by_label("Why it no longer counts").fill("read by lamplight")
    page.get_by_role("button", name="Set it aside").click()
    expect(page.locator("#seen")).to_contain_text("Set aside: read by lamplight")


def test_the_evidence_of_another_origin_is_shown_in_its_place(quiet_page: Page, archive: str) -> None:
    page = quiet_page
    page.goto(archive + SAMPLE)
    chosen = page.locator("#origin")
    first, second = (chosen.locator("option").nth(i).get_attribute("value") for i in (0, 1))
    chosen.select_option(second)
    expect(page.locator("#why h3")).not_to_contain_text(f"against {first}")
    expect(page).to_have_url(re.compile("[?]origin="))
    page.reload()
    expect(page.locator("#origin")).to_have_value(str(second))


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("end", ["", "0417/", "0417/look/", "0417/change/", "0417/parts/", "new/"])
def test_a_page_fits_its_window(quiet_page: Page, archive: str, end: str, width: int) -> None:
    quiet_page.set_viewport_size({"width": width, "height": 844})
    quiet_page.goto(archive + SAMPLES + end)
    for fold in quiet_page.locator("details").all():
        fold.evaluate("one => one.open = true")
    assert quiet_page.evaluate("document.documentElement.scrollWidth") == width
