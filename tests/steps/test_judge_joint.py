"""A joint judged from the record: loose, good, tight; what it asks of steel; what measured joints teach."""

from __future__ import annotations

from datetime import date
from itertools import product

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from offtool.core.joints import hold_torque, peg_in_socket
from offtool.core.joints.tested import ConditionFound
from offtool.core.values import OfftoolError, Verdict
from offtool.records.models import Cavity, Joint, JointDemand, Programme, Tool, ToolState
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_for_steel import ask_for_steel
from offtool.steps.correct_tool import correct_tool
from offtool.steps.joint_found import JointFound, JointWord
from offtool.steps.judge_joint import judge_joint, judge_joints
from offtool.steps.keep_joint_test import JointTestAbout, keep_joint_test
from offtool.steps.plain import as_plain
from tests.labels import independent
from tests.steps.clip import NOON, SLUG, TOOL, csv_of, keep
from tests.steps.hinge import BORE, LOWER, UPPER, make_hinge, measured_file

GOOD_PEG, LOOSE_PEG = 4.021, 3.99


def judged(clip: Programme, peg: float, **joint: object) -> JointFound:
    return judge_joint(make_hinge(clip, peg, **joint).slug, "hinge")


def test_a_joint_with_clearance_is_loose_and_that_is_expected_at_first(clip: Programme) -> None:
    found = judged(clip, LOOSE_PEG)
    assert (found.word, found.verdict) == (JointWord.LOOSE, Verdict.FAILS)
    assert "how steel-safe tools start" in found.headline
    assert found.assembled is not None
    assert found.assembled.mix.loose.share > 0.99


def test_a_joint_that_stands_well_is_good_when_its_friction_is_known(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, friction_low=0.39, friction_high=0.41, lower=0.04, upper=0.6)
    assert (found.word, found.verdict) == (JointWord.GOOD, Verdict.HOLDS)
    assert "hinge holds" in found.headline.lower()


def test_a_friction_that_is_not_known_leaves_it_open_and_is_the_first_thing_to_settle(
    clip: Programme,
) -> None:
    found = judged(clip, 4.022, friction_low=0.2, friction_high=0.9)
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.actions[0].do.startswith("Measure the breakaway torque")


def test_the_mean_torque_is_that_of_the_means(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, friction_low=0.4, friction_high=0.4)
    assert found.assembled is not None
    used = {one.role: one.mean for one in found.assembled.sizes if one.cavity in ("1", "")}
    abs_ = {
        "inner_modulus_mpa": 2300.0,
        "inner_poisson": 0.39,
        "outer_modulus_mpa": 2300.0,
        "outer_poisson": 0.39,
    }
    by_hand = peg_in_socket(
        used["peg_diameter"], used["socket_bore"], 8.0, 6.0, **abs_,
        inner_strain_allowed=0.012, outer_strain_allowed=0.012, friction_low=0.4, friction_high=0.4,
    )  # fmt: skip
    expected = independent(
        by_hand.breakaway_nm.low, way="the scalar formula at the means of cavity 1", rel=0.02
    )
    assert found.assembled.pair("1", "1").shares.mean == expected


def test_too_large_a_peg_is_overstrained(clip: Programme) -> None:
    found = judged(clip, 4.25, friction_low=0.4, friction_high=0.4)
    assert found.word is JointWord.OVERSTRAINED
    assert "strained beyond what they bear" in found.headline


def test_what_the_limb_weighs_and_the_peg_bears_stand_where_no_limits_are_given(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, lower=None, upper=None, limb_mass_g=30.0, lever_mm=50.0)
    assert found.lower.value == hold_torque(30.0, 50.0).torque_nm
    assert "30 g at 50 mm" in found.lower.says
    assert found.upper.value is not None
    assert "half of what shears the peg" in found.upper.says


def test_nothing_asked_says_so(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG)
    Joint.objects.update(lower=None, upper=None, kind="slip fit")
    joint = Joint.objects.get()
    joint.sizes.all().delete()
    for role, size in (("shaft_diameter", "1"), ("bore_diameter", "2")):
        part = "P1" if size == "1" else "P2"
        characteristic = next(
            one for one in clip.parts.get(code=part).characteristics.all() if one.number == size
        )
        joint.sizes.create(role=role, characteristic=characteristic)
    found = judge_joint(SLUG, "hinge")
    assert "no limit is asked of it yet" in found.headline
    assert found.actions[0].do == "Say what the joint must do."


