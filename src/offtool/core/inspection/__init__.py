"""Inspection: what the readings of a trial show, and what they do not."""

from offtool.core.inspection.capability import PartsToShow, PerformanceIndex, parts_to_show, performance_index
from offtool.core.inspection.conformity import Conformity, ConformityFinding, judge_conformity
from offtool.core.inspection.settled import Settled, find_settled_shot
from offtool.core.inspection.size import CavityFinding, SizeFinding, judge_coded_size, judge_size, middle
from offtool.core.inspection.spread import CavitySpreads, MeanFinding, cavity_spreads, mean_interval

__all__ = [
    "CavityFinding",
    "CavitySpreads",
    "Conformity",
    "ConformityFinding",
    "MeanFinding",
    "PartsToShow",
    "PerformanceIndex",
    "Settled",
    "SizeFinding",
    "cavity_spreads",
    "find_settled_shot",
    "judge_coded_size",
    "judge_conformity",
    "judge_size",
    "mean_interval",
    "middle",
    "parts_to_show",
    "performance_index",
]
