"""Tests of the law on own pieces: kept once, and set aside with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime

from offtool.core.values import NotEnoughData
from offtool.handbook.terms import Market
from offtool.handbook.toy_law import ToyTestKind
from offtool.records.models import Part, Programme, ToyTestPiece, ToyTestRun
from offtool.records.operations.defining import plain_columns
from offtool.records.operations.tested import FileOfTest, Kept


@dataclass(frozen=True, slots=True, kw_only=True)
class NewToyTestPiece:
    """One piece that was pulled, turned or dropped, and the row it was read from."""

    piece: str
    part: Part | None = None
    value: float | None = None
    """How far it was pulled or turned."""
    unit: str = ""
    drops: int | None = None
    height_m: float | None = None
    held: bool
    came_off_mm: float | None = None
    """Largest size of what came off."""
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewToyTest:
    """A test of the law as it was carried out, with its file as it came. Its day is the file's `done_on`."""

    file: FileOfTest
    market: Market
    test: ToyTestKind


def kept_toy_tests_of(
    programme: Programme, market: Market | None = None, test: ToyTestKind | None = None
) -> Kept[ToyTestRun]:
    """The tests of the law that a programme has, to be kept once and set aside.

    One file may hold several tests: it is kept once for each market and test.
    """
    same = {} if market is None else {"market": market.value, "test": test}
    return Kept(ToyTestRun, "test of the law", programme, "programme", bytes_among=same)


def keep_toy_test(
    programme: Programme,
    new: NewToyTest,
    pieces: Sequence[NewToyTestPiece],
    *,
    read_at: datetime,
    read_by: str,
) -> ToyTestRun:
    """Keep a test of the law and all its pieces, in one transaction. Returns it as kept.

    Raises NotEnoughData without pieces; AlreadyKept for bytes that count as this test for this
    market; OfftoolError for a name that is taken, a part of another programme, or a value that cannot be.
    """
    if not pieces:
        remedy = "read a file with a row for each piece"
        raise NotEnoughData("no pieces in it", where=new.file.file_name, remedy=remedy)
    return kept_toy_tests_of(programme, new.market, new.test).store(
        new.file,
        lambda kept: [_piece(kept, one) for one in pieces],
        read_at=read_at,
        read_by=read_by,
        market=new.market.value,
        test=new.test,
    )


def set_toy_test_aside(run: ToyTestRun, reason: str, *, made_by: str) -> None:
    """Let a test count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for one that is set aside already.
    """
    kept_toy_tests_of(run.programme).set_aside(run.name, reason, made_by=made_by)


def _piece(run: ToyTestRun, one: NewToyTestPiece) -> ToyTestPiece:
    return ToyTestPiece(
        run=run, **plain_columns({each.name: getattr(one, each.name) for each in fields(one)})
    )