def test_a_joint_that_turns_freely_does_not_hold_because_no_least_is_known(clip: Programme) -> None:
    """The most that the peg bears is known by itself; the least is not, and a clearance is no good joint."""
    found = judged(clip, LOOSE_PEG, lower=None, upper=None)
    assert found.upper.value is not None
    assert found.verdict is Verdict.NOT_SHOWN
    assert "no least is asked of it yet" in found.headline
    assert found.steel is None


def test_steel_aims_inside_a_single_limit_with_the_friction_that_is_worst(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG, upper=3.0, friction_low=0.3, friction_high=0.5)
    found = judge_joint(SLUG, "hinge")
    assert found.steel is not None
    target = found.steel.evidence.wanted
    torque = _torque(target) / TRUE_FRICTION
    assert 0.3 * torque > LOWER
    assert found.steel.evidence.measure_uncertainty > 0


def test_what_was_not_measured_is_named(clip: Programme) -> None:
    from tests.steps.jointed import a_joint, with_bore

    with_bore(clip)
    a_joint(lower=LOWER, upper=UPPER)
    found = judge_joint(SLUG, "hinge")
    assert found.word is JointWord.NOT_MEASURED
    assert "P1 1 Peg diameter was not measured yet" in found.headline
    assert {one.do for one in found.actions} >= {"P2 2 Bore was not measured yet."}
    assert found.assembled is None


def test_a_resin_without_stiffness_is_named(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG)
    Joint.objects.update(inner_resin="UNOBTAINIUM")
    found = judge_joint(SLUG, "hinge")
    assert any("UNOBTAINIUM is not in the handbook" in one for one in found.missing)


def test_the_way_found_reaches_the_correction(clip: Programme) -> None:
    """From a loose joint to the toolmaker's amount: the peg is cut past its drawing, for the joint."""
    make_hinge(clip, LOOSE_PEG, friction_low=0.39, friction_high=0.41)
    found = judge_joint(SLUG, "hinge")
    assert found.steel is not None
    best = found.steel.candidates[0]
    assert best.safe
    (demanded,) = ask_for_steel(SLUG, "hinge", 1, made_at=NOON, made_by="engineer")
    assert demanded.size == "P1 1"
    cuts = [one for one in correct_tool(SLUG, TOOL, "T1").changes if one.feature == "CV1"]
    assert {one.cavity for one in cuts} == {"1", "2"}
    for cut in cuts:
        assert cut.amount_mm == pytest.approx(demanded.target - LOOSE_PEG, abs=0.012)
    assert next(one.do for one in judge_joint(SLUG, "hinge").actions).startswith("Correct the tool")


def test_a_way_that_is_not_there_is_refused_and_asks_nothing(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG)
    with pytest.raises(OfftoolError, match="there is no way 9"):
        ask_for_steel(SLUG, "hinge", 9, made_at=NOON, made_by="engineer")
    assert not JointDemand.objects.exists()


TRUE_FRICTION = 0.55


def torque_file(peg: float, *, seed: int = 5, condition: str = "fresh", factor: float = 1.0) -> bytes:
    """Torques of six joints a pair of cavities, with a true friction and gauge scatter."""
    rng = np.random.default_rng(seed)
    rows = []
    for cavity, other in product((1, 2), (1, 2)):
        for piece in range(6):
            interference = peg + rng.normal(0, 0.003) - BORE - rng.normal(0, 0.003)
            torque = _torque(interference) * factor + rng.normal(0, 0.003)
            rows.append((f"{cavity}{other}-{piece}", cavity, other, f"{1000 * torque:.1f}", condition, 0.2))
    return csv_of(["Piece", "P1 cavity", "P2 cavity", "Breakaway torque [mN·m]", "Condition", "Hours"], rows)


def _torque(interference: float) -> float:
    """By the thick-walled cylinders of one material: p = E d (1 - (b/D)^2) / (2 b), T = f p pi b^2 L / 2."""
    pressure = 2300 * interference * (1 - (BORE / 8.0) ** 2) / (2 * BORE)
    return TRUE_FRICTION * pressure * np.pi * BORE**2 * 6.0 / 2 / 1000


def keep_test(content: bytes, test: str = "1", trial: str = "") -> None:
    about = JointTestAbout(inner_trial=trial, outer_trial=trial)
    keep_joint_test(
        content, f"{test}.csv", programme=SLUG, joint="hinge", test=test, about=about,
        read_at=NOON, read_by="bench",
    )  # fmt: skip


def test_measured_joints_teach_the_friction_and_settle_the_verdict(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG)
    before = judge_joint(SLUG, "hinge")
    keep_test(torque_file(GOOD_PEG))
    found = judge_joint(SLUG, "hinge")
    assert found.learned is not None
    assert found.learned.interval is not None
    assert TRUE_FRICTION in found.learned.interval
    assert found.friction is not None
    assert found.friction.is_learned
    assert before.friction is not None
    narrow, wide = found.friction.span, before.friction.span
    assert narrow.high / narrow.low < wide.high / wide.low


