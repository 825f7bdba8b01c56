"""When engineers are there and when a press stands: what is said, said anew, or taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from offtool.core.values import OfftoolError
from offtool.handbook.shop_times import ENGINEERS_UNSAID
from offtool.records.models import EngineersThere, PressOff
from offtool.records.operations import say_engineers, say_press_off, take_time_back
from offtool.records.queries import engineers_of, find_press, find_programme, press_off_of, presses_of
from offtool.steps.overview import is_invented
from offtool.steps.sentences import count


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeSaid:
    """A time that was said: of an engineer, or of a press that stands."""

    key: int
    press: str
    who: str
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopTimes:
    """All times that were said."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    engineers: tuple[TimeSaid, ...]
    off: tuple[TimeSaid, ...]
    presses: tuple[str, ...]
    taken: str
    """What is taken where nobody has said when engineers are there."""


def shop_times(programme: str) -> ShopTimes:
    """The times of a programme. Raises NotInRecord."""
    kept = find_programme(programme)
    engineers = tuple(_engineer(one) for one in engineers_of(kept))
    off = tuple(_off(one) for one in press_off_of(kept))
    return ShopTimes(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        headline=_headline(len(engineers), len(off)),
        engineers=engineers,
        off=off,
        presses=tuple(one.code for one in presses_of(kept)),
        taken="" if engineers else ENGINEERS_UNSAID,
    )


def engineer_comes(programme: str, begins: datetime, ends: datetime, *, who: str, by: str) -> str:
    """Say that an engineer is there; returns what was done in words."""
    say_engineers(find_programme(programme), begins, ends, who=who, made_by=by)
    return f"{who or 'An engineer'} is there from {begins:%Y-%m-%d %H:%M} to {ends:%Y-%m-%d %H:%M}."


def press_stands(programme: str, press: str, begins: datetime, ends: datetime, *, why: str, by: str) -> str:
    """Say that a press stands; returns what was done in words."""
    say_press_off(find_press(find_programme(programme), press), begins, ends, why=why, made_by=by)
    return f"{press} stands from {begins:%Y-%m-%d %H:%M} to {ends:%Y-%m-%d %H:%M}."


def take_back(programme: str, key: int, *, is_engineer: bool, by: str) -> str:
    """Take a time back that was said; returns what was done. Raises OfftoolError for one not there."""
    kept = find_programme(programme)
    rows = engineers_of(kept) if is_engineer else press_off_of(kept)
    found = next((one for one in rows if one.pk == key), None)
    if found is None:
        raise OfftoolError("this time is not said any more", remedy="look at the page again")
    take_time_back(found, made_by=by)
    return "The time is taken back."


def _headline(engineers: int, off: int) -> str:
    there = (
        f"Engineers are there {count(engineers, 'time')}"
        if engineers
        else "Nobody has said when engineers are there"
    )
    return f"{there}; {'no press stands' if not off else 'a press stands ' + count(off, 'time')}."


def _engineer(one: EngineersThere) -> TimeSaid:
    return TimeSaid(key=one.pk, press="", who=one.who, begins=one.begins_at, ends=one.ends_at)


def _off(one: PressOff) -> TimeSaid:
    return TimeSaid(key=one.pk, press=one.press.code, who=one.why, begins=one.begins_at, ends=one.ends_at)
