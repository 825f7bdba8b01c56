"""What no line can be: refused by the name of the station, press or item before anything is run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from offtool.core.pilot.simulation.asked import LARGEST_CREW
from offtool.core.pilot.simulation.given import (
    PLANNED,
    SHARE,
    Intake,
    Learning,
    Line,
    MouldingPress,
    StationGiven,
    Stoppage,
)
from offtool.core.values import ImpossibleInput, nearest


def check_line(line: Line) -> None:
    """Refuse a line that cannot run, naming what stands in the way."""
    if not line.stations:
        raise ImpossibleInput("stations", "none", "", "a line needs a station", "give its stations")
    _names(line)
    for station in line.stations:
        _station(line, station)
    for press in line.presses:
        _press(line, press)
    for arrival in line.arrivals:
        arrival.every.check(f"{arrival.item}, every")
    _items(line)
    _no_circle(line)
    _breaks(line)
    _planned(line)


def finished_item(line: Line) -> str:
    """The item that nobody takes: what leaves the line."""
    taken = line.taker
    return next(one.item for one in line.stations if one.item not in taken)


def _names(line: Line) -> None:
    names = Counter([*(one.name for one in line.stations), *(one.name for one in line.presses)])
    for name, count in names.items():
        if not name.strip():
            raise ImpossibleInput("name", "blank", "", "a station needs a name", "give it one")
        if count > 1:
            raise ImpossibleInput("name", name, "", f"stands {count} times", "give each its own name")


def _whole(argument: str, value: int | None, least: int, remedy: str) -> None:
    if value is None:
        return
    if isinstance(value, bool) or value != int(value):
        raise ImpossibleInput(argument, value, "", "must be a whole number", remedy)
    if value < least:
        raise ImpossibleInput(argument, value, "", f"must be at least {least}", remedy)


def _station(line: Line, one: StationGiven) -> None:
    where = one.name
    _whole(f"{where}: people", one.people, 1, "put someone there, or leave the station out")
    if one.people > LARGEST_CREW:
        limit = f"must be at most {LARGEST_CREW}"
        raise ImpossibleInput(f"{where}: people", one.people, "", limit, "split the station")
    one.time.check(f"{where}, time")
    _share(f"{where}: fails", one.fails)
    _whole(f"{where}: fixtures", one.fixtures, 1, "give the fixtures that there are, or leave it blank")
    _rework(line, one)
    _fed(line, one)
    for intake in one.takes:
        _intake(where, intake)
    _stoppage(where, one.stoppage)
    _learning(where, one.learning)


def _share(argument: str, share: float) -> None:
    if share == 1:
        raise ImpossibleInput(argument, share, "", "must be below 1: nothing would ever pass", SHARE.remedy)
    SHARE.refuse_impossible(argument, share)


def _rework(line: Line, one: StationGiven) -> None:
    where = f"{one.name}: rework_to"
    _whole(f"{one.name}: rounds", one.rounds, 0, "say how often a piece may be sent back")
    if one.rework_to:
        names = [station.name for station in line.stations]
        if one.rework_to not in names:
            raise ImpossibleInput(where, one.rework_to, "", "is no station", nearest(one.rework_to, names))
        if not one.rounds:
            remedy = "say how often a piece may be sent back, or leave the rework out"
            raise ImpossibleInput(
                f"{one.name}: rounds", 0, "", "must be at least 1 where there is rework", remedy
            )
    elif one.rounds:
        remedy = "name the station, or leave the rounds out"
        raise ImpossibleInput(where, "blank", "", "must name a station where there are rounds", remedy)


def _fed(line: Line, one: StationGiven) -> None:
    if one.endless and one.takes:
        limit = "must take nothing where its material is endless"
        raise ImpossibleInput(f"{one.name}: takes", one.takes[0].item, "", limit, "leave one of them out")
    reworked = any(other.rework_to == one.name for other in line.stations)
    if not (one.endless or one.takes or reworked):
        remedy = "say what it takes, or that its material is always at hand"
        raise ImpossibleInput(f"{one.name}: takes", "nothing", "", "nothing would ever come to it", remedy)


def _intake(where: str, intake: Intake) -> None:
    what = f"{where}: places for {intake.item}"
    _whole(what, intake.places, 0, "0 hands straight on; blank means that there is always room")
    if intake.cure_s < 0 or intake.cure_s != intake.cure_s:
        limit = "must be at least 0"
        raise ImpossibleInput(f"{where}: cure_s of {intake.item}", intake.cure_s, "s", limit, "give it in s")
    if intake.cure_s and intake.places == 0:
        raise ImpossibleInput(
            what, 0, "", "must be at least 1: a piece that cures needs a place", "give the rack"
        )


def _stoppage(where: str, one: Stoppage | None) -> None:
    if one is not None:
        one.works_s.check(f"{where}, works until it stops")
        one.stands_s.check(f"{where}, stands")


def _learning(where: str, one: Learning | None) -> None:
    if one is None:
        return
    if not 0.5 <= one.rate <= 1:
        remedy = "0.8 to 0.9 is common; 1 is no learning"
        raise ImpossibleInput(
            f"{where}: learning rate", one.rate, "", "must be at least 0.5 and at most 1", remedy
        )
    remedy = "count pieces from 1"
    _whole(f"{where}: time_of_piece", one.time_of_piece, 1, remedy)
    _whole(f"{where}: made_before", one.made_before, 0, remedy)
    _whole(f"{where}: until_piece", one.until_piece, 1, remedy)


def _press(line: Line, one: MouldingPress) -> None:
    one.cycle.check(f"{one.name}, cycle")
    _stoppage(one.name, one.stoppage)
    if not one.cavities:
        raise ImpossibleInput(
            f"{one.name}: cavities", "none", "", "a press needs a cavity", "give its cavities"
        )
    for cavity in one.cavities:
        _share(f"{one.name}, cavity {cavity.label}: rejects", cavity.rejects)
        if cavity.part not in line.taker:
            remedy = nearest(cavity.part, line.taker)
            limit = "no station takes it"
            raise ImpossibleInput(f"{one.name}, cavity {cavity.label}: part", cavity.part, "", limit, remedy)


def _items(line: Line) -> None:
    taken = Counter(intake.item for one in line.stations for intake in one.takes)
    given = {one.item for one in line.stations}
    given |= {cavity.part for press in line.presses for cavity in press.cavities}
    given |= {one.item for one in line.arrivals}
    for station in line.stations:
        for intake in station.takes:
            if intake.item not in given:
                remedy = nearest(intake.item, given)
                raise ImpossibleInput(f"{station.name}: takes", intake.item, "", "nobody gives it", remedy)
            if taken[intake.item] > 1:
                remedy = "give them as one station with more people, or name two items"
                limit = "is taken by more than one station"
                raise ImpossibleInput(f"{station.name}: takes", intake.item, "", limit, remedy)
    for one in line.arrivals:
        if one.item not in taken:
            raise ImpossibleInput("arrivals", one.item, "", "no station takes it", nearest(one.item, taken))
    finished = sorted({one.item for one in line.stations if one.item not in taken})
    if len(finished) != 1:
        remedy = "exactly one item leaves the line: let a station take each of the others"
        shown = ", ".join(finished) or "nothing"
        raise ImpossibleInput("finished item", shown, "", "must be one item", remedy)


def _no_circle(line: Line) -> None:
    """Refuse stations that wait for each other's items: no first piece could ever be made."""
    before = {
        one.name: {other.name for other in line.stations for i in one.takes if other.item == i.item}
        for one in line.stations
    }
    left = dict(before)
    while free := [name for name, needs in left.items() if not needs & left.keys()]:
        for name in free:
            del left[name]
    if left:
        circle = " → ".join(_round(left))
        remedy = "send pieces back as rework, not as what a station takes"
        raise ImpossibleInput("stations", circle, "", "wait for each other: no piece can begin", remedy)


def _round(left: dict[str, set[str]]) -> Iterator[str]:
    """One circle among stations that all need another of them, from the giver to the taker."""
    path = [next(iter(left))]
    while path[-1] not in path[:-1]:
        path.append(min(left[path[-1]] & left.keys()))
    yield from reversed(path[path.index(path[-1]) :])


def _breaks(line: Line) -> None:
    people: dict[str, int | None] = {one.name: one.people for one in line.stations}
    people |= {one.name: 1 for one in line.presses}
    for one in line.breaks:
        where = f"break at {one.station or 'all stations'}"
        if not 0 <= one.begins_h < one.ends_h:
            limit = f"must be after its beginning at {one.begins_h:g} h, and that not before 0"
            raise ImpossibleInput(
                f"{where}: ends_h", one.ends_h, "h", limit, "give both from the start of the run"
            )
        if one.station and one.station not in people:
            raise ImpossibleInput(
                "break: station", one.station, "", "is no station", nearest(one.station, people)
            )
        _whole(f"{where}: people", one.people, 1, "blank means all of them")


def _planned(line: Line) -> None:
    if line.planned_per_h is not None:
        PLANNED.refuse_impossible("planned_per_h", line.planned_per_h)
