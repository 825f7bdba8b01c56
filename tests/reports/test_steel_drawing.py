"""The schematic says the same as the numbers: which way the steel goes, on one side or both, what grows."""

from __future__ import annotations

import itertools

import pytest

from offtool.reports.steel_drawing import SteelView, draw_steel_change, draw_steel_view, view_of
from offtool.steps.steel_changes import SteelChange
from tests.reports.drawn import Drawing, drawn
from tests.reports.factories import added_pin_change, length_change, pin_change, steel_change

VIEWS = [
    SteelView(
        recess=recess, both_sides=both, removes=removes, before="⌀ 3.990", after="⌀ 4.020", strip="0.015"
    )
    for recess, both, removes in itertools.product((True, False), repeat=3)
]


def named(view: SteelView) -> str:
    """A name for the test."""
    return "-".join(
        [
            "recess" if view.recess else "core",
            "both" if view.both_sides else "one",
            "remove" if view.removes else "add",
        ]
    )


def dimensions(drawing: Drawing) -> tuple[float, float]:
    """How wide the size before and after is drawn."""
    before, after = (mark for mark in drawing.named("dimension") if len(mark.places) == 2)
    return before.right - before.left, after.right - after.left


@pytest.mark.parametrize("view", VIEWS, ids=named)
def test_nothing_leaves_the_drawing(view: SteelView) -> None:
    assert drawn(draw_steel_view(view)).leaves_its_view() == []


@pytest.mark.parametrize("view", VIEWS, ids=named)
def test_a_recess_grows_and_a_core_shrinks_where_steel_is_removed(view: SteelView) -> None:
    before, after = dimensions(drawn(draw_steel_view(view)))
    assert (after > before) == (view.recess == view.removes)


@pytest.mark.parametrize("view", VIEWS, ids=named)
def test_one_strip_a_side_that_is_cut(view: SteelView) -> None:
    drawing = drawn(draw_steel_view(view))
    assert len(drawing.named("strip")) == 2 if view.both_sides else 1
    amounts = [text for text in drawing.texts if "0.015" in text]
    assert amounts == ["−0.015" if view.removes else "+0.015"] * (2 if view.both_sides else 1)


@pytest.mark.parametrize("view", VIEWS, ids=named)
def test_arrows_point_from_the_old_surface_to_the_new_one(view: SteelView) -> None:
    drawing = drawn(draw_steel_view(view))
    tips = [mark for mark in drawing.named("arrow") if len(mark.places) == 3]
    assert len(tips) == 4 if view.both_sides else 2
    for old, new in zip(drawing.named("before"), drawing.named("after"), strict=True):
        way = 1 if new.left > old.left else -1
        near = [tip for tip in tips if abs(tip.places[1][0] - new.left) < 3]
        assert len(near) == 2
        assert all((tip.places[1][0] - tip.places[0][0]) * way > 0 for tip in near)


@pytest.mark.parametrize("view", VIEWS, ids=named)
def test_removed_steel_lies_in_the_steel_and_added_steel_in_the_part(view: SteelView) -> None:
    drawing = drawn(draw_steel_view(view))
    plastics = [(mark.left, mark.right) for mark in drawing.named("plastic")]
    for strip in drawing.named("strip"):
        inside = any(left <= strip.left and strip.right <= right for left, right in plastics)
        assert inside == (not view.removes)


@pytest.mark.parametrize(
    ("change", "recess", "both_sides", "strip", "before", "after"),
    [
        (steel_change(), True, True, "0.02", "⌀ 3.986", "⌀ 4.026"),
        (pin_change(), False, True, "0.015", "4.112", "4.082"),
        (added_pin_change(), False, True, "0.01", "4.052", "4.072"),
        (length_change(), True, False, "0.12", "62.310", "62.430"),
        (pin_change(size_after_mm=4.097), False, False, "0.015", "4.112", "4.097"),
        (steel_change(amount_mm=0.0025, size_after_mm=3.9885), True, True, "0.0013", "⌀ 3.9860", "⌀ 3.9885"),
    ],
)
def test_the_sizes_say_what_is_drawn(
    change: SteelChange, recess: bool, both_sides: bool, strip: str, before: str, after: str
) -> None:
    view = view_of(change)
    assert (view.recess, view.both_sides, view.removes) == (recess, both_sides, change.amount_mm > 0)
    assert (view.strip, view.before, view.after) == (strip, before, after)


def test_the_words_say_what_is_drawn() -> None:
    assert drawn(draw_steel_change(pin_change())).says == (
        "steel is removed from both sides of a core, 0.015 at a side; the core becomes narrower: "
        "4.112 before, 4.082 after"
    )
    assert drawn(draw_steel_change(length_change())).says == (
        "steel is removed from one side of a recess, 0.12 at a side; the recess becomes wider: "
        "62.310 before, 62.430 after"
    )
