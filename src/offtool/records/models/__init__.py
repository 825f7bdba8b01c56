"""What is kept; from programme, part and tool down to trial, reading, correction and sample."""

from __future__ import annotations

from offtool.records.models.builds import Build, BuildPart, StageName
from offtool.records.models.colour_changes import ColourChange, ColourShot
from offtool.records.models.corrections import Correction, Prediction
from offtool.records.models.details import Detail, DetailInState, SignShare
from offtool.records.models.gauging import GaugeReading, GaugeStudy
from offtool.records.models.joints import Joint, JointDemand, JointReading, JointSize, JointTest
from offtool.records.models.judgement import Exclusion
from offtool.records.models.line_tasks import (
    LinePair,
    LinePress,
    LineTask,
    LineTaskAfter,
    LineTaskNeeds,
)
from offtool.records.models.lines import Line, LineBreak, LineEquipment, LineStation, LineStationHas
from offtool.records.models.meshes import PartMesh
from offtool.records.models.observations import SampleColour, SampleSize, SeenDetail, SeenSign
from offtool.records.models.parts import Characteristic, Gauge, Part, Programme, Resin
from offtool.records.models.pilots import (
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    PilotTrial,
)
from offtool.records.models.planning import EngineersThere, PressOff, TrialRequest, TrialWant
from offtool.records.models.press import Defect, Flaw, Look, Photograph
from offtool.records.models.presses import Job, Press, PressHolds
from offtool.records.models.release import ChangeMade, Evidence, EvidenceState, ReleaseLine, StepDays
from offtool.records.models.release_people import Concession, LimitSample, Signature
from offtool.records.models.samples import Sample, SamplePart, SamplePhotograph
from offtool.records.models.seams import Seam, SeamSize, WeldRun, WeldStudy
from offtool.records.models.tools import Cavity, Move, SteelFeature, SteelSize, Tool, ToolState
from offtool.records.models.toy_tests import ToyTestPiece, ToyTestRun
from offtool.records.models.trials import Reading, Shot, SourceFile, Trial

__all__ = [
    "Build",
    "BuildPart",
    "Cavity",
    "ChangeMade",
    "Characteristic",
    "ColourChange",
    "ColourShot",
    "Concession",
    "Correction",
    "Defect",
    "Detail",
    "DetailInState",
    "EngineersThere",
    "Evidence",
    "EvidenceState",
    "Exclusion",
    "Flaw",
    "Gauge",
    "GaugeReading",
    "GaugeStudy",
    "Job",
    "Joint",
    "JointDemand",
    "JointReading",
    "JointSize",
    "JointTest",
    "LimitSample",
    "Line",
    "LineBreak",
    "LineEquipment",
    "LinePair",
    "LinePress",
    "LineStation",
    "LineStationHas",
    "LineTask",
    "LineTaskAfter",
    "LineTaskNeeds",
    "Look",
    "Move",
    "Part",
    "PartMesh",
    "Photograph",
    "Pilot",
    "PilotAudit",
    "PilotCount",
    "PilotDefect",
    "PilotFile",
    "PilotTime",
    "PilotTrial",
    "Prediction",
    "Press",
    "PressHolds",
    "PressOff",
    "Programme",
    "Reading",
    "ReleaseLine",
    "Resin",
    "Sample",
    "SampleColour",
    "SamplePart",
    "SamplePhotograph",
    "SampleSize",
    "Seam",
    "SeamSize",
    "SeenDetail",
    "SeenSign",
    "Shot",
    "SignShare",
    "Signature",
    "SourceFile",
    "StageName",
    "SteelFeature",
    "SteelSize",
    "StepDays",
    "Tool",
    "ToolState",
    "ToyTestPiece",
    "ToyTestRun",
    "Trial",
    "TrialRequest",
    "TrialWant",
    "WeldRun",
    "WeldStudy",
]
