"""What makes evidence stale: a change that touched what it rests on, or its age."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """A change of the product: what kind, on which day, and what it touched; nothing named is all of it."""

    change: str
    on: date | None
    words: str
    touches: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class StaleBecause:
    """One reason why evidence is stale; `change` is empty where age alone makes it so."""

    change: str
    on: date | None
    words: str


def what_made_stale(
    day: date | None,
    happened: Sequence[Happened],
    *,
    rests_on: frozenset[str] = frozenset(),
    stale_by: Collection[str],
    stale_after_days: int | None = None,
    on: date,
) -> tuple[StaleBecause, ...]:
    """Why evidence of that day says nothing any more of what is made on `on`; empty while it stands.

    A change counts where it is of a kind in `stale_by`, touched something that the evidence rests on, and is
    not older than the evidence. Of a change on the same day nobody knows which came first: it counts. So does
    one whose day, or evidence whose day, was never written down. What is still to come does not count yet.
    """
    reasons = (
        StaleBecause(change=one.change, on=one.on, words=one.words + _same_day(one, day))
        for one in happened
        if one.change in stale_by and touched(one.touches, rests_on) and _counts(one.on, day, on)
    )
    return (*reasons, *_too_old(day, stale_after_days, on))


def touched(touches: frozenset[str], rests_on: frozenset[str]) -> bool:
    """Whether a change reaches the evidence; an empty set stands for the whole product."""
    return not touches or not rests_on or not touches.isdisjoint(rests_on)


def _counts(changed: date | None, day: date | None, today: date) -> bool:
    if changed is None:
        return True
    return changed <= today and (day is None or changed >= day)


def _same_day(one: Happened, day: date | None) -> str:
    if day is None:
        return "; the day of the evidence is not told"
    if one.on is None:
        return "; the day of the change is not told"
    return "; on the same day, and nobody wrote which came first" if one.on == day else ""


def _too_old(day: date | None, allowed: int | None, today: date) -> Iterator[StaleBecause]:
    if allowed is None:
        return
    if day is None:
        words = f"it may be no older than {allowed} days, and its day is not told"
        yield StaleBecause(change="", on=None, words=words)
    elif today > day + timedelta(days=allowed):
        words = f"{(today - day).days} days old; {allowed} are allowed"
        yield StaleBecause(change="", on=day + timedelta(days=allowed), words=words)
