"""Inspection: what the readings of a trial show, and what they do not."""

from offtool.core.inspection.attributes import (
    CavityShares,
    ShareAlongTrial,
    ShareFinding,
    SharesCompared,
    compare_shares,
    share_along_trial,
    share_interval,
    shares_by_cavity,
)
from offtool.core.inspection.capability import PartsToShow, PerformanceIndex, parts_to_show, performance_index
from offtool.core.inspection.conformity import (
    Conformity,
    ConformityFinding,
    MeanConformity,
    ReadingsJudged,
    judge_conformity,
    judge_mean,
    judge_readings,
)
from offtool.core.inspection.distribution.choice import DistributionFit, choose_distribution
from offtool.core.inspection.distribution.normality import Normality, anderson_darling
from offtool.core.inspection.distribution.outside import FractionOutside, fraction_outside
from offtool.core.inspection.distribution.percentile import PercentileIndex, percentile_index
from offtool.core.inspection.distribution.plot import ProbabilityPlot, probability_plot
from offtool.core.inspection.gauge.crossed import crossed_gauge_study
from offtool.core.inspection.gauge.exact import ExactIndex, exact_index
from offtool.core.inspection.gauge.linearity import LinearityStudy, gauge_linearity
from offtool.core.inspection.gauge.nested import nested_gauge_study
from offtool.core.inspection.gauge.reference import ReferenceStudy, reference_gauge_study
from offtool.core.inspection.gauge.results import GaugeJudgement, GaugeStudy
from offtool.core.inspection.many import (
    FalseAlarms,
    FalseDiscoveries,
    control_false_discoveries,
    expected_false_alarms,
)
from offtool.core.inspection.mix import ShippedMix, shipped_mix
from offtool.core.inspection.outliers import (
    GroupOutliers,
    Outliers,
    grubbs_test,
    outliers_by_group,
    point_at_outliers,
)
from offtool.core.inspection.sample_size import (
    PartsForMean,
    PartsToBoundFraction,
    PartsToFindDifference,
    RequiredIndex,
    parts_for_mean,
    parts_to_bound_fraction,
    parts_to_find_difference,
    required_observed_index,
)
from offtool.core.inspection.settled import Settled, find_settled_shot
from offtool.core.inspection.size import CavityFinding, SizeFinding, judge_coded_size, judge_size, middle
from offtool.core.inspection.spread import CavitySpreads, MeanFinding, cavity_spreads, mean_interval
from offtool.core.inspection.subgroups import SubgroupIndex, subgroup_index
from offtool.core.inspection.tolerance import (
    ToleranceFactor,
    ToleranceInterval,
    tolerance_factor,
    tolerance_interval,
)
from offtool.core.inspection.variation.balance import CavityBalance, cavity_balance
from offtool.core.inspection.variation.differences import CavityDifferences, cavity_differences
from offtool.core.inspection.variation.nested import NestedComponents, nested_components
from offtool.core.inspection.variation.one_way import OneWayAnova, one_way_anova
from offtool.core.inspection.variation.shares import VariationShares, variation_shares

__all__ = [
    "CavityBalance",
    "CavityDifferences",
    "CavityFinding",
    "CavityShares",
    "CavitySpreads",
    "Conformity",
    "ConformityFinding",
    "DistributionFit",
    "ExactIndex",
    "FalseAlarms",
    "FalseDiscoveries",
    "FractionOutside",
    "GaugeJudgement",
    "GaugeStudy",
    "GroupOutliers",
    "LinearityStudy",
    "MeanConformity",
    "MeanFinding",
    "NestedComponents",
    "Normality",
    "OneWayAnova",
    "Outliers",
    "PartsForMean",
    "PartsToBoundFraction",
    "PartsToFindDifference",
    "PartsToShow",
    "PercentileIndex",
    "PerformanceIndex",
    "ProbabilityPlot",
    "ReadingsJudged",
    "ReferenceStudy",
    "RequiredIndex",
    "Settled",
    "ShareAlongTrial",
    "ShareFinding",
    "SharesCompared",
    "ShippedMix",
    "SizeFinding",
    "SubgroupIndex",
    "ToleranceFactor",
    "ToleranceInterval",
    "VariationShares",
    "anderson_darling",
    "cavity_balance",
    "cavity_differences",
    "cavity_spreads",
    "choose_distribution",
    "compare_shares",
    "control_false_discoveries",
    "crossed_gauge_study",
    "exact_index",
    "expected_false_alarms",
    "find_settled_shot",
    "fraction_outside",
    "gauge_linearity",
    "grubbs_test",
    "judge_coded_size",
    "judge_conformity",
    "judge_mean",
    "judge_readings",
    "judge_size",
    "mean_interval",
    "middle",
    "nested_components",
    "nested_gauge_study",
    "one_way_anova",
    "outliers_by_group",
    "parts_for_mean",
    "parts_to_bound_fraction",
    "parts_to_find_difference",
    "parts_to_show",
    "percentile_index",
    "performance_index",
    "point_at_outliers",
    "probability_plot",
    "reference_gauge_study",
    "required_observed_index",
    "share_along_trial",
    "share_interval",
    "shares_by_cavity",
    "shipped_mix",
    "subgroup_index",
    "tolerance_factor",
    "tolerance_interval",
    "variation_shares",
]
