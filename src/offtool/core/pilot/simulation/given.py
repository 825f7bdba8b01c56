"""What a simulated line is made from: stations, presses, arrivals, breaks, and what may be added to them.

Every station gives one item under a name and takes one each of the items it names. The item that nobody takes
is the finished product. Times are seconds for work, hours for the shift.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.values import ImpossibleInput, Range

SHARE = Range(meaning="share of pieces", at_least=0, below=1, remedy="give it as a share: 0.03 for 3 %")
ABOVE_ZERO = Range(meaning="time", unit="s", above=0, remedy="take the time of one piece with a watch")
PLANNED = Range(meaning="planned rate", unit="pieces/h", above=0, remedy="leave it out where none is planned")
NOT_NEGATIVE = Range(meaning="spread", unit="s", at_least=0)


class TimeShape(StrEnum):
    """How a time scatters about its mean."""

    CONSTANT = "constant"
    LOGNORMAL = "lognormal"
    GAMMA = "gamma"
    EXPONENTIAL = "exponential"
    MEASURED = "measured"
    """One of the measured times, drawn again with replacement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RandomTime:
    """A time that scatters: mean and spread with a shape, or the readings themselves."""

    shape: TimeShape
    mean_s: float = 0.0
    """Left out for measured times."""
    spread_s: float = 0.0
    """Standard deviation; for lognormal and gamma only."""
    readings_s: tuple[float, ...] = ()

    @property
    def middle_s(self) -> float:
        """The mean, from readings where there are some."""
        return sum(self.readings_s) / len(self.readings_s) if self.readings_s else self.mean_s

    def check(self, where: str) -> None:
        """Refuse what cannot be, naming whose time it is."""
        if self.shape is TimeShape.MEASURED:
            if not self.readings_s:
                remedy = "give the times that were taken, or a mean and a spread"
                raise ImpossibleInput(
                    f"{where}: readings_s", "none", "", "must hold at least one time", remedy
                )
            ABOVE_ZERO.refuse_impossible(f"{where}: readings_s", self.readings_s)
            return
        if self.readings_s:
            remedy = "call them measured, or leave them out"
            raise ImpossibleInput(f"{where}: shape", self.shape.value, "", "has no use for readings", remedy)
        ABOVE_ZERO.refuse_impossible(f"{where}: mean_s", self.mean_s)
        NOT_NEGATIVE.refuse_impossible(f"{where}: spread_s", self.spread_s)
        if self.spread_s and self.shape in (TimeShape.CONSTANT, TimeShape.EXPONENTIAL):
            limit = f"must be left out: a time that is {self.shape.value} has no spread of its own"
            raise ImpossibleInput(
                f"{where}: spread_s", self.spread_s, "s", limit, "call it lognormal or gamma"
            )


def constant_time(seconds: float) -> RandomTime:
    """The same time for every piece."""
    return RandomTime(shape=TimeShape.CONSTANT, mean_s=seconds)


def exponential_time(mean_s: float) -> RandomTime:
    """A time that forgets: the usual model of arrivals and of the time to a stoppage."""
    return RandomTime(shape=TimeShape.EXPONENTIAL, mean_s=mean_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """Wright: each doubling of an operator's pieces takes the time of a piece to `rate` times what it was.

    The station's time is that of piece `time_of_piece`; each operator has made `made_before` pieces, and
    nothing more is gained after piece `until_piece`.
    """

    rate: float
    time_of_piece: int
    made_before: int = 0
    until_piece: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stoppage:
    """A place that stops after so much time of work, and stands so long; it does not age while it waits."""

    works_s: RandomTime
    stands_s: RandomTime


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """What a station takes, and the places between it and whoever gives it.

    With a cure, the places are those of the rack, and a piece may be taken when it has lain so long.
    """

    item: str
    places: int | None
    """None: there is always room."""
    cure_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StationGiven:
    """A station: as many parallel places as people, each working one piece at a time.

    A piece that fails goes to `rework_to` (this station, an earlier one or one for rework), until this
    one has sent it back `rounds` times; then it is scrap. It waits there in a box without limit, is taken
    first, and needs no new parts. A fixture is taken with the piece and comes back when the next station
    takes the piece out of it.
    """

    name: str
    time: RandomTime
    people: int
    takes: tuple[Intake, ...] = ()
    endless: bool = False
    """Its material is always at hand; only where it takes nothing."""
    gives: str = ""
    """The item it gives; blank: its own name."""
    fails: float = 0.0
    rework_to: str = ""
    rounds: int = 0
    stoppage: Stoppage | None = None
    learning: Learning | None = None
    fixtures: int | None = None

    @property
    def item(self) -> str:
        return self.gives or self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class PressCavity:
    """One cavity: the part it gives each cycle, and the share that is thrown out at the press."""

    label: str
    part: str
    rejects: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldingPress:
    """A press that gives a part of each cavity after each cycle.

    It waits where a box is full; one that runs on lays aside the parts for which there is no room.
    """

    name: str
    cycle: RandomTime
    cavities: tuple[PressCavity, ...]
    stoppage: Stoppage | None = None
    runs_on: bool = False

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that it makes, each once."""
        return tuple(dict.fromkeys(cavity.part for cavity in self.cavities))


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrivals:
    """An item that comes from elsewhere, one at a time; it waits outside where there is no room."""

    item: str
    every: RandomTime


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A stretch in which people are away; what is in hand is finished first.

    Blank `station`: every station, but no press. Blank `people`: all of them.
    """

    begins_h: float
    ends_h: float
    station: str = ""
    people: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A whole line."""

    stations: tuple[StationGiven, ...]
    presses: tuple[MouldingPress, ...] = ()
    arrivals: tuple[Arrivals, ...] = ()
    breaks: tuple[Break, ...] = ()
    planned_per_h: float | None = None

    def station(self, name: str) -> StationGiven:
        """The station of that name."""
        return next(one for one in self.stations if one.name == name)

    @property
    def taker(self) -> dict[str, str]:
        """Which station takes an item."""
        return {intake.item: one.name for one in self.stations for intake in one.takes}


class More(StrEnum):
    """What can be added to a line."""

    PERSON = "person"
    PLACE = "buffer place"
    FIXTURE = "fixture"


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """One more person, fixture, or place for an item before a station."""

    more: More
    station: str
    item: str = ""
    """For a place: which of the items that the station takes."""

    @property
    def words(self) -> str:
        what = f"{self.more.value} for {self.item}" if self.item else self.more.value
        return f"one more {what} at {self.station}"
