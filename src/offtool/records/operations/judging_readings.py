"""Leaving readings out of every judgement, with a reason, and taking them back in.

The readings themselves stay as they are, and so does every word said of them: the newest counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LONGEST_NAME
from offtool.records.models import Exclusion, Reading, Trial
from offtool.records.plain import plain_text
from offtool.records.queries.exclusions import left_out_of
from offtool.records.refusals import refusals_in_words


def leave_out_readings(
    trial: Trial, readings: Sequence[int], *, reason: str, made_at: datetime, made_by: str
) -> list[Exclusion]:
    """Leave readings of a trial out of every judgement.

    Parameters
    ----------
    readings : the readings' keys in the record
    reason : why, such as: the part fell before it was measured

    Returns the words as kept, one for each reading.

    Raises
    ------
    OfftoolError
        No reason or no reading; a reading of another trial; one that is left out already. Nothing is kept.
    """
    return _say(trial, readings, is_left_out=True, reason=reason, made_at=made_at, made_by=made_by)


def take_back_in(
    trial: Trial, readings: Sequence[int], *, reason: str, made_at: datetime, made_by: str
) -> list[Exclusion]:
    """Let readings that were left out count again.

    Returns the words as kept, one for each reading.

    Raises
    ------
    OfftoolError
        No reason or no reading; a reading of another trial; one that is not left out. Nothing is kept.
    """
    return _say(trial, readings, is_left_out=False, reason=reason, made_at=made_at, made_by=made_by)


def _say(
    trial: Trial, keys: Sequence[int], *, is_left_out: bool, reason: str, made_at: datetime, made_by: str
) -> list[Exclusion]:
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason", remedy="say why in a few words")
    with refusals_in_words(), transaction.atomic():
        # two people at once speak one after the other, and the second is told
        Trial.objects.select_for_update().get(pk=trial.pk)
        readings = _readings(trial, keys)
        _refuse_what_is_so_already(trial, readings, is_left_out=is_left_out)
        return Exclusion.objects.bulk_create(
            Exclusion(
                reading=reading,
                is_left_out=is_left_out,
                reason=reason,
                made_at=made_at,
                made_by=plain_text(made_by)[:LONGEST_NAME],
            )
            for reading in readings
        )


def _readings(trial: Trial, keys: Sequence[int]) -> list[Reading]:
    """The readings of the trial with these keys, each once."""
    wanted = list(dict.fromkeys(int(key) for key in keys))
    if not wanted:
        raise OfftoolError("no reading is named", remedy="choose at least one")
    chosen = Reading.objects.filter(source__trial=trial).select_related("source").defer("source__content")
    found = chosen.in_bulk(wanted)
    missing = [key for key in wanted if key not in found]
    if missing:
        raise OfftoolError(
            f"reading {missing[0]} is none of trial {trial.name}", remedy="choose readings of this trial"
        )
    return [found[key] for key in wanted]


def _refuse_what_is_so_already(trial: Trial, readings: Sequence[Reading], *, is_left_out: bool) -> None:
    why = {row.reading_id: row.reason for row in left_out_of(trial).rows}
    for reading in readings:
        if (reading.pk in why) == is_left_out:
            where = f"{reading.source.name} row {reading.row}, column {reading.column}"
            what = f"is left out already: {why[reading.pk]}" if is_left_out else "is not left out"
            raise OfftoolError(f"the reading {what}", where=where, remedy="take it out of your choice")
