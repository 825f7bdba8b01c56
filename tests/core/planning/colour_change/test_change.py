"""Shots, kilograms and minutes of a change: the shop's rule comes out of the physics, and laws hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.planning import change_table, colour_change, shots_to_change
from offtool.core.planning.colour_change import Plastic, change_curve, contents_of_press, expected_washout
from offtool.core.planning.colour_change.belief import DRAWS
from offtool.core.planning.colour_change.change import shots_outside
from offtool.core.planning.colour_change.mixing import share_seen, true_share
from offtool.core.values import ImpossibleInput
from offtool.handbook.colour_changes import NEVER_TOGETHER, never_together
from offtool.handbook.terms import Feed
from tests.core.laws import law
from tests.core.planning.colour_change.plastics import (
    BLACK,
    BROWN,
    NAVY,
    ORANGE,
    SHOT,
    WHITE,
    YELLOW,
    press,
)
from tests.labels import independent, practice

LIGHT_TO_DARK = [(WHITE, BLACK), (WHITE, BROWN), (YELLOW, BROWN), (YELLOW, NAVY), (ORANGE, NAVY)]
DARK_TO_LIGHT = [(BROWN, YELLOW), (BLACK, WHITE), (NAVY, WHITE), (BLACK, YELLOW), (BROWN, WHITE)]


def test_light_to_dark_takes_about_two_to_four_contents() -> None:
    """The rule gives a range; the middle over several pairs falls on its low half, and no pair is outside by
    much."""
    taken = [_contents(old, new) for old, new in LIGHT_TO_DARK]
    assert round(float(np.median(taken))) == practice("2")
    assert all(1.5 <= one <= 4 for one in taken)


def test_dark_to_light_takes_six_to_twelve_contents() -> None:
    taken = [_contents(old, new) for old, new in DARK_TO_LIGHT]
    assert all(round(one) in range(6, 13) for one in taken)
    assert round(float(np.mean([6, 12]))) == practice("9")
    assert float(np.median(taken)) == pytest.approx(9, abs=1.5)


def _contents(old: Plastic, new: Plastic) -> float:
    return colour_change(old, new, belief=press(), costs=replace(SHOT, shot_g=2.0)).contents.value


@pytest.mark.parametrize(("light", "dark"), LIGHT_TO_DARK)
def test_the_way_from_dark_to_light_is_the_longer_one(light: Plastic, dark: Plastic) -> None:
    to_dark = colour_change(light, dark, belief=press(), costs=SHOT)
    to_light = colour_change(dark, light, belief=press(), costs=SHOT)
    assert to_light.shots.value > 1.5 * to_dark.shots.value
    assert to_light.shots.low > to_dark.shots.low


def test_kilograms_minutes_and_money_follow_from_the_shots() -> None:
    found = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT)
    assert found.kg.value == pytest.approx(found.shots.value * 0.025)
    ready = found.minutes.value - found.shots.value * 20 / 60
    assert 3 <= ready <= 15
    by_hand = found.kg.value * 3.0 + found.minutes.value / 60 * 40.0
    assert found.money is not None
    assert found.money.value == independent(by_hand, way="by hand")


def test_without_a_price_shots_and_kilograms_are_said_and_what_is_missing() -> None:
    found = colour_change(BROWN, YELLOW, belief=press(), costs=replace(SHOT, price_per_kg=None))
    assert found.money is None
    assert found.shots.value > 0
    assert found.missing == ("the price of the resin",)


def test_the_same_colour_needs_nothing() -> None:
    found = colour_change(YELLOW, YELLOW, belief=press(), costs=SHOT)
    assert found.shots.high == 0
    assert found.minutes.value == 0


@law(examples=25, limit=st.floats(0.4, 4), times=st.floats(1.1, 3))
def test_a_looser_limit_never_takes_longer(limit: float, times: float) -> None:
    tight = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT, limit_de=limit)
    loose = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT, limit_de=limit * times)
    assert loose.shots.value <= tight.shots.value
    assert loose.shots.high <= tight.shots.high


@law(examples=15, times=st.floats(1.2, 5))
def test_more_contents_take_more_shots_in_proportion(times: float) -> None:
    small = replace(SHOT, shot_g=1.0)
    one = colour_change(BROWN, YELLOW, belief=press(), costs=small)
    more = colour_change(BROWN, YELLOW, belief=press(150.0 * times), costs=small)
    assert more.shots.value == pytest.approx(times * one.shots.value, rel=0.02)


def test_the_lookup_by_shot_is_the_search_shot_by_shot() -> None:
    belief = press()
    seen = share_seen(BROWN.lab, YELLOW.lab, 1.0)  # type: ignore[arg-type]
    paths, strength = belief.draws()
    by_search = paths.shots_until(true_share(seen, strength), 25.0)
    assert shots_outside(belief, seen, 25.0) == independent(by_search, way="bisection")


def test_the_interval_is_that_of_plain_random_draws_of_the_ranges() -> None:
    """Ten thousand presses drawn from the handbook's ranges by a random generator."""
    from offtool.core.planning.colour_change.belief import from_scale, washout_of

    belief = press()
    rng = np.random.default_rng(11)
    drawn = from_scale(
        rng.multivariate_normal(np.array(belief.middle), np.array(belief.covariance), size=10_000)
    )
    times = np.exp(0.1 * rng.standard_normal(10_000))
    seen = share_seen(BROWN.lab, YELLOW.lab, 1.0)  # type: ignore[arg-type]
    shots = washout_of(drawn).larger(times).shots_until(true_share(seen, drawn[:, -1]), 5.0)
    found = colour_change(BROWN, YELLOW, belief=belief, costs=replace(SHOT, shot_g=5.0)).shots
    wanted = np.quantile(shots, [0.05, 0.5, 0.95])
    assert [found.low, found.value, found.high] == independent(wanted, way="random draws", rel=0.04)
    assert DRAWS < 10_000


