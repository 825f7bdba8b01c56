"""Correction: where a deviation comes from, how much steel to cut, and what the next trial should show."""

from offtool.core.correction.choice import Bound, CutChoice, choose_cut
from offtool.core.correction.corrections import expected_after, plan_corrections
from offtool.core.correction.cutting import Cutting, SteelCut, estimate_cutting, steel_cut
from offtool.core.correction.evidence import (
    CutMade,
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
)
from offtool.core.correction.plan import (
    CorrectionPlan,
    LeftAlone,
    MeanExpected,
    PlannedCut,
    Standing,
    WhyLeft,
)
from offtool.core.correction.pooled import PooledShrinkage, pool_shrinkage
from offtool.core.correction.prediction import JudgedPrediction, Outcome, judge_prediction, predicted_interval
from offtool.core.correction.process_mean import ProcessMeans, estimate_process_means
from offtool.core.correction.shrinkage import Shrinkage, Split, shrinkage, split_deviation
from offtool.core.correction.tool_knowledge import PREDICTION_CONFIDENCE

__all__ = [
    "PREDICTION_CONFIDENCE",
    "Bound",
    "CorrectionPlan",
    "CutChoice",
    "CutMade",
    "Cutting",
    "Feature",
    "JudgedPrediction",
    "LeftAlone",
    "MeanExpected",
    "MeanFound",
    "Outcome",
    "PlannedCut",
    "PooledShrinkage",
    "ProcessMeans",
    "Shrinkage",
    "SizeAsked",
    "SizeMoved",
    "Split",
    "Standing",
    "SteelCut",
    "SteelFound",
    "ToolEvidence",
    "WhyLeft",
    "choose_cut",
    "estimate_cutting",
    "estimate_process_means",
    "expected_after",
    "judge_prediction",
    "plan_corrections",
    "pool_shrinkage",
    "predicted_interval",
    "shrinkage",
    "split_deviation",
    "steel_cut",
]
