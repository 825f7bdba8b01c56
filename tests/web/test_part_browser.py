"""The picture of a part in a real browser: drawn, turned by keys, read; and what stands without a script."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import trimesh
from playwright.sync_api import Browser, ConsoleMessage, Page, expect

from tests.web import otter
from tests.web.conftest import served
from tests.web.serve_shaped import PART

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")
ADDRESS = f"/p/{otter.SLUG}/parts/{PART}/"
WALL = re.compile(r"Wall (\d+\.\d\d) mm, at x (-?\d+\.\d), y (-?\d+\.\d), z (-?\d+\.\d)$")


@pytest.fixture(scope="module")
def shapes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages over a record in which one part has a shape."""
    with served("tests.web.serve_shaped", tmp_path_factory.mktemp("shaped")) as address:
        yield address


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        # a browser without a graphics card says of its own driver how slowly it draws
        if "GL Driver Message (OpenGL, Performance" not in message.text:
            said.append(f"{message.type}: {message.text}")

    page.on("console", hear)
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def place(read: str) -> tuple[float, float, float]:
    """Where the wall was read."""
    found = WALL.search(read)
    assert found, read
    assert float(found[1]) == pytest.approx(2, abs=0.03)
    return float(found[2]), float(found[3]), float(found[4])


def test_the_part_is_drawn_turned_by_keys_and_read(quiet_page: Page, shapes: str) -> None:
    page = quiet_page
    page.goto(shapes + ADDRESS)
    picture, read = page.locator(".part-turned"), page.locator(".part-read")
    expect(picture.locator("canvas")).to_be_visible()
    expect(page.locator(".part-drawn")).not_to_be_visible()
    expect(read).to_contain_text("arrow keys")
    mark = picture.locator(".part-mark").first
    expect(mark).to_have_text("1")
    # the middle of the view is the middle of the plate, on the side that is seen
    picture.focus()
    picture.hover()
    x, y, z = place(read.inner_text())
    assert (abs(x) < 2, abs(y) < 2, z) == (True, True, 1)
    before, was = picture.locator("canvas").screenshot(), mark.bounding_box()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(read).to_contain_text("In the middle: Wall 2.0")
    assert picture.locator("canvas").screenshot() != before
    assert mark.bounding_box() != was
    page.get_by_role("button", name="From below").click()
    picture.hover(position={"x": 5, "y": 5})
    picture.hover()
    assert place(read.inner_text())[2] == -1


def test_without_a_script_and_on_paper_the_drawing_stands(browser: Browser, shapes: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(shapes + ADDRESS)
    expect(page.locator("svg.part-walls")).to_be_visible()
    expect(page.locator(".part-turned")).not_to_be_visible()
    expect(page.get_by_role("button", name="From above")).not_to_be_visible()
    context.close()


def test_paper_shows_the_drawing_and_the_cautions(quiet_page: Page, shapes: str) -> None:
    quiet_page.goto(shapes + ADDRESS)
    expect(quiet_page.locator(".part-turned canvas")).to_be_visible()
    quiet_page.emulate_media(media="print")
    expect(quiet_page.locator("svg.part-walls")).to_be_visible()
    expect(quiet_page.locator(".part-turned")).not_to_be_visible()
    expect(quiet_page.get_by_text("Measured on the drawing as it was sent")).to_be_visible()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_shape_is_shown_with_its_picture_before_it_is_kept(
    quiet_page: Page, shapes: str, tmp_path: Path, width: int
) -> None:
    page = quiet_page
    page.set_viewport_size({"width": width, "height": 844})
    file = tmp_path / "ball.stl"
    file.write_bytes(trimesh.creation.icosphere(3, 10).export(file_type="stl"))
    page.goto(f"{shapes}{ADDRESS}read/")
    page.get_by_label("File of the shape").set_input_files(file)
    page.get_by_role("button", name="Show how it is understood").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("In which unit is this file?")
    page.get_by_label("Unit of its numbers").select_option("mm")
    page.get_by_role("button", name="Show it so").click()
    expect(page.locator("svg.part-walls")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.goto(shapes + ADDRESS)
    expect(page.locator(".part-turned canvas")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == width
