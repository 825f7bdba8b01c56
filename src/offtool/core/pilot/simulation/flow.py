"""Where pieces lie: between two stations, on a rack that cures, out of the door; and the book of them all."""

from __future__ import annotations

from collections import deque
from math import inf
from typing import TYPE_CHECKING, Protocol

from simpy import Environment, Event

if TYPE_CHECKING:
    from offtool.core.pilot.simulation.given import Intake
    from offtool.core.pilot.simulation.working import StationAtWork


class Piece:
    """A piece in the line: when its oldest part came, by whom it was sent back, the fixture it sits in."""

    __slots__ = ("came", "fixture_of", "sent_back_by")

    def __init__(self, came: float) -> None:
        self.came = came
        self.sent_back_by: list[StationAtWork] | None = None  # most pieces never are
        self.fixture_of: StationAtWork | None = None

    def sent_back(self, by: StationAtWork) -> int:
        """How often a station has sent it back."""
        return self.sent_back_by.count(by) if self.sent_back_by else 0

    def send_back(self, by: StationAtWork) -> None:
        """Note that a station sends it back."""
        self.sent_back_by = [*(self.sent_back_by or ()), by]

    def leave_fixture(self) -> None:
        """Give the fixture back to its station."""
        if self.fixture_of is not None:
            self.fixture_of.fixture_back()
            self.fixture_of = None


class Book:
    """Every piece that came, was joined to another, left good, or was thrown out."""

    __slots__ = (
        "came",
        "good",
        "inside_s",
        "joined",
        "most",
        "rejected",
        "scrapped",
        "seconds_inside",
        "since",
    )

    def __init__(self) -> None:
        self.came = self.joined = self.good = self.scrapped = self.rejected = 0
        self.seconds_inside = 0.0
        """Of the pieces that left good, the time since their oldest part came, added up."""
        self.inside_s = 0.0
        """Pieces inside, added up over time."""
        self.since = 0.0

    @property
    def inside(self) -> int:
        return self.came - self.joined - self.good - self.scrapped

    def tick(self, now: float) -> None:
        """Bring the sum over time up to now; before each change."""
        self.inside_s += self.inside * (now - self.since)
        self.since = now

    def new_piece(self, now: float) -> Piece:
        """A piece comes into the line."""
        self.tick(now)
        self.came += 1
        return Piece(now)

    def join(self, piece: Piece, part: Piece, now: float) -> None:
        """A part becomes part of a piece."""
        self.tick(now)
        self.joined += 1
        if part.came < piece.came:
            piece.came = part.came

    def scrap(self, piece: Piece, now: float) -> None:
        """A piece is thrown out."""
        self.tick(now)
        self.scrapped += 1
        piece.leave_fixture()


class Way(Protocol):
    """Where a finished piece goes."""

    def has_room(self) -> bool:
        """Whether a piece would be taken now."""

    def offer(self, piece: Piece) -> bool:
        """Take it if there is room."""

    def wait(self, piece: Piece) -> Event:
        """Keep it in the giver's hands; the event comes when it has been taken."""


class Door:
    """The end of the line: finished pieces leave good."""

    __slots__ = ("book", "env")

    def __init__(self, env: Environment, book: Book) -> None:
        self.env, self.book = env, book

    def has_room(self) -> bool:
        """There is always room outside."""
        return True

    def offer(self, piece: Piece) -> bool:
        """It leaves."""
        now = self.env.now
        self.book.tick(now)
        self.book.good += 1
        self.book.seconds_inside += now - piece.came
        piece.leave_fixture()
        return True

    def wait(self, piece: Piece) -> Event:
        """Never asked for."""
        raise NotImplementedError


class Store:
    """Places before a station for one item; pieces on a rack are ripe when they have lain long enough."""

    __slots__ = ("came", "cure_s", "curing", "env", "held", "item", "level", "level_s", "most", "places",
                 "ripe", "since", "station")  # fmt: skip

    def __init__(self, env: Environment, intake: Intake, station: StationAtWork) -> None:
        self.env, self.item, self.station = env, intake.item, station
        self.places = inf if intake.places is None else intake.places
        self.cure_s = intake.cure_s
        self.ripe: deque[Piece] = deque()
        self.curing: deque[Piece] = deque()
        self.held: deque[tuple[Piece, Event]] = deque()
        """Pieces in the hands of those who find no room."""
        self.came = self.level = self.most = 0
        self.level_s, self.since = 0.0, 0.0

    def has_room(self) -> bool:
        """A person who waits for it is room too, but not for what must cure."""
        if self.level < self.places:
            return True
        return not self.cure_s and self.level < self.places + self.station.hands

    def offer(self, piece: Piece) -> bool:
        """Take it if there is room."""
        if not self.has_room():
            return False
        self._put(piece)
        return True

    def wait(self, piece: Piece) -> Event:
        """Keep it in the giver's hands; the event comes when it has been taken."""
        event = self.env.event()
        self.held.append((piece, event))
        return event

    def take(self) -> Piece:
        """The piece that has lain longest; its fixture goes back, and who is held up lays down the next."""
        self.tick(self.env.now)
        self.level -= 1
        piece = self.ripe.popleft()
        if piece.fixture_of is not None:
            piece.leave_fixture()
        if self.held:
            self.let_in()
        return piece

    def let_in(self) -> None:
        """As many of the held pieces as there is room for."""
        while self.held and self.offer(self.held[0][0]):
            self.held.popleft()[1].succeed()

    def tick(self, now: float) -> None:
        """Bring the sum over time up to now."""
        self.level_s += self.level * (now - self.since)
        self.since = now

    def _put(self, piece: Piece) -> None:
        self.tick(self.env.now)
        self.came += 1
        self.level += 1
        if self.level > self.most:
            self.most = self.level
        if self.cure_s:
            self.curing.append(piece)
            ripens = self.env.timeout(self.cure_s)
            ripens.callbacks.append(self._ripened)
            return
        self.ripe.append(piece)
        self.station.call()

    def _ripened(self, event: Event) -> None:
        self.ripe.append(self.curing.popleft())
        self.station.call()
