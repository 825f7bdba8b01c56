"""Which steel moves a joint: every possible cut, simulated joints, laws of direction, what no steel mends."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import erf, inf, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.evidence import Span
from offtool.core.joints.steel import (
    JointSteel,
    JointSteelChoice,
    JointSteelEvidence,
    MeanInCavity,
    OtherJoint,
    SizeAlsoMoved,
    SizeOfJoint,
    SteelCandidate,
    Stop,
    choose_joint_steel,
)
from offtool.core.joints.steel.good import share_good
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice

SLOPE = 2.0
"""N·m for each mm of a slit socket's interference."""


def size(
    role: str, slope: float, factor: float, means: tuple[float, ...], allowance: float = 0.2, **steel: object
) -> SizeOfJoint:
    feature = f"steel of {role}"
    return SizeOfJoint(
        role=role,
        size=role,
        part=f"part of {role}",
        slope=slope,
        sd=0.002,
        means=tuple(MeanInCavity(cavity=str(i + 1), mean=mean) for i, mean in enumerate(means)),
        steel=tuple(
            JointSteel(feature=feature, cavity=str(i + 1), factor=factor, allowance_mm=allowance, **steel)  # type: ignore[arg-type]
            for i in range(len(means))
        ),
    )


def peg(*means: float, **more: object) -> SizeOfJoint:
    return size("peg", SLOPE, 1.0, means or (3.98, 3.984), **more)  # type: ignore[arg-type]


def socket(*means: float, **more: object) -> SizeOfJoint:
    return size("socket", -SLOPE, -1.0, means or (3.97,), **more)  # type: ignore[arg-type]


LOOSE = JointSteelEvidence(
    measure=0.02, wanted=0.09, measure_sd=0.012, lower=0.03, upper=0.15, sizes=(peg(), socket())
)


def with_sizes(*sizes: SizeOfJoint, **changed: object) -> JointSteelEvidence:
    return replace(LOOSE, sizes=sizes, **changed)  # type: ignore[arg-type]


def best(evidence: JointSteelEvidence) -> SteelCandidate:
    found = choose_joint_steel(evidence).candidates
    assert found
    return found[0]


def of(choice: JointSteelChoice, *roles: str) -> SteelCandidate:
    """The way that removes steel at these sizes."""
    return next(
        one
        for one in choice.candidates
        if tuple(demand.role for demand in one.demands) == roles and not one.adds_steel
    )


# ---- direction


def test_a_loose_joint_is_tightened_by_removing_steel_on_either_side() -> None:
    found = choose_joint_steel(LOOSE)
    larger, smaller = of(found, "peg").demands[0], of(found, "socket").demands[0]
    assert larger.target - larger.mean == independent(0.07 / 2.0, way="0.07 N·m over 2 N·m/mm, by hand")
    assert smaller.target - smaller.mean == independent(-0.035, way="the same, the bore smaller")
    assert all(one.amount_mm > 0 for way in found.candidates for one in way.amounts if not way.adds_steel)
    assert "a loose joint is to be expected at first" in str(found.cautions[0])


def test_a_tight_joint_needs_steel_to_be_added_and_says_how() -> None:
    tight = with_sizes(peg(4.02, 4.02, can_add=True), socket(), measure=0.16)
    found = choose_joint_steel(tight)
    assert all(one.adds_steel and not one.safe for one in found.candidates)
    assert {one.amount_mm < 0 for way in found.candidates for one in way.amounts} == {True}
    assert any(
        "a new pin or insert" in reason
        for reason in found.candidates[0].reasons + found.candidates[1].reasons
    )
    assert any("welding" in reason for way in found.candidates for reason in way.reasons)


def test_cavities_come_to_the_same_size_each_by_its_own_amount() -> None:
    way = of(choose_joint_steel(with_sizes(peg(3.98, 4.0, step_mm=0.001), socket())), "peg")
    amounts = {one.cavity: one.amount_mm for one in way.amounts}
    # The middle is 3.99, the target 4.025.
    assert amounts["1"] == independent(0.045, way="4.025 less 3.98, by hand")
    assert amounts["2"] == independent(0.025, way="4.025 less 4.0, by hand")


