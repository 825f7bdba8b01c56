"""The line as a simulation: what rate it gives, where work waits, what one more of something would give."""

from offtool.core.pilot.simulation.additions import all_additions
from offtool.core.pilot.simulation.compare import what_more_gives
from offtool.core.pilot.simulation.estimates import Estimated
from offtool.core.pilot.simulation.given import (
    Addition,
    Arrivals,
    Break,
    Intake,
    Learning,
    Line,
    More,
    MouldingPress,
    PressCavity,
    RandomTime,
    StationGiven,
    Stoppage,
    TimeShape,
    constant_time,
    exponential_time,
)
from offtool.core.pilot.simulation.results import (
    CountedUse,
    Gain,
    LineSimulated,
    PieceCounts,
    PlaceShares,
    StoreLevel,
    WhatMoreGives,
)
from offtool.core.pilot.simulation.simulate import simulate_line
from offtool.core.pilot.simulation.station_queue import StationQueue, station_queue

__all__ = [
    "Addition",
    "Arrivals",
    "Break",
    "CountedUse",
    "Estimated",
    "Gain",
    "Intake",
    "Learning",
    "Line",
    "LineSimulated",
    "More",
    "MouldingPress",
    "PieceCounts",
    "PlaceShares",
    "PressCavity",
    "RandomTime",
    "StationGiven",
    "StationQueue",
    "Stoppage",
    "StoreLevel",
    "TimeShape",
    "WhatMoreGives",
    "all_additions",
    "constant_time",
    "exponential_time",
    "simulate_line",
    "station_queue",
    "what_more_gives",
]
