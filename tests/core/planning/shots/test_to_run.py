"""Shots of a trial: each kept shot counts once, nothing is kept before it has settled, more is never less."""

from __future__ import annotations

from itertools import pairwise
from math import ceil
from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.planning.shots import ShotKind, TrialShots, shots_to_run
from offtool.core.values import ImpossibleInput
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from tests.core.laws import law
from tests.labels import independent, practice

PURPOSES = st.lists(st.sampled_from([one.value for one in TrialPurpose]), min_size=1, unique=True)


def shots(*purposes: str, **given: Any) -> TrialShots:
    return shots_to_run(list(purposes), **{"cycle_s": 25.0, "cavities": 4, **given})


def kinds(found: TrialShots) -> list[ShotKind]:
    return [one.kind for one in found.groups]


def test_what_is_measured_also_serves_assembly() -> None:
    found = shots("sizes", "assembly")
    assert [(one.kind, one.first, one.last, one.measured) for one in found.groups] == [
        (ShotKind.SETTLE, 1, 36, False),
        (ShotKind.KEEP, 37, 41, True),
        (ShotKind.KEEP, 42, 76, False),
        (ShotKind.SPARE, 77, 80, False),
    ]
    assert found.groups[1].purposes == (TrialPurpose.SIZES, TrialPurpose.ASSEMBLY)
    assert found.groups[2].purposes == (TrialPurpose.ASSEMBLY,)
    assert (found.keep, found.shots, found.parts_measured, found.parts_kept) == (40, 80, 20, 160)


def test_what_is_destroyed_or_kept_whole_serves_nothing_else() -> None:
    found = shots("sizes", "welding", "keep")
    assert found.keep == independent(5 + 20 + 3, way="sum by hand")
    assert kinds(found)[1:] == [ShotKind.KEEP, ShotKind.DESTROYED, ShotKind.WHOLE, ShotKind.SPARE]


def test_sets_take_as_many_shots_as_a_product_takes_parts() -> None:
    """Forty sets: 160 shots where a product takes four of a part and the tool has one cavity of it."""
    assert shots("assembly", sets_a_shot=0.25).keep == independent(40 * 4, way="by hand")
    assert shots("assembly", sets_a_shot=2.0).keep == independent(40 / 2, way="by hand")
    assert shots("assembly", pieces=[7], sets_a_shot=2.0).keep == independent(ceil(7 / 2), way="by hand")


def test_fifty_to_a_hundred_shots_suffice_for_a_first_look() -> None:
    fewest, most = practice("50"), practice("100")
    for cycle in (6.0, 12.0, 30.0, 60.0):
        for purposes in (["first look"], ["first look", "short shots"], ["first look", "keep"]):
            found = shots(*purposes, cycle_s=cycle)
            assert fewest.value <= found.shots <= most.value
    assert shots("first look").shots == fewest
    together = shots("first look", "sizes", "assembly", "keep", settles_after=20)
    assert together.shots <= most.value


def test_a_minute_of_running_gives_some_tens_of_small_parts() -> None:
    """Small parts come from 4 to 8 cavities at 10 to 15 s: some tens a minute, by practice 10 to 60."""
    for cavities, cycle_s in ((4, 10.0), (4, 15.0), (8, 10.0)):
        a_minute = shots("first look", cavities=cavities, cycle_s=cycle_s).parts_a_minute
        assert practice("10").value <= a_minute <= practice("60").value


@pytest.mark.parametrize(
    ("purpose", "fewest", "most"),
    [
        (TrialPurpose.SHORT_SHOTS, "10", "12"),
        (TrialPurpose.SIZES, "1", "10"),
        (TrialPurpose.CAPABILITY, "30", "125"),
        (TrialPurpose.ASSEMBLY, "30", "50"),
        (TrialPurpose.WELDING, "10", "30"),
        (TrialPurpose.KEEP, "2", "3"),
    ],
)
def test_the_handbook_holds_what_shops_take(purpose: TrialPurpose, fewest: str, most: str) -> None:
    words = TRIAL_PURPOSES[purpose]
    assert words.least == practice(fewest)
    assert words.most == practice(most)
    assert words.least <= words.usual <= words.most
    assert words.source == "common practice, no source"


def test_every_purpose_is_in_the_handbook() -> None:
    assert set(TRIAL_PURPOSES) == set(TrialPurpose)


def test_it_settles_by_the_clock_unless_that_takes_too_few_shots() -> None:
    assert shots("sizes", cycle_s=10.0).settle == independent(15 * 60 / 10, way="15 minutes at 10 s")
    assert shots("sizes", cycle_s=60.0).settle == practice("20")
    assert shots("sizes").settle_least == practice("10")