def test_shrinkage_takes_more_steel_than_part() -> None:
    fine = {"step_mm": 1e-6, "shrinkage": 0.02}
    way = of(choose_joint_steel(with_sizes(peg(3.98, 3.98, **fine), socket())), "peg")
    assert way.amounts[0].amount_mm == independent(0.035 / 0.98, way="0.035 / (1 - S)", within=1e-6)
    assert way.amounts[0].after == independent(4.015, way="3.98 and 0.035", within=1e-6)


@law(wanted=st.floats(0.03, 0.15), first=st.floats(3.95, 4.0), second=st.floats(3.95, 4.0))
def test_a_socket_is_a_peg_in_the_mirror(wanted: float, first: float, second: float) -> None:
    """Slope and factor both turned: the same steel, the size the other way."""
    as_peg = with_sizes(peg(first, second), wanted=wanted)
    as_socket = with_sizes(socket(-first, -second), wanted=wanted)
    pegs, sockets = choose_joint_steel(as_peg).candidates, choose_joint_steel(as_socket).candidates
    assert [[one.amount_mm for one in way.amounts] for way in pegs] == [
        [one.amount_mm for one in way.amounts] for way in sockets
    ]
    for one, other in zip(pegs, sockets, strict=True):
        assert one.demands[0].target == pytest.approx(-other.demands[0].target, abs=1e-12)
        assert one.good_after == pytest.approx(other.good_after, abs=1e-12)


@law(order=st.permutations(["1", "2", "3"]), names=st.permutations(["x", "y", "z"]))
def test_relabelling_cavities_changes_nothing(order: list[str], names: list[str]) -> None:
    one = peg(3.97, 3.98, 3.99)
    new = dict(zip(order, names, strict=True))
    again = replace(
        one,
        means=tuple(replace(mean, cavity=new[mean.cavity]) for mean in one.means),
        steel=tuple(replace(steel, cavity=new[steel.cavity]) for steel in one.steel),
    )
    found, other = best(with_sizes(one, socket())), best(with_sizes(again, socket()))
    assert other.good_after == found.good_after
    assert [x.amount_mm for x in other.amounts] == [x.amount_mm for x in found.amounts]


# ---- every possible cut, and simulated joints


def good_by_hand(means: tuple[float, ...], sd: float, lower: float, upper: float) -> float:
    def below(x: float) -> float:
        return (1 + erf(x / sqrt(2))) / 2

    return sum(below((upper - m) / sd) - below((lower - m) / sd) for m in means) / len(means)


@law(
    examples=25,
    first=st.floats(3.97, 4.01),
    second=st.floats(3.97, 4.01),
    allowance=st.sampled_from([0.02, 0.05]),
)
def test_no_possible_cut_makes_more_joints_good(first: float, second: float, allowance: float) -> None:
    evidence = with_sizes(peg(first, second, allowance=allowance), measure_sd=0.05)
    middle = (first + second) / 2
    within = sqrt(max(0.05**2 - SLOPE**2 * ((first - second) / 2) ** 2, 0.0))
    steps = [0.01 * i for i in range(round(allowance / 0.01) + 1)]
    most = max(
        good_by_hand(
            (0.02 + SLOPE * (first + a - middle), 0.02 + SLOPE * (second + b - middle)), within, 0.03, 0.15
        )
        for a, b in product(steps, steps)
    )
    found = [way for way in choose_joint_steel(evidence).candidates if not way.adds_steel]
    now = good_by_hand(
        (0.02 + SLOPE * (first - middle), 0.02 + SLOPE * (second - middle)), within, 0.03, 0.15
    )
    assert choose_joint_steel(evidence).good_now == independent(now, way="error function, by hand", rel=1e-9)
    assert max((way.good_after for way in found), default=now) == pytest.approx(most, abs=0.0201)
    if found:
        assert found[0].good_after == pytest.approx(most, abs=1e-9)


