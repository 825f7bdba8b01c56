"""A line of the record as the simulation takes it, with all that nobody said and what was taken instead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil

from offtool.core.pilot.simulation import (
    Break,
    Intake,
    Learning,
    Line,
    MouldingPress,
    PressCavity,
    StationGiven,
    Stoppage,
    constant_time,
    exponential_time,
)
from offtool.records.models import Line as KeptLine
from offtool.records.models import LineBreak, LinePress, LineStation, LineTask
from offtool.records.queries import breaks_of, presses_of_line, stations_of, tasks_of
from offtool.steps.line_in_record import LineAsWorked, StationWork
from offtool.steps.line_run_network import Ways, ways_between
from offtool.steps.line_run_times import PilotCycles, StationTime, spread_about, station_time

PARTS_READY_H = 0.5
"""Hours for which parts of a press lie ready at the line; what is more is laid aside. Common practice."""
ROUNDS = 1
"""How often a piece is sent back where nobody said it; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationBuilt:
    """One station of the simulated line beside what the record has of it."""

    work: StationWork
    name: str
    """Its name in the simulated line; no two are alike."""
    said: LineStation | None
    time: StationTime
    given: StationGiven
    takes_from: tuple[str, ...]

    @property
    def nests(self) -> int | None:
        """Fixtures that stay there, one for each who works; None where none are counted or they go round."""
        said = self.said.fixtures if self.said is not None else None
        return said if self.given.fixtures is None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBuilt:
    """The whole line, ready to run."""

    line: Line
    worked: LineAsWorked
    stations: tuple[StationBuilt, ...]
    presses: tuple[LinePress, ...]
    """Those that feed it; `left_out` says of the others why not."""
    left_out: tuple[str, ...]
    loose: tuple[str, ...]
    cycles: PilotCycles
    people_at_hand: int | None


def build_line(
    kept: KeptLine, worked: LineAsWorked, cycles: PilotCycles, *, hours: float, hours_per_day: float
) -> LineBuilt:
    """The line that is run for so many hours; a longer run than a day has the breaks of each day."""
    return _Building(kept, worked, cycles, days_begin_h(hours, hours_per_day)).built()


def days_begin_h(hours: float, hours_per_day: float) -> tuple[float, ...]:
    """When each day of a run begins, in hours from its start: one follows the other without a gap."""
    return tuple(hours_per_day * day for day in range(max(ceil(hours / hours_per_day - 1e-9), 1)))


class _Building:
    """A line while it is put together."""

    def __init__(
        self, kept: KeptLine, worked: LineAsWorked, cycles: PilotCycles, days_h: tuple[float, ...]
    ) -> None:
        self.kept, self.worked, self.cycles, self.days_h = kept, worked, cycles, days_h
        self.said = {one.number: one for one in stations_of(kept)}
        self.tasks: dict[int, LineTask] = {one.pk: one for one in tasks_of(kept)}
        self.names = _names(worked)
        self.ways: Ways = ways_between(
            [one.number for one in worked.stations], {one.number: one.before for one in worked.stations}
        )
        self.left_out: list[str] = []
        self.feeds: dict[str, int] = {}
        self.presses = list(self._presses())
        self.box = box_of_parts(worked)

    def built(self) -> LineBuilt:
        """The whole."""
        stations = tuple(map(self._station, self.worked.stations))
        line = Line(
            stations=tuple(one.given for one in stations),
            presses=tuple(press for _, press in self.presses),
            breaks=tuple(self._breaks()),
            planned_per_h=self.kept.planned_per_h,
        )
        return LineBuilt(
            line=line,
            worked=self.worked,
            stations=stations,
            presses=tuple(kept for kept, _ in self.presses),
            left_out=tuple(self.left_out),
            loose=tuple(self.names[number] for number in self.ways.loose),
            cycles=self.cycles,
            people_at_hand=self.kept.people,
        )

    def _station(self, work: StationWork) -> StationBuilt:
        said = self.said.get(work.number)
        time = station_time(work, self.tasks, self.cycles)
        takes = tuple(self._takes(work, said))
        fails = (said.fails or 0.0) if said else 0.0
        rework_to, rounds = self._rework(said) if fails else ("", 0)
        given = StationGiven(
            name=self.names[work.number],
            time=time.time,
            people=hands(work, said),
            takes=takes,
            endless=not takes,
            fails=fails,
            rework_to=rework_to,
            rounds=rounds,
            stoppage=_stoppage(said.works_s, said.stands_s) if said else None,
            learning=_learning(said),
            fixtures=_going_round(work, said),
        )
        takes_from = tuple(self.names[number] for number in self.ways.takes[work.number])
        return StationBuilt(
            work=work, name=given.name, said=said, time=time, given=given, takes_from=takes_from
        )

    def _takes(self, work: StationWork, said: LineStation | None) -> Iterator[Intake]:
        """What other stations give, with the places that were said or one a person; parts from a box."""
        cure_s = (said.cure_s or 0.0) if said else 0.0
        places = said.places if said else None
        if places is None and not cure_s:
            places = pairs_or_people(work)
        if cure_s and places == 0:
            places = None  # a piece that cures lies somewhere: how many can is not said
        for number in self.ways.takes[work.number]:
            yield Intake(item=self.names[number], places=places, cure_s=cure_s)
        for part, number in self.feeds.items():
            if number == work.number:
                yield Intake(item=item_of(part), places=self.box)

    def _rework(self, said: LineStation | None) -> tuple[str, int]:
        """Where what fails goes; a station where nothing is done cannot mend it, so its own does."""
        if said is None or said.rework_to is None:
            return "", 0
        there = self.names.get(said.rework_to.number, self.names[said.number])
        rounds = ROUNDS if said.rounds is None else said.rounds
        return (there, rounds) if rounds else ("", 0)

    def _breaks(self) -> Iterator[Break]:
        """Who is away, day by day."""
        for one in breaks_of(self.kept):
            usual = self._break_of_a_day(one)
            if usual is not None:
                for day_h in self.days_h:
                    yield replace(usual, begins_h=day_h + usual.begins_h, ends_h=day_h + usual.ends_h)

    def _break_of_a_day(self, one: LineBreak) -> Break | None:
        """Where people stay on the whole line, nobody said at which stations: all are away."""
        if one.station is None:
            return Break(begins_h=one.begins_h, ends_h=one.ends_h)
        there = {work.number: pairs_or_people(work) for work in self.worked.stations}
        away = there.get(one.station.number, 0) - (one.people or 0)
        if away <= 0:
            return None
        name = self.names[one.station.number]
        return Break(begins_h=one.begins_h, ends_h=one.ends_h, station=name, people=away)

    def _presses(self) -> Iterator[tuple[LinePress, MouldingPress]]:
        for one in presses_of_line(self.kept):
            cavities = tuple(self._cavities(one))
            if cavities:
                yield one, _press(one, cavities)

    def _cavities(self, press: LinePress) -> Iterator[PressCavity]:
        for cavity in sorted(press.tool.cavities.all(), key=lambda one: (one.part.code, one.label)):
            part = cavity.part.code
            number = self._taker(press, part)
            if number is None:
                said = f"{part} of tool {press.tool.code}: no task of the line takes it"
                self.left_out += [said] if said not in self.left_out else []
                continue
            self.feeds.setdefault(part, number)
            yield PressCavity(
                label=f"{part} {cavity.label}", part=item_of(part), rejects=press.rejects or 0.0
            )

    def _taker(self, press: LinePress, part: str) -> int | None:
        """The station that takes a part: of the task that was named, else of the first task of that part."""
        if press.task_id is not None:
            wanted = [press.task_id]
        else:
            wanted = [key for key, one in self.tasks.items() if part in parts_of(one)]
        at = {key: one.number for one in self.worked.stations for key in one.task_ids}
        return next((at[key] for key in wanted if key in at), None)


