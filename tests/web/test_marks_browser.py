"""Card and piece are marked on the photograph by dragging, also on a phone; without a script by typing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.steps.card_picture import BOX, CARD, CORNERS, HIGH, WIDE
from tests.web.conftest import served
from tests.web.otter import SLUG

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")
MARKING = f"/p/{SLUG}/samples/0417/photographs/1/colour/"


@pytest.fixture(scope="module")
def photographed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages over a record with one photographed piece."""
    with served("tests.web.serve_photographed", tmp_path_factory.mktemp("photographed")) as address:
        yield address


def drag(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """From one place of the picture to another, as shares of it."""
    picture = page.locator("svg.marking")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    assert box is not None
    for x, y, step in ((*start, "down"), (*end, "up")):
        page.mouse.move(box["x"] + x * box["width"], box["y"] + y * box["height"], steps=4)
        getattr(page.mouse, step)()


@pytest.mark.parametrize("size", [(1280, 900), (390, 844)], ids=["desk", "phone"])
def test_card_and_piece_are_dragged_measured_and_kept(
    page: Page, photographed: str, size: tuple[int, int]
) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(photographed + MARKING)
    expect(page.get_by_role("button", name="Mark the card")).to_have_attribute("aria-pressed", "true")
    drag(page, CORNERS[0], CORNERS[2])
    page.get_by_role("textbox", name="Rows").fill("3")
    page.get_by_role("textbox", name="Columns").fill("4")
    expect(page.locator(".drawn .net")).to_have_count(2 + 3)
    page.get_by_role("button", name="Region 1").click()
    drag(page, (BOX[0] + 0.02, BOX[1] + 0.02), (BOX[2] - 0.02, BOX[3] - 0.02))
    page.get_by_label("File of its values").set_input_files(
        {"name": "card.csv", "mimeType": "text/csv", "buffer": CARD.encode()}
    )
    page.get_by_label("Values are stated for").select_option("D65/2")
    page.get_by_role("button", name="Measure the colours").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("The colour is measured")
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    page.get_by_role("button", name="Keep these colours").click()
    expect(page.get_by_role("status")).to_contain_text("1 colour is kept")
    assert said == []


def test_a_corner_is_pulled_where_the_card_lies_askew(page: Page, photographed: str) -> None:
    page.goto(photographed + MARKING)
    drag(page, (0.5, 0.2), (0.9, 0.6))
    drag(page, (0.9, 0.6), (0.8, 0.7))
    typed = page.get_by_label("Corners of the card").input_value()
    corners = [float(one) for one in typed.replace(";", " ").split()]
    assert corners == pytest.approx([50, 20, 90, 20, 80, 70, 50, 60], abs=0.5)


def test_without_a_script_the_numbers_are_typed(browser: Browser, photographed: str) -> None:
    page = browser.new_page(java_script_enabled=False, viewport={"width": WIDE, "height": HIGH})
    page.goto(photographed + MARKING)
    page.get_by_label("one grey patch").check()
    page.get_by_label("Corners of the card").fill("74 15; 83.5 15; 83.5 30; 74 30")
    page.get_by_label("L* of the grey").fill("65")
    page.get_by_label("Left, top, right, bottom, %").first.fill("12 22 28 58")
    page.get_by_role("button", name="Measure the colours").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("one patch cannot show how well")
    page.close()
