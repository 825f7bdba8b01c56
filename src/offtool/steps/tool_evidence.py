"""From the record to the correction: all that trials and steel say of a tool."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import isfinite

from offtool.core.correction import (
    CutMade,
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
)
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Characteristic, Correction, Move, SteelSize, Tool, Trial
from offtool.records.queries import place_in_time
from offtool.steps.demanded import Demanded, demands_on
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import allowed_shrinkage, required_index_of, size_key, target_of


def tool_evidence(seen: TrialEvidence, earlier: list[TrialEvidence]) -> ToolEvidence:
    """All that the correction of a tool rests on after a trial: that trial, the ones before it, the steel.

    Only sizes in mm are steered by steel; weights, angles and torques are judged and not corrected here.
    Where a joint asks something of a size, that stands in place of what the drawing says.
    """
    tool, state = seen.trial.tool, seen.trial.state
    trials = [*earlier, seen]
    seen_in_mm = {
        one.characteristic.pk: one
        for trial in trials
        for one in trial.sizes
        if one.characteristic.unit == "mm"
    }
    in_mm = {key: one.characteristic for key, one in seen_in_mm.items()}
    demands = demands_on(tool)
    return ToolEvidence(
        state=state.label,
        sizes=tuple(_asked(one, demands, tool) for one in seen_in_mm.values()),
        means=tuple(found for trial in trials for found in _means(trial, demands, tool.step_mm)),
        features=tuple(_features(tool, in_mm)),
        steel=tuple(
            SteelFound(
                feature=one.feature.code,
                cavity=one.cavity.label,
                state=one.state.label,
                measured_mm=one.measured_mm,
                uncertainty_mm=one.uncertainty_mm,
                allowance_mm=one.allowance_mm,
            )
            for one in SteelSize.objects.filter(state__tool=tool, state__ordinal__lte=state.ordinal)
            .select_related("feature", "cavity", "state")
            .order_by("state__ordinal", "pk")
        ),
        cuts=tuple(_cuts(tool, state.ordinal)),
        step_mm=tool.step_mm,
        cut_sd_mm=tool.cut_sd_mm,
    )


def earlier_trials(trial: Trial) -> list[TrialEvidence]:
    """The trials of the same tool before this one, in order of time."""
    before = trial.tool.trials.select_related("state", "tool").exclude(pk=trial.pk)
    return [
        TrialEvidence(one)
        for one in sorted(before, key=place_in_time)
        if place_in_time(one) < place_in_time(trial) and one.source_files.exists()
    ]


def _asked(seen: SizeSeen, demands: Mapping[int, Demanded], tool: Tool) -> SizeAsked:
    characteristic = seen.characteristic
    drawn = SizeAsked(
        size=size_key(characteristic),
        target=target_of(characteristic),
        lower=characteristic.lower,
        upper=characteristic.upper,
        required_index=required_index_of(characteristic),
        direction=characteristic.direction,
        allowed=allowed_shrinkage(characteristic),
        gauge_uncertainty=seen.gauge.value if seen.gauge else 0.0,
    )
    demanded = demands.get(characteristic.pk)
    if demanded is None:
        return drawn
    return demanded.asked(drawn, seen.finding, cut_sd_mm=tool.cut_sd_mm, step_mm=tool.step_mm)


def _means(seen: TrialEvidence, demands: Mapping[int, Demanded], step_mm: float) -> Iterator[MeanFound]:
    for size in seen.sizes:
        if size.characteristic.unit != "mm":
            continue
        demanded = demands.get(size.characteristic.pk)
        for cavity in size.finding.cavities:
            if cavity.cavity:
                yield MeanFound(
                    size=size_key(size.characteristic),
                    cavity=cavity.cavity,
                    trial=seen.trial.name,
                    state=seen.trial.state.label,
                    mean=cavity.mean,
                    parts=cavity.parts,
                    sd=cavity.sd if isfinite(cavity.sd) else None,
                    verdict=demanded.verdict(cavity, step_mm=step_mm) if demanded else cavity.verdict,
                )


def _features(tool: Tool, in_mm: dict[int, Characteristic]) -> Iterator[Feature]:
    moves: dict[int, list[SizeMoved]] = defaultdict(list)
    for move in Move.objects.filter(feature__tool=tool).order_by("pk"):
        if move.characteristic_id in in_mm:
            moves[move.feature_id].append(
                SizeMoved(size=size_key(in_mm[move.characteristic_id]), factor=move.factor, forms=move.forms)
            )
    for feature in tool.features.order_by("pk"):
        yield Feature(
            feature=feature.code,
            moves=tuple(moves[feature.pk]),
            size_change_per_mm=feature.size_change_per_mm,
            drawn_mm=feature.drawn_mm,
            can_add=feature.can_add,
        )


def _cuts(tool: Tool, up_to: int) -> Iterator[CutMade]:
    """What was asked and what was found removed, over all corrections cut into the states seen so far."""
    cut = Correction.objects.filter(
        feature__tool=tool, status=CorrectionStatus.CUT, resulting_state__ordinal__lte=up_to
    ).select_related("feature")
    measured = {
        (one.feature_id, one.cavity_id, one.state_id): one.measured_mm
        for one in SteelSize.objects.filter(state__tool=tool)
    }
    for one in cut:
        after = measured.get((one.feature_id, one.cavity_id, one.resulting_state_id or 0))
        if after is not None:
            yield CutMade(
                asked_mm=one.amount_mm,
                removed_mm=(after - one.size_before_mm) / one.feature.size_change_per_mm,
            )