def test_ageing_is_compared_with_fresh(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG)
    keep_test(torque_file(GOOD_PEG), "1")
    keep_test(torque_file(GOOD_PEG, condition="aged", factor=0.7), "2")
    found = judge_joint(SLUG, "hinge")
    assert found.compared is not None
    aged = next(one for one in found.compared.conditions if one.condition == "aged")
    assert aged.change is not None
    assert aged.change.change_pct == pytest.approx(-30, abs=8)


def test_joints_that_age_too_much_say_so_before_anything_else(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG, friction_low=0.54, friction_high=0.56, upper=0.8)
    keep_test(torque_file(GOOD_PEG), "1")
    assert judge_joint(SLUG, "hinge").verdict is Verdict.HOLDS
    keep_test(torque_file(GOOD_PEG, condition="aged", factor=0.2), "2")
    found = judge_joint(SLUG, "hinge")
    assert found.verdict is Verdict.NOT_SHOWN
    assert "joints that were measured do not" in found.headline
    assert found.actions[0].do == "Look at the joints that were measured."
    assert "aged ones" in found.actions[0].because


def test_limbs_that_sink_too_far_say_so(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG)
    rows = [(str(i), 1, 1, 25 + i) for i in range(6)]
    keep_test(csv_of(["Piece", "P1 cavity", "P2 cavity", "Droop [deg]"], rows))
    found = judge_joint(SLUG, "hinge")
    assert found.droop is not None
    assert found.droop.verdict is Verdict.FAILS
    assert any(one.do == "Look at the limbs that sink." for one in found.actions)


def test_time_is_taken_off_every_joint_not_off_their_mean(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, friction_low=0.4, friction_high=0.4, lower=0.15, upper=0.8)
    later = found.good_after_1000h
    assert found.assembled is not None
    assert later is not None
    assert found.relaxed is not None
    assert later.low <= later.high < found.assembled.mix.good.share
    assert found.relaxed.torque_1000h_nm.low > 0.15
    assert later.low < 0.975


def test_all_joints_of_a_product_are_judged_alike(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG)
    found = judge_joints(SLUG)
    assert found.headline == found.joints[0].headline
    assert [one.joint for one in found.joints] == ["hinge"]
    assert found.joints[0].word is judge_joint(SLUG, "hinge").word


def test_a_product_without_joints_says_what_to_do_first(clip: Programme) -> None:
    assert judge_joints(SLUG).headline.startswith("No joint is named yet")


def test_a_joint_that_is_not_there_is_answered_with_the_nearest(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG)
    with pytest.raises(NotInRecord, match="did you mean 'hinge'"):
        judge_joint(SLUG, "hinges")


def test_the_answer_is_plain_data(clip: Programme) -> None:
    plain = as_plain(judged(clip, GOOD_PEG))
    assert plain["assembled"]["mix"]["good"]["share"] > 0
    assert plain["word"]


def test_sizes_of_the_newest_trial_count(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG)
    keep(measured_file(GOOD_PEG, seed=9), trial="T2", name="second.csv")
    found = judge_joint(SLUG, "hinge")
    assert {one.trial for one in found.sizes if one.is_measured} == {"T2"}
    assert found.word is not JointWord.LOOSE


def torques(*values: float, condition: str = "fresh", cavities: bool = True) -> bytes:
    """One torque a piece, in N·m."""
    rows = [(f"p{i}", 1, 1, f"{1000 * one:.4f}", condition) for i, one in enumerate(values)]
    headings = ["Piece", "P1 cavity", "P2 cavity", "Breakaway torque [mN·m]", "Condition"]
    kept = range(5) if cavities else (0, 3, 4)
    return csv_of([headings[i] for i in kept], [[row[i] for i in kept] for row in rows])


LOOSE = [0.0001] * 12
GOOD = [0.20 + 0.002 * i for i in range(12)]


def compared(found: JointFound, condition: str) -> ConditionFound:
    assert found.compared is not None
    return next(one for one in found.compared.conditions if one.condition == condition)


def test_a_measured_failure_stands_beside_a_test_of_aged_joints_only(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG, lower=0.001, upper=None)
    keep_test(torques(*LOOSE), "1")
    assert compared(judge_joint(SLUG, "hinge"), "fresh").limits[0].verdict is Verdict.FAILS
    keep_test(torques(*GOOD, condition="aged"), "2", trial="M1 T1")
    found = judge_joint(SLUG, "hinge")
    assert found.compared is not None
    assert found.compared.verdict is Verdict.FAILS
    assert compared(found, "fresh").limits[0].verdict is Verdict.FAILS