def test_the_share_of_good_joints_is_that_of_simulated_ones() -> None:
    evidence = with_sizes(peg(3.97, 3.98, 4.0), socket(3.96, 3.98), measure=0.05, measure_sd=0.045)
    rng = np.random.default_rng(7)
    pegs, sockets = np.array([3.97, 3.98, 4.0]), np.array([3.96, 3.98])
    within = sqrt(0.045**2 - SLOPE**2 * (pegs.var() + sockets.var()))
    many = 400_000
    moved = np.array([0.02, 0.01, 0.0])
    measure = (
        0.05
        + SLOPE * ((pegs + moved)[rng.integers(0, 3, many)] - pegs.mean())
        - SLOPE * (sockets[rng.integers(0, 2, many)] - sockets.mean())
        + rng.normal(0, within, many)
    )
    found = share_good(evidence, {("peg", "1"): 0.02, ("peg", "2"): 0.01})
    assert found == independent(
        float(((measure > 0.03) & (measure < 0.15)).mean()), way="400,000 simulated joints", within=0.003
    )


def test_sizes_of_one_part_go_together_by_cavity() -> None:
    """A part whose two sizes cancel in each cavity adds no scatter between cavities."""
    wide = peg(3.97, 3.99)
    other = replace(wide, role="length", size="length", slope=-SLOPE, steel=())
    evidence = with_sizes(wide, other, measure=0.09, measure_sd=0.03)
    assert share_good(evidence, {}) == independent(
        good_by_hand((0.09,), 0.03, 0.03, 0.15), way="one mean, by hand", rel=1e-9
    )


# ---- what stops it


def test_the_allowance_ends_it_and_the_other_side_takes_the_rest() -> None:
    found = choose_joint_steel(with_sizes(peg(3.98, 3.98, allowance=0.01), socket(3.97, allowance=0.03)))
    short = of(found, "peg")
    assert [one.stop for one in short.amounts] == [Stop.ALLOWANCE] * 2
    assert not short.reaches
    split = of(found, "peg", "socket")
    assert [one.amount_mm for one in split.amounts] == pytest.approx([0.01, 0.01, 0.03])
    # 0.07 N·m wanted, 0.035 mm in all: 0.01 from the pegs, 0.025 from the socket, in steps of 0.01.
    assert split.measure_after == independent(0.1, way="0.02 and 0.04 mm at 2 N·m/mm, by hand")
    assert split.safe
    assert found.candidates[0] == split
    assert any("allowance ends there" in reason for reason in short.reasons)


def test_a_part_of_the_way_is_cut_while_the_friction_is_not_known() -> None:
    fine = {"step_mm": 0.001}
    known = with_sizes(peg(3.98, 3.98, **fine), socket())
    unknown = replace(known, friction_known=False)
    all_the_way, part = of(choose_joint_steel(known), "peg"), of(choose_joint_steel(unknown), "peg")
    assert 100 * part.amounts[0].amount_mm / all_the_way.amounts[0].amount_mm == independent(
        70, way="0.0245 of 0.035 in steps of 0.001", within=1.5
    )
    assert 60 <= practice("70").value <= 80
    assert part.amounts[0].stop is Stop.PART_OF_THE_WAY
    assert part.demands[0].target == all_the_way.demands[0].target
    assert part.demands[0].after < part.demands[0].target
    assert any("measure the torque" in reason for reason in part.reasons)


def test_steel_is_never_cut_past_the_target_while_the_friction_is_not_known() -> None:
    coarse = with_sizes(peg(3.98, 3.98, step_mm=0.02), socket(step_mm=0.04), friction_known=False)
    for way in choose_joint_steel(coarse).candidates:
        for one in way.amounts:
            assert one.amount_mm <= one.full_mm + 1e-12