def test_a_hot_runner_asks_for_half_as_much_again_to_twice_as_much() -> None:
    cold = contents_of_press(150.0, feed=Feed.COLD_RUNNER)
    hot = contents_of_press(150.0, feed=Feed.HOT_RUNNER)
    assert hot.low_g / cold.low_g == practice("1.5")
    assert hot.high_g / cold.high_g == practice("2.0")


def test_a_hot_runner_whose_volume_is_known_counts_at_least_what_it_holds() -> None:
    cold = contents_of_press(100.0, feed=Feed.COLD_RUNNER)
    hot = contents_of_press(100.0, feed=Feed.HOT_RUNNER, hot_runner_cm3=500.0)
    assert hot.low_g == pytest.approx(cold.low_g + 525)


def test_the_screw_holds_about_one_and_a_half_times_the_largest_shot() -> None:
    assert round(contents_of_press(100.0).middle_g / 100.0, 1) == pytest.approx(1.5)


def test_another_resin_takes_half_as_much_again_to_twice_as_much() -> None:
    pp = replace(YELLOW, resin="PP")
    same = colour_change(BROWN, YELLOW, belief=press(), costs=replace(SHOT, shot_g=2.0))
    other = colour_change(BROWN, pp, belief=press(), costs=replace(SHOT, shot_g=2.0))
    assert other.resin_changes
    assert 1.5 <= other.shots.value / same.shots.value <= 2.0


def test_another_resin_of_the_same_colour_is_purged_too() -> None:
    found = colour_change(YELLOW, replace(YELLOW, resin="PP"), belief=press(), costs=SHOT)
    assert found.shots.value > 5


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("POM", "PVC-P"),
        ("POM-C", "soft PVC"),
        ("acetal", "PVC-U"),
        ("PVC", "Polyoxymethylene"),
        ("PVC-P", "PA66"),
        ("uPVC", "POM"),
        ("polyvinyl chloride", "rPOM"),
        ("PVC", "PPS-GF40"),
        ("PVC", "PPS40"),
        ("聚氯乙烯", "聚甲醛"),
        ("Polyvinylchlorid", "Polyoxymethylen"),
        ("ＰＶＣ", "POM"),
        ("Hart-PVC", "Acetalharz"),
        ("聚氯乙烯", "尼龙"),
    ],
)
def test_resins_that_must_never_meet_are_known_both_ways_and_by_any_name(one: str, other: str) -> None:
    assert never_together(one, other) is not None
    assert never_together(other, one) is never_together(one, other)


@pytest.mark.parametrize(("one", "other"), [("ABS", "PVC-P"), ("POM", "PP"), ("POM", ""), ("ABS", "PC")])
def test_others_may(one: str, other: str) -> None:
    assert never_together(one, other) is None


@law(examples=20, limit=st.floats(0.2, 90), shot=st.floats(0.5, 500))
def test_the_caution_on_pom_and_pvc_stands_first_whatever_is_asked(limit: float, shot: float) -> None:
    old, new = replace(YELLOW, resin="POM"), replace(BROWN, resin="PVC-P")
    found = colour_change(old, new, belief=press(), costs=replace(SHOT, shot_g=shot), limit_de=limit)
    assert found.never is NEVER_TOGETHER[0]
    assert "must never meet" in found.cautions[0].text
    assert found.words.startswith("brown must not follow yellow")


def test_a_full_purge_takes_pe_and_the_new_and_the_time_with_the_nozzle_off() -> None:
    """Beside two resins of the same colours that may meet."""
    old, new = replace(YELLOW, resin="PVC-P"), replace(BROWN, resin="POM")
    may = colour_change(old, replace(new, resin="ABS"), belief=press(), costs=SHOT)
    never = colour_change(old, new, belief=press(), costs=SHOT)
    assert never.shots.value == independent(
        2 * may.shots.value, way="PE out, then the new: each goes through"
    )
    by_hand = 2 * may.shots.value * 20 / 60 + (3 * 15) ** 0.5 + (60 * 180) ** 0.5
    assert never.minutes.value == independent(by_hand, way="shots of 20 s, getting ready, the nozzle off")
    assert never.minutes.low >= 60
    assert never.kg.value == independent(2 * may.shots.value * 0.025, way="25 g a shot")