def test_what_the_tool_has_shown_wins_over_practice() -> None:
    found = shots("sizes", settles_after=13)
    assert (found.settle, found.settle_least, found.settle_most) == (13, 13, 20)
    assert "after 13" in found.settle_says


def test_files_that_number_from_the_first_kept_shot_do_not_make_a_cold_tool_settle_at_once() -> None:
    found = shots("sizes", settles_after=0)
    assert found.settle == practice("10")
    assert "for a tool that hangs cold" in found.settle_says


def test_short_shots_come_first_and_alone_need_not_settle() -> None:
    assert kinds(shots("short shots")) == [ShotKind.SHORT]
    found = shots("sizes", "short shots")
    assert kinds(found)[:3] == [ShotKind.SHORT, ShotKind.SETTLE, ShotKind.KEEP]


def test_fewer_than_usual_is_said_and_more_is_not() -> None:
    assert "30 of each cavity are" not in str(shots("capability").cautions)
    assert "capability: 12 of each cavity are fewer" in str(shots("capability", pieces=[12]).cautions[0])


def test_the_press_is_cautioned_against_always() -> None:
    assert AT_THE_PRESS in shots("keep").cautions


@law(purposes=PURPOSES, cycle=st.floats(3, 120), cavities=st.integers(1, 64), spread=st.floats(1, 1.5))
def test_the_groups_are_all_shots_in_order_and_what_is_kept_has_settled(
    purposes: list[str], cycle: float, cavities: int, spread: float
) -> None:
    found = shots_to_run(
        purposes,
        cycle_s=cycle,
        quickest_cycle_s=cycle / spread,
        slowest_cycle_s=cycle * spread,
        cavities=cavities,
    )
    assert found.groups[0].first == 1
    assert all(after.first == before.last + 1 for before, after in pairwise(found.groups))
    assert found.groups[-1].last == found.shots == sum(one.shots for one in found.groups)
    for group in found.groups:
        if any(TRIAL_PURPOSES[one].settled for one in group.purposes):
            assert group.first > found.short + found.settle
    assert found.least <= found.shots <= found.most
    assert found.minutes_least <= found.minutes * (1 + 1e-12) <= found.minutes_most * (1 + 2e-12)
    assert found.parts_measured <= found.parts_kept == found.keep * cavities


@law(purposes=PURPOSES, cavities=st.integers(1, 64), settles=st.integers(0, 60))
def test_every_purpose_gets_its_shots(purposes: list[str], cavities: int, settles: int) -> None:
    found = shots_to_run(purposes, cycle_s=20.0, cavities=cavities, settles_after=settles)
    for one in found.purposes:
        served = sum(group.shots for group in found.groups if one.purpose in group.purposes)
        assert served == one.shots == TRIAL_PURPOSES[one.purpose].usual


@law(purposes=PURPOSES, more=st.sampled_from([one.value for one in TrialPurpose]), cycle=st.floats(3, 60))
def test_one_purpose_more_never_takes_fewer_shots(purposes: list[str], more: str, cycle: float) -> None:
    before = shots_to_run(purposes, cycle_s=cycle)
    after = shots_to_run(list(dict.fromkeys([*purposes, more])), cycle_s=cycle)
    assert after.shots >= before.shots
    assert after.keep >= before.keep


@law(pieces=st.lists(st.integers(1, 300), min_size=3, max_size=3), more=st.integers(0, 300))
def test_more_pieces_never_take_fewer_shots(pieces: list[int], more: int) -> None:
    purposes = ("sizes", "assembly", "welding")
    assert (
        shots(*purposes, pieces=[pieces[0] + more, *pieces[1:]]).shots
        >= shots(*purposes, pieces=pieces).shots
    )


@law(order=st.permutations(["sizes", "assembly", "keep", "short shots"]))
def test_the_order_in_which_purposes_are_named_does_not_matter(order: list[str]) -> None:
    assert shots(*order) == shots("sizes", "assembly", "keep", "short shots")


@pytest.mark.parametrize(
    ("given", "argument"),
    [
        ({"purposes": []}, "purposes"),
        ({"purposes": ["size"]}, "purposes"),
        ({"purposes": ["sizes", "sizes"]}, "purposes"),
        ({"pieces": [1, 2, 3]}, "pieces"),
        ({"quickest_cycle_s": 30.0}, "quickest_cycle_s"),
        ({"slowest_cycle_s": 20.0}, "slowest_cycle_s"),
        ({"cycle_s": 0.0}, "cycle_s"),
    ],
)
def test_what_cannot_be_is_refused_by_name(given: dict[str, Any], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        shots_to_run(**{"purposes": ["sizes"], "cycle_s": 25.0, **given})
    assert refused.value.argument == argument
