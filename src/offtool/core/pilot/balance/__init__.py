"""Line balance: which task is done at which station, with what is proved of it."""

from offtool.core.pilot.balance.balance import best_rate, fewest_stations
from offtool.core.pilot.balance.given import LineEquipment, LineGiven, LineStation, LineTask, Side
from offtool.core.pilot.balance.results import (
    Evenness,
    LineBalance,
    LineBound,
    PlacedTask,
    StationLoad,
)

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
    "best_rate",
    "fewest_stations",
]
