"""A person's word on readings: which are left out, which count again, when the press had settled."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from offtool.core.values import OfftoolError
from offtool.records.operations import (
    leave_out_readings,
    overrule_settling,
    set_times,
    take_back_in,
)
from offtool.records.queries import find_programme, find_tool, find_trial
from offtool.steps.findings import TrialFindings
from offtool.steps.inspect_trial import findings_of
from offtool.steps.readings_seen import Counts, ReadingSeen, left_out_in, readings_of
from offtool.steps.trial_evidence import TrialEvidence
from offtool.steps.what_is_asked import size_key, size_named

NAMED_IN_REFUSAL = 4


class NotOneReading(OfftoolError):
    """What was said of a reading fits none, or several."""


def leave_out(
    programme: str,
    tool: str,
    trial: str,
    *,
    readings: Sequence[int],
    reason: str,
    made_at: datetime,
    made_by: str,
) -> TrialFindings:
    """Leave readings out of every judgement, or raise OfftoolError and change nothing; what it leads to.

    The last reading of a size in a cavity cannot be left out: the size would vanish instead of being open.
    """
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    _refuse_emptying(TrialEvidence(found), readings)
    leave_out_readings(found, readings, reason=reason, made_at=made_at, made_by=made_by)
    return findings_of(found)


def take_back(
    programme: str,
    tool: str,
    trial: str,
    *,
    readings: Sequence[int],
    reason: str,
    made_at: datetime,
    made_by: str,
) -> TrialFindings:
    """Let readings count again, or raise OfftoolError and change nothing; what it leads to."""
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    take_back_in(found, readings, reason=reason, made_at=made_at, made_by=made_by)
    return findings_of(found)


def settle(
    programme: str, tool: str, trial: str, *, settled_from: int | None, reason: str, made_by: str
) -> TrialFindings:
    """Say from which shot the press had settled; None to go by the readings again. What it leads to."""
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    return findings_of(overrule_settling(found, settled_from=settled_from, reason=reason, made_by=made_by))


def say_times(
    programme: str,
    tool: str,
    trial: str,
    *,
    moulded_at: datetime | None = None,
    measured_at: datetime | None = None,
    made_by: str,
) -> TrialFindings:
    """Say when the last shot was moulded or when measuring began; one alone leaves the other as it is."""
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    return findings_of(
        set_times(
            found,
            moulded_at=moulded_at or found.moulded_at,
            measured_at=measured_at or found.measured_at,
            made_by=made_by,
        )
    )


def find_reading(
    programme: str,
    tool: str,
    trial: str,
    *,
    size: str,
    cavity: str | None = None,
    shot: int | None = None,
    part_no: int | None = None,
    row: int | None = None,
    column: int | None = None,
    is_left_out: bool = False,
) -> ReadingSeen:
    """The one reading of a size that fits what is said of it.

    Raises NotOneReading where none fits, or several: it then names them.
    """
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    seen = TrialEvidence(found)
    wanted = {"cavity": cavity, "shot": shot, "part_no": part_no, "row": row, "column": column}
    said = {name: value for name, value in wanted.items() if value is not None}
    there = _left_out(seen, size) if is_left_out else _counting(seen, size)
    fits = [one for one in there if all(getattr(one, name) == value for name, value in said.items())]
    if len(fits) == 1:
        return fits[0]
    if not fits:
        raise NotOneReading(
            f"no reading of {size} fits",
            remedy="say its cavity, and its shot, part or row as in the file",
        )
    named = "; ".join(f"{it.value:g} at {it.cell}" for it in fits[:NAMED_IN_REFUSAL])
    more = " …" if len(fits) > NAMED_IN_REFUSAL else ""
    raise NotOneReading(
        f"{len(fits)} readings of {size} fit: {named}{more}",
        remedy="say more: cavity, shot, part, or row and column",
    )


def _counting(seen: TrialEvidence, size: str) -> list[ReadingSeen]:
    asked = size_named([one.characteristic for one in seen.sizes], size)
    measured = next(one for one in seen.sizes if one.characteristic == asked)
    return [one for one in readings_of(seen, measured) if one.counts is not Counts.LEFT_OUT]


def _left_out(seen: TrialEvidence, size: str) -> list[ReadingSeen]:
    """Also of a size that has no other reading left."""
    return [one for one in left_out_in(seen) if size in (one.size, one.size.rpartition(" ")[2])]


def _refuse_emptying(seen: TrialEvidence, readings: Sequence[int]) -> None:
    """Raise OfftoolError where no reading of a size in a cavity would be left."""
    columns = seen.readings
    place = np.stack([columns.characteristic_id, columns.cavity_id], axis=1)
    leaving = np.isin(columns.reading_id, readings)
    left = {tuple(one) for one in np.unique(place[~leaving & ~seen.is_left_out], axis=0).tolist()}
    for size, cavity in np.unique(place[leaving], axis=0).tolist():
        if (size, cavity) not in left:
            one = next(it.characteristic for it in seen.sizes if it.characteristic.pk == size)
            label = seen.cavity_labels.get(cavity, "")
            raise OfftoolError(
                "no reading would be left to judge by",
                where=f"{size_key(one)}, cavity {label}" if label else size_key(one),
                remedy="measure again and read the new file first; then leave the old readings out",
            )
