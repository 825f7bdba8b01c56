"""The assembled joint: what comes of the cavities of both parts, pair by pair and in the mix."""

from offtool.core.joints.assembled.assembled import assemble_joint
from offtool.core.joints.assembled.results import (
    AssembledJoint,
    AssembledPair,
    AssembledShares,
    Bar,
    Contribution,
    FrictionEffect,
    Grade,
    GradeShare,
    PairFlow,
    Pairing,
    SizeUsed,
)

__all__ = [
    "AssembledJoint",
    "AssembledPair",
    "AssembledShares",
    "Bar",
    "Contribution",
    "FrictionEffect",
    "Grade",
    "GradeShare",
    "PairFlow",
    "Pairing",
    "SizeUsed",
    "assemble_joint",
]
