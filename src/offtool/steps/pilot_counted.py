"""From the counts of a pilot to its yields, its rate, and how its hours differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import ceil

from offtool.core.pilot.yields import (
    PilotRate,
    RolledYield,
    YieldOfLine,
    first_hour_against_last,
    pilot_rate,
    rolled_yield,
)
from offtool.core.values import Caution, NotEnoughData, Verdict
from offtool.records.models import PilotCount
from offtool.steps.pilot_found import HourSeen, PiecesOfPilot, StationHalves, WaitsBefore
from offtool.steps.pilot_in_record import PilotInRecord, StationPlanned

CONFIDENCE = 0.95
FEWEST_WHOLE_HOURS = 3
"""With so many, the first hour, in which the line fills, is left out of the rate; our own rule."""
MOST_NAMED = 5
FILLS, PARTLY, STOOD = "the line fills", "no whole hour", "nobody counted: a break, or it stood"
ALL_GOOD = Caution("a yield of 100 % is planned: no pilot can show that; plan what the line must really give")
FILLING_COUNTS = Caution(
    f"fewer than {FEWEST_WHOLE_HOURS} whole hours: the hour in which the line fills is in the rate, which "
    "comes out too low"
)
NOTHING_COUNTED = "no counts are read yet"


@dataclass(slots=True)
class _Sum:
    """The counts of a station, over the pilot or over an hour of it."""

    tried: int = 0
    good: int = 0
    reworked: int = 0
    scrapped: int | None = 0

    def add(self, one: PilotCount) -> None:
        self.tried += one.tried
        self.good += one.good_first
        self.reworked += one.reworked_good
        known = self.scrapped is not None and one.scrapped is not None
        self.scrapped = self.scrapped + one.scrapped if known else None  # type: ignore[operator]

    @property
    def final(self) -> int:
        return self.good + self.reworked


class PilotCounted:
    """The counts of a pilot, added up by station and by hour."""

    def __init__(self, told: PilotInRecord) -> None:
        self.told = told
        self.cautions: list[Caution] = []
        self.disagree: list[str] = []
        """Where a station took up more than the one before gave; `waits` finds it."""

    @cached_property
    def _sums(self) -> dict[int, _Sum]:
        self._say_what_is_counted_twice()
        found: dict[int, _Sum] = {}
        for one in self.told.counts:
            found.setdefault(one.station_id, _Sum()).add(one)
        return {key: found[key] for key in self.told.stations if key in found and found[key].tried}

    def _say_what_is_counted_twice(self) -> None:
        """Hours of a station that stand in two sheets: both are added up, and that is said."""
        sheets: dict[tuple[int, int | None], set[int]] = defaultdict(set)
        for one in self.told.counts:
            sheets[one.station_id, one.hour].add(one.file_id)
        twice = [
            f"{self.told.stations[station].name}" + (f", hour {hour}" if hour is not None else "")
            for (station, hour), files in sheets.items()
            if len(files) > 1
        ]
        if twice:
            more = " …" if len(twice) > MOST_NAMED else ""
            self.cautions.append(
                Caution(f"counted in two sheets, and added up: {'; '.join(twice[:MOST_NAMED])}{more}")
            )

    @cached_property
    def _by_hour(self) -> dict[int, dict[int, _Sum]]:
        """For each station its hours; rows that say no hour are in none."""
        found: dict[int, dict[int, _Sum]] = defaultdict(dict)
        for one in self.told.counts:
            if one.hour is not None:
                found[one.station_id].setdefault(one.hour, _Sum()).add(one)
        return found

    @property
    def stations(self) -> list[StationPlanned]:
        """Those that were counted, in the order of the line."""
        return [self.told.stations[key] for key in self._sums]

    @property
    def not_counted(self) -> list[str]:
        """Stations of the line without a count."""
        return [one.name for key, one in self.told.stations.items() if key not in self._sums]

    def yields(self) -> RolledYield:
        """Raises NotEnoughData without counts."""
        if not self._sums:
            raise NotEnoughData(NOTHING_COUNTED, remedy="read the sheet of counts")
        sums, line = list(self._sums.values()), self.told.line
        if 1.0 in (line.planned_first_yield, line.planned_final_yield):
            self.cautions.append(ALL_GOOD)
        scrapped = [one.scrapped for one in sums]
        known = [one for one in scrapped if one is not None]
        found = rolled_yield(
            [one.name for one in self.stations],
            [one.tried for one in sums],
            [one.good for one in sums],
            [one.reworked for one in sums],
            scrapped=known if len(known) == len(sums) else (),
            planned_first=_can_be_shown(line.planned_first_yield),
            planned_final=_can_be_shown(line.planned_final_yield),
            confidence=CONFIDENCE,
        )
        return self._of_part_of_the_line(found) if self.not_counted else found

    def _of_part_of_the_line(self, found: RolledYield) -> RolledYield:
        """Where stations were not counted the line is no better than those that were: no plan holds yet."""
        said = (
            f"{', '.join(self.not_counted)} not counted: the yield of the whole line is no better than this"
        )
        return replace(
            found,
            first=_at_most(found.first),
            final=_at_most(found.final),
            cautions=(*found.cautions, Caution(said)),
        )

    @property
    def started(self) -> int | None:
        """Pieces started: as written down, else as the first station counted."""
        first = next(iter(self._sums.values()), None)
        return self.told.pilot.pieces or (first.tried if first is not None else None)

    def balance(self) -> PiecesOfPilot | None:
        """Where the pieces are; None without counts of the last station."""
        if not self._ends_counted or self.started is None:
            return None
        sums = list(self._sums.values())
        scraps = [one.scrapped for one in sums]
        scrapped = None if None in scraps else sum(one for one in scraps if one is not None)
        lost = sum(one.tried - one.final for one in sums)
        waits = None if scrapped is None else lost - scrapped
        good = sums[-1].final
        return PiecesOfPilot(
            started=self.started,
            good=good,
            scrapped=scrapped,
            not_good_yet=waits,
            in_the_line=max(0, self.started - good - lost),
        )

    @property
    def _ends_counted(self) -> bool:
        """Whether the last station of the line was counted: without it nothing is known to be done."""
        return bool(self._sums) and next(reversed(self.told.stations)) in self._sums

    @cached_property
    def hours_seen(self) -> tuple[HourSeen, ...]:
        """The hours of the last station, from the first of the pilot on."""
        if not self._ends_counted:
            return ()
        found = self._by_hour.get(next(reversed(self.told.stations)), {})
        counted = self._hours_counted
        if not found:
            return ()
        last = max(counted)
        part = self._minutes_of(last) / 60.0
        whole = last if part >= 1 else last - 1
        self._say_what_hours_leave_open(found, counted, last)
        begins = min(found)
        fills = begins if whole - begins + 1 >= FEWEST_WHOLE_HOURS else begins - 1
        return tuple(
            HourSeen(
                hour=hour,
                good=(good := found[hour].final if hour in found else 0),
                per_h=good / (part if hour == last else 1.0),
                why_not=_why_not(hour, whole=whole, fills=fills, counted=counted),
            )
            for hour in range(1, last + 1)
        )

    def _say_what_hours_leave_open(self, found: dict[int, _Sum], counted: set[int], last: int) -> None:
        """Hours that the last station does not have, and hours of the pilot after the last counted one."""
        name = list(self.told.stations.values())[-1].name
        without = [str(hour) for hour in sorted(counted) if hour > min(found) and hour not in found]
        if without:
            self.cautions.append(
                Caution(f"{name} has no count in hour {', '.join(without)}: taken as no piece; count it")
            )
        hours = self.told.pilot.hours
        if hours is not None and not last - self._stood(last) - 1 < hours <= last:
            self.cautions.append(
                Caution(f"the pilot ran {hours:g} h as written down, and the counts end in hour {last}")
            )

    def rate(self) -> PilotRate:
        """Good pieces an hour at the end of the line. Raises NotEnoughData."""
        planned = self.told.line.planned_per_h
        whole = [one.good for one in self.hours_seen if not one.why_not]
        if whole:
            if not next(one for one in self.hours_seen if one.good or not one.why_not).why_not:
                self.cautions.append(FILLING_COUNTS)
            return pilot_rate(whole, planned_per_h=planned, confidence=CONFIDENCE)
        hours, balance = self.told.pilot.hours, self.balance()
        if balance is None:
            last = next(reversed(self.told.stations.values()), None)
            where = f" at {last.name}, the last station" if last is not None else ""
            raise NotEnoughData(f"no pieces are counted{where}", remedy="count them, hour by hour")
        if hours is None:
            raise NotEnoughData(
                "how long the pilot ran is not said", remedy="say the hours, or count by hour"
            )
        return pilot_rate([balance.good / hours], planned_per_h=planned, confidence=CONFIDENCE)

    def waits(self) -> Iterator[WaitsBefore]:
        """Pieces that stand between two stations that follow each other and were both counted."""
        keys, self.disagree = list(self.told.stations), []
        for before, here in pairwise(keys):
            if before not in self._sums or here not in self._sums:
                continue
            left = self._sums[before].final - self._sums[here].tried
            name = self.told.stations[here].name
            if left > 0:
                yield WaitsBefore(station=name, pieces=left)
            elif left < 0:
                tried, good = self._sums[here].tried, self._sums[before].final
                self.disagree.append(f"{name} took up {tried}, {self.told.stations[before].name} gave {good}")
        if self.disagree:
            said = f"more pieces were taken up than the station before gave: {'; '.join(self.disagree)}"
            self.cautions.append(Caution(f"{said}; some were counted twice, or not at all"))

    def halves(self, times: Callable[[int, int], list[float]]) -> Iterator[StationHalves]:
        """Each station in its first hour against its last; `times` gives those of a station and hour."""
        both = {key: hours for key, hours in self._by_hour.items() if len(hours) > 1 and key in self._sums}
        each = 1 - (1 - CONFIDENCE) / max(len(both), 1)  # one in twenty for all stations together
        for key in self._sums:
            if key not in both:
                continue
            first, last = min(both[key]), max(both[key])
            one, other = both[key][first], both[key][last]
            if one.tried and other.tried:
                found = first_hour_against_last(
                    one.tried, one.good, other.tried, other.good,
                    minutes_first=60.0, minutes_last=self._minutes_of(last),
                    times_first_s=times(key, first), times_last_s=times(key, last), confidence=each,
                )  # fmt: skip
                yield StationHalves(
                    station=self.told.stations[key].name, first_hour=first, last_hour=last, found=found
                )

    @cached_property
    def _hours_counted(self) -> set[int]:
        """Hours in which some station counted."""
        return {hour for hours in self._by_hour.values() for hour in hours}

    def _stood(self, last: int) -> int:
        """Hours up to this one in which no station counted: breaks."""
        return last - len({hour for hour in self._hours_counted if hour <= last})

    def _minutes_of(self, hour: int) -> float:
        """60; in the last hour up to where the pilot ended. Its hours are told with breaks or without."""
        hours = self.told.pilot.hours
        ends = (hours, hours + self._stood(hour)) if hours is not None else ()
        return next((60.0 * (end - (hour - 1)) for end in ends if ceil(end) == hour), 60.0)

    def passes_each_hour(self, station: str) -> list[int]:
        """Pieces that a station took up in each whole hour from its first; empty where an hour has none."""
        key = next((key for key, one in self.told.stations.items() if one.name == station), None)
        hours = self._by_hour.get(key, {}) if key is not None else {}
        whole = [one for one in sorted(hours) if self._minutes_of(one) >= 60.0]
        return [hours[one].tried for one in whole if hours[one].tried]


def _why_not(hour: int, *, whole: int, fills: int, counted: set[int]) -> str:
    """Why an hour does not count for the rate; empty where it does."""
    if hour > whole:
        return PARTLY
    if hour <= fills:
        return FILLS
    return "" if hour in counted else STOOD


def _at_most(found: YieldOfLine) -> YieldOfLine:
    """A yield that is only known not to be more: a plan may fail by it, and cannot hold."""
    return replace(found, verdict=Verdict.NOT_SHOWN) if found.verdict is Verdict.HOLDS else found


def _can_be_shown(planned: float | None) -> float | None:
    """The yield that is planned; None for 100 %, which no pilot can show, and which is said beside."""
    return planned if planned is not None and planned < 1 else None
