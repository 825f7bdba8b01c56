"""What a pilot's counts and times show: yields, defects, station times, and what its size leaves open."""

from offtool.core.pilot.yields.audits import AuditsJudged, Drift, HourAudited, judge_audits
from offtool.core.pilot.yields.halves import FirstAndLast, TimesCompared, first_hour_against_last
from offtool.core.pilot.yields.pilot_size import ChanceToSee, PilotShows, pilot_shows
from offtool.core.pilot.yields.ranking import DefectRanking, RankedDefect, rank_defects
from offtool.core.pilot.yields.rate import PilotRate, pilot_rate
from offtool.core.pilot.yields.rolled import RolledYield, StationYield, YieldOfLine, rolled_yield
from offtool.core.pilot.yields.times import StationTimes, station_times

__all__ = [
    "AuditsJudged",
    "ChanceToSee",
    "DefectRanking",
    "Drift",
    "FirstAndLast",
    "HourAudited",
    "PilotRate",
    "PilotShows",
    "RankedDefect",
    "RolledYield",
    "StationTimes",
    "StationYield",
    "TimesCompared",
    "YieldOfLine",
    "first_hour_against_last",
    "judge_audits",
    "pilot_rate",
    "pilot_shows",
    "rank_defects",
    "rolled_yield",
    "station_times",
]
