"""The page at the press in a real browser: on a phone, by thumb, by keyboard, with and without a script."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.exchange.test_pictures import photograph
from tests.web import otter
from tests.web.conftest import TRIAL

LOOK = f"{TRIAL}look/"
PHONE = {"width": 390, "height": 844}

# the plug-in that gives the browser declares its fixtures in a way that pytest 10 will not know
pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone whose browser runs no script; it has nothing to complain of."""
    context = browser.new_context(viewport=PHONE, java_script_enabled=False, has_touch=True)
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("requestfailed", lambda request: said.append(f"{request.failure}: {request.url}"))
    yield page
    context.close()
    assert [one for one in said if not one.startswith("net::ERR_ABORTED")] == []


def cavity(page: Page, name: str) -> Locator:
    return page.get_by_role("group", name=f"Cavity {name}", exact=True)


@pytest.mark.parametrize("address", [LOOK, f"/p/{otter.SLUG}/defects/"])
@pytest.mark.parametrize("width", [360, 390, 1200])
def test_a_page_fits_its_window(page: Page, server: str, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(server + address)
    for fold in page.locator("details").all():
        fold.evaluate("one => one.open = true")
    for tick in page.get_by_role("checkbox").all()[:12]:
        tick.evaluate("one => one.click()")
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_what_is_pressed_is_large_enough_for_a_thumb(page: Page, server: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(server + LOOK)
    pressed = [
        *page.get_by_role("button").all(),
        *page.locator(".cavity:visible .seen > label:visible").all(),
    ]
    assert len(pressed) > 40
    for one in pressed:
        box = one.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["width"] >= 120


def test_a_shot_is_looked_at_by_thumb_with_a_photograph_and_the_next_one_is_offered(
    phone: Page, server: str, tmp_path: Path
) -> None:
    """The whole way, without a script."""
    picture = tmp_path / "IMG_0007.jpg"
    picture.write_bytes(photograph(size=(800, 600), orientation=6))
    phone.goto(f"{server}{LOOK}?shot=10")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Shot 10 of T1: what do you see?")
    second = cavity(phone, "2")
    expect(second.get_by_label("Where, flash")).not_to_be_visible()
    second.get_by_text("Flash", exact=True).tap()
    second.get_by_label("Where, flash").fill("parting line")
    second.get_by_label("Photograph").set_input_files(picture)
    assert second.get_by_label("Photograph").get_attribute("capture") == "environment"
    for clean in "134":
        cavity(phone, clean).get_by_text("Nothing wrong", exact=True).tap()
    phone.get_by_label("Your name").fill("tooling")
    phone.get_by_role("button", name="Keep what is ticked").tap()
    expect(phone.get_by_role("status")).to_have_text(
        "Shot 10 is kept: cavity 2 flash; cavities 1, 3 and 4 nothing wrong."
    )
    expect(phone.get_by_role("heading", level=1)).to_have_text("Shot 11 of T1: what do you see?")
    expect(phone.get_by_label("Your name")).to_have_value("tooling")
    expect(cavity(phone, "2")).to_contain_text("Look for flash, parting line, open since T1")

    phone.get_by_role("button", name="Nothing wrong in all 4 cavities").tap()
    expect(phone.get_by_role("status")).to_have_text("Shot 11 is kept: all 4 cavities nothing wrong.")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Shot 12 of T1: what do you see?")
    seen = phone.locator("#seen")
    expect(seen).to_contain_text("1 of 2, 1 to 99 %")
    expect(seen).to_contain_text("Open since T1 (state a): 1 of 2 in T1.")

    small = phone.get_by_alt_text("Flash, cavity 2, shot 10").first
    expect(small).to_be_visible()
    drawn = phone.request.get(server + str(small.get_attribute("src")))
    assert drawn.headers["content-type"] == "image/jpeg"


def test_a_photograph_fits_the_phone_on_which_it_is_opened(page: Page, server: str, tmp_path: Path) -> None:
    """The browser lays a lone picture out itself, and must be allowed to."""
    picture = tmp_path / "IMG_0008.jpg"
    picture.write_bytes(photograph(size=(1600, 1200)))
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{server}{LOOK}?shot=300")
    cavity(page, "1").get_by_label("Photograph").set_input_files(picture)
    page.get_by_role("button", name="Nothing wrong in all 4 cavities").click()
    page.get_by_role("link", name="Photograph, cavity 1, shot 300").first.click()
    box = page.locator("img").bounding_box()
    assert box is not None
    assert box["width"] <= 390


def test_a_look_is_set_aside_and_stays_struck_through(phone: Page, server: str) -> None:
    phone.goto(f"{server}{LOOK}?shot=500")
    cavity(phone, "3").get_by_text("Burn", exact=True).tap()
    phone.get_by_role("button", name="Keep what is ticked").tap()
    phone.get_by_role("link", name=re.compile("set aside ?, Cavity 3")).first.tap()
    phone.get_by_label("Why it no longer counts").fill("it was oil")
    phone.get_by_role("button", name="Set it aside").tap()
    expect(phone.locator(".aside").first).to_contain_text("Cavity 3: burn Set aside: it was oil")


def test_a_defect_is_ticked_by_keyboard_and_its_focus_is_seen(page: Page, server: str) -> None:
    page.goto(server + LOOK)
    tick = cavity(page, "1").get_by_role("checkbox", name="Flash", exact=True)
    tick.focus()
    page.keyboard.press("Space")
    expect(tick).to_be_checked()
    label = cavity(page, "1").get_by_text("Flash", exact=True)
    assert label.evaluate("one => getComputedStyle(one).outlineWidth") == "3px"
    page.keyboard.press("Tab")
    expect(cavity(page, "1").get_by_label("Where, flash")).to_be_focused()
