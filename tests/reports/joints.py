"""Invented joints of the harbour otter, worked out by the program, for tests of what is shown.

shoulder()                   a peg in a socket: loose, steel that tightens it, tests, readings over time
shoulder(name="...")         any field of JointFound given anew
not_measured()               the same before anything was measured
all_joints()                 both, as the joints of a product
assembled(evidence, ...)     what comes of putting pieces together

The seams of `tests.reports.seams` are handed on.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

import numpy as np

from offtool.core.joints.assembled import AssembledJoint, assemble_joint
from offtool.core.joints.evidence import JointEvidence, JointMaterial, SizeGiven, SizeInCavity, Span
from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.joints.relaxation import (
    RelaxationFit,
    RelaxedTorque,
    fit_relaxation,
    predict_relaxed_torque,
)
from offtool.core.joints.steel import (
    JointSteel,
    JointSteelChoice,
    JointSteelEvidence,
    MeanInCavity,
    SizeOfJoint,
    choose_joint_steel,
)
from offtool.core.joints.tested import TestsCompared, compare_tests
from offtool.handbook.terms import JointKind
from offtool.steps import joint_facts, joint_sentences
from offtool.steps.joint_found import (
    CavitySeen,
    DemandSeen,
    FrictionUsed,
    JointFound,
    JointsFound,
    JointSizeSeen,
    LimitAsked,
    TestSeen,
)
from offtool.steps.joint_verdict import verdict_of, word_of
from tests.reports.seams import METHOD, TITLE, all_seams, not_pulled, study_seen, torso

__all__ = ["all_seams", "not_pulled", "study_seen", "torso"]

ABS = JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.018, name="ABS")
PEGS = (4.012, 4.020, 4.031, 4.018)
BORES = (4.000, 4.008)
LEAST, MOST = 0.06, 0.35
FRICTION = Span(low=0.3, high=0.5)


def evidence(pegs: tuple[float, ...] = PEGS, **fields: Any) -> JointEvidence:
    """A peg of four cavities in a bore of two."""
    cavities = [("peg_diameter", "HO-04", i, mean, 0.003) for i, mean in enumerate(pegs, 1)]
    cavities += [("socket_bore", "HO-02", i, mean, 0.004) for i, mean in enumerate(BORES, 1)]
    given: dict[str, Any] = {
        "kind": JointKind.PEG,
        "measured": tuple(
            SizeInCavity(role=role, part=part, cavity=str(i), mean=mean, sd=sd, parts=12)
            for role, part, i, mean, sd in cavities
        ),
        "given": (
            SizeGiven(role="socket_outer", value=7.2, plus_minus=0.05),
            SizeGiven(role="contact_length", value=4.0, plus_minus=0.05),
        ),
        "lower": LEAST,
        "upper": MOST,
        "inner": ABS,
        "outer": ABS,
        "friction": FRICTION,
    }
    return JointEvidence(**(given | fields))


@cache
def _worked_out(known: JointEvidence) -> AssembledJoint:
    return assemble_joint(known, combinations=16_000)


def assembled(known: JointEvidence | None = None, **fields: Any) -> AssembledJoint:
    """The joint put together; `fields` are those of JointEvidence."""
    return _worked_out(known or evidence(**fields))


def learned(*, misfit: bool = True) -> LearnedFriction:
    """Six pairs; the last holds half more than its sizes say."""
    rng = np.random.default_rng(5)
    pairs = {"1 with 1": 0.20, "2 with 1": 0.31, "3 with 1": 0.46, "4 with 1": 0.28, "3 with 2": 0.36}
    rows = [(x, 0.41 * x, name) for name, x in pairs.items() for _ in range(5)]
    rows += [(0.22, 0.41 * 0.22 * (1.5 if misfit else 1.0), "4 with 2")] * 5
    return learn_friction(
        [x for x, _, _ in rows],
        [y * (1 + rng.normal(0, 0.06)) for _, y, _ in rows],
        [name for _, _, name in rows],
        given_low=FRICTION.low,
        given_high=FRICTION.high,
    )


def relaxation() -> RelaxationFit:
    """Four pieces read after an hour, a day and four days."""
    rng = np.random.default_rng(6)
    rows = [
        (level * (1 - 0.09 * np.log10(hours)) * (1 + rng.normal(0, 0.01)), hours, piece)
        for piece, level in zip("abcd", (0.101, 0.112, 0.095, 0.108), strict=True)
        for hours in (1.0, 24.0, 96.0)
    ]
    return fit_relaxation([row[0] for row in rows], [row[1] for row in rows], [row[2] for row in rows])


def relaxed() -> RelaxedTorque:
    """The handbook's share of a torque of 0.104."""
    return predict_relaxed_torque(0.104, 1.0, remaining_low=0.5, remaining_high=0.75)


def compared() -> TestsCompared:
    """Five pieces before and after ageing."""
    values = [0.081, 0.088, 0.079, 0.090, 0.085, 0.063, 0.070, 0.060, 0.072, 0.066]
    return compare_tests(values, ["fresh"] * 5 + ["aged"] * 5, [*"12345", *"12345"], lower=0.03, upper=0.15)


