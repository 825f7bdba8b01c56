"""The one list of how each kind of joint answers, and of the sizes that it needs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from offtool.core.joints import ball, boss, clip, peg, slip, snap
from offtool.core.joints.chain import chain_model
from offtool.core.joints.evidence import JointEvidence
from offtool.core.joints.loop_links import loop_links, loop_model
from offtool.core.joints.response import JointModel
from offtool.handbook.joint_kinds import JOINT_KINDS, Role
from offtool.handbook.terms import JointKind

MODELS: Mapping[JointKind, JointModel] = MappingProxyType(
    {module.MODEL.kind: module.MODEL for module in (peg, clip, ball, snap, boss, slip)}
)
"""Every kind whose sizes are known beforehand; a chain or a loop answers by its links, see `model_of`."""


def model_of(evidence: JointEvidence) -> JointModel:
    """How the joint of this evidence answers."""
    if evidence.kind is JointKind.CHAIN:
        return chain_model(evidence.links)
    if evidence.kind is JointKind.LOOP:
        return loop_model(loop_links(evidence))
    return MODELS[evidence.kind]


def roles_of(evidence: JointEvidence) -> tuple[Role, ...]:
    """The sizes that the joint of this evidence needs."""
    if evidence.kind is JointKind.CHAIN:
        return tuple(Role(name=link.role, meaning="link of the chain", side="") for link in evidence.links)
    if evidence.kind is JointKind.LOOP:
        needed = dict(loop_links(evidence).roles())
        return tuple(
            Role(name=name, meaning="link of the loop", side="", unit=unit) for name, unit in needed.items()
        )
    return JOINT_KINDS[evidence.kind].roles
