"""The pages of a seam in a real browser: defined, a study read, a piece asked about, on a phone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web import welded
from tests.web.conftest import served
from tests.web.welded import SEAM, SEAMS

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture(scope="module")
def halves(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages over a record with two halves to weld."""
    with served("tests.web.serve_welded", tmp_path_factory.mktemp("welded")) as address:
        yield address


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def test_a_seam_is_defined_welded_asked_about_and_judged(
    quiet_page: Page, halves: str, tmp_path: Path
) -> None:
    """The whole way, as an engineer goes it."""
    page = quiet_page
    page.goto(halves + SEAMS)
    page.get_by_role("link", name="Name the first seam").click()
    page.get_by_role("link", name="Ridge").click()
    page.get_by_label("Short name").fill("torso")
    page.get_by_label("Part under the horn").select_option("HO-03")
    page.get_by_label("Part in the nest").select_option("HO-02")
    page.get_by_label("Number for length of the seam, all round, mm").fill("150")
    page.get_by_label("Kind").select_option("tongue and groove")
    page.get_by_role("button", name="Show its sizes").click()
    expect(page.get_by_label("Number for length of the seam, all round, mm")).to_have_value("150")
    for what, value in (
        ("width of the faces that meet", "1.4"), ("height of the ridge", "0.5"),
        ("width of the tongue that carries the ridge", "1.25"), ("width of the groove", "1.41"),
        ("room under the tongue, to the floor of the groove", "0.35"),
        ("height of the two parts laid together before welding", str(welded.OPEN_MM)),
    ):  # fmt: skip
        page.get_by_label(f"Number for {what}, mm").fill(value)
    page.get_by_label("Pull that it must hold, N").fill("60")
    page.get_by_role("button", name="Keep this seam").click()
    expect(page.get_by_role("status")).to_contain_text("Seam torso is kept.")
    assert page.url == halves + SEAM

    file = tmp_path / welded.FILE
    file.write_text(welded.study_csv(), encoding="utf-8")
    page.locator(".further").get_by_role("link", name="Read a weld study").click()
    page.get_by_label("File of the study").set_input_files(file)
    page.get_by_role("button", name="Show how it is understood").click()
    page.get_by_label("Welded on").fill("2026-03-20")
    page.get_by_role("button", name="Show it so").click()
    page.get_by_label("Your name").fill("bench")
    page.get_by_role("button", name="Keep this study").click()
    expect(page.get_by_role("status")).to_contain_text("37 pieces of torso_weld.csv are kept")
    expect(page.locator("#pieces")).to_contain_text(welded.OPEN_PIECE)

    page.get_by_label("Height over both parts, mm").fill("24,43")
    page.get_by_label("Flash along the seam").select_option("absent")
    page.get_by_role("button", name="Answer").click()
    expect(page.locator(".answer")).to_contain_text("that it was never welded")
    assert page.url.endswith("#open")
    expect(page.get_by_label("Height over both parts, mm")).to_have_value("24,43")

    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        for fold in page.locator("details").all():
            fold.evaluate("one => one.open = true")
        assert page.evaluate("document.documentElement.scrollWidth") == width
    page.get_by_label("Why it no longer counts").fill("the horn was loose")
    page.get_by_role("button", name="Set study W1 aside").click()
    expect(page.get_by_role("status")).to_contain_text("Weld study W1 is set aside.")


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("end", ["", "new/", "new/?kind=groove", "new/?kind=shear"])
def test_a_page_fits_its_window(quiet_page: Page, halves: str, end: str, width: int) -> None:
    quiet_page.set_viewport_size({"width": width, "height": 844})
    quiet_page.goto(halves + SEAMS + end)
    assert quiet_page.evaluate("document.documentElement.scrollWidth") == width