def test_the_highest_friction_keeps_the_mean_before_the_far_limit() -> None:
    """A wide doubt about friction: the mean would pass the upper limit once in a hundred."""
    fine = {"step_mm": 1e-5}
    evidence = with_sizes(
        peg(3.98, 3.98, **fine), friction_known=False, true_share=Span(low=0.4, high=2.5), wanted=0.12
    )
    found = choose_joint_steel(evidence, cut_sd_mm=0.002)
    (way,) = [one for one in found.candidates if not one.adds_steel]
    assert way.amounts[0].stop is Stop.FAR_LIMIT
    assert not way.reaches
    rng = np.random.default_rng(3)
    true = 2.5 * (0.02 + SLOPE * (way.amounts[0].amount_mm + rng.normal(0, 0.002, 400_000)))
    assert float((true > 0.15).mean()) == independent(
        0.01, way="400,000 simulated cuts at the highest friction", within=0.0008
    )


def test_an_amount_below_the_step_is_no_amount() -> None:
    found = choose_joint_steel(with_sizes(peg(3.98, 3.98, step_mm=0.1), measure_sd=0.02))
    assert found.candidates == ()
    assert "no amount in the toolmaker's step" in found.why_not[0]


# ---- what else moves


def test_a_size_that_comes_along_out_of_its_limits_is_harm() -> None:
    lug = SizeAlsoMoved(size="lug", factor=1.0, mean=5.02, lower=4.95, upper=5.04)
    evidence = with_sizes(peg(3.98, 3.98, also=(lug,), step_mm=0.001), socket())
    harming, free = of(choose_joint_steel(evidence), "peg"), of(choose_joint_steel(evidence), "socket")
    assert (harming.harms, harming.safe, free.harms, free.safe) == (True, False, False, True)
    assert best(evidence) == free
    assert harming.also_moved[0].after == independent(5.055, way="5.02 and 0.035 of steel")
    assert any("lug comes along" in reason for reason in harming.reasons)


def test_a_size_that_comes_back_into_its_limits_is_no_harm() -> None:
    lug = SizeAlsoMoved(size="lug", factor=1.0, mean=4.90, lower=4.95, upper=5.04)
    assert not of(choose_joint_steel(with_sizes(peg(also=(lug,)), socket())), "peg").harms


def test_another_joint_of_the_size_is_weighed() -> None:
    knee = OtherJoint(joint="knee", slope=2.0, measure=0.13, sd=0.01, lower=0.03, upper=0.15)
    evidence = with_sizes(replace(peg(3.98, 3.98), other_joints=(knee,)), socket())
    harmed = of(choose_joint_steel(evidence), "peg")
    (after,) = harmed.other_joints
    assert after.harmed
    assert after.good_after == independent(
        good_by_hand((0.13 + 2.0 * harmed.amounts[0].amount_mm,), 0.01, 0.03, 0.15), way="by hand", rel=1e-9
    )
    assert best(evidence).demands[0].role == "socket"


def test_the_drawing_is_said_to_need_a_change() -> None:
    evidence = with_sizes(replace(peg(), lower=3.95, upper=4.0), socket())
    assert any("the drawing has to change" in one for one in of(choose_joint_steel(evidence), "peg").reasons)


# ---- order and ends


def test_the_fewest_places_come_first() -> None:
    evidence = with_sizes(peg(3.98, 3.98, 3.98), socket(3.97))
    assert best(evidence).demands[0].role == "socket"
    assert best(with_sizes(peg(3.98), socket(3.97, 3.97))).demands[0].role == "peg"


def test_the_ends_leave_room_for_the_other_sizes() -> None:
    demand = of(choose_joint_steel(LOOSE), "peg").demands[0]
    others = sqrt(0.012**2 - SLOPE**2 * (0.002**2 + 0.002**2))
    low, high = 3.982 + (0.03 + 2 * others - 0.02) / 2, 3.982 + (0.15 - 2 * others - 0.02) / 2
    assert [demand.lower, demand.upper] == independent([low, high], way="two standard deviations, by hand")
    assert demand.lower is not None
    assert demand.upper is not None
    assert demand.lower <= demand.target <= demand.upper