def test_a_measured_failure_is_not_undone_by_good_joints_of_another_test(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG, lower=0.001, upper=None)
    keep_test(torques(*GOOD), "1")
    keep_test(torques(*LOOSE), "2")
    found = judge_joint(SLUG, "hinge")
    assert compared(found, "fresh").pieces == 24
    assert compared(found, "fresh").limits[0].verdict is Verdict.FAILS
    assert found.compared is not None
    assert any("of test 2 do not keep the lower limit" in one.text for one in found.compared.cautions)


def test_a_test_that_holds_two_conditions_without_fresh_leaves_the_fresh_ones(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG, lower=0.001, upper=None)
    keep_test(torques(*LOOSE), "1")
    half = torques(*GOOD, condition="aged") + torques(*GOOD, condition="cycled").split(b"\n", 1)[1]
    keep_test(half, "2")
    found = judge_joint(SLUG, "hinge")
    assert found.compared is not None
    assert {one.condition for one in found.compared.conditions} == {"fresh", "aged", "cycled"}
    assert found.compared.verdict is Verdict.FAILS


def test_a_change_is_read_within_the_test_that_holds_both(clip: Programme) -> None:
    """Halved within test 2, by hand; the joints of test 1, twice as tight, count for the limits alone."""
    make_hinge(clip, GOOD_PEG, lower=0.001, upper=None)
    keep_test(torques(*(2 * one for one in GOOD)), "1")
    both = torques(*GOOD) + torques(*(one / 2 for one in GOOD), condition="aged").split(b"\n", 1)[1]
    keep_test(both, "2")
    found = judge_joint(SLUG, "hinge")
    change = compared(found, "aged").change
    assert change is not None
    assert change.change_pct == independent(-50.0, way="by hand", within=0.1)
    assert compared(found, "fresh").pieces == 24
    assert found.compared is not None
    assert any("within 2; the limits count 1 too" in one.text for one in found.compared.cautions)


def cut_steel(clip: Programme) -> None:
    ToolState.objects.create(tool=clip.tools.get(), label="b", ordinal=2, made_on=date(2026, 4, 1))


def test_joints_of_older_steel_count_where_there_are_no_others(clip: Programme) -> None:
    make_hinge(clip, GOOD_PEG, lower=0.001, upper=None)
    keep_test(torques(*LOOSE), "1")
    cut_steel(clip)
    found = judge_joint(SLUG, "hinge")
    assert found.tests[0].is_stale
    assert compared(found, "fresh").limits[0].verdict is Verdict.FAILS


def given_as_numbers(clip: Programme, *roles: str) -> None:
    """A hinge of which these sizes are numbers."""
    numbers = {"peg_diameter": GOOD_PEG, "socket_bore": BORE}
    make_hinge(clip, GOOD_PEG)
    for role in roles:
        Joint.objects.get().sizes.filter(role=role).update(characteristic=None, value=numbers[role])


def test_a_joint_of_numbers_with_a_test_is_judged_and_says_why_it_teaches_nothing(clip: Programme) -> None:
    given_as_numbers(clip, "peg_diameter", "socket_bore")
    Joint.objects.update(inner_resin="ABS", outer_resin="ABS")
    Joint.objects.get().sizes.filter(value=GOOD_PEG).update(plus_minus=0.01)
    keep_test(torques(*GOOD, cavities=False))
    found = judge_joint(SLUG, "hinge")
    assert found.learned is None
    assert found.assembled is not None
    assert any("both sides are given as numbers" in one.text for one in found.cautions)
    assert judge_joints(SLUG).joints[0].word is found.word


@pytest.mark.parametrize(("number", "column"), [("socket_bore", "P1 cavity"), ("peg_diameter", "P2 cavity")])
def test_a_joint_with_one_side_measured_learns_by_the_cavity_that_is_known(
    clip: Programme, number: str, column: str
) -> None:
    """The torque of each piece is worked out with the true friction from the mean of its own cavity."""
    given_as_numbers(clip, number)
    Joint.objects.update(inner_resin="ABS", outer_resin="ABS")
    measured = {str(one.cavity): one.mean for one in next(
        one for one in judge_joint(SLUG, "hinge").sizes if one.is_measured).cavities}  # fmt: skip
    rows = [
        (i, cavity, f"{1000 * _torque(mean - BORE if number == 'socket_bore' else GOOD_PEG - mean):.3f}")
        for cavity, mean in measured.items()
        for i in range(5)
    ]
    keep_test(csv_of(["Piece", column, "Breakaway torque [mN·m]"], rows))
    found = judge_joint(SLUG, "hinge")
    assert found.learned is not None
    assert {one.pair for one in found.learned.pairs} == {"1", "2"}
    assert found.learned.friction == independent(TRUE_FRICTION, way="thick-walled cylinders", rel=0.05)


