"""What the line will make, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.pilot.simulation import (
    Estimated,
    LineSimulated,
    More,
    PlaceShares,
    StoreLevel,
    WhatMoreGives,
)
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsaid:
    """Something that nobody wrote down, and what was taken instead."""

    about: str
    says: str
    """In words: what is missing, where, and what that does to the answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitsBefore:
    """What lies before a station of what it takes."""

    item: str
    """What it takes, in words: "pieces from paint", "part arm"."""
    is_part: bool
    """A moulded part, out of a box."""
    places: int | None
    """None: there is room for all."""
    assumed: bool
    """The places were not said."""
    cure_s: float
    level: StoreLevel


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRun:
    """One station in the runs."""

    number: int
    name: str
    people: int
    two_sided: bool
    tasks: tuple[str, ...]
    time_s: float
    spread_s: float
    time_from: str
    """Where its time is from, in words."""
    shares: PlaceShares
    limits: bool
    """It is needed most, or the runs cannot tell it from the one that is."""
    before: tuple[WaitsBefore, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRun:
    """One tool that feeds the line in the runs."""

    name: str
    parts: tuple[str, ...]
    cycle_s: float
    shares: PlaceShares
    limits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreOfIt:
    """One thing more, tried alone: what it gives."""

    words: str
    """"One more person at paint"."""
    more: More
    station: str
    gain_per_h: Estimated
    per_h: Estimated
    shown: Verdict
    """Holds: it gives more. Does not hold: it gives less. Not shown: the runs cannot tell."""
    is_nothing: bool
    """In every run the line made just as much without it."""
    reaches_plan: Verdict | None
    """With it alone; None where no rate is planned."""
    is_of_assumed: bool
    """Of places that nobody wrote down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRunFound:
    """What runs of a line gave, what limits it and what more of something gives."""

    programme: str
    programme_title: str
    invented: bool
    line: str
    headline: str
    verdict: Verdict | None
    """Whether the planned rate is reached; None where none is planned."""
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    unsaid: tuple[Unsaid, ...]
    planned_per_h: float | None
    stations: tuple[StationRun, ...]
    presses: tuple[PressRun, ...]
    more: tuple[MoreOfIt, ...]
    """The largest gain first; empty where nothing more was tried."""
    more_confidence: float | None
    """Of all gains together."""
    simulated: LineSimulated
    compared: WhatMoreGives | None
    pilot: str
    """The pilot whose cycles were taken; empty for none."""
    pilots: tuple[str, ...]
    """Pilots of the line that could be asked for."""
    method: str
    cautions: tuple[Caution, ...] = ()