def _names(worked: LineAsWorked) -> Mapping[int, str]:
    """A name for each station that no other has."""
    taken: dict[int, str] = {}
    for one in worked.stations:
        alike = one.name in taken.values()
        taken[one.number] = f"{one.name} ({one.number})" if alike else one.name
    return taken


def item_of(part: str) -> str:
    """A moulded part in the simulated line; a station may be called as a part is."""
    return f"part {part}"


def parts_of(task: LineTask) -> set[str]:
    """The parts that a task works on, those of its joint and seam included."""
    found = {task.part.code} if task.part is not None else set()
    if task.joint is not None:
        sizes = task.joint.sizes.select_related("characteristic__part")
        found |= {one.characteristic.part.code for one in sizes if one.characteristic is not None}
    if task.seam is not None:
        found |= {task.seam.top_part.code, task.seam.bottom_part.code}
    return found


def box_of_parts(worked: LineAsWorked) -> int:
    """Parts that lie ready: what the slowest station takes in so long."""
    slowest = max(one.busy_s for one in worked.stations)
    return max(round(3600 * PARTS_READY_H / slowest), 1)


def pairs_or_people(work: StationWork) -> int:
    """Pieces that are worked at once: one a person, and one for two who face each other."""
    return max(work.people // 2, 1) if work.two_sided else work.people


def hands(work: StationWork, said: LineStation | None) -> int:
    """Pieces that can be worked at once: nobody works without a fixture where there are some."""
    most = pairs_or_people(work)
    return most if said is None or said.fixtures is None else min(most, said.fixtures)


def _going_round(work: StationWork, said: LineStation | None) -> int | None:
    """Fixtures that go on with the piece; one for each who works is a nest that stays where it is."""
    if said is None or said.fixtures is None or said.fixtures <= pairs_or_people(work):
        return None
    return said.fixtures


def _stoppage(works_s: float | None, stands_s: float | None) -> Stoppage | None:
    if works_s is None or stands_s is None:
        return None
    return Stoppage(works_s=exponential_time(works_s), stands_s=exponential_time(stands_s))


def _learning(said: LineStation | None) -> Learning | None:
    """The time that was written down is that of the first piece of the run."""
    if said is None or said.learning is None or said.learning == 1:
        return None
    made = said.made_before or 0
    return Learning(rate=said.learning, time_of_piece=made + 1, made_before=made)


def _press(one: LinePress, cavities: tuple[PressCavity, ...]) -> MouldingPress:
    cycle = (
        spread_about(one.cycle_s, one.cycle_spread_s) if one.cycle_spread_s else constant_time(one.cycle_s)
    )
    return MouldingPress(
        name=f"tool {one.tool.code}",
        cycle=cycle,
        cavities=cavities,
        stoppage=_stoppage(one.works_s, one.stands_s),
        runs_on=True,
    )
