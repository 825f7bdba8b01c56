"""The page of a lot: the order first, then what contradicts it; or a table that somebody brings."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from django.test import Client

from offtool.steps.define_ground import DetailSaid, keep_detail
from offtool.steps.keep_sample import PartSaid, SampleSaid, look_for_detail_on, register_sample
from offtool.steps.lot_place import place_of_lot
from offtool.steps.order_samples import order_of_samples, order_of_table
from offtool.steps.plain import as_plain
from offtool.web.forms.lot import LotForm, LotTableForm
from offtool.web.pages.lot import lot_page
from tests.steps.told_apart import PART, make_told_apart
from tests.web.otter import NOW, SLUG
from tests.web.rendering import Outline, faults, render_page

LOT = f"/p/{SLUG}/samples/lot/"
TABLE = "/order/"
DETAILS = ("rib", "vent", "mark", "texture")
LADDER = {"0003": "----", "0001": "x---", "0004": "xx--", "0002": "xxxx", "0005": "xxxx", "0006": "xxxx"}
MISREAD = "sample,rib,vent,mark,texture,pin\n" + "".join(
    f"{name},{','.join('yes' if one == 'x' else 'no' for one in shows)}\n"
    for name, shows in (
        *((f"A{i}", "-----") for i in range(4)),
        *((f"B{i}", "xxx--") for i in range(4)),
        *((f"C{i}", "xxxxx") for i in range(4)),
        ("D1", "x-xxx"),
    )
)
"""Three plain states, and one piece on which a vent was overlooked."""


@pytest.fixture
def bare(db: None) -> None:
    """Nothing was looked at."""
    make_told_apart()


@pytest.fixture
def bag(bare: None) -> None:
    """Pieces without a tag, of which the order is plain."""
    for code in DETAILS:
        keep_detail(SLUG, DetailSaid(part=PART, code=code), by="x")
    for number, shows in LADDER.items():
        register_sample(SLUG, SampleSaid(number=number, parts=(PartSaid(part=PART),)), at=NOW, by="x")
        for code, there in zip(DETAILS, shows, strict=True):
            look_for_detail_on(SLUG, number, PART, code, is_there=there == "x", at=NOW, by="x")


def page(client: Client, address: str = LOT) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


def bring(client: Client, content: str, name: str = "bag.csv", **more: str) -> tuple[int, str]:
    file = io.BytesIO(content.encode())
    file.name = name
    answer = client.post(TABLE, {"file": file, "sheet": "", **more})
    return answer.status_code, answer.content.decode()


@pytest.mark.usefixtures("bare")
def test_before_anything_was_looked_at_the_page_says_what_to_do(client: Client) -> None:
    text = Outline(page(client)).text
    assert "Put a lot of pieces in the order in which their steel was made." in text
    assert "Nothing looked for yet? Look at the samples; enter the details first." in text
    asked = Outline(page(client, f"{LOT}?part={PART}")).text
    assert "There is no order yet." in asked
    assert "look for its details on two samples at least" in asked


@pytest.mark.usefixtures("bag")
def test_the_part_that_was_looked_at_most_is_ordered_at_once(client: Client) -> None:
    html = page(client)
    text = Outline(html).text
    found = order_of_samples(SLUG, PART)
    assert html.index(found.headline) < html.index('class="lot-strip"') < html.index("From early to late")
    assert html.count('class="lot-strip"') == 2, "one for the desk, one for the phone"
    seen = text[text.index("What was seen, in this order") :]
    places = [seen.index(number) for number in ("0003", "0001", "0004", "0002")]
    assert places == sorted(places)
    for caution in found.cautions:
        assert str(caution) in text
    assert f'href="/p/{SLUG}/samples/0003/"' in html


@pytest.mark.usefixtures("bag")
def test_some_samples_only(client: Client) -> None:
    text = Outline(page(client, f"{LOT}?part={PART}&samples=0003,+0002")).text
    assert "2 samples" in text
    assert "0001" not in text


@pytest.mark.usefixtures("bag")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    asked = client.get(LOT, {"part": PART, "samples": "", "format": "json"})
    assert asked.json() == as_plain(order_of_samples(SLUG, PART))
    assert client.get(LOT, {"part": "HO-05", "format": "json"}).status_code == 422
    assert client.get("/p/nowhere/samples/lot/").status_code == 404


@pytest.mark.usefixtures("bag")
def test_a_part_that_is_not_there_is_refused_at_its_field(client: Client) -> None:
    answer = client.get(LOT, {"part": "HO-99"})
    assert answer.status_code == 422
    assert "Choose one of the parts." in answer.content.decode()


def test_a_table_is_ordered_without_any_record(client: Client, db: None) -> None:
    assert f'action="{TABLE}"' in page(client, TABLE)
    status, html = bring(client, MISREAD)
    assert status == 200
    assert faults(html) == []
    text = Outline(html).text
    assert "bag.csv: 13 samples, 5 details" in text
    assert order_of_table(MISREAD.encode(), "bag.csv").headline in text


def test_a_reading_against_all_others_is_marked_in_words(client: Client, db: None) -> None:
    found = order_of_table(MISREAD.encode(), "bag.csv")
    assert ("D1", "vent") in {(one.sample, one.detail) for one in found.order.odd}
    html = bring(client, MISREAD)[1]
    text = Outline(html).text
    assert "Look again at vent on D1." in text
    assert "? not there" in text
    assert "the rest says there" in text
    assert html.count('<td class="odd">') == len(found.order.odd)


def test_cells_that_cannot_be_read_are_named_as_a_spreadsheet_names_them(client: Client, db: None) -> None:
    status, html = bring(client, MISREAD.replace("A1,no,no", "A1,no,perhaps"))
    assert status == 200
    assert "C3: perhaps" in Outline(html).text


@pytest.mark.parametrize("content", ["", "nothing", "sample,rib\n"])
def test_what_is_no_table_is_refused_at_the_field(client: Client, db: None, content: str) -> None:
    status, html = bring(client, content)
    assert status == 422
    assert 'id="table_file_error"' in html
    assert faults(html) == []


def test_a_table_answers_as_json_too(client: Client, db: None) -> None:
    file = io.BytesIO(MISREAD.encode())
    file.name = "bag.csv"
    answer = client.post(TABLE, {"file": file, "format": "json"})
    assert answer.json() == as_plain(order_of_table(MISREAD.encode(), "bag.csv"))


def test_the_first_page_leads_to_it(client: Client, db: None) -> None:
    assert f'href="{TABLE}"' in client.get("/").content.decode()


@pytest.mark.usefixtures("bag")
def test_every_field_of_the_page_is_there() -> None:
    place = place_of_lot(SLUG)
    form = LotForm(place, {"part": PART, "samples": ""})
    shown = lot_page(place, choose=form, table_form=LotTableForm(), found=order_of_samples(SLUG, PART))
    render_page("lot.html", shown)
    render_page("lot.html", replace(shown, shown=None, refusal="no"))
    render_page("lot.html", lot_page(None, table_form=LotTableForm()))
