"""People and presses at work: each place is a process that waits, works, stands still and hands on."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterator
from math import inf, log2
from typing import Any

from simpy import Environment, Event

from offtool.core.pilot.simulation.draws import Purpose, stream, times, uniform
from offtool.core.pilot.simulation.flow import Book, Piece, Store, Way
from offtool.core.pilot.simulation.given import Arrivals, Learning, MouldingPress, StationGiven, Stoppage

BUSY, STARVED, BLOCKED, DOWN, AWAY = range(5)
"""What a place does: plain numbers, because they are counted some ten million times."""

Process = Generator[Event, Any, None]


class Place:
    """One person or machine: what it does now, since when, and what time it has spent on what.

    `away` counts the breaks that keep it away: they may overlap.
    """

    __slots__ = ("away", "idle", "made", "since", "spent", "stands", "state", "until_stop", "wanted", "works")

    def __init__(self, works: Iterator[float], stands: Iterator[float]) -> None:
        self.spent = [0.0] * 5
        self.state = self.wanted = STARVED
        self.since = 0.0
        self.away = 0
        self.idle = False
        self.made = 0
        self.works, self.stands = works, stands
        self.until_stop = next(works)

    def turn(self, wanted: int, now: float) -> None:
        """Do something else from now on; who waits while everyone is away is away."""
        self.spent[self.state] += now - self.since
        self.since, self.wanted = now, wanted
        self.state = AWAY if self.away and wanted in (STARVED, BLOCKED) else wanted

    def spent_up_to(self, now: float) -> list[float]:
        """Time spent on each state, that which goes on included."""
        spent = self.spent.copy()
        spent[self.state] += now - self.since
        return spent

    def work(self, env: Environment, seconds: float) -> Process:
        """Work so long, with the stoppages that fall into it; what was begun is gone on with."""
        while seconds >= self.until_stop:
            yield env.timeout(self.until_stop)
            seconds -= self.until_stop
            self.turn(DOWN, env.now)
            yield env.timeout(next(self.stands))
            self.turn(BUSY, env.now)
            self.until_stop = next(self.works)
        self.until_stop -= seconds
        yield env.timeout(seconds)


def never() -> Iterator[float]:
    """The time to a stoppage where there is none."""
    while True:
        yield inf


class Numbers:
    """The streams of one run."""

    __slots__ = ("run", "seed")

    def __init__(self, seed: int, run: int) -> None:
        self.seed, self.run = seed, run

    def place(self, name: str, stoppage: Stoppage | None, place: int) -> Place:
        """A place with its own stoppages."""
        if stoppage is None:
            return Place(never(), never())
        return Place(
            times(stoppage.works_s, stream(self.seed, self.run, name, Purpose.WORKS_UNTIL, place)),
            times(stoppage.stands_s, stream(self.seed, self.run, name, Purpose.STANDS, place)),
        )


class StationAtWork:
    """A station in a run: its people, the stores before it, its box of rework, its fixtures."""

    def __init__(self, env: Environment, given: StationGiven, book: Book, numbers: Numbers) -> None:
        self.env, self.given, self.book = env, given, book
        self.places = [numbers.place(given.name, given.stoppage, i) for i in range(given.people)]
        self.stores = [Store(env, intake, self) for intake in given.takes]
        self.work_times = times(given.time, stream(numbers.seed, numbers.run, given.name, Purpose.WORK))
        self.luck = uniform(stream(numbers.seed, numbers.run, given.name, Purpose.FAILS))
        self.rework: deque[Piece] = deque()
        self.most_rework = 0
        self.free = inf if given.fixtures is None else given.fixtures
        self.fixtures_s, self.since = 0.0, 0.0
        """Fixtures under way, added up over time."""
        self.idle = self.hungry = 0
        """People who wait, and those of them who are not away."""
        self.news = env.event()
        self.way: Way
        self.rework_way: StationAtWork | None = None

    def start(self) -> None:
        """Put everyone to work."""
        for place in self.places:
            self.env.process(self._work(place))

    @property
    def hands(self) -> int:
        """People who wait, are there and can begin: they are room for a piece."""
        return self.hungry if self.free else 0

    def call(self) -> None:
        """Something has changed that the people who wait may wait for."""
        if self.idle:
            news, self.news = self.news, self.env.event()
            news.succeed()

    def fixture_back(self) -> None:
        """A fixture is free again."""
        self.tick(self.env.now)
        self.free += 1
        self.call()

    def tick(self, now: float) -> None:
        """Bring the sum over time of the fixtures up to now."""
        if self.given.fixtures is not None:
            self.fixtures_s += (self.given.fixtures - self.free) * (now - self.since)
            self.since = now

    def lay_in_box(self, piece: Piece) -> None:
        """Lay a piece into the box of rework."""
        self.rework.append(piece)
        self.most_rework = max(self.most_rework, len(self.rework))
        self.call()

    def rest(self, begins_s: float, ends_s: float, people: int | None) -> Process:
        """A break: so many people take up nothing new while it lasts."""
        yield self.env.timeout(begins_s)
        gone = sorted(self.places, key=lambda one: one.away)[:people]  # who is there, first
        self._change_breaks(gone, 1)
        yield self.env.timeout(ends_s - begins_s)
        self._change_breaks(gone, -1)
        for store in self.stores:
            store.let_in()
        self.call()

    def _change_breaks(self, gone: list[Place], change: int) -> None:
        for one in gone:
            self.hungry -= one.idle and not one.away
            one.away += change
            one.turn(one.wanted, self.env.now)
            self.hungry += one.idle and not one.away

    def _ready(self) -> bool:
        if not self.free:
            return False
        if self.rework:
            return True
        if not self.stores:
            return self.given.endless
        for store in self.stores:  # noqa: SIM110 a generator costs more than the rest of the call
            if not store.ripe:
                return False
        return True

    def _work(self, place: Place) -> Process:
        env, given = self.env, self.given
        factor = _learned(given.learning)
        while True:
            if place.away or not self._ready():
                yield from self._wait(place)
            piece = self._take()
            place.turn(BUSY, env.now)
            seconds = next(self.work_times)
            if given.learning is not None:
                place.made += 1
                seconds *= factor(place.made)
            if seconds < place.until_stop:  # the usual case, without a generator within a generator
                place.until_stop -= seconds
                yield env.timeout(seconds)
            else:
                yield from place.work(env, seconds)
            if given.fails and next(self.luck) < given.fails:
                self._fail(piece)
            elif not self.way.offer(piece):
                taken = self.way.wait(piece)
                place.turn(BLOCKED, env.now)
                yield taken

    def _wait(self, place: Place) -> Process:
        self._count_idle(place, idle=True)
        place.turn(STARVED, self.env.now)
        for store in self.stores:
            if store.held:
                store.let_in()
        while place.away or not self._ready():
            yield self.news
        self._count_idle(place, idle=False)

    def _count_idle(self, place: Place, *, idle: bool) -> None:
        place.idle = idle
        change = 1 if idle else -1
        self.idle += change
        self.hungry += 0 if place.away else change

    def _take(self) -> Piece:
        if self.rework:
            piece = self.rework.popleft()
        elif not self.stores:
            piece = self.book.new_piece(self.env.now)
        else:
            piece = self.stores[0].take()
            for store in self.stores[1:]:
                self.book.join(piece, store.take(), self.env.now)
        if self.given.fixtures is not None:
            self.tick(self.env.now)
            self.free -= 1
            piece.fixture_of = self
        return piece

    def _fail(self, piece: Piece) -> None:
        if self.rework_way is None or piece.sent_back(self) >= self.given.rounds:
            self.book.scrap(piece, self.env.now)
            return
        piece.send_back(self)
        piece.leave_fixture()
        self.rework_way.lay_in_box(piece)


def _learned(learning: Learning | None) -> Any:
    """The factor on the time of the n-th piece that an operator makes in the run."""
    if learning is None:
        return None
    b = log2(learning.rate)  # T_n = T_1 n^b
    last = inf if learning.until_piece is None else learning.until_piece

    def factor(made: int) -> float:
        piece: float = min(learning.made_before + made, last)
        return float((piece / learning.time_of_piece) ** b)

    return factor


class PressAtWork:
    """A press in a run: one place that gives a part of each cavity at the end of each cycle."""

    def __init__(self, env: Environment, given: MouldingPress, book: Book, numbers: Numbers) -> None:
        self.env, self.given, self.book = env, given, book
        self.places = [numbers.place(given.name, given.stoppage, 0)]
        self.cycles = times(given.cycle, stream(numbers.seed, numbers.run, given.name, Purpose.WORK))
        self.luck = [
            uniform(stream(numbers.seed, numbers.run, given.name, Purpose.REJECTS, i))
            for i, _ in enumerate(given.cavities)
        ]
        self.ways: list[Way] = []
        self.made = dict.fromkeys(given.parts, 0)
        self.laid_aside = dict.fromkeys(given.parts, 0)
        """Good parts that were made, and those of them for which there was no room."""
        self.back = env.event()

    def start(self) -> None:
        """Start the first cycle."""
        self.env.process(self._work(self.places[0]))

    def rest(self, begins_s: float, ends_s: float, people: int | None) -> Process:
        """A break: the press ends its cycle and stands."""
        yield self.env.timeout(begins_s)
        place = self.places[0]
        place.away += 1
        place.turn(place.wanted, self.env.now)
        yield self.env.timeout(ends_s - begins_s)
        place.away -= 1
        place.turn(place.wanted, self.env.now)
        back, self.back = self.back, self.env.event()
        back.succeed()

    def _work(self, place: Place) -> Process:
        while True:
            while place.away:
                place.turn(STARVED, self.env.now)
                yield self.back
            place.turn(BUSY, self.env.now)
            yield from place.work(self.env, next(self.cycles))
            for cavity, luck, way in zip(self.given.cavities, self.luck, self.ways, strict=True):
                if cavity.rejects and next(luck) < cavity.rejects:
                    self.book.rejected += 1
                    continue
                self.made[cavity.part] += 1
                if self.given.runs_on and not way.has_room():
                    self.laid_aside[cavity.part] += 1
                    continue
                part = self.book.new_piece(self.env.now)
                if not way.offer(part):
                    taken = way.wait(part)
                    place.turn(BLOCKED, self.env.now)
                    yield taken


def arrive(env: Environment, given: Arrivals, book: Book, way: Way, numbers: Numbers) -> Process:
    """Pieces that come from elsewhere."""
    gaps = times(given.every, stream(numbers.seed, numbers.run, given.item, Purpose.ARRIVES))
    while True:
        yield env.timeout(next(gaps))
        piece = book.new_piece(env.now)
        if not way.offer(piece):
            yield way.wait(piece)
