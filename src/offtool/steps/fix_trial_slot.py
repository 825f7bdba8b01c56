"""Fix the slot of a trial, all slots of a plan, or leave them open again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from offtool.records.operations import fix_slot
from offtool.records.queries import find_press, find_programme, find_request


def fix_trial(programme: str, tool: str, name: str, *, press: str, starts_at: datetime, by: str) -> str:
    """Fix one slot; returns what was done in words.

    Raises NotInRecord, or OfftoolError for a slot that cannot be.
    """
    request = find_request(programme, tool, name)
    fix_slot(request, find_press(find_programme(programme), press), starts_at, made_by=by)
    return f"{tool} {name} is fixed on {press} for {starts_at:%Y-%m-%d %H:%M}."


def release_trial(programme: str, tool: str, name: str, *, by: str) -> str:
    """Leave a slot open again; returns what was done in words."""
    fix_slot(find_request(programme, tool, name), None, None, made_by=by)
    return f"{tool} {name} may move again."


def fix_all(programme: str, slots: Sequence[tuple[str, str, str, datetime]], *, by: str) -> str:
    """Fix slots of tool, trial, press and start together: all or none."""
    with transaction.atomic():
        for tool, name, press, starts_at in slots:
            fix_trial(programme, tool, name, press=press, starts_at=starts_at, by=by)
    return f"{len(slots)} slots are fixed." if len(slots) != 1 else "1 slot is fixed."


def release_all(programme: str, slots: Sequence[tuple[str, str, str, datetime]], *, by: str) -> str:
    """Leave slots open again together: all or none; press and start are not looked at."""
    with transaction.atomic():
        done = [release_trial(programme, tool, name, by=by) for tool, name, _, _ in slots]
    return " ".join(done)
