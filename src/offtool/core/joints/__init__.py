"""Joints: what a fit does, by mechanics and as assembled from measured cavities, and which steel moves it."""

from offtool.core.joints.assembled.assembled import assemble_joint
from offtool.core.joints.assembled.results import AssembledJoint, Grade
from offtool.core.joints.ball import BallInSocket, ball_in_socket
from offtool.core.joints.boss import ScrewedBoss, screw_in_boss
from offtool.core.joints.chain import GapFinding, chain_of_sizes
from offtool.core.joints.clip import PegInClip, peg_in_clip
from offtool.core.joints.evidence import JointEvidence, JointMaterial, Link, SizeGiven, SizeInCavity, Span
from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.joints.hold import (
    HoldTorque,
    TorqueCeiling,
    TorqueWindow,
    hold_torque,
    peg_torque_ceiling,
    torque_window,
)
from offtool.core.joints.loop import loop_of_sizes
from offtool.core.joints.materials import material_of
from offtool.core.joints.peg import PressFit, peg_in_socket
from offtool.core.joints.relaxation import (
    RelaxationFit,
    RelaxedTorque,
    fit_relaxation,
    predict_relaxed_torque,
)
from offtool.core.joints.slip import SlipFit, slip_fit
from offtool.core.joints.snap import CantileverSnap, SnapUndercut, cantilever_snap, snap_undercut_allowed
from offtool.core.joints.steel.choice import choose_joint_steel
from offtool.core.joints.steel.evidence import (
    JointSteel,
    JointSteelEvidence,
    MeanInCavity,
    OtherJoint,
    SizeAlsoMoved,
    SizeOfJoint,
)
from offtool.core.joints.steel.result import JointSteelChoice
from offtool.core.joints.tested import DroopJudged, TestsCompared, compare_tests, judge_droop
from offtool.core.joints.tolerance_grade import ToleranceGrade, tolerance_grade

__all__ = [
    "AssembledJoint",
    "BallInSocket",
    "CantileverSnap",
    "DroopJudged",
    "GapFinding",
    "Grade",
    "HoldTorque",
    "JointEvidence",
    "JointMaterial",
    "JointSteel",
    "JointSteelChoice",
    "JointSteelEvidence",
    "LearnedFriction",
    "Link",
    "MeanInCavity",
    "OtherJoint",
    "PegInClip",
    "PressFit",
    "RelaxationFit",
    "RelaxedTorque",
    "ScrewedBoss",
    "SizeAlsoMoved",
    "SizeGiven",
    "SizeInCavity",
    "SizeOfJoint",
    "SlipFit",
    "SnapUndercut",
    "Span",
    "TestsCompared",
    "ToleranceGrade",
    "TorqueCeiling",
    "TorqueWindow",
    "assemble_joint",
    "ball_in_socket",
    "cantilever_snap",
    "chain_of_sizes",
    "choose_joint_steel",
    "compare_tests",
    "fit_relaxation",
    "hold_torque",
    "judge_droop",
    "learn_friction",
    "loop_of_sizes",
    "material_of",
    "peg_in_clip",
    "peg_in_socket",
    "peg_torque_ceiling",
    "predict_relaxed_torque",
    "screw_in_boss",
    "slip_fit",
    "snap_undercut_allowed",
    "tolerance_grade",
    "torque_window",
]
