"""What people know of a run beside its readings: its stage, its colour, its days, the job it interrupted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.records.acting import acting_as
from offtool.records.models import Tool, Trial
from offtool.records.operations.defining import plain_columns
from offtool.records.refusals import refusals_in_words

RUN_COLUMNS = (
    *("name", "state", "stage", "shot_on", "ended_on", "pieces", "press", "colour"),
    *("lightness", "a", "b", "colour_spread_de", "interrupted"),
)
"""What can be said of a run here; what comes from a file of readings is not among it."""


def define_run(
    tool: Tool, columns: Mapping[str, Any], *, made_by: str, reason: str = "", run: Trial | None = None
) -> Trial:
    """Write a run of a tool: a new one, or what is said of the one given as it is from now. Returns it.

    `columns` are some of RUN_COLUMNS. Raises OfftoolError for a name that is taken, days out of order, half a
    colour, or a state or a job that does not belong to the tool. Nothing is changed then.
    """
    unknown = [name for name in columns if name not in RUN_COLUMNS]
    if unknown:
        raise OfftoolError(
            f"{unknown[0]} is not changed here", remedy=f"change one of: {', '.join(RUN_COLUMNS)}"
        )
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept = Trial(tool=tool) if run is None else Trial.objects.select_for_update().get(pk=run.pk)
        told = plain_columns(columns)
        changed = {name: value for name, value in told.items() if getattr(kept, name, None) != value}
        for name, value in changed.items() if run is not None else told.items():
            setattr(kept, name, value)
        if changed or run is None:
            kept._change_reason = reason  # type: ignore[attr-defined]  # kept with the history
            kept.save(update_fields=[*changed] if run is not None else None)
    return kept
