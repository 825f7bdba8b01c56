"""What a pilot's counts and times show: yields, defects, station times, and what its size leaves open."""

from offtool.core.pilot.yields.halves import FirstAndLast, TimesCompared, first_hour_against_last
from offtool.core.pilot.yields.pilot_size import ChanceToSee, PilotShows, pilot_shows
from offtool.core.pilot.yields.ranking import DefectRanking, RankedDefect, rank_defects
from offtool.core.pilot.yields.rolled import RolledYield, StationYield, YieldOfLine, rolled_yield
from offtool.core.pilot.yields.times import StationTimes, station_times

__all__ = [
    "ChanceToSee",
    "DefectRanking",
    "FirstAndLast",
    "PilotShows",
    "RankedDefect",
    "RolledYield",
    "StationTimes",
    "StationYield",
    "TimesCompared",
    "YieldOfLine",
    "first_hour_against_last",
    "pilot_shows",
    "rank_defects",
    "rolled_yield",
    "station_times",
]
