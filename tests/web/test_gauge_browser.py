"""The pages of a gauge in a real browser: on a phone, by pointing, from a file to a study set aside."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from examples.make_gauge_studies import CROSSED, study_files
from playwright.sync_api import Page, expect

from tests.web import otter

GAUGE = f"/p/{otter.SLUG}/gauges/G3/"

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def test_a_study_is_read_kept_looked_at_and_set_aside(quiet_page: Page, server: str, tmp_path: Path) -> None:
    """The whole way, as an engineer goes it."""
    page = quiet_page
    file = tmp_path / "MIC.csv"
    file.write_text(study_files()[CROSSED.file], encoding="utf-8")
    page.goto(server + GAUGE)
    page.get_by_role("link", name="Read a study of this gauge").click()
    page.get_by_label("File of the study").set_input_files(file)
    page.get_by_role("button", name="Show how it is understood").click()
    page.get_by_label("Size that was measured").select_option("HO-02 12")
    page.get_by_role("button", name="Show it so").click()
    expect(page.locator(".do")).to_contain_text("Whether G3 is fit for HO-02 12 is not shown")
    page.get_by_label("Measured on").fill("2026-01-20")
    page.get_by_label("Your name").fill("gauge room")
    page.get_by_role("button", name="Keep this study").click()
    expect(page.get_by_role("status")).to_contain_text("60 readings of MIC.csv are kept as study S1.")

    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") == width
        for fold in page.locator("details").all():
            fold.evaluate("one => one.open = true")
        assert page.evaluate("document.documentElement.scrollWidth") == width

    page.locator(".gauge-parts .says .mark").first.hover()
    expect(page.locator(".tip")).to_contain_text("part 1, Early: mean 4.00")
    page.get_by_label("Why it no longer counts").fill("the pegs were wet")
    page.get_by_role("button", name="Set study S1 aside").click()
    expect(page.get_by_role("status")).to_contain_text("Study S1 is set aside.")
    expect(page.locator("#studies")).to_contain_text("set aside: the pegs were wet")


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("address", [f"/p/{otter.SLUG}/gauges/", GAUGE, f"{GAUGE}read/"])
def test_a_page_fits_its_window(quiet_page: Page, server: str, address: str, width: int) -> None:
    quiet_page.set_viewport_size({"width": width, "height": 844})
    quiet_page.goto(server + address)
    assert quiet_page.evaluate("document.documentElement.scrollWidth") == width


def test_paper_shows_no_buttons(quiet_page: Page, server: str) -> None:
    quiet_page.goto(server + GAUGE)
    quiet_page.emulate_media(media="print")
    expect(quiet_page.get_by_role("button")).to_have_count(0)
