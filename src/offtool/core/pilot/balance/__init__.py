"""Line balance: which task is done at which station, with what is proved of it."""

from offtool.core.pilot.balance.balance import best_rate, fewest_stations, line_as_placed
from offtool.core.pilot.balance.given import LineEquipment, LineGiven, LineStation, LineTask
from offtool.core.pilot.balance.results import (
    Evenness,
    LineBalance,
    LineBound,
    PlacedTask,
    StationLoad,
)
from offtool.core.pilot.balance.split import best_rate_of_people
from offtool.core.pilot.balance.timed import TimedRate, TimedStation, timed_rate
from offtool.handbook.terms import Side

__all__ = [
    "Evenness",
    "LineBalance",
    "LineBound",
    "LineEquipment",
    "LineGiven",
    "LineStation",
    "LineTask",
    "PlacedTask",
    "Side",
    "StationLoad",
    "TimedRate",
    "TimedStation",
    "best_rate",
    "best_rate_of_people",
    "fewest_stations",
    "line_as_placed",
    "timed_rate",
]
