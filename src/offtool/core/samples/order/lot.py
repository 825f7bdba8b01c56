"""A lot of pieces of unknown age and what was seen on them, and what each reading is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput

MOST_SAMPLES = 500
MOST_COLUMNS = 150
HIGHEST_GRADE = 9

SHARES_OF_USUAL = (0.25, 0.5, 1.0, 2.0)
"""How much more or less often this lot may have been misread than is usual: all equally probable at first."""
MOST_MISREAD = 0.45
"""A look that is wrong in every second case tells nothing."""

Cell = bool | int | None
"""There, not there, or not looked at; of a graded detail its grade."""


class ColumnKind(StrEnum):
    """How a detail behaves from tool state to tool state."""

    STAYS = "stays"
    """It comes and stays, but for a repair."""
    GOES = "goes"
    """The early pieces have it, later ones do not."""
    COMES_AND_GOES = "comes and goes"
    """An insert, a date wheel: it tells nothing of the order."""
    GRADED = "graded"
    """0, 1, 2, 3: how far a gate was opened; it only grows."""


@dataclass(frozen=True, slots=True)
class Lot:
    """Samples × details; `seen` has one row for each sample. Without `kinds` every detail stays."""

    samples: tuple[str, ...]
    details: tuple[str, ...]
    seen: tuple[tuple[Cell, ...], ...]
    kinds: tuple[ColumnKind | str, ...] = ()

    def __post_init__(self) -> None:
        if not self.kinds:
            object.__setattr__(self, "kinds", (ColumnKind.STAYS,) * len(self.details))
        _refuse_twice("samples", self.samples)
        _refuse_twice("details", self.details)
        self._refuse_shape()
        for row in self.seen:
            for cell, detail, kind in zip(row, self.details, self.kinds, strict=True):
                _refuse_cell(cell, detail, kind)

    def _refuse_shape(self) -> None:
        remedy = "give one row for each sample and one cell for each detail"
        if len(self.seen) != len(self.samples):
            raise ImpossibleInput("seen", len(self.seen), "rows", "must be as many as the samples", remedy)
        if len(self.kinds) != len(self.details):
            raise ImpossibleInput("kinds", len(self.kinds), "", "must be as many as the details", remedy)
        for sample, row in zip(self.samples, self.seen, strict=True):
            if len(row) != len(self.details):
                limit = f"must be as many as the details, in the row of {sample}"
                raise ImpossibleInput("seen", len(row), "cells", limit, remedy)
        if len(self.samples) > MOST_SAMPLES:
            limit = f"must be at most {MOST_SAMPLES}"
            raise ImpossibleInput("samples", len(self.samples), "", limit, "order the lot in parts")


def _refuse_twice(argument: str, names: Sequence[str]) -> None:
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            raise ImpossibleInput(argument, name, "", "stands twice", "give each its own name")


def _refuse_cell(cell: Cell, detail: str, kind: str) -> None:
    known = {one.value for one in ColumnKind}
    if kind not in known:
        raise ImpossibleInput(
            "kinds", kind, "", "is no kind of detail", f"known are: {', '.join(sorted(known))}"
        )
    if cell is None:
        return
    if kind == ColumnKind.GRADED:
        if isinstance(cell, bool) or not 0 <= cell <= HIGHEST_GRADE:
            limit = f"must be a grade from 0 to {HIGHEST_GRADE}"
            raise ImpossibleInput("seen", cell, f"of {detail}", limit, "grade it, or make it a yes or no")
    elif not isinstance(cell, bool):
        raise ImpossibleInput("seen", cell, f"of {detail}", "must be there, not there or not looked at")


@dataclass(frozen=True, slots=True)
class Columns:
    """The yes/no columns of a lot that can tell something of its order.

    A change happens to each column once: a detail comes, one of the kind "goes" goes, a grade is reached.
    `before` and `after` are the log-likelihoods of the readings when it has not happened yet and when it has;
    both are 0 where nothing was looked at.
    """

    names: tuple[str, ...]
    detail: tuple[int, ...]
    """The detail of each column, as a place in the lot."""
    sample: tuple[int, ...]
    """The samples that are placed, as places in the lot."""
    read: NDArray[np.int8]
    """1 there, 0 not there, -1 not looked at; samples × columns."""
    before: NDArray[np.float64]
    after: NDArray[np.float64]
    goes: NDArray[np.bool_]
    """The change takes the detail away."""
    may_be_repaired: NDArray[np.bool_]
    lower: tuple[int, ...]
    """The column of the grade below; -1 where there is none."""
    upper: tuple[int, ...]
    missed: float
    imagined: float

    def misread(self, times: float) -> Columns:
        """The same readings, misread so many times as often."""
        missed, imagined = (min(one * times, MOST_MISREAD) for one in (self.missed, self.imagined))
        there, away = _log_likelihoods(self.read, missed, imagined)
        return replace(
            self,
            before=np.where(self.goes, there, away),
            after=np.where(self.goes, away, there),
            missed=missed,
            imagined=imagined,
        )

    @property
    def count(self) -> int:
        return len(self.names)

    @property
    def samples(self) -> int:
        return len(self.sample)


@dataclass(frozen=True, slots=True, kw_only=True)
class TellsNothing:
    """A detail that says nothing of the order, and why."""

    detail: str
    why: str


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One yes/no column as it is drawn out of a detail."""

    name: str
    detail: int
    read: tuple[int, ...]
    kind: ColumnKind
    is_first_grade: bool


