"""Hooks that lock for good: above every limit, in the shares and in nothing that needs a finite number."""

from __future__ import annotations

import json
from dataclasses import replace
from math import atan, degrees, inf

import numpy as np
import pytest
from scipy import stats

from offtool.core.joints.assembled import AssembledJoint, assemble_joint, draws
from offtool.core.joints.assembled.chances import exact_shares
from offtool.core.joints.assembled.contributions import fit_contributions
from offtool.core.joints.assembled.known import known_joint
from offtool.core.joints.evidence import JointEvidence, JointMaterial, SizeGiven, Span
from offtool.core.joints.models import roles_of
from offtool.core.values import OfftoolError
from offtool.handbook.terms import JointKind
from offtool.steps.plain import as_plain
from tests.labels import independent

FRICTION = 0.55
LOCKS_AT = degrees(atan(1 / FRICTION))
SD = 2.0


def hook(angle: float, *, give: float = 0.0, **changed: object) -> JointEvidence:
    """A finger far from its strain; its hook at an angle, give or take three deviations."""
    given = (
        SizeGiven(role="beam_length", value=20.0),
        SizeGiven(role="root_thickness", value=1.5),
        SizeGiven(role="width", value=5.0),
        SizeGiven(role="undercut", value=0.8, plus_minus=0.1),
        SizeGiven(role="hold_deg", value=angle, plus_minus=3 * give),
    )
    asked = JointEvidence(
        kind=JointKind.SNAP,
        given=given,
        lower=5.0,
        inner=JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.03),
        friction=Span(low=FRICTION, high=FRICTION),
    )
    return replace(asked, **changed)  # type: ignore[arg-type]


def assembled(evidence: JointEvidence) -> AssembledJoint:
    return assemble_joint(evidence, combinations=40_000)


def said(found: AssembledJoint) -> str:
    return " ".join(map(str, found.cautions))


@pytest.mark.parametrize("angle", [90.0, LOCKS_AT + 5])
def test_a_permanent_hook_holds_more_than_any_least(angle: float) -> None:
    found = assembled(hook(angle))
    assert (found.mix.good.share, found.mix.overstrained.share, found.mix.locked) == (1.0, 0.0, 1.0)
    assert found.mix.good.interval.low > 0.99
    assert (found.mix.mean, found.mix.sd, found.mix.middle_low, found.mix.middle_high) == (inf, 0.0, inf, inf)
    assert found.histogram == ()
    assert [(one.slope, one.share) for one in found.contributions] == [(0.0, 0.0)]
    assert "100.00% of the joints lock for good" in said(found)


def test_a_permanent_hook_is_above_any_most() -> None:
    assert assembled(hook(90.0, upper=1000.0)).mix.tight.share == 1.0


def test_a_hook_strained_too_far_is_overstrained_though_it_locks() -> None:
    weak = JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.001)
    found = assembled(hook(90.0, inner=weak))
    assert found.mix.overstrained.share == 1.0


def test_without_an_undercut_the_steepest_hook_is_loose() -> None:
    given = tuple(
        replace(one, value=0.0, plus_minus=0.0) if one.role == "undercut" else one
        for one in hook(90.0, give=SD).given
    )
    found = assembled(hook(90.0, given=given))
    assert (found.mix.loose.share, found.mix.locked) == (1.0, 0.0)


def test_near_locking_the_share_that_locks_is_that_of_the_angle() -> None:
    found = assembled(hook(LOCKS_AT - SD, give=SD))
    share = float(stats.norm.sf(1.0))
    noise = 4 * np.sqrt(share * (1 - share) / found.combinations)
    assert found.mix.locked == independent(share, way="normal angle beyond atan(1/mu)", within=noise)
    assert found.mix.overstrained.share == 0.0
    assert np.isfinite([found.mix.mean, found.mix.sd, found.mix.middle_high]).all()
    bars = sum(one.loose + one.good + one.tight + one.overstrained for one in found.histogram)
    assert bars == pytest.approx(1 - found.mix.locked)
    assert f"{found.mix.locked:.2%} of the joints lock for good" in said(found)


def test_near_locking_pieces_and_lines_agree() -> None:
    evidence = hook(LOCKS_AT - SD, give=SD, lower=8.0, upper=60.0)
    known = known_joint(evidence)
    each = 40_000
    counted = draws.tally(known, each, 3, draws.pilot_scale(known, 3)).grades / each
    units = {role.name: role.unit for role in roles_of(evidence)}
    lines = exact_shares(known, fit_contributions(known, units, 3).direction, 3)
    assert (np.abs(counted - lines) <= 5 * np.sqrt(lines * (1 - lines) / each) + 0.015).all()
    assert counted.max() < 0.9


def test_friction_that_locks_at_its_upper_end_leaves_the_effect_finite_below() -> None:
    found = assembled(hook(60.0, friction=Span(low=0.3, high=0.7)))
    effect = found.friction_effect
    assert effect is not None
    assert (effect.mean_at_high, effect.slope) == (inf, 0.0)
    assert 0 < effect.mean_at_low < inf
    assert 0 <= effect.beside_variance < inf


@pytest.mark.parametrize("evidence", [hook(90.0), hook(LOCKS_AT, give=SD)], ids=["all lock", "half lock"])
def test_what_is_written_is_valid_json(evidence: JointEvidence) -> None:
    written = json.dumps(as_plain(assembled(evidence)), allow_nan=False)
    assert json.loads(written)["mix"]["locked"] > 0


def test_sizes_that_are_no_number_are_still_refused() -> None:
    with pytest.raises(OfftoolError, match="make no joint"):
        assemble_joint(hook(90.0, inner=None))