def test_an_unmeasured_colour_in_another_resin_takes_more_than_the_rule_for_a_colour() -> None:
    teal = Plastic(name="teal", lab=None, resin="ABS")
    same = colour_change(teal, BROWN, belief=press(), costs=SHOT)
    other = colour_change(replace(teal, resin="PP"), BROWN, belief=press(), costs=SHOT)
    assert 1.5 <= other.shots.value / same.shots.value <= 2.0
    assert any("for the other resin" in one.text for one in other.cautions)


@pytest.mark.parametrize(("resin", "other"), [("PVC-P", "ABS"), ("POM", "PP")])
def test_a_resin_that_breaks_down_in_heat_is_out_before_a_zone_goes_up(resin: str, other: str) -> None:
    old, new = replace(YELLOW, resin=resin), replace(BROWN, resin=other)
    text = colour_change(old, new, belief=press(), costs=SHOT).cautions[0].text
    assert f"{resin[:3]} breaks down in heat" in text
    same = replace(new, resin="PS"), replace(old, resin="PP")
    assert "breaks down" not in colour_change(*same, belief=press(), costs=SHOT).cautions[0].text


def test_where_neither_resin_is_said_that_is_the_first_caution() -> None:
    found = colour_change(replace(YELLOW, resin=""), replace(BROWN, resin=" "), belief=press(), costs=SHOT)
    assert found.cautions[0].text.startswith("The resin is not said")


def test_a_resin_that_is_not_said_is_asked_for_before_anything_is_filled_in() -> None:
    found = colour_change(replace(YELLOW, resin=""), BROWN, belief=press(), costs=SHOT)
    assert "resin is not said" in found.cautions[0].text


def test_a_colour_that_is_not_measured_is_answered_by_the_rule_and_says_so() -> None:
    found = colour_change(Plastic(name="teal", lab=None, resin="ABS"), BROWN, belief=press(), costs=SHOT)
    typical = float(np.ravel(press().typical().contents_g)[0])
    assert found.shots.low * 25 / typical == pytest.approx(2.2, abs=0.3)
    assert found.shots.high * 25 / typical == pytest.approx(11, abs=0.5)
    assert any("not measured" in one.text for one in found.cautions)


def test_the_table_is_every_change_by_itself() -> None:
    plastics = (WHITE, YELLOW, BROWN)
    table = change_table(plastics, belief=press(), costs=SHOT)
    for row, old in zip(table, plastics, strict=True):
        for found, new in zip(row, plastics, strict=True):
            assert (found is None) == (old is new)
            assert found is None or found == colour_change(old, new, belief=press(), costs=SHOT)


def test_the_curve_crosses_the_limit_where_the_shots_say() -> None:
    found = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT)
    curve = change_curve(BROWN.lab, YELLOW.lab, belief=press(), shot_g=25.0, last=100)  # type: ignore[arg-type]
    first_inside = next(shot for shot, off in zip(curve.shots, curve.difference, strict=True) if off <= 1.0)
    assert first_inside == pytest.approx(found.shots.value + 1, abs=3)
    assert (np.diff(curve.difference) <= 1e-9).all()
    assert all(l <= m <= h for l, m, h in zip(curve.low, curve.difference, curve.high, strict=True))


def test_a_limit_or_a_shot_of_nothing_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="limit_de"):
        colour_change(BROWN, YELLOW, belief=press(), costs=SHOT, limit_de=0.0)
    with pytest.raises(ImpossibleInput, match="shot_g"):
        colour_change(BROWN, YELLOW, belief=press(), costs=replace(SHOT, shot_g=0.0))


def test_a_colour_that_no_surface_has_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="no surface"):
        colour_change(replace(BROWN, lab=(99.99, 60.0, 0.0)), YELLOW, belief=press(), costs=SHOT)


def test_the_formula_is_the_change_with_contents_that_are_known() -> None:
    found = shots_to_change(
        lightness_old=38.0,
        a_old=14.0,
        b_old=20.0,
        lightness_new=84.0,
        a_new=4.0,
        b_new=75.0,
        contents_g=220.0,
        shot_g=25.0,
        cycle_s=20.0,
    )
    same = colour_change(BROWN, YELLOW, belief=expected_washout(contents_of_press(150.0)), costs=SHOT)
    assert found.shots.value == pytest.approx(same.shots.value, abs=2)
    assert found.money is None


def test_where_the_resin_changes_it_is_said_how_much_of_the_old_may_be_left() -> None:
    found = colour_change(BROWN, replace(YELLOW, resin="PP"), belief=press(), costs=SHOT)
    assert found.words.endswith("within ΔE 1 and holds under 1\u00a0% of ABS")
    assert (
        found.cautions[0]
        == colour_change(replace(YELLOW, resin="PP"), BROWN, belief=press(), costs=SHOT).cautions[0]
    )
