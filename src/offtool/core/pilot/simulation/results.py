"""What a simulated line tells: its rate, where it waits, how full it is, and what more of something gives."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.pilot.simulation.estimates import Estimated
from offtool.core.pilot.simulation.given import Addition, Line
from offtool.core.values import Caution, Interval, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceShares:
    """What the people of a station, or a press, do after the warm-up; the shares add up to 1."""

    name: str
    busy: Estimated
    starved: Estimated
    blocked: Estimated
    down: Estimated
    away: Estimated
    needed: Estimated
    """Share of the time they are there in which they work or stand stopped; of a press that runs on, the
    share of its parts for which there is room, of the part that is scarcest."""

    @property
    def waits(self) -> float:
        """Share of the time in which they wait for pieces or for room."""
        return self.starved.value + self.blocked.value


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreLevel:
    """How many pieces lie before a station: mean after the warm-up, highest of all runs, mean course."""

    station: str
    item: str
    places: int | None
    mean: Estimated
    most: int
    course: tuple[float, ...]
    """Mean level over all runs at each of the result's `at_h`; warm-up included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedUse:
    """A rack or the fixtures of a station: the share of them that is in use after the warm-up.

    Of a rack, places with a piece that cures: one that is ripe and waits there is no reason for more places.
    """

    name: str
    """"rack before pack", "fixtures of paint"."""
    station: str
    count: int
    is_many: bool
    """Fixtures; else the one rack."""
    used: Estimated


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCounts:
    """All pieces of all runs, warm-up included: came = joined + good + scrapped + inside.

    `joined` are parts that became part of another piece; `rejected` never came: the press threw them out.
    """

    came: int
    joined: int
    good: int
    scrapped: int
    inside: int
    rejected: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSimulated:
    """What runs of a line gave. Rates are good pieces per hour worked, breaks of everyone left out."""

    words: str
    per_h: Estimated
    good: Estimated
    """Good pieces in a run, warm-up included."""
    one_run_per_h: Interval | None
    """Where the rate of a single run lies: what one pilot may show, not the line in the long run."""
    plan: Verdict | None
    """Whether the planned rate is reached; None where none is planned."""
    time_inside_s: Estimated | None
    """From the arrival of its oldest part until a piece leaves, after the warm-up; None where none does."""
    inside: Estimated
    """Pieces and parts in the line, mean over time after the warm-up."""
    scrap_share: Estimated | None
    """Of the pieces that left, in the whole run."""
    first_hour_per_h: Estimated
    last_hour_per_h: Estimated
    last_less_first_per_h: Estimated
    warm_up_h: float
    settled: bool
    """False where the line was still changing in the middle of the run."""
    limited_by: tuple[str, ...]
    """The station or press that is needed most, and those that the runs cannot tell from it; a rack or
    fixtures that are in use nearly all the time where everybody else could do more."""
    places: tuple[PlaceShares, ...]
    stores: tuple[StoreLevel, ...]
    counted: tuple[CountedUse, ...]
    """Racks and fixtures, where they are limited."""
    most_rework: tuple[tuple[str, int], ...]
    """The fullest that each station's box of rework was, where it has one."""
    at_h: tuple[float, ...]
    output: tuple[float, ...]
    """Good pieces up to each time, mean over all runs."""
    output_least: tuple[float, ...]
    output_most: tuple[float, ...]
    """Between these two all runs lie, at each time."""
    counts: PieceCounts
    runs: int
    runs_asked: int
    hours: float
    seed: int
    confidence: float
    line: Line
    cautions: tuple[Caution, ...] = ()

    @property
    def stopped(self) -> bool:
        """Whether it was stopped before all runs were done."""
        return self.runs < self.runs_asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What one addition gives, run by run against the line as it is, with the same random numbers.

    `confidence` holds for all additions that were compared at once.
    """

    addition: Addition
    gain_per_h: Estimated
    per_h: Estimated
    shown: Verdict
    """Holds: it gives more. Does not hold: it gives less. Not shown: the runs cannot tell."""
    interval_apart: float
    """How many times wider the interval would be had both lines been run with numbers of their own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatMoreGives:
    """The line as it is, and each addition by its gain, the largest first."""

    words: str
    base: LineSimulated
    gains: tuple[Gain, ...]
    confidence: float
    runs: int
    runs_asked: int
    cautions: tuple[Caution, ...] = ()

    @property
    def stopped(self) -> bool:
        """Whether it was stopped before all runs were done."""
        return self.runs < self.runs_asked
