"""The strip of a lot: early to the left, every sample written, gaps in words and as a number."""

from __future__ import annotations

import re

import pytest

from offtool.core.samples.order import LotOrder
from offtool.reports.lot_strip import (
    MOST_CHANGES,
    PHONE_WIDTH,
    WIDTH,
    changes_shown,
    draw_lot_strip,
    sure_in_words,
)
from tests.core.samples.order.made import lot, order, stairs
from tests.reports.drawn import drawn


@pytest.fixture(scope="module")
def stepped() -> LotOrder:
    return order(stairs(3, each=3))


def test_groups_stand_from_early_to_late_with_all_their_samples(stepped: LotOrder) -> None:
    drawing = drawn(draw_lot_strip(stepped))
    left = [mark.left for mark in drawing.named("head")]
    assert len(left) == len(stepped.groups) == 4
    assert left == sorted(left)
    written = [one for one in drawing.texts if re.fullmatch(r"s\d+", one)]
    assert written == [name for group in stepped.groups for name in group.samples]


def test_each_gap_says_what_came_and_how_sure_it_is(stepped: LotOrder) -> None:
    texts = drawn(draw_lot_strip(stepped)).texts
    assert [one for one in texts if one.startswith("+ ")] == ["+ a", "+ b", "+ c"]
    said = [sure_in_words(group.probability) for group in stepped.groups[1:]]
    assert [one for one in texts if one in said] == said
    assert sum(one.endswith(" %") for one in texts) == 3


@pytest.mark.parametrize("width", [PHONE_WIDTH, WIDTH, 1000.0])
@pytest.mark.parametrize("states", [1, 3, 6])
def test_nothing_leaves_the_drawing_and_a_narrow_one_goes_on_below(states: int, width: float) -> None:
    found = order(stairs(states, each=2), repaired=0.0)
    drawing = drawn(draw_lot_strip(found, width=width))
    assert drawing.leaves_its_view() == []
    assert drawing.width == width
    assert len(drawing.named("head")) == len(found.groups)


def test_a_phone_has_a_higher_drawing_than_a_page() -> None:
    found = order(stairs(6, each=2), repaired=0.0)
    assert drawn(draw_lot_strip(found, width=PHONE_WIDTH)).height > drawn(draw_lot_strip(found)).height


def test_an_unsure_gap_is_dashed_and_said_so_in_words() -> None:
    assert [sure_in_words(one) for one in (1.0, 0.95, 0.8, 0.6, 0.3)] == [
        "almost sure",
        "very likely",
        "likely",
        "rather likely",
        "hardly told apart",
    ]
    found = order(lot("-", "x"), repaired=0.0)
    sure = order(stairs(1, each=6), repaired=0.0)
    assert "stroke-dasharray" not in draw_lot_strip(sure)
    unsure = [one.probability for one in found.groups if one.probability is not None]
    assert ("stroke-dasharray" in draw_lot_strip(found)) == any(one < 0.75 for one in unsure)


def test_many_changes_at_once_are_counted() -> None:
    many = order(lot(*["-" * 12] * 4, *["x" * 12] * 4))
    shown = changes_shown(many.groups[1])
    assert len(shown) == MOST_CHANGES
    assert shown[-1] == "and 5 more"
    assert "l came" in drawn(draw_lot_strip(many)).says


def test_what_went_has_its_own_sign() -> None:
    found = order(lot(*["x"] * 4, *["-"] * 4, kinds=("goes",)), repaired=0.0)
    assert changes_shown(found.groups[1]) == ["− a"]


def test_names_are_escaped_and_a_lot_without_order_says_so() -> None:
    made = stairs(2, each=3)
    named = type(made)(("<b>&", *made.samples[1:]), made.details, made.seen)
    assert "<b>&" in drawn(draw_lot_strip(order(named))).texts
    nothing = drawn(draw_lot_strip(order(lot("x", "x"))))
    assert nothing.texts == ("nothing was seen that tells of an order",)
