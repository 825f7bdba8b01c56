"""What a line is balanced from: its tasks, its stations, and equipment that is few or stands somewhere."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.handbook.terms import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTask:
    """A piece of work that one person does at one station without a break."""

    task: str
    time_s: float
    """Mean of its readings, or an estimate."""
    spread_s: float | None = None
    """Standard deviation from piece to piece; None where it is not known."""
    readings: int = 0
    """How many times it was timed; 0 is an estimate."""
    after: tuple[str, ...] = ()
    """Tasks that must be done before."""
    equipment: tuple[str, ...] = ()
    side: Side = Side.EITHER
    station: int | None = None
    """The station it must be done at."""
    together: tuple[str, ...] = ()
    """Tasks that must be done at the same station."""
    apart: tuple[str, ...] = ()
    """Tasks that must not be done at the same station."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStation:
    """What is different at one station."""

    station: int
    people: int | None = None
    """None: as many as the line says, and two where they face each other."""
    two_sided: bool | None = None
    """None: as the line says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineEquipment:
    """A welder, a spray booth, a pad printer: where it stands, or how many there are."""

    equipment: str
    stations: tuple[int, ...] = ()
    """The stations that have it; empty: it may be put at any."""
    at_most: int | None = None
    """It may be put at so many stations; None: at as many as need it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineGiven:
    """A line. Its stations are numbered from 1 in the order in which a piece passes them.

    At a one-sided station each person works on a piece of their own, so that two people have twice the time.
    At a two-sided station two people face each other and work on one piece at once.
    """

    tasks: tuple[LineTask, ...]
    stations: tuple[LineStation, ...] = ()
    """Only those that differ from the rest."""
    equipment: tuple[LineEquipment, ...] = ()
    people: int = 1
    """At each one-sided station that does not say otherwise."""
    two_sided: bool = False
    most_stations: int | None = None
    """There is room for so many; None: for as many as it takes."""

    def is_two_sided(self, station: int) -> bool:
        """Whether two people face each other there."""
        said = self._said(station)
        return self.two_sided if said is None or said.two_sided is None else said.two_sided

    def people_at(self, station: int) -> int:
        """How many people work there."""
        said = self._said(station)
        if said is not None and said.people is not None:
            return said.people
        return FACING if self.is_two_sided(station) else self.people

    def _said(self, station: int) -> LineStation | None:
        return next((one for one in self.stations if one.station == station), None)


FACING = 2
"""People at a two-sided station."""
