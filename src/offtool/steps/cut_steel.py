"""Record that a tool was cut: the steel as measured again makes the tool's next state."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Cavity, Correction, SteelFeature, SteelSize, Tool
from offtool.records.operations import MeasuredSteel, drop_corrections, record_new_state
from offtool.records.queries import find_programme, find_tool, latest_state, nearest

STEEL_UNCERTAINTY_MM = 0.003
"""Measuring steel inside a tool, with pins, indicator or impression; common practice, no source."""
LARGEST_CHANGE_MM = 2.0


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

    The latest correction proposed for each of them becomes cut, an earlier one of the same steel is dropped;
    the others stay proposed. Raises OfftoolError for a feature or cavity that is not there, a size that
    cannot be, or no size at all.
    """
    if not remeasured:
        raise OfftoolError(
            "no steel was measured again", remedy="give the size of every feature that was cut"
        )
    found = find_tool(find_programme(programme), tool)
    proposed = _proposed(found)
    before = _steel_before(found)
    steel: dict[tuple[SteelFeature, Cavity], MeasuredSteel] = {}
    overtaken: list[Correction] = []
    cut: list[Correction] = []
    for (feature_code, cavity_label), measured in remeasured.items():
        feature, cavity = _place(found, feature_code, cavity_label)
        was = before.get((feature.pk, cavity.pk))
        _refuse_other_steel(feature_code, cavity_label, measured, was)
        waiting = proposed.get((feature.pk, cavity.pk), [])
        steel[feature, cavity] = MeasuredSteel(
            measured_mm=measured.measured_mm,
            uncertainty_mm=measured.uncertainty_mm,
            allowance_mm=_allowance_left(feature, measured, was),
        )
        cut += waiting[-1:]
        overtaken += waiting[:-1]
    with transaction.atomic():
        drop_corrections(overtaken)
        state = record_new_state(found, label=label, made_on=made_on, remeasured=steel, cut=cut, note=note)
    return state.label


def _proposed(tool: Tool) -> dict[tuple[int, int], list[Correction]]:
    """Corrections not cut yet, by feature and cavity; a later trial's overtakes an earlier one's."""
    waiting: dict[tuple[int, int], list[Correction]] = defaultdict(list)
    found = Correction.objects.filter(feature__tool=tool, status=CorrectionStatus.PROPOSED)
    for one in found.select_related("feature", "trial").order_by("pk"):
        waiting[one.feature_id, one.cavity_id].append(one)
    return waiting


def _steel_before(tool: Tool) -> dict[tuple[int, int], SteelSize]:
    """The steel of the tool's latest state, by feature and cavity."""
    state = latest_state(tool)
    return {(one.feature_id, one.cavity_id): one for one in state.steel_sizes.all()} if state else {}


def _refuse_other_steel(feature: str, cavity: str, measured: SteelMeasured, was: SteelSize | None) -> None:
    """A slip of the pen must not become the steel of a tool: corrections are tenths of a millimetre."""
    far = was is not None and abs(measured.measured_mm - was.measured_mm) > LARGEST_CHANGE_MM
    if was is not None and far and measured.measured_mm > 0:
        raise OfftoolError(
            f"{measured.measured_mm:g} mm for {feature} in cavity {cavity}, which was {was.measured_mm:g} mm",
            remedy=f"check the number; changes over {LARGEST_CHANGE_MM:g} mm go in the programme folder",
        )


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


def _allowance_left(feature: SteelFeature, measured: SteelMeasured, was: SteelSize | None) -> float:
    """As given, else what is left after the steel that was really removed."""
    if measured.allowance_mm is not None:
        return measured.allowance_mm
    if was is None:
        return 0.0
    removed = (measured.measured_mm - was.measured_mm) / feature.size_change_per_mm
    return max(was.allowance_mm - removed, 0.0)
