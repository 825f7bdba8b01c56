"""The own numbers of presses and tools: what is known, what is missing, what cannot be."""

from __future__ import annotations

import pytest

from offtool.handbook.sheet_numbers import (
    CLAMP_AND_BARREL,
    MOULD_SPACE,
    PRESS_SHEET,
    TIME_AND_MONEY,
    TOOL_MELT,
    TOOL_SHEET,
    TOOL_SPACE,
)
from offtool.records.models import Press, Tool
from offtool.records.operations import TOOL_NUMBERS
from offtool.records.queries.finding import NotInRecord
from offtool.steps.define_ground import PressSaid, keep_press
from offtool.steps.know_ground import know_ground
from offtool.steps.own_numbers import (
    Numbers,
    keep_press_numbers,
    keep_tool_numbers,
    press_numbers,
    tool_numbers,
)
from offtool.steps.sizes_given import DefinitionRefused
from tests.steps.told_apart import make_told_apart
from tests.web import otter

SLUG = otter.SLUG
ALL_OF_P6: Numbers = {
    **dict.fromkeys((*CLAMP_AND_BARREL, *MOULD_SPACE), 100.0),
    "works_from_h": 6.0,
    "works_to_h": 22.0,
    "per_hour": 24.0,
}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    """Two tools and a press of which nothing but the name is known."""
    make_told_apart()
    keep_press(SLUG, PressSaid(code="P6", name="80 t"), by="x")


def test_the_lists_hold_every_number_of_the_record_once() -> None:
    assert sorted(PRESS_SHEET) == sorted((*CLAMP_AND_BARREL, *MOULD_SPACE, *TIME_AND_MONEY))
    assert sorted(TOOL_SHEET) == sorted((*TOOL_SPACE, *TOOL_MELT))
    assert {*TOOL_SHEET, "feed"} == set(TOOL_NUMBERS)
    columns = {one.name for one in Press._meta.fields} - {"id", "programme", "code", "name", "note"}
    assert {*PRESS_SHEET, "workdays"} == columns
    for number in (*PRESS_SHEET.values(), *TOOL_SHEET.values()):
        assert number.read_at


def test_what_is_missing_says_where_it_is_to_be_read() -> None:
    found = press_numbers(SLUG, "P6")
    assert found.headline == "None of the numbers of press P6 is known yet."
    assert len(found.missing) == len(PRESS_SHEET)
    found = keep_press_numbers(SLUG, "P6", {"clamp_kn": 785.0, "workdays": "mon, friday"}, by="ida")
    assert found.headline == f"Of the {len(PRESS_SHEET)} numbers of press P6, 1 is known."
    assert found.word == "Mon Fri"
    (clamp,) = (one for one in found.numbers if one.value is not None)
    assert (clamp.says, clamp.value, clamp.unit) == ("Clamping force", 785.0, "kN")


def test_all_known_is_said_and_money_has_the_programmes_currency() -> None:
    programme = Tool.objects.get(code="M2").programme
    programme.currency = "USD"
    programme.save()
    found = keep_press_numbers(SLUG, "P6", ALL_OF_P6, by="ida")
    assert (found.headline, found.missing) == ("All numbers of press P6 are known.", ())
    assert {one.name: one.unit for one in found.numbers}["per_hour"] == "USD"


def test_what_is_not_named_stays_and_none_is_not_known_again() -> None:
    keep_press_numbers(SLUG, "P6", ALL_OF_P6, by="ida")
    found = keep_press_numbers(SLUG, "P6", {"clamp_kn": 790.0, "barrel_g": None}, by="bo")
    assert [one.name for one in found.missing] == ["barrel_g"]
    press = Press.objects.get()
    assert (press.clamp_kn, press.barrel_g, press.works_to_h, press.name) == (790.0, None, 22.0, "80 t")
    assert press.history.first().history_user_id == "bo"


@pytest.mark.parametrize(
    ("numbers", "field", "said"),
    [
        ({"clamp_kn": 0.0}, "clamp_kn", "0 kN must be above 0; read it at the press's sheet"),
        ({"dry_cycle_s": float("nan")}, "dry_cycle_s", "nan s"),
        ({"works_from_h": 6.0}, "works_to_h", "only one of the two hours is given"),
        ({"works_to_h": 6.0}, "works_from_h", "only one of the two hours is given"),
        ({"works_from_h": 22.0, "works_to_h": 6.0}, "works_to_h", "6 is not after 22"),
        ({"works_from_h": 6.0, "works_to_h": 25.0}, "works_to_h", "25 h must be"),
        ({"mould_least_mm": 400.0, "mould_most_mm": 150.0}, "mould_most_mm", "below the least height"),
        ({"workdays": "Mon Someday"}, "workdays", "'Someday' is no day of the week"),
        ({"weight_t": 4.0}, "weight_t", "no number is called 'weight_t'"),
    ],
)
def test_a_number_of_a_press_that_cannot_be_is_refused_at_its_field(
    numbers: Numbers, field: str, said: str
) -> None:
    with pytest.raises(DefinitionRefused) as refused:
        keep_press_numbers(SLUG, "P6", numbers, by="ida")
    assert refused.value.field == field
    assert said in f"{refused.value.what}; {refused.value.remedy}"
    assert press_numbers(SLUG, "P6").missing == press_numbers(SLUG, "P6").numbers


def test_the_other_hour_may_stand_in_the_record_already() -> None:
    keep_press_numbers(SLUG, "P6", ALL_OF_P6, by="ida")
    with pytest.raises(DefinitionRefused, match="5 is not after 6"):
        keep_press_numbers(SLUG, "P6", {"works_to_h": 5.0}, by="ida")
    keep_press_numbers(SLUG, "P6", {"works_from_h": None, "works_to_h": None}, by="ida")
    assert Press.objects.get().works_from_h is None


def test_a_tool_has_its_numbers_and_its_feed() -> None:
    found = keep_tool_numbers(SLUG, "M3", {"wide_mm": 296.0, "runner_g": 0.0, "feed": "hot runner"}, by="ida")
    assert (found.word, found.headline) == (
        "hot runner",
        f"Of the {len(TOOL_SHEET)} numbers of tool M3, 2 are known.",
    )
    assert tool_numbers(SLUG, "M3") == found
    with pytest.raises(DefinitionRefused, match="no way of feeding is called 'a funnel'"):
        keep_tool_numbers(SLUG, "M3", {"feed": "a funnel"}, by="ida")
    assert keep_tool_numbers(SLUG, "M3", {"feed": ""}, by="ida").word == ""


def test_what_is_not_there_is_said() -> None:
    for ask in (lambda: press_numbers(SLUG, "P9"), lambda: tool_numbers(SLUG, "M9")):
        with pytest.raises(NotInRecord):
            ask()


def test_a_press_is_told_with_its_numbers() -> None:
    keep_press(SLUG, PressSaid(code="P6", name="80 t", numbers={"clamp_kn": 785.0}), by="x", now="P6")
    known = know_ground(SLUG).presses[0]
    assert (known.numbers["clamp_kn"], known.numbers["barrel_g"], known.workdays) == (785.0, None, "")
    with pytest.raises(DefinitionRefused, match="0 kN"):
        keep_press(SLUG, PressSaid(code="P7", numbers={"clamp_kn": 0.0}), by="x")
    assert Press.objects.count() == 1
