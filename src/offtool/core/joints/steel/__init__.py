"""Which steel moves a joint that is off: the ways there are, best first, and why."""

from offtool.core.joints.steel.choice import choose_joint_steel
from offtool.core.joints.steel.evidence import (
    JointSteel,
    JointSteelEvidence,
    MeanInCavity,
    OtherJoint,
    SizeAlsoMoved,
    SizeOfJoint,
)
from offtool.core.joints.steel.result import (
    AlsoMoved,
    JointSteelChoice,
    OtherJointAfter,
    SizeDemand,
    SteelAmount,
    SteelCandidate,
    Stop,
)

__all__ = [
    "AlsoMoved",
    "JointSteel",
    "JointSteelChoice",
    "JointSteelEvidence",
    "MeanInCavity",
    "OtherJoint",
    "OtherJointAfter",
    "SizeAlsoMoved",
    "SizeDemand",
    "SizeOfJoint",
    "SteelAmount",
    "SteelCandidate",
    "Stop",
    "choose_joint_steel",
]
