"""Gauge studies: how far a reading can be trusted, and what it may be used to decide."""

from offtool.core.inspection.gauge.crossed import crossed_gauge_study
from offtool.core.inspection.gauge.exact import ExactIndex, exact_index
from offtool.core.inspection.gauge.linearity import BiasAt, LinearityStudy, LineValue, gauge_linearity
from offtool.core.inspection.gauge.nested import nested_gauge_study
from offtool.core.inspection.gauge.reference import ReferenceStudy, UncertaintyPart, reference_gauge_study
from offtool.core.inspection.gauge.results import (
    AnovaRow,
    GaugeCell,
    GaugeGap,
    GaugeJudgement,
    GaugeReason,
    GaugeShare,
    GaugeStudy,
)

__all__ = [
    "AnovaRow",
    "BiasAt",
    "ExactIndex",
    "GaugeCell",
    "GaugeGap",
    "GaugeJudgement",
    "GaugeReason",
    "GaugeShare",
    "GaugeStudy",
    "LineValue",
    "LinearityStudy",
    "ReferenceStudy",
    "UncertaintyPart",
    "crossed_gauge_study",
    "exact_index",
    "gauge_linearity",
    "nested_gauge_study",
    "reference_gauge_study",
]
