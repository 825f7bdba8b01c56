"""Record that a tool was cut: the steel as measured again makes the tool's next state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from offtool.core.values import OfftoolError
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Cavity, Correction, SteelFeature, Tool
from offtool.records.operations import MeasuredSteel, record_new_state
from offtool.records.queries import find_programme, find_tool, latest_state, nearest

STEEL_UNCERTAINTY_MM = 0.003
"""Measuring steel inside a tool, with pins, indicator or impression; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelMeasured:
    """A steel size as measured after the cut; without an allowance, what the correction left is taken."""

    measured_mm: float
    uncertainty_mm: float = STEEL_UNCERTAINTY_MM
    allowance_mm: float | None = None


def record_cut(
    programme: str,
    tool: str,
    *,
    remeasured: Mapping[tuple[str, str], SteelMeasured],
    label: str | None = None,
    made_on: date | None = None,
    note: str = "",
) -> str:
    """The tool's next state from its steel as measured again, (feature, cavity) each; returns its label.

    Every proposed correction of the tool whose steel is among them becomes cut; the others stay proposed.
    Raises OfftoolError for a feature or cavity that is not there, a size that cannot be, or no size at all.
    """
    if not remeasured:
        raise OfftoolError(
            "no steel was measured again", remedy="give the size of every feature that was cut"
        )
    found = find_tool(find_programme(programme), tool)
    proposed = {
        (one.feature_id, one.cavity_id): one
        for one in Correction.objects.filter(feature__tool=found, status=CorrectionStatus.PROPOSED)
        .select_related("feature", "trial")
        .order_by("pk")
    }
    steel: dict[tuple[SteelFeature, Cavity], MeasuredSteel] = {}
    cut: list[Correction] = []
    for (feature_code, cavity_label), measured in remeasured.items():
        feature, cavity = _place(found, feature_code, cavity_label)
        correction = proposed.get((feature.pk, cavity.pk))
        steel[feature, cavity] = MeasuredSteel(
            measured_mm=measured.measured_mm,
            uncertainty_mm=measured.uncertainty_mm,
            allowance_mm=_allowance_left(found, feature, cavity, measured, correction),
        )
        if correction is not None:
            cut.append(correction)
    state = record_new_state(found, label=label, made_on=made_on, remeasured=steel, cut=cut, note=note)
    return state.label


def _place(tool: Tool, feature_code: str, cavity_label: str) -> tuple[SteelFeature, Cavity]:
    feature = tool.features.filter(code=feature_code).select_related("part").first()
    if feature is None:
        known = tool.features.values_list("code", flat=True)
        raise OfftoolError(
            f"tool {tool.code} has no steel feature {feature_code!r}", remedy=nearest(feature_code, known)
        )
    cavity = tool.cavities.filter(part=feature.part, label=cavity_label).first()
    if cavity is None:
        labels = tool.cavities.filter(part=feature.part).values_list("label", flat=True)
        raise OfftoolError(
            f"part {feature.part.code} has no cavity {cavity_label!r} in tool {tool.code}",
            remedy=nearest(cavity_label, labels),
        )
    return feature, cavity


def _allowance_left(
    tool: Tool, feature: SteelFeature, cavity: Cavity, measured: SteelMeasured, correction: Correction | None
) -> float:
    """As given, else what is left after the steel that was really removed."""
    if measured.allowance_mm is not None:
        return measured.allowance_mm
    state = latest_state(tool)
    before = state.steel_sizes.filter(feature=feature, cavity=cavity).first() if state else None
    if before is None:
        return correction.allowance_left_mm if correction else 0.0
    removed = (measured.measured_mm - before.measured_mm) / feature.size_change_per_mm
    return max(before.allowance_mm - removed, 0.0)
