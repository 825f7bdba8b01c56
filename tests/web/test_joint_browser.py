"""The pages of the joints in a browser: by keyboard, on a phone, from a definition to steel asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web import jointed
from tests.web.conftest import served
from tests.web.jointed import JOINT, JOINTS

pytestmark = pytest.mark.filterwarnings("ignore:Session-scoped fixtures defined as instance methods")


@pytest.fixture(scope="module")
def jointed_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages over a record with an arm and two joints."""
    with served("tests.web.serve_jointed", tmp_path_factory.mktemp("jointed")) as address:
        yield address


@pytest.fixture
def quiet_page(page: Page) -> Iterator[Page]:
    """A page on which the browser has nothing to complain of."""
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert said == []


def fits(page: Page) -> None:
    """With every fold open, nothing sticks out of a phone or of a desk's window."""
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        for fold in page.locator("details").all():
            fold.evaluate("one => one.open = true")
        assert page.evaluate("document.documentElement.scrollWidth") == width


def test_a_joint_is_defined_measured_and_its_steel_asked_for(
    quiet_page: Page, jointed_server: str, tmp_path: Path
) -> None:
    """The whole way, as an engineer goes it."""
    page = quiet_page
    file = tmp_path / "torque.csv"
    file.write_text(jointed.torque_csv(), encoding="utf-8")
    page.goto(jointed_server + JOINTS)
    page.get_by_role("link", name="Define a joint").click()
    page.get_by_role("link", name="Peg in socket").click()
    page.get_by_label("Short name").fill("hip")
    page.get_by_label("diameter of the peg: measured size").select_option("HO-04 2")
    page.get_by_label("bore of the socket: measured size").select_option("HO-02 13")
    page.get_by_label("outer diameter of the socket: number").fill("7,2")
    page.get_by_label("length over which peg and socket touch: number").fill("4")
    page.get_by_label("Least breakaway torque").fill("0.08")
    page.get_by_label("Most breakaway torque").fill("0.3")
    page.get_by_label("Your name").fill("tooling")
    fits(page)
    page.get_by_role("button", name="Define this joint").click()
    expect(page.get_by_role("status")).to_contain_text("Joint hip is defined.")
    expect(page.locator("h1")).to_contain_text("Hip is loose")

    page.get_by_role("link", name="Read a test of this joint").click()
    page.get_by_label("File of the test").set_input_files(file)
    page.get_by_role("button", name="Show how it is understood").click()
    fits(page)
    expect(page.get_by_label("Your name")).to_have_value("tooling")
    page.get_by_role("button", name="Keep this test").click()
    expect(page.get_by_role("status")).to_contain_text("24 readings of torque.csv are kept as test 1.")

    fits(page)
    page.locator(".measure .says").first.hover()
    expect(page.locator(".tip")).to_contain_text("of joints")
    page.get_by_role("button", name="Ask for way 1").click()
    expect(page.get_by_role("status")).to_contain_text("the correction aims at it")
    fits(page)
    page.get_by_label("Why it no longer counts").first.fill("the arm is new")
    page.get_by_role("button", name="Ask nothing of").click()
    expect(page.locator("#steel")).to_contain_text("dropped: the arm is new")


def test_rows_are_added_to_a_chain_without_losing_one(quiet_page: Page, jointed_server: str) -> None:
    page = quiet_page
    page.goto(f"{jointed_server}{JOINTS}new/?kind=chain+of+sizes")
    page.get_by_label("size 1: name").fill("opening")
    page.get_by_role("button", name="More rows").click()
    expect(page.get_by_label("size 1: name")).to_have_value("opening")
    expect(page.get_by_label("size 7: name")).to_be_visible()
    page.get_by_label("Kind", exact=True).select_option("loop of sizes")
    page.get_by_role("button", name="Show its sizes").click()
    expect(page.get_by_label("size 1: name")).to_have_value("opening")
    expect(page.get_by_label("size 1: angle, deg")).to_be_visible()
    fits(page)


def test_enter_in_a_field_defines_the_joint_rather_than_changing_its_rows(
    quiet_page: Page, jointed_server: str
) -> None:
    page = quiet_page
    page.goto(f"{jointed_server}{JOINT}change/")
    page.get_by_label("In words").fill("arm in shoulder")
    page.get_by_label("In words").press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Joint shoulder is changed.")


@pytest.mark.parametrize(
    "address", [JOINTS, JOINT, f"{JOINTS}stack/", f"{JOINTS}new/", f"{JOINT}change/", f"{JOINT}read/"]
)
def test_a_page_fits_its_window(quiet_page: Page, jointed_server: str, address: str) -> None:
    quiet_page.goto(jointed_server + address)
    fits(quiet_page)


def test_paper_shows_no_buttons_and_all_of_the_drawings(quiet_page: Page, jointed_server: str) -> None:
    quiet_page.goto(jointed_server + JOINT)
    quiet_page.emulate_media(media="print")
    expect(quiet_page.get_by_role("button")).to_have_count(0)
    expect(quiet_page.locator(".measure")).to_be_visible()
    expect(quiet_page.locator(".matrix")).to_be_visible()
