"""Sampling: plans for lots, by the public tables or of one's own, what they let through; demonstrations."""

from offtool.core.pilot.sampling.attribute import (
    AttributePlan,
    CurvePoint,
    FoundPlan,
    attribute_plan,
    find_attribute_plan,
)
from offtool.core.pilot.sampling.demonstration import Demonstration, demonstrate_reliability
from offtool.core.pilot.sampling.standard import StandardPlan, standard_plan
from offtool.core.pilot.sampling.switching import LotJudged, Switching, follow_switching
from offtool.core.pilot.sampling.variables import (
    MeasuredPoint,
    VariablesPlan,
    find_variables_plan,
    variables_plan,
)

__all__ = [
    "AttributePlan",
    "CurvePoint",
    "Demonstration",
    "FoundPlan",
    "LotJudged",
    "MeasuredPoint",
    "StandardPlan",
    "Switching",
    "VariablesPlan",
    "attribute_plan",
    "demonstrate_reliability",
    "find_attribute_plan",
    "find_variables_plan",
    "follow_switching",
    "standard_plan",
    "variables_plan",
]
