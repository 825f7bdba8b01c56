"""What is kept; from programme, part and tool down to trial, source file, reading and correction."""

from __future__ import annotations

from offtool.records.models.corrections import Correction, Prediction
from offtool.records.models.gauging import GaugeReading, GaugeStudy
from offtool.records.models.joints import Joint, JointDemand, JointReading, JointSize, JointTest
from offtool.records.models.judgement import Exclusion
from offtool.records.models.parts import Characteristic, Gauge, Part, Programme, Resin
from offtool.records.models.press import Defect, Flaw, Look, Photograph
from offtool.records.models.seams import Seam, SeamSize, WeldRun, WeldStudy
from offtool.records.models.tools import Cavity, Move, SteelFeature, SteelSize, Tool, ToolState
from offtool.records.models.trials import Reading, Shot, SourceFile, Trial

__all__ = [
    "Cavity",
    "Characteristic",
    "Correction",
    "Defect",
    "Exclusion",
    "Flaw",
    "Gauge",
    "GaugeReading",
    "GaugeStudy",
    "Joint",
    "JointDemand",
    "JointReading",
    "JointSize",
    "JointTest",
    "Look",
    "Move",
    "Part",
    "Photograph",
    "Prediction",
    "Programme",
    "Reading",
    "Resin",
    "Seam",
    "SeamSize",
    "Shot",
    "SourceFile",
    "SteelFeature",
    "SteelSize",
    "Tool",
    "ToolState",
    "Trial",
    "WeldRun",
    "WeldStudy",
]
