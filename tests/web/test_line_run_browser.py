"""A long run in a real browser: begun, told of while it goes on, stopped, and what was done is kept."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.steps.run_lines import LINE, SLUG
from tests.web.conftest import served

RUN = f"/p/{SLUG}/line/{LINE.replace(' ', '%20')}/run/"
IN_TIME_MS = 30_000
"""Until the first runs are done, and until those under way have ended: two processes are started for them."""

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture(scope="module")
def lined(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served("tests.web.serve_lined", tmp_path_factory.mktemp("lined")) as address:
        yield address


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def test_a_long_run_is_begun_tells_how_far_it_is_and_is_stopped(quiet_page: Page, lined: str) -> None:
    """The whole way, as an engineer goes it."""
    page = quiet_page
    page.goto(lined + RUN)
    expect(page.get_by_role("heading", level=1)).to_contain_text("not the 130 planned: s2 limits it.")
    expect(page.locator(".under-way")).to_have_count(0)
    page.get_by_label("Hours of a run").fill("100")
    page.get_by_label("Runs", exact=True).fill("500")
    page.get_by_label("Try one more of each thing").uncheck()
    page.get_by_role("button", name="Run it").click()

    under_way = page.locator(".under-way")
    expect(under_way.locator(".says")).to_have_text(
        re.compile(r"^[1-9]\d* of 500 runs are done\.$"), timeout=IN_TIME_MS
    )
    expect(under_way.locator(".so-far")).to_contain_text("So far: The line makes", timeout=IN_TIME_MS)
    assert int(under_way.get_by_role("progressbar").evaluate("one => one.value")) > 0
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") == width

    page.get_by_role("button", name="Stop, and keep what is done").click()
    expect(under_way).to_have_count(0, timeout=IN_TIME_MS)
    expect(page.locator(".when")).to_have_text(re.compile(r"^\d+ of 500 runs of 100 h, stopped$"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("not the 130 planned: s2 limits it.")

    page.emulate_media(media="print")
    expect(page.get_by_role("button")).to_have_count(0)