def columns_of(lot: Lot, *, missed: float, imagined: float) -> tuple[Columns, tuple[TellsNothing, ...]]:
    """The columns that tell something, and the details that do not."""
    drawn: list[_Drawn] = []
    nothing: list[TellsNothing] = []
    for place, (detail, kind) in enumerate(zip(lot.details, lot.kinds, strict=True)):
        cells = [row[place] for row in lot.seen]
        why = _tells_nothing(cells, ColumnKind(kind))
        if why:
            nothing.append(TellsNothing(detail=detail, why=why))
        else:
            drawn += _draw(place, detail, ColumnKind(kind), cells)
    if len(drawn) > MOST_COLUMNS:
        limit = f"must be at most {MOST_COLUMNS} that tell something, each grade counted"
        raise ImpossibleInput("details", len(drawn), "", limit, "leave out what was seldom looked at")
    return _put_together(drawn, len(lot.samples), missed, imagined), tuple(nothing)


def _tells_nothing(cells: Sequence[Cell], kind: ColumnKind) -> str:
    looked = [cell for cell in cells if cell is not None]
    if kind is ColumnKind.COMES_AND_GOES:
        return "it comes and goes"
    if not looked:
        return "it was looked at on no sample"
    if len(looked) == 1:
        return "it was looked at on one sample only"
    return "it is the same on all samples" if len(set(looked)) == 1 else ""


def _draw(place: int, detail: str, kind: ColumnKind, cells: Sequence[Cell]) -> list[_Drawn]:
    if kind is not ColumnKind.GRADED:
        read = tuple(-1 if cell is None else int(cell) for cell in cells)
        return [_Drawn(detail, place, read, kind, True)]
    grades = sorted({int(cell) for cell in cells if cell is not None})
    found: list[_Drawn] = []
    for grade in grades[1:]:
        read = tuple(-1 if cell is None else int(cell >= grade) for cell in cells)
        found.append(_Drawn(f"{detail} ≥ {grade}", place, read, kind, not found))
    return found


def _put_together(drawn: list[_Drawn], samples: int, missed: float, imagined: float) -> Columns:
    read = np.array([one.read for one in drawn], dtype=np.int8).reshape(len(drawn), samples).T
    placed = np.flatnonzero((read >= 0).any(axis=1))
    read = read[placed]
    goes = np.array([one.kind is ColumnKind.GOES for one in drawn], dtype=bool)
    lower = tuple(-1 if one.is_first_grade else place - 1 for place, one in enumerate(drawn))
    upper = tuple(place + 1 if place in lower[place + 1 : place + 2] else -1 for place in range(len(lower)))
    unread = np.zeros(read.shape)
    return Columns(
        names=tuple(one.name for one in drawn),
        detail=tuple(one.detail for one in drawn),
        sample=tuple(int(one) for one in placed),
        read=read,
        before=unread,
        after=unread,
        goes=goes,
        may_be_repaired=np.array([one.kind is ColumnKind.STAYS for one in drawn], dtype=bool),
        lower=lower,
        upper=upper,
        missed=missed,
        imagined=imagined,
    ).misread(1.0)


def _log_likelihoods(
    read: NDArray[np.int8], missed: float, imagined: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Of each reading, where the detail is there and where it is not."""
    there = np.select([read == 1, read == 0], [np.log1p(-missed), np.log(missed)], 0.0)
    away = np.select([read == 1, read == 0], [np.log(imagined), np.log1p(-imagined)], 0.0)
    return there, away
