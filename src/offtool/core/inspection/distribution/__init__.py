"""Distributions: which family describes the readings, and what follows for limits."""

from offtool.core.inspection.distribution.choice import Candidate, DistributionFit, choose_distribution
from offtool.core.inspection.distribution.families import FAMILIES, Family
from offtool.core.inspection.distribution.normality import Normality, anderson_darling
from offtool.core.inspection.distribution.outside import FractionOutside, fraction_outside
from offtool.core.inspection.distribution.percentile import PercentileIndex, percentile_index
from offtool.core.inspection.distribution.plot import ProbabilityPlot, probability_plot

__all__ = [
    "FAMILIES",
    "Candidate",
    "DistributionFit",
    "Family",
    "FractionOutside",
    "Normality",
    "PercentileIndex",
    "ProbabilityPlot",
    "anderson_darling",
    "choose_distribution",
    "fraction_outside",
    "percentile_index",
    "probability_plot",
]
