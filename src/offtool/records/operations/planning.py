"""What is planned: numbers of tools, trials that are asked for, and when presses and people are there."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Model

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import TrialPurpose
from offtool.records.acting import acting_as
from offtool.records.models import EngineersThere, Press, PressOff, Programme, Tool, TrialRequest
from offtool.records.operations.defining import written_row
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words

TOOL_NUMBERS = (
    *("wide_mm", "high_mm", "thick_mm", "opening_mm", "ejector_mm"),
    *("feed", "runner_g", "runner_cm2", "hot_runner_cm3", "cavity_pressure_mpa", "setup_h"),
)
"""What a press and a plan ask of a tool."""

REQUEST_COLUMNS = (
    *("name", "earliest", "due", "hours", "wish", "colour", "lightness", "a", "b", "resin"),
    *("late_per_day", "needs_engineer", "asked_by", "note"),
)
"""What is said of a trial that is asked for, beside its purposes and its slot."""


def define_tool_size(tool: Tool, columns: Mapping[str, Any], *, made_by: str) -> Tool:
    """Write the numbers of a tool that a press and a plan ask for; those not named stay. Returns the tool.

    Raises OfftoolError for a number that cannot be.
    """
    unknown = set(columns) - {*TOOL_NUMBERS, "name"}
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
    with refusals_in_words(tool.code), acting_as(made_by), transaction.atomic():
        return written_row(Tool.objects.select_for_update().get(pk=tool.pk), columns)


def ask_trial(
    tool: Tool,
    columns: Mapping[str, Any],
    wants: Mapping[TrialPurpose, int | None],
    *,
    made_by: str,
    request: TrialRequest | None = None,
) -> TrialRequest:
    """Ask for a trial and say what it is to show: a new one, or the one given as it is to be from now.

    `columns` are those of REQUEST_COLUMNS; `wants` are all its purposes, with how many pieces, None for as
    many as is usual. Returns the request.

    Raises NotEnoughData without a purpose; OfftoolError for a name that is asked for already, half a colour,
    or days out of order.
    """
    if not wants:
        raise NotEnoughData(
            "no purpose is given",
            where=f"{tool.code} {columns.get('name', '')}".strip(),
            remedy="say what the trial is to show, such as sizes",
        )
    with refusals_in_words(tool.code), acting_as(made_by), transaction.atomic():
        kept = written_row(request or TrialRequest(tool=tool), columns)
        now = {one.purpose: one for one in kept.wants.all()}
        for purpose, row in now.items():
            if purpose not in {one.value for one in wants}:
                row.delete()
        for purpose_wanted, pieces in wants.items():
            want = now.get(purpose_wanted.value) or kept.wants.model(
                request=kept, purpose=purpose_wanted.value
            )
            written_row(want, {"pieces": pieces})
    return kept


def fix_slot(
    request: TrialRequest, press: Press | None, starts_at: datetime | None, *, made_by: str
) -> TrialRequest:
    """Fix the press and the start of a trial, or leave them open again with None for both.

    Raises OfftoolError for one without the other, and for a press of another programme.
    """
    with refusals_in_words(f"{request.tool.code} {request.name}"), acting_as(made_by), transaction.atomic():
        current = TrialRequest.objects.select_for_update().get(pk=request.pk)
        return written_row(current, {"press": press, "starts_at": starts_at})


def withdraw_request(request: TrialRequest, *, because: str, made_by: str) -> None:
    """Take a trial that was asked for out of the plan; its history keeps it with the reason.

    Raises OfftoolError without a reason.
    """
    reason = plain_text(because).strip()
    if not reason:
        raise OfftoolError("no reason is given", remedy="say why the trial is no longer asked for")
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        for want in request.wants.all():
            _delete_because(want, reason)
        _delete_because(request, reason)


def say_prices(
    programme: Programme, *, currency: str, prices: Mapping[str, float | None], made_by: str
) -> None:
    """Say what money is given in, and what a kg of each resin costs, by its code; None for not known.

    Resins that are not named stay as they are. Raises OfftoolError for a price below 0.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        written_row(Programme.objects.select_for_update().get(pk=programme.pk), {"currency": currency})
        for resin in programme.resins.filter(code__in=prices):
            written_row(resin, {"price_per_kg": prices[resin.code]})


def say_engineers(
    programme: Programme, begins_at: datetime, ends_at: datetime, *, who: str = "", made_by: str
) -> EngineersThere:
    """Say that an engineer is at the shop in this time.

    Raises OfftoolError for an end before the beginning, and for a time that is said already.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        return EngineersThere.objects.create(
            programme=programme, begins_at=begins_at, ends_at=ends_at, who=plain_name(who, "the name")
        )


def say_press_off(
    press: Press, begins_at: datetime, ends_at: datetime, *, why: str = "", made_by: str
) -> PressOff:
    """Say that a press stands in this time.

    Raises OfftoolError for an end before the beginning, and for a beginning that is said already.
    """
    with refusals_in_words(press.code), acting_as(made_by), transaction.atomic():
        return PressOff.objects.create(
            press=press, begins_at=begins_at, ends_at=ends_at, why=plain_name(why, "the reason")
        )


def take_time_back(row: EngineersThere | PressOff, *, made_by: str) -> None:
    """Take back that an engineer is there, or that a press stands; the history keeps it."""
    with acting_as(made_by), transaction.atomic():
        row.delete()


def _delete_because(row: Model, reason: str) -> None:
    row._change_reason = reason  # type: ignore[attr-defined]  # kept with the history
    row.delete()