@law(
    measure=st.floats(0.0, 0.2),
    wanted=st.floats(0.03, 0.15),
    sd=st.floats(0.001, 0.05),
    known=st.booleans(),
    allowance=st.sampled_from([0.0, 0.01, 0.1]),
)
def test_whatever_the_joint_its_ways_keep_the_rules(
    measure: float, wanted: float, sd: float, known: bool, allowance: float
) -> None:
    evidence = with_sizes(
        peg(3.97, 3.98, allowance=allowance),
        socket(3.97, 3.99),
        measure=measure,
        wanted=wanted,
        measure_sd=sd,
        friction_known=known,
        true_share=Span(low=1.0, high=1.0) if known else Span(low=0.75, high=1.25),
    )
    choice = choose_joint_steel(evidence)
    assert 0 <= choice.good_now <= 1
    assert choice.candidates or choice.why_not
    for way in choice.candidates:
        for one in way.amounts:
            assert one.amount_mm <= one.allowance_mm + 1e-12
            assert one.amount_mm == pytest.approx(round(one.amount_mm / 0.01) * 0.01, abs=1e-12)
        for demand in way.demands:
            assert (-inf if demand.lower is None else demand.lower) <= demand.target
            assert demand.target <= (inf if demand.upper is None else demand.upper)
    ranks = [(one.adds_steel, one.harms, not one.reaches, one.cuts) for one in choice.candidates]
    assert ranks == sorted(ranks)


# ---- nothing helps


def test_a_spread_too_wide_is_said_with_what_would_help() -> None:
    found = choose_joint_steel(with_sizes(peg(), socket(), measure_sd=0.08, friction_known=False))
    assert found.good_at_best < 0.6
    said = " ".join(found.why_not)
    for word in ("too wide for any steel", "slit socket", "paired by size", "measured friction", "peg"):
        assert word in said


def test_a_clearance_is_not_helped_by_a_softer_joint() -> None:
    found = choose_joint_steel(with_sizes(peg(), socket(), measure_sd=0.08, unit="mm"))
    assert "softer" not in found.why_not[-1]
    assert "paired by size" in found.why_not[-1]


def test_a_joint_that_stands_where_it_should_is_left_alone() -> None:
    found = choose_joint_steel(with_sizes(peg(4.0, 4.0), socket(), measure=0.09))
    assert found.candidates == ()
    assert "nothing to gain" in found.why_not[0]


def test_sizes_without_steel_or_slope_say_so() -> None:
    bare = replace(peg(), steel=())
    assert "no steel feature is named" in choose_joint_steel(with_sizes(bare)).why_not[0]
    flat = replace(peg(), slope=0.0)
    assert "give the clearance" in choose_joint_steel(with_sizes(flat)).why_not[0]


# ---- bad input


@pytest.mark.parametrize(
    ("evidence", "said"),
    [
        (with_sizes(), "at least one size"),
        (with_sizes(peg(float("nan"), 3.98)), "mean of peg in 1"),
        (with_sizes(peg(), measure_sd=-1.0), "measure_sd"),
        (with_sizes(peg(), lower=0.2), "must be below 0.15"),
        (with_sizes(peg(step_mm=0.0)), "step of steel of peg"),
        (with_sizes(peg(shrinkage=0.6)), "give a fraction, not per cent"),
        (with_sizes(size("peg", SLOPE, 0.0, (3.98,))), "must not be zero"),
        (with_sizes(replace(peg(), means=())), "has no mean"),
        (with_sizes(replace(peg(), means=(MeanInCavity(cavity="9", mean=4.0),))), "no mean in that cavity"),
        (with_sizes(peg(), true_share=Span(low=1.1, high=1.2)), "true_share"),
        (with_sizes(peg(allowance=-0.1)), "allowance of steel of peg"),
        (with_sizes(peg(*[3.98] * 400), socket(*[3.97] * 400)), "pairs of cavities"),
    ],
)
def test_evidence_that_cannot_be_is_refused_by_name(evidence: JointSteelEvidence, said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        choose_joint_steel(evidence)
