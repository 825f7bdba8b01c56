"""What was said of a sample before: every change of its entry and of its parts, with who and when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from offtool.records.models import Sample, SamplePart
from offtool.records.queries import find_programme, find_sample

SAID = {
    "number": "number",
    "name": "what it is",
    "build_id": "build on its tag",
    "found_on": "found on",
    "place": "where it lies",
    "holder": "who has it",
    "purpose": "kept for",
    "disposition": "what becomes of it",
    "note": "note",
}
"""Columns of a sample as people call them."""
SAID_OF_PART = {
    "part_id": "part",
    "label": "label",
    "tool_id": "tool",
    "state_id": "state",
    "cavity_id": "cavity",
    "trial_id": "trial",
    "shot": "shot",
    "colour": "colour",
    "note": "note",
}


ENTERED_TOGETHER = timedelta(seconds=5)
"""Parts that came with the sample were written in the same moment, not after it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSeen:
    """One change: what is said now instead of what was said before."""

    at: datetime
    by: str
    about: str
    before: str
    after: str
    reason: str


def changes_of_sample(programme: str, number: str) -> tuple[ChangeSeen, ...]:
    """All changes of a sample and its parts, the latest first. Raises NotInRecord."""
    sample = find_sample(find_programme(programme), number)
    found = [*_changes(sample, SAID, ""), *_parts(sample)]
    return tuple(sorted(found, key=lambda one: one.at, reverse=True))


def _parts(sample: Sample) -> Iterator[ChangeSeen]:
    entered = sample.history.order_by("history_date", "history_id").first()
    for part in sample.parts.order_by("pk"):
        yield from _changes(part, SAID_OF_PART, f"{part.label}: ")
        first = part.history.order_by("history_date", "history_id").first()
        if first is not None and entered and first.history_date - entered.history_date > ENTERED_TOGETHER:
            yield ChangeSeen(
                at=first.history_date,
                by=first.history_user_id or "",
                about="part added",
                before="",
                after=part.label,
                reason="",
            )


def _changes(row: Sample | SamplePart, said: dict[str, str], of: str) -> Iterator[ChangeSeen]:
    states: list[Any] = list(row.history.order_by("history_date", "history_id"))
    for before, after in pairwise(states):
        for column, about in said.items():
            was, now = getattr(before, column), getattr(after, column)
            if was != now:
                yield ChangeSeen(
                    at=after.history_date,
                    by=after.history_user_id or "",
                    about=f"{of}{about}",
                    before=_in_words(before, column),
                    after=_in_words(after, column),
                    reason=after.history_change_reason or "",
                )


def _in_words(state: Any, column: str) -> str:
    """What was said then: of a part, a tool or a build, what it is called now."""
    value = getattr(state, column)
    if value is None or value == "":
        return ""
    return str(getattr(state, column.removesuffix("_id")))
