"""A cut makes a new state of the tool: what was cut is measured anew, the rest of the steel is as it was."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from string import ascii_lowercase

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Cavity, Correction, SteelFeature, SteelSize, Tool, ToolState
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSteel:
    """One steel size as measured after the cut, and the steel that may still be removed."""

    measured_mm: float
    uncertainty_mm: float
    allowance_mm: float


def record_new_state(
    tool: Tool,
    *,
    label: str | None,
    made_on: date | None,
    remeasured: Mapping[tuple[SteelFeature, Cavity], MeasuredSteel],
    cut: Collection[Correction],
    note: str = "",
) -> ToolState:
    """Make the tool's next state.

    Parameters
    ----------
    label : the letter of the state; None for the next in the alphabet
    made_on : the day the steel was ready
    remeasured : the steel sizes measured after the cut
    cut : the corrections that were carried out

    Returns the new state. Steel that was neither cut nor measured again keeps its size from the state before.
    Steel that was cut but not measured again has no size in the new state: nobody knows it.

    Raises
    ------
    OfftoolError
        A correction of another tool, or one that is not waiting to be cut; a label that is taken; a steel
        size that cannot be. Nothing is recorded.
    """
    with refusals_in_words(), transaction.atomic():
        # two people at once make two states, one after the other
        Tool.objects.select_for_update().get(pk=tool.pk)
        before = tool.states.order_by("-ordinal").first()
        chosen = Correction.objects.filter(pk__in=[correction.pk for correction in cut])
        corrections = list(chosen.select_related("trial", "feature"))
        _refuse_what_cannot_be_cut(tool, corrections)
        ordinal = before.ordinal + 1 if before else 1
        label = label or _letter(ordinal)
        if tool.states.filter(label=label).exists():
            raise OfftoolError(
                f"tool {tool.code} has a state {label!r} already", remedy="give a letter that is free"
            )
        state = ToolState.objects.create(tool=tool, label=label, ordinal=ordinal, made_on=made_on, note=note)
        for (feature, cavity), steel in remeasured.items():
            SteelSize.objects.create(state=state, feature=feature, cavity=cavity, **asdict(steel))
        if before is not None:
            _carry_over(before, state, corrections)
        for correction in corrections:
            correction.status = CorrectionStatus.CUT
            correction.resulting_state = state
            correction.save(update_fields=["status", "resulting_state"])
    return state


def _refuse_what_cannot_be_cut(tool: Tool, corrections: Collection[Correction]) -> None:
    for correction in corrections:
        if correction.trial.tool_id != tool.pk:
            raise OfftoolError(
                f"the correction of {correction.feature} was made for another tool",
                remedy=f"give corrections of tool {tool.code}",
            )
        if correction.status != CorrectionStatus.PROPOSED:
            raise OfftoolError(
                f"the correction of {correction.feature} is {correction.status} already",
                remedy="leave it out",
            )


def _letter(ordinal: int) -> str:
    """a, b … z, aa, ab …"""
    letters = ""
    while ordinal:
        ordinal, place = divmod(ordinal - 1, len(ascii_lowercase))
        letters = ascii_lowercase[place] + letters
    return letters


def _carry_over(before: ToolState, state: ToolState, corrections: Collection[Correction]) -> None:
    """Copy every steel size that was neither cut nor measured again."""
    known = set(state.steel_sizes.values_list("feature_id", "cavity_id"))
    cut = {(correction.feature_id, correction.cavity_id) for correction in corrections}
    for size in before.steel_sizes.order_by("pk"):
        if (size.feature_id, size.cavity_id) not in known | cut:
            SteelSize.objects.create(
                state=state,
                feature_id=size.feature_id,
                cavity_id=size.cavity_id,
                measured_mm=size.measured_mm,
                uncertainty_mm=size.uncertainty_mm,
                allowance_mm=size.allowance_mm,
            )
