"""Where variation comes from, which cavities differ, and how evenly they fill."""

from offtool.core.inspection.variation.balance import CavityBalance, cavity_balance
from offtool.core.inspection.variation.differences import (
    CavityDifferences,
    CavityOffset,
    PairDifference,
    cavity_differences,
)
from offtool.core.inspection.variation.nested import Component, NestedComponents, nested_components
from offtool.core.inspection.variation.one_way import OneWayAnova, one_way_anova
from offtool.core.inspection.variation.shares import Share, VariationShares, variation_shares

__all__ = [
    "CavityBalance",
    "CavityDifferences",
    "CavityOffset",
    "Component",
    "NestedComponents",
    "OneWayAnova",
    "PairDifference",
    "Share",
    "VariationShares",
    "cavity_balance",
    "cavity_differences",
    "nested_components",
    "one_way_anova",
    "variation_shares",
]