def test_an_overstrained_joint_says_so_first_though_nothing_is_asked(clip: Programme) -> None:
    found = judged(clip, 4.25, friction_low=0.4, friction_high=0.4, lower=None, upper=None)
    assert found.word is JointWord.OVERSTRAINED
    assert "is overstrained" in found.headline
    assert "nothing is loose" not in found.headline
    assert found.actions[0].do.startswith("Take strain off the joint")


def test_what_is_left_is_not_said_where_a_material_is_not_known(clip: Programme) -> None:
    own = {"inner_modulus_mpa": 2000.0, "strain_allowed_pct": 1.0}
    found = judged(clip, GOOD_PEG, inner_resin="UNOBTAINIUM", **own)
    assert found.assembled is not None
    assert found.relaxed is None
    assert found.good_after_1000h is None


def test_a_strain_that_is_not_taken_is_named(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, outer_resin="POM", strain_allowed_pct=5.0)
    assert any("strain given with the joint, 5 %, is more than" in one.text for one in found.cautions)


def test_a_joint_that_turns_freely_says_where_torque_begins(clip: Programme) -> None:
    found = judged(clip, LOOSE_PEG)
    assert any("torque begins at interference" in one.text for one in found.cautions)
    assert not any("torque begins" in one.text for one in judge_good(clip).cautions)


def judge_good(clip: Programme) -> JointFound:
    """The same joint after a trial with a larger peg."""
    keep(measured_file(GOOD_PEG, seed=9), trial="T2", name="second.csv")
    return judge_joint(SLUG, "hinge")


def test_why_no_steel_is_proposed_is_said(clip: Programme, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OfftoolError("the steel is not known")

    make_hinge(clip, LOOSE_PEG)
    monkeypatch.setattr("offtool.steps.judge_joint.choose_steel", refuse)
    found = judge_joint(SLUG, "hinge")
    assert found.steel is None
    assert any("no steel is proposed: the steel is not known" in one.text for one in found.cautions)


def test_a_demand_names_every_tool_of_the_part(clip: Programme) -> None:
    make_hinge(clip, LOOSE_PEG)
    ask_for_steel(SLUG, "hinge", 1, made_at=NOON, made_by="engineer")
    other = Tool.objects.create(programme=clip, code="A9", cut_sd_mm=0.004)
    Cavity.objects.create(tool=other, part=clip.parts.get(code="P1"), label="5")
    (demand,) = judge_joint(SLUG, "hinge").demands
    assert demand.tools == ("A9", TOOL)
    assert demand.tool == TOOL


def test_a_second_joint_of_the_same_sizes_costs_few_queries(clip: Programme) -> None:
    """The sizes are looked up once for all joints."""
    from tests.steps.jointed import a_joint

    make_hinge(clip, LOOSE_PEG)
    with CaptureQueriesContext(connection) as one:
        judge_joints(SLUG)
    for code in ("second", "third"):
        a_joint(code=code, lower=LOWER, upper=UPPER)
    with CaptureQueriesContext(connection) as three:
        judge_joints(SLUG)
    assert len(three) - len(one) <= 2 * QUERIES_OF_A_JOINT


QUERIES_OF_A_JOINT = 5
"""Its tests, their readings, its demands, and the steel that moves its sizes."""


def test_strain_and_interference_stand_beside_what_is_borne(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, friction_low=0.39, friction_high=0.41)
    assert found.interference_mm == pytest.approx(GOOD_PEG - BORE, abs=0.003)
    assert found.strain_use == pytest.approx(0.2, abs=0.15)
    assert found.good_from_mm is not None
    assert found.good_to_mm is not None
    assert found.good_from_mm < found.interference_mm < found.good_to_mm
    said = {one.about: one.says for one in found.rests_on}
    assert "is good" in said["Press"]
    assert "ABS: 2,300 MPa, bears 1.2 %" in said["Inner side"]


def test_a_least_in_another_unit_is_named(clip: Programme) -> None:
    found = judged(clip, GOOD_PEG, lower=20.0, upper=80.0)
    assert found.word is JointWord.NOT_MEASURED
    assert "is it meant in mN·m?" in found.headline
