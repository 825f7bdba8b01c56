"""When presses are worked and engineers are there, in hours from the beginning of a plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from offtool.core.planning.slots import Stretch
from offtool.handbook.shop_times import (
    ENGINEER_DAYS,
    ENGINEER_FROM_H,
    ENGINEER_TO_H,
    ENGINEERS_UNSAID,
    PRESS_DAYS,
)
from offtool.handbook.workdays import WORKDAYS, workdays_named
from offtool.records.models import EngineersThere, Press, PressOff

A_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDays:
    """The days of a plan; hours are counted from midnight of the first."""

    first: date
    days: int

    @property
    def begins(self) -> datetime:
        return datetime(
            self.first.year, self.first.month, self.first.day, tzinfo=timezone.get_default_timezone()
        )

    @property
    def hours(self) -> float:
        return A_DAY * self.days

    @property
    def last(self) -> date:
        return self.first + timedelta(days=self.days - 1)

    def hour_of(self, when: datetime) -> float:
        """A time as hours from the beginning."""
        return (when - self.begins).total_seconds() / 3600

    def hour_of_day(self, day: date) -> float:
        """Midnight before a day as hours from the beginning."""
        return A_DAY * (day - self.first).days

    def when(self, hour: float) -> datetime:
        """Hours from the beginning as a time."""
        return self.begins + timedelta(hours=hour)

    def each(self) -> Iterator[tuple[int, str]]:
        """Each day by its number, with the name of its weekday."""
        for number in range(self.days):
            yield number, WORKDAYS[(self.first + timedelta(days=number)).weekday()]


def press_open(press: Press, off: Iterable[PressOff], days: PlanDays) -> tuple[Stretch, ...]:
    """When a press is worked: its hours on its days, less the times it stands."""
    worked = workdays_named(press.workdays) or PRESS_DAYS
    from_h = press.works_from_h if press.works_from_h is not None else 0.0
    to_h = press.works_to_h if press.works_to_h is not None else A_DAY
    whole = [(A_DAY * day + from_h, A_DAY * day + to_h) for day, name in days.each() if name in worked]
    for one in off:
        whole = list(_less(whole, days.hour_of(one.begins_at), days.hour_of(one.ends_at)))
    return tuple(Stretch(begins_h=begins, ends_h=ends) for begins, ends in whole)


def engineers_open(said: Iterable[EngineersThere], days: PlanDays) -> tuple[tuple[Stretch, ...], str]:
    """When engineers are there, and what is taken where nobody has said."""
    rows = list(said)
    if not rows:
        taken = [
            Stretch(begins_h=A_DAY * day + ENGINEER_FROM_H, ends_h=A_DAY * day + ENGINEER_TO_H)
            for day, name in days.each()
            if name in ENGINEER_DAYS
        ]
        return tuple(taken), ENGINEERS_UNSAID
    there = (Stretch(begins_h=days.hour_of(one.begins_at), ends_h=days.hour_of(one.ends_at)) for one in rows)
    return tuple(one for one in there if one.ends_h > 0 and one.begins_h < days.hours), ""


def _less(
    whole: Iterable[tuple[float, float]], off_from: float, off_to: float
) -> Iterator[tuple[float, float]]:
    for begins, ends in whole:
        if off_to <= begins or off_from >= ends:
            yield begins, ends
            continue
        if begins < off_from:
            yield begins, off_from
        if off_to < ends:
            yield off_to, ends
