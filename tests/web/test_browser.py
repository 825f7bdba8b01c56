"""The pages in a real browser, from a real server: by keyboard, on a phone, on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web import otter
from tests.web.conftest import TRIAL

PAGES = ["/", "/start/", f"/p/{otter.SLUG}/", TRIAL, f"{TRIAL}correction/", f"{TRIAL}read/", f"{TRIAL}steel/",
         "/formulas/", "/formulas/judge_size/", "/formulas/plan_corrections/", "/about/"]  # fmt: skip

# the plug-in that gives the browser declares its fixtures in a way that pytest 10 will not know
pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of: no error, no warning, no broken policy."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("requestfailed", lambda request: said.append(f"{request.failure}: {request.url}"))
    yield page
    # a download ends the visit of its address: that is no complaint
    assert [one for one in said if not one.startswith("net::ERR_ABORTED")] == []


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize("width", [390, 1280])
def test_a_page_fits_its_window_and_loads_without_complaint(
    quiet_page: Page, server: str, address: str, width: int
) -> None:
    quiet_page.set_viewport_size({"width": width, "height": 844})
    quiet_page.goto(server + address)
    assert quiet_page.evaluate("document.documentElement.scrollWidth") == width
    for fold in quiet_page.locator("details").all():
        fold.evaluate("one => one.open = true")
    assert quiet_page.evaluate("document.documentElement.scrollWidth") == width


def test_the_fonts_come_with_the_page(quiet_page: Page, server: str) -> None:
    quiet_page.goto(server + TRIAL)
    quiet_page.evaluate("document.fonts.ready")
    loaded = quiet_page.evaluate(
        "[...document.fonts].filter(one => one.status == 'loaded').map(one => `${one.family} ${one.weight}`)"
    )
    named = {one.replace('"', "") for one in loaded}
    assert named >= {"Source Sans 3 400", "Source Sans 3 600", "Offtool Signs normal"}


def test_a_trial_is_read_by_keyboard_alone(quiet_page: Page, server: str) -> None:
    quiet_page.goto(server + TRIAL)
    quiet_page.keyboard.press("Tab")
    expect(quiet_page.get_by_role("link", name="To the page")).to_be_focused()
    quiet_page.keyboard.press("Enter")
    quiet_page.keyboard.press("Tab")
    assert quiet_page.evaluate("document.activeElement.closest('main') !== null")
    outline = quiet_page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert outline == "3px"
    numbers = quiet_page.locator(".numbers").first
    expect(numbers).not_to_be_visible()
    for _ in range(40):
        quiet_page.keyboard.press("Tab")
        if quiet_page.evaluate("document.activeElement.textContent") == "by cavity":
            break
    quiet_page.keyboard.press("Enter")
    expect(numbers).to_be_visible()


def test_a_link_to_a_folded_size_unfolds_it(quiet_page: Page, server: str) -> None:
    quiet_page.goto(server + TRIAL)
    last = quiet_page.locator("[id^=size-]").last
    expect(last).not_to_be_visible()
    mark = last.get_attribute("id")
    quiet_page.goto(f"{server}{TRIAL}#{mark}")
    expect(quiet_page.locator(f"[id={mark}]")).to_be_visible()


def test_paper_shows_every_size_and_no_buttons(quiet_page: Page, server: str) -> None:
    quiet_page.goto(server + TRIAL)
    quiet_page.emulate_media(media="print")
    for size in quiet_page.locator("[id^=size-]").all():
        expect(size).to_be_visible()
    quiet_page.goto(f"{server}{TRIAL}correction/")
    expect(quiet_page.get_by_role("button")).to_have_count(0)


def test_what_is_pressed_at_the_press_is_large_enough_for_a_thumb(quiet_page: Page, server: str) -> None:
    quiet_page.set_viewport_size({"width": 390, "height": 844})
    for address in (f"{TRIAL}read/", f"{TRIAL}correction/", "/formulas/judge_size/"):
        quiet_page.goto(server + address)
        for button in quiet_page.get_by_role("button").all():
            box = button.bounding_box()
            assert box is not None
            assert box["height"] >= 44


def test_a_file_is_shown_kept_corrected_and_its_steel_measured_again(
    quiet_page: Page, server: str, tmp_path: Path
) -> None:
    """The whole way, as an engineer goes it."""
    page = quiet_page
    readings = otter.readings_csv(seed=11).replace(b"Shot,", b"Shot ,", 1).decode().splitlines()
    readings[5] = re.sub(r",[\d.]+$", ",OOL", readings[5])
    file = tmp_path / "M2_T2_gaugeroom.csv"
    file.write_text("\n".join(readings), encoding="utf-8")

    page.goto(f"{server}/p/{otter.SLUG}/")
    page.get_by_role("link", name="Read a file into a new trial, T2").click()
    page.get_by_label("File of readings").set_input_files(file)
    page.get_by_role("button", name="Show how it is understood").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(
        "399 readings of 10 sizes in 4 cavities; 1 cell cannot be read."
    )
    expect(page.locator("#refused")).to_contain_text("row 6, column 12")
    page.get_by_label("Leave out what cannot be read").check()
    page.get_by_label("Press").fill("press 6")
    page.get_by_label("Your name").fill("tooling")
    page.get_by_role("button", name="Keep these readings").click()
    expect(page.get_by_role("status")).to_contain_text("399 readings of M2_T2_gaugeroom.csv are kept")

    page.get_by_role("link", name="Correction of the tool").click()
    ticks = page.get_by_role("checkbox")
    offered = ticks.count()
    ticks.first.uncheck()
    expect(page.get_by_label("Your name")).to_have_value("tooling")
    page.get_by_role("button", name="Keep these corrections").click()
    expect(page.get_by_role("status")).to_contain_text(f"{offered - 1} changes are decided.")
    expect(page.get_by_role("checkbox")).to_have_count(1)

    with page.expect_download() as sheet:
        page.get_by_role("link", name="sheet to the toolmaker").click()
    assert sheet.value.suggested_filename == "harbour-otter_M2_T2_steel-change.pdf"

    rows = page.locator("#steel tbody tr")
    for row in rows.all()[:2]:
        asked = row.locator("td").nth(1).inner_text()
        row.get_by_label("Steel measured").fill(asked)
    page.get_by_role("button", name="Enter the new steel").click()
    expect(page.get_by_role("status")).to_contain_text("Tool M2 is in state b now.")
    expect(page.locator("#tool-M2")).to_contain_text("Steel in state b")
