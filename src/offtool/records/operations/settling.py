"""What people know of a trial that its readings cannot tell: when it was run, and when the press settled."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.handbook.terms import LARGEST_SHOT
from offtool.records.acting import acting_as
from offtool.records.models import Trial
from offtool.records.plain import plain_text
from offtool.records.refusals import refusals_in_words

DAYS_OF_A_TRIAL = 3
"""A trial may run over midnight, and its day be written in another time zone."""


def overrule_settling(trial: Trial, *, settled_from: int | None, reason: str, made_by: str) -> Trial:
    """Say from which shot the press had settled, against what the readings say.

    Parameters
    ----------
    settled_from : the first shot that counts; None to go back to what the readings say
    reason : why; the history keeps it, also when going back
    made_by : who says so

    Returns the trial as kept.

    Raises
    ------
    OfftoolError
        No reason, or a shot after the last of the trial. Nothing is changed.
    """
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason", remedy="say why in a few words")
    last = trial.shots.aggregate(last=Max("number"))["last"]
    latest = LARGEST_SHOT if last is None else last
    if settled_from is not None and not 0 <= settled_from <= latest:
        end = "" if last is None else f" and no later than the last, {last}"
        limit = f"must be a shot of trial {trial.name}: at least 0{end}"
        raise ImpossibleInput("settled_from", settled_from, "", limit, "give a shot of the trial")
    told = {"settled_from": settled_from, "settled_reason": reason if settled_from is not None else ""}
    return _changed(trial, told, reason, made_by)


def set_times(
    trial: Trial, *, moulded_at: datetime | None, measured_at: datetime | None, made_by: str
) -> Trial:
    """Say when the last shot was moulded and when measuring began; None for a time that nobody knows.

    Returns the trial as kept.

    Raises
    ------
    OfftoolError
        Measured before moulded, or a time without its offset from UTC. Nothing is changed.
    """
    for name, time in (("moulded_at", moulded_at), ("measured_at", measured_at)):
        if time is not None and time.tzinfo is None:
            raise ImpossibleInput(name, time, "", "has no offset from UTC", "say in which time zone it is")
    if moulded_at is not None and trial.shot_on is not None:
        away = abs((moulded_at.date() - trial.shot_on).days)
        if away > DAYS_OF_A_TRIAL:
            limit = f"must be within {DAYS_OF_A_TRIAL} days of the trial, {trial.shot_on}"
            raise ImpossibleInput("moulded_at", f"{moulded_at:%Y-%m-%d}", "", limit, "look at the year")
    told = {"moulded_at": moulded_at, "measured_at": measured_at}
    return _changed(trial, told, "times of moulding and measuring", made_by)


def _changed(trial: Trial, told: dict[str, Any], reason: str, made_by: str) -> Trial:
    with refusals_in_words(), transaction.atomic(), acting_as(made_by):
        kept = Trial.objects.select_for_update().get(pk=trial.pk)
        for name, value in told.items():
            setattr(kept, name, value)
        kept._change_reason = reason  # type: ignore[attr-defined]
        kept.save(update_fields=[*told])
    return kept
