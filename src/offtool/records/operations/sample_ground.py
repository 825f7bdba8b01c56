"""What samples are told apart by: details of tool states, presses and jobs, builds, stages and shares."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django.db import transaction
from django.db.models import Manager, Model

from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import Stage
from offtool.handbook.workdays import WORKDAYS, workdays_named
from offtool.records.acting import acting_as
from offtool.records.models import (
    Build,
    Detail,
    Job,
    Part,
    Press,
    Programme,
    SignShare,
    StageName,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.operations.defining import written_row
from offtool.records.operations.observing import refuse_unknown_outcome
from offtool.records.refusals import refusals_in_words


def define_detail(
    part: Part,
    columns: Mapping[str, Any],
    in_states: Mapping[ToolState, bool | None],
    *,
    made_by: str,
    detail: Detail | None = None,
) -> Detail:
    """Write a detail of a part, and which tool states make it: a new one, or the one given as it is from now.

    `columns` are code, name, kind, where and note. `in_states` says for a state that it is there, not there,
    or None that the record says nothing; a state that is not named stays as it is. Returns the detail.

    Raises OfftoolError for a code that is taken, or a state of a tool that does not make the part.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept = written_row(detail or Detail(part=part), columns)
        now = {one.state_id: one for one in kept.in_states.all()}
        for state, is_there in in_states.items():
            row = now.get(state.pk)
            if row is None and is_there is not None:
                kept.in_states.create(state=state, is_there=is_there)
            elif row is not None and is_there is None:
                row.delete()
            elif row is not None and row.is_there != is_there:
                row.is_there = bool(is_there)
                row.save()
    return kept


def define_press(
    programme: Programme,
    columns: Mapping[str, Any],
    holds: Collection[Tool] | None = None,
    *,
    made_by: str,
    press: Press | None = None,
) -> Press:
    """Write a press and the tools that it can hold: a new one, or the one given as it is to be from now.

    `columns` are code, name, note and the numbers of its sheet; those not named stay as they are. `holds` are
    all its tools; None leaves them as they are. A tool that no press is said to hold may go on any. Returns
    the press. Raises ImpossibleInput for a word among its days that is no day.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept = written_row(press or Press(programme=programme), with_plain_workdays(columns))
        if holds is not None:
            _make_those(kept.holds, "tool", holds)
    return kept


def with_plain_workdays(columns: Mapping[str, Any]) -> Mapping[str, Any]:
    """The columns of a press with its days as the record writes them. Raises ImpossibleInput for no day."""
    if "workdays" not in columns:
        return columns
    try:
        days = workdays_named(str(columns["workdays"] or ""))
    except ValueError as error:
        known = f"must be days such as {' '.join(WORKDAYS[:6])}"
        raise ImpossibleInput("workdays", str(error), "", known, "leave it blank for these") from error
    return {**columns, "workdays": " ".join(days)}


def define_job(press: Press, columns: Mapping[str, Any], *, made_by: str, job: Job | None = None) -> Job:
    """Write a job that ran on a press: a new one, or the one given as it is to be from now. Returns it.

    `columns` are code, product, what, colour, lightness, a, b, spread_de, illuminant, observer, begins, ends,
    resin, may_stop, margin_per_h, restart_min and note.

    Raises OfftoolError for days out of order, half a colour, or a number that is taken.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept = job or Job(press=press)
        kept.press = press
        return written_row(kept, columns)


def define_build(
    programme: Programme,
    columns: Mapping[str, Any],
    trials: Collection[Trial] | None = None,
    *,
    made_by: str,
    build: Build | None = None,
) -> Build:
    """Write a build and the runs that its parts came from: a new one, or the one given as it is from now.

    `columns` are code, stage, built_on, pieces and note; None for `trials` leaves them as they are. Returns
    the build. Raises OfftoolError for a run of another programme.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept = written_row(build or Build(programme=programme), columns)
        if trials is not None:
            _make_those(kept.from_runs, "trial", trials)
    return kept


def say_stage(
    programme: Programme,
    stage: Stage,
    *,
    engineer: str = "",
    archive: str = "",
    kept: float | None = None,
    made_by: str,
) -> StageName:
    """Say what this programme calls a stage, and how many pieces are kept from it; blank for the handbook's.

    Raises OfftoolError for a share that is not above 0.
    """
    with refusals_in_words(stage.value), acting_as(made_by), transaction.atomic():
        row = StageName.objects.select_for_update().filter(programme=programme, stage=stage.value).first()
        told = {"engineer": engineer, "archive": archive, "kept": kept}
        return written_row(row or StageName(programme=programme, stage=stage.value), told)


def say_share(
    programme: Programme, sign: str, outcome: str, stage: Stage, share: float | None, *, made_by: str
) -> SignShare | None:
    """Say how often this programme meets an outcome of a sign at a stage; None for the handbook's share.

    Raises OfftoolError for a sign or an outcome that the handbook does not have, and a share that is none.
    """
    refuse_unknown_outcome(sign, outcome)
    if share is not None and not 0 <= share <= 1:
        raise ImpossibleInput("share", share, "", "must be from 0 to 1", "give 0.4 for 40 %")
    names = {"programme": programme, "sign": sign, "outcome": outcome, "stage": stage.value}
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        row = SignShare.objects.select_for_update().filter(**names).first()
        if share is None:
            if row is not None:
                row.delete()
            return None
        return written_row(row or SignShare(**names), {"share": share})


def _make_those(kept: Manager[Any], name: str, wanted: Collection[Model]) -> None:
    """Make the rows those that point at what is wanted: add what is missing, take out the others."""
    now = {getattr(row, f"{name}_id"): row for row in kept.all()}
    keys = {one.pk for one in wanted}
    for key, row in now.items():
        if key not in keys:
            row.delete()
    for one in wanted:
        if one.pk not in now:
            kept.create(**{name: one})
