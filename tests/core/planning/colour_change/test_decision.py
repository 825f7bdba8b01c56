"""The decision counts the way there, the trial and the way back; what serves and costs least comes first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import strategies as st

from offtool.core.planning import colour_change, decide_colour
from offtool.core.planning.colour_change import ColourDecision, ColourWay, Interrupted, Plastic
from offtool.core.values import ImpossibleInput
from offtool.handbook.colour_changes import ANY_RESIN, LIGHT_FROM, NATURAL_LAB
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from tests.core.laws import law
from tests.core.planning.colour_change.plastics import BLACK, BROWN, NAVY, SHOT, WHITE, YELLOW, press
from tests.labels import independent

JOB = Interrupted(restart_min=10.0, margin_per_h=30.0, back=SHOT)
SIZES, COLOUR, LOOK = TrialPurpose.SIZES, TrialPurpose.COLOUR, TrialPurpose.FIRST_LOOK


def decided(
    running: Plastic,
    wanted: Plastic,
    purposes: Sequence[TrialPurpose] = (SIZES,),
    *,
    wish: ColourWish = ColourWish.ANY,
    job: Interrupted = JOB,
    worth: float | None = None,
    shots: float = 96,
    price: float | None = 3.0,
) -> ColourDecision:
    return decide_colour(
        running,
        wanted,
        belief=press(),
        costs=replace(SHOT, price_per_kg=price),
        trial_shots=shots,
        purposes=purposes,
        wish=wish,
        job=job,
        worth_per_shot=worth,
    )


def test_sizes_are_shot_in_what_is_on_the_press() -> None:
    found = decided(YELLOW, BROWN)
    assert found.recommended.way is ColourWay.AS_IT_IS
    assert found.recommended.shots.high == 0
    assert "nothing that is asked needs another colour" in found.why


def test_a_trial_of_the_colour_is_purged_for() -> None:
    found = decided(YELLOW, BROWN, [SIZES, COLOUR])
    assert found.recommended.way is ColourWay.PRODUCT
    assert found.options[1].cannot == (COLOUR,)
    assert found.why == "no other way answers colour"


def test_a_light_colour_is_offered_only_where_neither_is_light() -> None:
    offered = {one.way for one in decided(BLACK, NAVY, [LOOK]).options}
    assert ColourWay.LIGHT in offered
    assert ColourWay.LIGHT not in {one.way for one in decided(YELLOW, NAVY, [LOOK]).options}
    asked = decided(BLACK, NAVY, [LOOK], wish=ColourWish.LIGHT)
    assert asked.recommended.way is ColourWay.LIGHT
    assert asked.recommended.harder == ()
    assert asked.options[1].harder == (LOOK,)


def test_the_way_there_the_trial_and_the_way_back_are_all_counted() -> None:
    found = decided(YELLOW, BROWN, [COLOUR]).recommended
    there = colour_change(YELLOW, BROWN, belief=press(), costs=SHOT)
    back = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT)
    minutes = there.minutes.value + 96 * 20 / 60 + 10 + back.minutes.value
    kg = there.kg.value + 96 * 0.025 + back.kg.value
    assert found.minutes.value == independent(minutes, way="by hand")
    assert found.kg.value == independent(kg, way="by hand")
    assert found.money is not None
    assert found.money.value == independent(kg * 3 + minutes / 60 * (40 + 30), way="by hand")


PLASTICS = (WHITE, YELLOW, BROWN, BLACK, replace(YELLOW, resin="PP"), replace(BROWN, resin="POM"))


@pytest.mark.parametrize(("running", "wanted"), list(product(PLASTICS, repeat=2)))
@pytest.mark.parametrize("purposes", [(SIZES,), (COLOUR,), (LOOK,), (SIZES, COLOUR, LOOK)])
@pytest.mark.parametrize("worth", [None, 0.5, 20.0])
def test_the_recommended_way_is_the_best_of_all_reckoned_one_by_one(
    running: Plastic, wanted: Plastic, purposes: tuple[TrialPurpose, ...], worth: float | None
) -> None:
    found = decided(running, wanted, purposes, worth=worth)
    light = Plastic(name="natural", lab=NATURAL_LAB, resin=wanted.resin)
    best = min(
        (_reckoned(running, wanted, one, purposes, worth), one.name)
        for one in {running, wanted, light}
        if (one is not light or _needs_light(running, wanted))
        and (one in (wanted, light) or _can_be_left_on(one, wanted, purposes))
    )
    assert found.recommended.plastic.name == best[1] or best[0] == pytest.approx(
        _reckoned(running, wanted, found.recommended.plastic, purposes, worth)
    )


def _can_be_left_on(running: Plastic, wanted: Plastic, purposes: Sequence[TrialPurpose]) -> bool:
    is_right = running.name == wanted.name
    return running.resin == wanted.resin and all(
        is_right or not TRIAL_PURPOSES[one].right_colour for one in purposes
    )


def _needs_light(running: Plastic, wanted: Plastic) -> bool:
    assert running.lab is not None
    assert wanted.lab is not None
    is_light = running.lab[0] >= LIGHT_FROM and running.resin == wanted.resin
    return not is_light and wanted.lab[0] < LIGHT_FROM


def _reckoned(
    running: Plastic, wanted: Plastic, shot_in: Plastic, purposes: Sequence[TrialPurpose], worth: float | None
) -> tuple[int, float]:
    """How much of what is asked is not served, and what it costs less what it is worth; by hand."""
    is_right = shot_in.name == wanted.name
    same_resin = shot_in.resin == wanted.resin
    unserved = sum(
        (TRIAL_PURPOSES[one].right_colour and not is_right) or (not same_resin and one not in ANY_RESIN)
        for one in purposes
    )
    there = colour_change(running, shot_in, belief=press(), costs=SHOT)
    back = colour_change(shot_in, running, belief=press(), costs=SHOT)
    minutes = there.minutes.value + 96 * 20 / 60 + 10 + back.minutes.value
    cost = (there.kg.value + 2.4 + back.kg.value) * 3 + minutes / 60 * 70
    return unserved, cost - (worth * 96 if worth is not None and is_right and same_resin else 0)


def test_sizes_in_another_resin_say_nothing() -> None:
    found = decided(replace(YELLOW, resin="PP"), BROWN)
    as_it_is = next(one for one in found.options if one.way is ColourWay.AS_IT_IS)
    assert as_it_is.cannot == (SIZES,)
    assert found.recommended.way is not ColourWay.AS_IT_IS


@pytest.mark.parametrize("purposes", [(SIZES,), (LOOK,), (SIZES, COLOUR), ()])
@pytest.mark.parametrize("wish", list(ColourWish))
def test_parts_are_never_shot_in_what_is_on_the_press_where_it_is_of_another_resin(
    purposes: tuple[TrialPurpose, ...], wish: ColourWish
) -> None:
    for running, wanted in (("PVC-P", "POM"), ("POM", "PVC-P"), ("PP", "ABS")):
        found = decided(replace(WHITE, resin=running), replace(BROWN, resin=wanted), purposes, wish=wish)
        assert found.options[-1].way is ColourWay.AS_IT_IS
        assert found.options[-1].is_ruled_out
        assert found.options[-1].words.startswith("Not in white")
        assert found.recommended.plastic.resin == wanted


def test_what_is_on_the_press_is_not_taken_where_a_wanted_purpose_is_not_served_by_it() -> None:
    found = decided(YELLOW, BROWN, [COLOUR], wish=ColourWish.LIGHT)
    assert found.recommended.way is ColourWay.PRODUCT
    assert found.options[-1].is_ruled_out


def test_pom_after_pvc_asks_for_another_press_and_its_caution_stands_first() -> None:
    found = decided(replace(YELLOW, resin="PVC-P"), replace(BROWN, resin="POM"), [SIZES, COLOUR])
    assert found.recommended.is_forbidden
    assert found.why.endswith("take another press")
    assert found.words.startswith("Another press")
    assert found.never == found.cautions[:1]
    assert "must never meet" in found.cautions[0].text
    assert sum("must never meet" in one.text for one in found.cautions) == 1


def test_whatever_another_resin_would_save_it_is_not_taken() -> None:
    found = decided(replace(YELLOW, resin="PP"), WHITE, [LOOK], worth=0.0, price=1000.0)
    assert found.recommended.plastic.resin == WHITE.resin
    assert found.why == "what is on the press is PP, and the parts are ABS"


@law(examples=25, worth=st.floats(0.01, 50), shots=st.floats(5, 500))
def test_at_break_even_both_ways_cost_the_same(worth: float, shots: float) -> None:
    pays = decided(YELLOW, BROWN, worth=worth, shots=shots).break_even
    assert pays is not None
    assert pays.more_money is not None
    assert pays.needs_worth is not None
    assert pays.needs_shots is not None
    assert pays.needs_worth.value * shots == pytest.approx(pays.more_money.value)
    assert pays.needs_shots.value * worth == pytest.approx(pays.more_money.value)
    hours, gain = pays.more_minutes.value / 60, worth * shots
    if pays.pays_to_price is not None:
        assert pays.more_kg.value * pays.pays_to_price + hours * 70 == pytest.approx(gain)
    if pays.pays_to_hour is not None:
        assert pays.more_kg.value * 3 + hours * pays.pays_to_hour == pytest.approx(gain)


@pytest.mark.parametrize(("times", "way"), [(0.9, ColourWay.AS_IT_IS), (1.1, ColourWay.PRODUCT)])
def test_the_recommendation_turns_at_the_break_even(times: float, way: ColourWay) -> None:
    pays = decided(YELLOW, BROWN).break_even
    assert pays is not None
    assert pays.needs_worth is not None
    assert decided(YELLOW, BROWN, worth=times * pays.needs_worth.value).recommended.way is way


def test_without_prices_shots_and_minutes_decide_and_what_is_missing_is_said() -> None:
    found = decided(YELLOW, BROWN, price=None, job=Interrupted())
    assert all(one.money is None for one in found.options)
    assert found.recommended.way is ColourWay.AS_IT_IS
    said = "; ".join(found.missing)
    assert "the price of the resin" in said
    assert "what the job loses" in said
    assert found.break_even is not None
    assert found.break_even.needs_worth is None
    assert found.break_even.more_minutes.value > 0


def test_where_the_press_runs_the_product_s_colour_there_is_nothing_to_decide() -> None:
    found = decided(BROWN, BROWN, [SIZES, COLOUR])
    assert found.recommended.way is ColourWay.AS_IT_IS
    assert found.recommended.cannot == ()
    assert ColourWay.PRODUCT not in {one.way for one in found.options}
    assert found.break_even is None


def test_a_trial_without_shots_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="trial_shots"):
        decided(YELLOW, BROWN, shots=0)


def test_beside_parts_of_another_resin_there_is_no_break_even() -> None:
    """They are no choice: nothing of sizes can be read on them."""
    assert decided(replace(YELLOW, resin="PP"), BROWN, [SIZES, COLOUR]).break_even is None
