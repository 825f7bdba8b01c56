"""Read the file of a toy test: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.values import Caution, OfftoolError, nearest
from offtool.exchange.readings import RefusedCell
from offtool.exchange.readings.ledger import quote
from offtool.exchange.toy_tests import ToyPieceRead, ToyTestTable, read_toy_tests
from offtool.handbook.terms import Market
from offtool.handbook.toy_law import MARKETS, TOY_TESTS_NAMED, ToyTestKind, markets_named
from offtool.records.models import Part, Programme, ToyTestRun
from offtool.records.operations import FileOfTest, NewToyTest, NewToyTestPiece, set_toy_test_aside
from offtool.records.operations import keep_toy_test as store
from offtool.records.queries import find_programme, toy_test_runs_of
from offtool.records.queries.finding import NotInRecord
from offtool.steps.assembled_pieces import FilePreview
from offtool.steps.overview import is_invented
from offtool.steps.read_readings import refuse_problems
from offtool.steps.sentences import count, listed

TORQUE_UNIT, FORCE_UNIT = "N·m", "N"
WITHOUT_LOAD: tuple[ToyTestKind, ...] = ("impact", "bite", "flexure")
"""Tests that are told by what held alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestAbout:
    """What a file does not say itself; `drops` and `height_m` where it has no columns for them."""

    market: str = ""
    """US, EU or other; empty for the one market of the programme."""
    test: str = ""
    """Empty for the one test that the file holds."""
    drops: int | None = None
    height_m: float | None = None
    done_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestPreview(FilePreview):
    """How a test is read; `tests` are those that the file holds."""

    programme: str
    market: str
    test: str
    tests: tuple[str, ...]
    pieces: int
    held: int
    parts: tuple[tuple[str, int], ...]
    """The parts and how many pieces of each; an empty code for the whole toy."""
    lowest: float | None
    highest: float | None
    unit: str

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.pieces > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestKept:
    """A test that is now in the record."""

    programme: str
    test: str
    market: str
    name: str
    file: str
    pieces: int
    repairs: int
    left_out: int
    run_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestPlace:
    """Where a file is read: the programme, its markets, and a name for the next test."""

    programme: str
    programme_title: str
    invented: bool
    markets: tuple[str, ...]
    next_name: str


def place_of_toy_test(programme: str) -> ToyTestPlace:
    """Where a test would be kept. Raises NotInRecord."""
    found = find_programme(programme)
    taken = {one.name for one in toy_test_runs_of(found)}
    number = next(i for i in range(1, len(taken) + 2) if f"L{i}" not in taken)
    return ToyTestPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        markets=markets_named(found.markets),
        next_name=f"L{number}",
    )


def preview_toy_test(
    content: bytes, name: str, *, programme: str, about: ToyTestAbout, sheet: str | None = None
) -> ToyTestPreview:
    """How a file would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme.
    """
    return _Understood(content, name, find_programme(programme), about, sheet).preview()


def keep_toy_test(
    content: bytes,
    name: str,
    *,
    programme: str,
    test_name: str,
    about: ToyTestAbout,
    read_at: datetime,
    read_by: str,
    sheet: str | None = None,
    leave_out: bool = False,
) -> ToyTestKept:
    """Keep a test under its own name.

    Raises what `preview_toy_test` raises; CannotKeep where market or test is not said, without a piece, and
    for refused cells unless `leave_out`; AlreadyKept for bytes that count already. Nothing is kept then.
    """
    found = find_programme(programme)
    understood = _Understood(content, name, found, about, sheet)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    kept = store(found, understood.as_new(test_name), understood.pieces, read_at=read_at, read_by=read_by)
    return ToyTestKept(
        programme=found.slug,
        test=kept.test,
        market=kept.market,
        name=kept.name,
        file=kept.file_name,
        pieces=seen.pieces,
        repairs=len(seen.file.repairs),
        left_out=len(seen.refused),
        run_id=kept.pk,
    )


def toy_test_named(programme: Programme, name: str) -> ToyTestRun:
    """A test of this name. Raises NotInRecord."""
    runs = toy_test_runs_of(programme)
    found = next((one for one in runs if one.name.casefold() == name.strip().casefold()), None)
    if found is None:
        remedy = nearest(name, [one.name for one in runs])
        raise NotInRecord(f"there is no toy test {name!r}", where=programme.slug, remedy=remedy)
    return found


