"""What a joint asks of a size: the correction aims there, until it is dropped."""

from __future__ import annotations

import pytest

from offtool.core.values import Verdict
from offtool.records.models import Characteristic, Joint, JointDemand, JointSize, Programme
from offtool.steps.correct_tool import correct_tool
from offtool.steps.steel_changes import SteelChange
from tests.steps.clip import NOON, PEG, SLUG, TOOL, keep, trial_file

DRAWN, WANTED = 4.005, 4.045


@pytest.fixture
def asked(clip: Programme) -> JointDemand:
    """The peg stands 0.040 below its drawing's middle, and a joint wants it 0.040 above that."""
    keep(trial_file())
    return ask(clip)


def ask(programme: Programme) -> JointDemand:
    joint = Joint.objects.create(programme=programme, code="hinge", kind="peg in socket")
    peg = Characteristic.objects.get(part__programme=programme, number="1", part__code="P1")
    JointSize.objects.create(joint=joint, role="peg_diameter", characteristic=peg)
    return JointDemand.objects.create(
        joint=joint,
        characteristic=peg,
        target=WANTED,
        lower=WANTED - 0.025,
        upper=WANTED + 0.025,
        reason="too loose",
        made_at=NOON,
    )


def peg_cuts() -> list[SteelChange]:
    return [one for one in correct_tool(SLUG, TOOL, "T1").changes if one.feature == "CV1"]


def test_steel_goes_where_the_joint_asks_not_where_the_drawing_does(asked: JointDemand) -> None:
    cuts = peg_cuts()
    assert {one.cavity for one in cuts} == {"1", "2"}
    for cut in cuts:
        assert cut.amount_mm == pytest.approx(WANTED - PEG, abs=0.011)
        assert "for what joint hinge asks of it" in cut.reason
        (expected,) = cut.expected
        assert (expected.lower, expected.upper) == (asked.lower, asked.upper)
        assert expected.asked_by == "joint hinge asks for 4.045 in the mean"


def test_a_dropped_demand_gives_the_drawing_its_word_back(asked: JointDemand) -> None:
    asked.dropped = "the socket is slit instead"
    asked.save()
    for cut in peg_cuts():
        assert cut.amount_mm == pytest.approx(DRAWN - PEG, abs=0.011)
        assert "joint" not in cut.reason
        assert cut.expected[0].asked_by == ""


def test_a_size_that_stands_where_the_joint_asks_is_left_alone(clip: Programme) -> None:
    keep(trial_file(peg=WANTED))
    ask(clip)
    found = correct_tool(SLUG, TOOL, "T1")
    assert not [one for one in found.changes if one.feature == "CV1"]
    assert not [one for one in found.not_changed if (one.part, one.number) == ("P1", "1")]


@pytest.mark.parametrize(
    ("mean", "verdict"),
    [(4.0, Verdict.FAILS), (4.045, Verdict.HOLDS), (4.015, Verdict.HOLDS), (4.081, Verdict.FAILS)],
)
def test_a_mean_is_judged_by_the_joints_ends_to_the_toolmakers_step(
    clip: Programme, mean: float, verdict: Verdict
) -> None:
    from offtool.core.inspection import judge_size
    from offtool.steps.demanded import Demanded

    demanded = Demanded(joint="hinge", target=WANTED, lower=4.02, upper=4.07, reason="")
    values = [mean - 0.001, mean + 0.001] * 5
    (cavity,) = judge_size(values, ["1"] * 10, lower=3.98, upper=4.03, required_index=1.0).cavities
    assert demanded.verdict(cavity, step_mm=0.01) is verdict


def test_a_demand_of_one_step_is_cut(clip: Programme) -> None:
    """The peg stands a hundredth from where the joint wants it: that is one step of the toolmaker."""
    keep(trial_file(peg=WANTED - 0.010))
    demand = ask(clip)
    demand.dropped = "by hand instead"
    demand.save()
    JointDemand.objects.create(
        joint=demand.joint, characteristic=demand.characteristic, target=WANTED, reason="one step",
        made_at=NOON.replace(hour=13),
    )  # fmt: skip
    cuts = peg_cuts()
    assert {(one.cavity, round(one.amount_mm, 3)) for one in cuts} == {("1", 0.01), ("2", 0.01)}
