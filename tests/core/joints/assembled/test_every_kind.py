"""Every kind of joint goes through the engine: plain pieces and lines agree, and no kind is forgotten."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from offtool.core.joints.assembled import Grade, assemble_joint, draws
from offtool.core.joints.assembled.chances import exact_shares
from offtool.core.joints.assembled.contributions import fit_contributions
from offtool.core.joints.assembled.known import known_joint
from offtool.core.joints.assembled.means import joint_means
from offtool.core.joints.evidence import JointEvidence, Link, SizeGiven
from offtool.core.joints.models import MODELS, roles_of
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind
from tests.core.joints.assembled.made import chain, peg, slip

SIZES = {
    JointKind.CLIP: {"peg_diameter": 4.15, "socket_bore": 4.0, "socket_outer": 7.0, "contact_length": 4.0},
    JointKind.BALL: {
        "ball_diameter": 6.1, "socket_bore": 6.0, "opening_diameter": 6.0, "socket_outer": 9.0,
    },
    JointKind.SNAP: {"beam_length": 12.0, "root_thickness": 1.5, "width": 5.0, "undercut": 0.8},
    JointKind.BOSS: {
        "screw_diameter": 3.0, "screw_core": 2.1, "screw_pitch": 1.3, "boss_bore": 2.5, "boss_outer": 6.0,
        "engagement": 7.0,
    },
}  # fmt: skip
PLUS_MINUS = 0.06
LOOP = JointEvidence(
    kind=JointKind.LOOP,
    given=(
        SizeGiven(role="wall", value=12.0, plus_minus=0.3),
        SizeGiven(role="floor", value=40.0, plus_minus=0.3),
        SizeGiven(role="tilt", value=90.0, plus_minus=1.0),
    ),
    links=(
        Link(role="wall", angle_role="tilt"),
        Link(role="floor", angle_deg=0.0),
        Link(role="gap", angle_deg=180.0),
        Link(role="rest", angle_deg=240.0),
    ),
    gap="gap",
)


def evidence_of(kind: JointKind) -> JointEvidence:
    """A joint of that kind whose limits cut off some on both sides."""
    if kind is JointKind.SLIP:
        return slip()
    if kind is JointKind.PEG:
        return peg()
    if kind is JointKind.CHAIN:
        plain = chain(
            (SizeGiven(role="a", value=3.0, plus_minus=0.1), SizeGiven(role="b", value=1.0, plus_minus=0.2))
        )
    elif kind is JointKind.LOOP:
        plain = LOOP
    else:
        given = tuple(SizeGiven(role=r, value=v, plus_minus=PLUS_MINUS) for r, v in SIZES[kind].items())
        plain = peg(measured=(), given=given, lower=None, upper=None)
        plain = replace(plain, kind=kind)
    found = assemble_joint(plain, combinations=20_000).mix
    return replace(plain, lower=found.mean - 0.7 * found.sd, upper=found.mean + 0.9 * found.sd)


@pytest.mark.parametrize("kind", JointKind)
def test_pieces_and_lines_agree(kind: JointKind) -> None:
    evidence = evidence_of(kind)
    known = known_joint(evidence)
    each = 40_000
    counted = draws.tally(known, each, 3, draws.pilot_scale(known, 3)).grades / each
    units = {role.name: role.unit for role in roles_of(evidence)}
    lines = exact_shares(known, fit_contributions(known, units, 3).direction, 3)
    assert (np.abs(counted - lines) <= 5 * np.sqrt(lines * (1 - lines) / each) + 0.015).all()
    assert (counted.mean(axis=0) > 0).sum() >= 2


@pytest.mark.parametrize("kind", JointKind)
def test_every_share_lies_in_its_interval_and_all_add_up(kind: JointKind) -> None:
    found = assemble_joint(evidence_of(kind), combinations=9_000)
    assert found.measure == JOINT_KINDS[kind].measure
    assert sum(found.mix.of(grade).share for grade in Grade) == pytest.approx(1)
    for shares in (found.mix, *(one.shares for one in found.pairs)):
        assert all(shares.of(grade).share in shares.of(grade).interval for grade in Grade)
        assert shares.middle_low <= shares.mean <= shares.middle_high


def test_every_kind_has_a_model_but_those_that_the_links_make() -> None:
    assert set(JointKind) - set(MODELS) == {JointKind.CHAIN, JointKind.LOOP}


@pytest.mark.parametrize("kind", [JointKind.PEG, JointKind.SLIP, JointKind.SNAP])
def test_the_means_alone_are_those_of_the_whole_answer(kind: JointKind) -> None:
    evidence = evidence_of(kind)
    whole, alone = assemble_joint(evidence, combinations=4000), joint_means(evidence, combinations=4000)
    assert [(one.cavities, one.mean) for one in alone.pairs] == [
        (one.cavities, one.shares.mean) for one in whole.pairs
    ]
    assert (alone.parts, alone.sizes) == (whole.parts, whole.sizes)
    assert {*alone.contributions} == {*whole.contributions}