def toy_test_aside(programme: str, name: str, *, reason: str, made_by: str) -> None:
    """Let a test count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    set_toy_test_aside(toy_test_named(find_programme(programme), name), reason, made_by=made_by)


class _Understood:
    """A file with what it is matched to in the record."""

    def __init__(
        self, content: bytes, name: str, programme: Programme, about: ToyTestAbout, sheet: str | None
    ) -> None:
        self._content, self._programme, self._about = content, programme, about
        self._table: ToyTestTable = read_toy_tests(content, name, sheet=sheet)
        self._parts = {one.code.casefold(): one for one in programme.parts.all()}
        self._problems: list[str] = []
        self._refused: list[RefusedCell] = []
        self._market = self._which_market()
        self._test = self._which_test()
        self.pieces = list(self._pieces())

    def _which_market(self) -> Market | None:
        """The market that is named, else the only one of the programme."""
        said = self._about.market.strip() or self._programme.markets
        try:
            named = markets_named(said)
        except ValueError as error:
            self._problems.append(f"no market {str(error)!r}: {nearest(str(error), MARKETS)}")
            return None
        if len(named) != 1:
            self._problems.append(f"say for whose law it was tried: {', '.join(named or MARKETS)}")
            return None
        return Market(named[0])

    def _which_test(self) -> ToyTestKind | None:
        """The test that is named, else the only one of the file."""
        said = self._about.test.strip().casefold()
        named = next((one for one in TOY_TESTS_NAMED if one == said), None)
        if named is not None:
            return named
        if said:
            self._problems.append(f"no test {said!r}: {nearest(said, TOY_TESTS_NAMED)}")
        elif len(self._table.tests) == 1:
            return self._table.tests[0]
        else:
            choice = self._table.tests or tuple(TOY_TESTS_NAMED)
            self._problems.append(f"say which test it is: {', '.join(choice)}")
        return None

    def _pieces(self) -> Iterator[NewToyTestPiece]:
        """The pieces of the test that is read."""
        if self._test is None:
            return
        for one in self._table.pieces:
            part = self._part(one)
            if not isinstance(part, RefusedCell) and (piece := self._piece(one, part)) is not None:
                yield piece

    def _part(self, one: ToyPieceRead) -> Part | RefusedCell | None:
        if not one.part:
            return None
        part = self._parts.get(one.part.casefold())
        if part is not None:
            return part
        remedy = nearest(one.part, [found.code for found in self._parts.values()])
        column = self._table.part_column or 0
        refused = RefusedCell(one.row, column, quote(one.part), "is no part of the programme", remedy)
        self._refused.append(refused)
        return refused

    def _piece(self, one: ToyPieceRead, part: Part | None) -> NewToyTestPiece | None:
        """One piece as it is kept; None where it says nothing of this test."""
        if self._test is None:
            return None
        if self._test == "drop":
            return self._dropped(one, part)
        load = one.loads.get(self._test)
        if load is None and (self._test not in WITHOUT_LOAD or one.held is None):
            return None
        held = one.held if one.held is not None else bool(load and load.stopped)
        return NewToyTestPiece(
            piece=one.piece,
            part=part,
            value=load.value if load is not None else None,
            unit=self._unit if load is not None else "",
            held=held,
            came_off_mm=one.came_off_mm,
            row=one.row,
        )

    def _dropped(self, one: ToyPieceRead, part: Part | None) -> NewToyTestPiece | None:
        drops = one.drops if one.drops is not None else self._about.drops
        height = one.height_m if one.height_m is not None else self._about.height_m
        if one.held is None or drops is None or height is None:
            return None
        return NewToyTestPiece(
            piece=one.piece,
            part=part,
            drops=drops,
            height_m=height,
            held=one.held,
            came_off_mm=one.came_off_mm,
            row=one.row,
        )

    @property
    def _unit(self) -> str:
        return TORQUE_UNIT if self._test == "torque" else FORCE_UNIT

    def preview(self) -> ToyTestPreview:
        """What was understood."""
        loads = [one.value for one in self.pieces if one.value is not None]
        parts = Counter(one.part.code if one.part else "" for one in self.pieces)
        refused = sorted(
            {*self._table.file.refused, *self._refused}, key=lambda cell: (cell.row, cell.column)
        )
        return ToyTestPreview(
            programme=self._programme.slug,
            market=self._market.value if self._market is not None else "",
            test=self._test or "",
            tests=self._table.tests,
            pieces=len(self.pieces),
            held=sum(one.held for one in self.pieces),
            parts=tuple(parts.items()),
            lowest=min(loads, default=None),
            highest=max(loads, default=None),
            unit=self._unit if loads else "",
            sha256=hashlib.sha256(self._content).hexdigest(),
            size=len(self._content),
            gauge="",
            file=self._table.file,
            refused=tuple(refused),
            problems=(*self._problems, *self._nothing()),
            cautions=(*self._table.file.cautions, *self._cautions()),
        )

    def _nothing(self) -> Iterator[str]:
        if self._test is not None and not self.pieces:
            missing = " with its drops and height" if self._test == "drop" else ""
            yield f"no piece of it says anything of the {TOY_TESTS_NAMED[self._test]}{missing}"

    def _cautions(self) -> Iterator[Caution]:
        if self._test is not None and (others := [one for one in self._table.tests if one != self._test]):
            yield Caution(f"the file holds {listed(others)} too: keep it once more for each")
        if self._about.done_on is None:
            yield Caution("no day is said: what changed since cannot be told")

    def as_new(self, name: str) -> NewToyTest:
        """The test as the record keeps it. Raises OfftoolError where market or test is not known."""
        if self._market is None or self._test is None:
            raise OfftoolError("market or test is not said", where=self._table.file.name)
        file = FileOfTest(
            name=name.strip(),
            done_on=self._about.done_on,
            note=". ".join(filter(None, [self._about.note.strip(), *self._odd()])),
            file_name=self._table.file.name,
            content=self._content,
        )
        return NewToyTest(file=file, market=self._market, test=self._test)

    def _odd(self) -> Iterator[str]:
        repairs = self._table.file.repairs
        refused: Sequence[RefusedCell] = (*self._table.file.refused, *self._refused)
        if repairs:
            yield f"{count(len(repairs), 'cell')} repaired"
        if refused:
            yield f"{count(len(refused), 'cell')} left out: " + "; ".join(map(str, refused[:3]))
