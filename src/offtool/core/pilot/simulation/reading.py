"""From the readings of all runs to what the line gives: warm-up cut, then rates, shares, levels, times."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.simulation.asked import Asked
from offtool.core.pilot.simulation.estimates import Estimated, estimate_mean, rate_of_batches
from offtool.core.pilot.simulation.given import Intake, Line
from offtool.core.pilot.simulation.results import CountedUse, PieceCounts, PlaceShares, StoreLevel
from offtool.core.pilot.simulation.run import Trace, marks_s
from offtool.core.pilot.simulation.warm_up import BATCH, warm_up_marks
from offtool.core.pilot.simulation.working import AWAY, BUSY, DOWN
from offtool.core.values import ImpossibleInput, Interval

NEARLY_ALL = 0.95
"""A rack or fixtures of which so much is in use in the mean are short."""

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]


def worked_h(line: Line, at_h: Array) -> Array:
    """Hours worked up to each time: the clock without the breaks of everyone."""
    begun, away = 0.0, np.zeros_like(at_h)
    shared = (one for one in line.breaks if not one.station and one.people is None)
    for one in sorted(shared, key=lambda one: one.begins_h):
        begins = max(one.begins_h, begun)  # of breaks that overlap, each minute once
        away += np.clip(at_h - begins, 0.0, max(one.ends_h - begins, 0.0))
        begun = max(begun, one.ends_h)
    return at_h - away


def check_hours_left(line: Line, asked: Asked) -> None:
    """Refuse a run of which nothing is worked after the warm-up."""
    begins, ends = worked_h(line, np.array([asked.warm_up_h or 0.0, asked.hours]))
    if not ends > begins:
        remedy = "run it longer, or shorten the breaks"
        raise ImpossibleInput("hours", asked.hours, "h", "everyone is on a break all the time", remedy)


class Readings:
    """All runs of one line on the marks of the clock."""

    def __init__(self, line: Line, traces: Sequence[Trace], asked: Asked) -> None:
        self.line, self.traces, self.asked = line, traces, asked
        self.at_h = marks_s(asked.hours) / 3600
        self.worked = worked_h(line, self.at_h)
        self.settled = True
        self.cut = self._cut() if asked.warm_up_h is None else self._mark_at(asked.warm_up_h)

    @cached_property
    def good(self) -> Array:
        """Good pieces, [run, mark]."""
        return self._all("good")

    def rates(self) -> Array:
        """Good pieces per hour worked after the warm-up, a value for each run."""
        good, hours = self.good[:, -1] - self.good[:, self.cut], self.worked[-1] - self.worked[self.cut]
        rates: Array = good / hours
        return rates

    def per_h(self) -> Estimated:
        """The rate; of a single run, by its batches."""
        if len(self.traces) > 1:
            return self.estimate(self.rates())
        return self.estimate(rate_of_batches(self.worked[self.cut :], self.good[0, self.cut :]))

    def one_run(self) -> Interval | None:
        """Where the rate of one more run lies: the spread of runs and the doubt about their mean."""
        rates = self.rates()
        found = self.estimate(rates)
        if found.interval is None:
            return None
        half = found.interval.half_width * sqrt(rates.size + 1)
        low = max(found.value - half, 0.0)
        return Interval(low=low, high=found.value + half, confidence=self.asked.confidence)

    def first_and_last_hour(self) -> tuple[Array, Array]:
        """Rates of the first and the last hour worked, of a shorter run those of its halves."""
        last = float(self.worked[-1])
        hour = min(1.0, last / 2)
        ends = np.array([0.0, hour, last - hour, last])
        good = np.array([np.interp(ends, self.worked, one) for one in self.good])
        return (good[:, 1] - good[:, 0]) / hour, (good[:, 3] - good[:, 2]) / hour

    def time_inside_s(self) -> Estimated | None:
        """Mean time in the line of the pieces that left good after the warm-up; None where none did."""
        seconds = self._all("seconds_inside")
        return self._ratio(seconds[:, -1] - seconds[:, self.cut], self.good[:, -1] - self.good[:, self.cut])

    def inside(self) -> Estimated:
        """Mean number of pieces in the line after the warm-up."""
        return self.estimate(self._mean_after(self._all("inside_s")))

    def scrap_share(self) -> Estimated | None:
        """Of the pieces that left in each run, those that were thrown out; None where none left."""
        scrapped = self._all("scrapped")[:, -1]
        return self._ratio(scrapped, scrapped + self.good[:, -1])

    def places(self) -> tuple[PlaceShares, ...]:
        """What each station and press does with its time."""
        spent = np.stack([one.spent_s for one in self.traces])
        after = spent[:, -1] - spent[:, self.cut]
        there = after[:, :, :AWAY].sum(axis=2)
        needed = (after[:, :, BUSY] + after[:, :, DOWN]) / np.where(there > 0, there, 1.0)
        for i, share in self._parts_taken():
            needed[:, len(self.line.stations) + i] = share
        shares = after / after.sum(axis=2, keepdims=True)
        names = [*(one.name for one in self.line.stations), *(one.name for one in self.line.presses)]
        return tuple(
            PlaceShares(
                name=name,
                needed=self.estimate(needed[:, i]),
                **dict(
                    zip(
                        ("busy", "starved", "blocked", "down", "away"),
                        (self.estimate(shares[:, i, state]) for state in range(5)),
                        strict=True,
                    )
                ),
            )
            for i, name in enumerate(names)
        )

    def _parts_taken(self) -> Iterator[tuple[int, Array]]:
        """Of each press that runs on, the share of its scarcest part for which the line has room."""
        made, aside = self._after("made"), self._after("laid_aside")
        first = 0
        for i, press in enumerate(self.line.presses):
            own = slice(first, first + len(press.parts))
            first += len(press.parts)
            if press.runs_on:
                share = 1 - aside[:, own] / np.where(made[:, own] > 0, made[:, own], 1.0)
                yield i, share.max(axis=1)

    def busiest(self, places: Sequence[PlaceShares]) -> tuple[PlaceShares, ...]:
        """What is needed most, first, and what the runs cannot tell from it."""
        ranked = sorted(places, key=lambda one: -one.needed.value)
        first = ranked[0].needed.interval
        if first is None:
            return (ranked[0],)
        near = (one for one in ranked[1:] if one.needed.interval and one.needed.interval.high >= first.low)
        return (ranked[0], *near)

    def limiting(self, busiest: Sequence[PlaceShares], counted: Sequence[CountedUse]) -> list[CountedUse]:
        """Racks and fixtures that are nearly always in use, where nobody at work is as much.

        Where a station is as busy, the pieces that wait for it keep them full.
        """
        needed = busiest[0].needed
        most = needed.interval.high if needed.interval is not None else needed.value
        full = [one for one in counted if one.used.value >= NEARLY_ALL]
        return [
            one for one in full if (one.used.interval.low if one.used.interval else one.used.value) > most
        ]

    def counted(self) -> tuple[CountedUse, ...]:
        """How much of each rack and of the fixtures is in use."""
        return (*self._racks(), *self._fixtures())

    def _racks(self) -> Iterator[CountedUse]:
        """By Little: pieces that cure = pieces that come in a second, times the cure."""
        came = self._after("entered")
        for i, (station, intake) in enumerate(self._intakes()):
            if intake.cure_s and intake.places:
                used = self.estimate(came[:, i] * intake.cure_s / intake.places)
                name = f"rack before {station}"
                yield CountedUse(name=name, station=station, count=intake.places, is_many=False, used=used)

    def _fixtures(self) -> Iterator[CountedUse]:
        under_way = self._after("fixtures_s")
        for i, one in enumerate(self.line.stations):
            if one.fixtures is not None:
                used = self.estimate(under_way[:, i] / one.fixtures)
                name = f"fixtures of {one.name}"
                yield CountedUse(name=name, station=one.name, count=one.fixtures, is_many=True, used=used)

    def _after(self, what: str) -> Array:
        """What was counted up in a second after the warm-up, [run, …]."""
        return self._mean_after(np.stack([getattr(one, what) for one in self.traces]))

    def _intakes(self) -> list[tuple[str, Intake]]:
        return [(one.name, intake) for one in self.line.stations for intake in one.takes]

    def stores(self) -> tuple[StoreLevel, ...]:
        """How full each store is."""
        summed, level = (
            np.stack([getattr(one, what) for one in self.traces]) for what in ("level_s", "level")
        )
        most, course = np.stack([one.most for one in self.traces]).max(axis=0), level.mean(axis=0)
        return tuple(
            StoreLevel(
                station=name,
                item=intake.item,
                places=intake.places,
                mean=self.estimate(self._mean_after(summed[:, :, i])),
                most=int(most[i]),
                course=tuple(course[:, i].tolist()),
            )
            for i, (name, intake) in enumerate(self._intakes())
        )

    def most_rework(self) -> tuple[tuple[str, int], ...]:
        """The fullest that each box of rework was."""
        most = np.stack([one.most_rework for one in self.traces]).max(axis=0)
        boxes = {one.rework_to for one in self.line.stations}
        return tuple(
            (one.name, int(count))
            for one, count in zip(self.line.stations, most, strict=True)
            if one.name in boxes
        )

    def counts(self) -> PieceCounts:
        """All pieces of all runs."""
        came, joined, good, scrapped, rejected = (
            int(self._all(name)[:, -1].sum()) for name in ("came", "joined", "good", "scrapped", "rejected")
        )
        inside = came - joined - good - scrapped
        return PieceCounts(
            came=came, joined=joined, good=good, scrapped=scrapped, inside=inside, rejected=rejected
        )

    def estimate(self, values: Array) -> Estimated:
        """Mean and interval."""
        return estimate_mean(values, self.asked.confidence)

    def _ratio(self, above: Array, below: Array) -> Estimated | None:
        """Of the runs in which there is something to divide by."""
        some = below > 0
        return self.estimate(above[some] / below[some]) if some.any() else None

    def _all(self, name: str) -> Array:
        return np.stack([one.count(name) for one in self.traces])

    def _mean_after(self, summed: Array) -> Array:
        seconds = 3600 * (self.at_h[-1] - self.at_h[self.cut])
        means: Array = (summed[:, -1] - summed[:, self.cut]) / seconds
        return means

    def _mark_at(self, hour: float) -> int:
        """The first mark that is not before; the last but one at most, so that something is left."""
        return min(int(np.searchsorted(self.at_h, hour - 1e-9)), self.at_h.size - 2)

    def _cut(self) -> int:
        """The later of the cuts by output and by pieces inside, while everyone is not on a break."""
        open_ = np.flatnonzero(np.isclose(np.diff(self.worked), np.diff(self.at_h)))
        cuts = [self._one_cut(name, open_) for name in ("good", "inside_s")]
        return int(max(cuts))

    def _one_cut(self, name: str, open_: Numbers) -> int:
        series = np.diff(self._all(name).mean(axis=0))[open_]
        left_out = warm_up_marks(series)
        self.settled &= left_out < series.size // BATCH // 2 * BATCH
        return int(open_[left_out]) if left_out else 0