def steel() -> JointSteelChoice:
    """The peg's cavities have steel left on purpose."""
    features = [
        JointSteel(feature="peg recess", cavity=str(i), factor=1.0, allowance_mm=0.04)
        for i in range(1, len(PEGS) + 1)
    ]
    peg = SizeOfJoint(
        role="peg_diameter",
        size="HO-04 2",
        part="HO-04",
        slope=1.0,
        sd=0.003,
        means=tuple(MeanInCavity(cavity=str(i), mean=mean) for i, mean in enumerate(PEGS, 1)),
        steel=tuple(features),
    )
    return choose_joint_steel(
        JointSteelEvidence(
            measure=0.016,
            wanted=0.04,
            measure_sd=0.008,
            lower=0.02,
            upper=0.06,
            friction_known=True,
            sizes=(peg,),
        )
    )


def sizes() -> tuple[JointSizeSeen, ...]:
    """What went into the joint."""
    told = (
        ("peg_diameter", "diameter of the peg", "HO-04 2", "Shoulder peg, diameter", PEGS, 0.003),
        ("socket_bore", "bore of the socket", "HO-02 4", "Shoulder socket, bore", BORES, 0.004),
    )
    measured = [
        JointSizeSeen(
            role=role,
            meaning=meaning,
            unit="mm",
            decimals=3,
            size=size,
            name=name,
            tool="M1",
            trial="T1",
            state="a",
            cavities=tuple(
                CavitySeen(cavity=str(i), mean=mean, sd=sd, parts=12) for i, mean in enumerate(means, 1)
            ),
            gauge="no gauge study",
        )
        for role, meaning, size, name, means, sd in told
    ]
    outer = JointSizeSeen(
        role="socket_outer",
        meaning="outer diameter of the socket",
        unit="mm",
        decimals=2,
        value=7.2,
        plus_minus=0.05,
    )
    return (*measured, outer)


def test_seen(**fields: Any) -> TestSeen:
    """A test of assembled pieces."""
    given: dict[str, Any] = {
        "name": "1",
        "file": "shoulder_torque.csv",
        "sha256": "ab" * 32,
        "done_on": date(2026, 3, 20),
        "read_by": "bench",
        "readings": 20,
        "gauge": "T-1",
        "gauge_says": "no gauge study",
        "inner_trial": "T1 of M1, state a",
        "outer_trial": "T1 of M1, state a",
        "is_stale": False,
        "note": "",
        "set_aside": "",
        "test_id": 1,
    }
    return TestSeen(**(given | fields))


def demand_seen(**fields: Any) -> DemandSeen:
    """What the joint asks of the peg."""
    given: dict[str, Any] = {
        "size": "HO-04 2",
        "name": "Shoulder peg, diameter",
        "tool": "M1",
        "target": 4.044,
        "lower": 4.034,
        "upper": 4.054,
        "decimals": 3,
        "reason": "loose in all pairs",
        "made_at": datetime(2026, 3, 21, 9, 0, tzinfo=UTC),
        "made_by": "bench",
        "dropped": "",
        "demand_id": 1,
    }
    return DemandSeen(**(given | fields))


def shoulder(**fields: Any) -> JointFound:
    """The shoulder as `offtool.steps.judge_joint` would find it; `fields` are those of JointFound."""
    put_together: AssembledJoint | None = fields.get("assembled", assembled())
    given: dict[str, Any] = {
        "programme": "harbour-otter",
        "programme_title": TITLE,
        "invented": True,
        "joint": "shoulder",
        "name": "shoulder, left",
        "kind": "peg in socket",
        "meaning": "a round peg pressed into a closed round socket; it turns with friction",
        "measure": "breakaway torque",
        "unit": "N·m",
        "decimals": joint_sentences.decimals_of_measure(LEAST, MOST, put_together),
        "word": word_of(put_together),
        "verdict": verdict_of(put_together),
        "headline": "",
        "actions": (),
        "rests_on": (),
        "lower": LimitAsked(value=LEAST, says="as given"),
        "upper": LimitAsked(value=MOST, says="as given"),
        "sizes": sizes(),
        "friction": FrictionUsed(span=FRICTION, says="handbook", handbook=FRICTION, is_learned=False),
        "assembled": put_together,
        "missing": (),
        "loose_at_first": False,
        "steel_left": False,
        "good_after_1000h": None,
        "droop": None,
        "steel": steel(),
        "demands": (demand_seen(),),
        "tests": (test_seen(),),
        "learned": learned(),
        "compared": compared(),
        "relaxed": relaxed(),
        "relaxation": relaxation(),
        "method": METHOD,
        "cautions": put_together.cautions if put_together else (),
    }
    found = JointFound(**(given | fields))
    return replace(
        found,
        headline=joint_sentences.headline(found),
        actions=tuple(joint_sentences.actions(found)),
        rests_on=tuple(joint_facts.facts(found)),
    )


def not_measured(**fields: Any) -> JointFound:
    """The hip, whose bore was not measured yet."""
    given: dict[str, Any] = {
        "joint": "hip",
        "name": "hip, left",
        "assembled": None,
        "missing": ("HO-02 5 Hip socket, bore was not measured yet",),
        "steel": None,
        "demands": (),
        "tests": (),
        "learned": None,
        "compared": None,
        "relaxed": None,
        "relaxation": None,
    }
    return shoulder(**(given | fields))


def all_joints(*joints: JointFound) -> JointsFound:
    """The joints of the otter."""
    found = joints or (shoulder(), not_measured())
    return JointsFound(
        programme="harbour-otter",
        programme_title=TITLE,
        invented=True,
        headline=joint_sentences.headline_of_all(found),
        joints=found,
    )
