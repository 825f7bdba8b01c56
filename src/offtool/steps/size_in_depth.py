"""One characteristic of one trial in depth, as one object: page, command, report and JSON show this."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.inspection import CavityFinding
from offtool.core.inspection.distribution import (
    DistributionFit,
    FractionOutside,
    PercentileIndex,
    ProbabilityPlot,
)
from offtool.core.inspection.mix import ShippedMix
from offtool.core.inspection.subgroups import SubgroupIndex
from offtool.core.inspection.tolerance import ToleranceInterval
from offtool.core.inspection.variation import CavityDifferences, VariationShares
from offtool.core.values import Caution
from offtool.steps.findings import Action, Fact, JudgedSize
from offtool.steps.readings_seen import ReadingSeen, WordSaid


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityInDepth:
    """One cavity by every measure; None where its parts are too few or all alike."""

    finding: CavityFinding
    percentile: PercentileIndex | None
    outside: FractionOutside | None
    tolerance: ToleranceInterval | None
    tolerance_free: ToleranceInterval | None
    """Without any shape."""
    subgroups: SubgroupIndex | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeAnalysis:
    """The mathematics of one size; None where its readings are too few or say nothing."""

    readings: tuple[ReadingSeen, ...]
    cavities: tuple[CavityInDepth, ...]
    mix: ShippedMix | None
    """What production would ship of these cavities."""
    differences: CavityDifferences | None
    shares: VariationShares | None
    fit: DistributionFit | None
    shape_refused: str
    """Why the shape that was asked for is not taken; empty where it is."""
    plot: ProbabilityPlot | None
    index_needed: float | None
    """The index that must be observed with this many parts to show what is required."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeInDepth:
    """All that the readings of one size say: verdict, what to do, why, what it rests on."""

    programme: str
    programme_title: str
    tool: str
    trial: str
    state: str
    size: JudgedSize
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    settled_from: int | None
    said: tuple[WordSaid, ...]
    """What people said of its readings, the newest first."""
    analysis: SizeAnalysis
    cavity_shown: str | None
    """The cavity of the fit and the plot; None for all, each about its own mean."""
    family: str
    method: str
    cautions: tuple[Caution, ...] = ()
