"""The sequence of tool states that a lot of pieces shows, without any record of the tool."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from offtool.core.samples.order.cells import look_next, odd_cells
from offtool.core.samples.order.changes import Numbers, Prior
from offtool.core.samples.order.every_order import every_order, has_few_orders, weigh
from offtool.core.samples.order.found import (
    DetailStep,
    LotGroup,
    LotOrder,
    PlacedSample,
    UndoneDetail,
)
from offtool.core.samples.order.lot import SHARES_OF_USUAL, Columns, Lot, TellsNothing, columns_of
from offtool.core.samples.order.sums import Sums, Way, draw_ranks, mean_of, sum_up
from offtool.core.samples.order.ties import group
from offtool.core.samples.order.walk import not_stuck, walks
from offtool.core.values import Caution, Interval, Range

TOGETHER = 0.5
"""A tool state brings two changes in the mean; common practice, no source."""
CONFIDENCE = 0.9
DRAWS = 1_000
APART = 0.25
"""Walks whose probabilities of a pair differ by more have not come to the same answer. Our own."""
MANY_MISREAD = 0.1
RATE = Range(
    meaning="share of looks that misread", above=0, below=0.5, remedy="0.05 is usual: one look in twenty"
)
REPAIRED = Range(meaning="share of details that are taken back later", at_least=0, at_most=0.5)


def order_lot(
    lot: Lot,
    *,
    missed: float = 0.05,
    imagined: float = 0.03,
    repaired: float = 0.1,
    generator: np.random.Generator,
) -> LotOrder:
    """In which order the pieces of a lot were made, as far as the changes of steel that they show can tell.

    A sample is of one state of the steel, every state equally probable; a state is what the changes up to it
    have made. Each order of the changes, with ties, is equally probable at first; a detail that stays is
    taken back later, the more readily the larger `repaired`. A detail that is there is read as missing with
    probability `missed`, one that is not as there with `imagined`; that this lot is misread a quarter, half,
    once or twice as often is equally probable at first. The states of the samples are summed out exactly; the
    orders are gone through one by one where they are few, else walked through.

    Parameters: ``missed``, ``imagined``, above 0 and below 0.5; ``repaired``, 0 to 0.5; ``generator``, for
    the walks and the intervals. Returns: LotOrder; its groups are those of the best expected agreement with
    the truth. Raises: ImpossibleInput for a rate outside its range.

    Holds when: each column changes by its own step, readings are independent given the state, and steel only
    goes one way but for repairs. Pieces of several cavities are ordered cavity by cavity.

    Example: three pieces that show nothing, a vent, a vent and a date mark, stand in this order.
    """
    for name, value, limit in (
        ("missed", missed, RATE),
        ("imagined", imagined, RATE),
        ("repaired", repaired, REPAIRED),
    ):
        limit.refuse_impossible(name, value)
    columns, tells_nothing = columns_of(lot, missed=missed, imagined=imagined)
    if not columns.count:
        return _nothing_known(lot, tells_nothing, missed, imagined)
    read = _read(columns, Prior(together=TOGETHER, repaired=repaired), generator)
    sums = read.sums
    shown = np.where(columns.goes, 1 - sums.there, sums.there)
    groups = group(sums.earlier)
    odd = odd_cells(lot, columns, shown)
    not_placed = tuple(name for place, name in enumerate(lot.samples) if place not in set(columns.sample))
    return LotOrder(
        samples=tuple(lot.samples[one] for one in columns.sample),
        groups=tuple(_groups(lot, columns, groups, sums.earlier, shown)),
        earlier=_matrix(sums.earlier),
        same=_matrix(sums.same),
        places=_places(lot, columns, read, generator),
        details=tuple(_steps(columns, sums.came_first)),
        undone=_undone(columns, sums.undone),
        odd=odd,
        not_placed=not_placed,
        tells_nothing=tells_nothing,
        look_next=look_next(
            lot, columns, shown, missed=float(sums.missed), imagined=float(sums.imagined)
        ),
        missed=float(sums.missed),
        imagined=float(sums.imagined),
        method=read.method,
        words=_words(len(groups), columns.samples, len(not_placed), len(odd)),
        cautions=tuple(_cautions(columns, read, not_placed, groups)),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Read:
    """The posterior, how it was found, and how far the walks differ."""

    ways: Sequence[Way]
    weights: Numbers
    sums: Sums
    method: str
    apart: float = 0.0
    walks: int = 0
    """How many walks agree to it; 0 where all orders were gone through."""


def _read(columns: Columns, prior: Prior, generator: np.random.Generator) -> _Read:
    misread = tuple(columns.misread(times) for times in SHARES_OF_USUAL)
    if has_few_orders(columns, prior):
        orders = every_order(columns, prior)
        ways, weights = weigh(misread, prior, orders)
        return _Read(ways, weights, sum_up(ways, weights), f"exact, {len(orders):,} orders")
    every_walk = walks(misread, prior, generator)
    walked = not_stuck(every_walk, prior)
    parts = [sum_up(one, np.full(len(one), 1 / len(one))) for one in walked]
    every = [way for one in walked for way in one]
    apart = np.ptp([one.earlier for one in parts], axis=0).max()
    method = f"sampled, {len(every):,} orders in {len(walked)} of {len(every_walk)} walks"
    weights = np.full(len(every), 1 / len(every))
    return _Read(every, weights, mean_of(parts), method, float(apart), len(walked))


def _groups(
    lot: Lot, columns: Columns, groups: list[list[int]], earlier: Numbers, shown: Numbers
) -> Iterator[LotGroup]:
    before: tuple[str, ...] = ()
    for number, members in enumerate(groups):
        shows = _shows(columns, shown[members].mean(axis=0))
        last = groups[number - 1] if number else []
        yield LotGroup(
            samples=tuple(lot.samples[columns.sample[one]] for one in sorted(members)),
            shows=shows,
            came=tuple(one for one in shows if one not in before) if number else (),
            went=tuple(one for one in before if one not in shows),
            probability=float(earlier[np.ix_(last, members)].mean()) if number else None,
        )
        before = shows


def _shows(columns: Columns, probability: Numbers) -> tuple[str, ...]:
    return tuple(name for name, there in zip(columns.names, probability, strict=True) if there > 0.5)


def _steps(columns: Columns, came_first: Numbers) -> Iterator[DetailStep]:
    steps = group(came_first)
    for number, members in enumerate(steps):
        last = steps[number - 1] if number else []
        yield DetailStep(
            details=tuple(columns.names[one] for one in sorted(members)),
            probability=float(came_first[np.ix_(last, members)].mean()) if number else None,
        )


def _places(
    lot: Lot, columns: Columns, read: _Read, generator: np.random.Generator
) -> tuple[PlacedSample, ...]:
    ranks = draw_ranks(read.ways, read.weights, generator, draws=DRAWS)
    low, high = np.quantile(ranks, [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2], axis=0)
    return tuple(
        PlacedSample(
            sample=lot.samples[columns.sample[one]],
            place=float(ranks[:, one].mean()),
            interval=Interval(low=float(low[one]), high=float(high[one]), confidence=CONFIDENCE),
        )
        for one in range(columns.samples)
    )


def _undone(columns: Columns, undone: Numbers) -> tuple[UndoneDetail, ...]:
    return tuple(
        UndoneDetail(detail=columns.names[one], probability=float(undone[one]))
        for one in np.argsort(-undone, kind="stable").tolist()
        if undone[one] > 0.5
    )


def _matrix(values: Numbers) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in np.clip(values, 0, 1).tolist())


def _words(groups: int, placed: int, not_placed: int, odd: int) -> str:
    told = (
        f"{placed} samples in {groups} groups" if groups != 1 else f"{placed} samples that are not told apart"
    )
    left = f"; {not_placed} placed nowhere" if not_placed else ""
    against = f"; {odd} readings stand against the rest" if odd > 1 else ""
    return told + left + (against or ("; one reading stands against the rest" if odd else ""))


def _cautions(
    columns: Columns, read: _Read, not_placed: tuple[str, ...], groups: list[list[int]]
) -> Iterator[Caution]:
    if read.apart > APART:
        yield Caution(
            f"the walks did not come to the same answer: a pair differs by {read.apart:.0%}; trust no single"
            " place, and look at what is asked for next"
        )
    if not_placed:
        yield Caution(
            f"placed nowhere, nothing that tells of the order was looked at: {', '.join(not_placed)}"
        )
    if read.sums.missed > MANY_MISREAD or read.sums.imagined > MANY_MISREAD:
        yield Caution(
            f"about {max(read.sums.missed, read.sums.imagined):.0%} of the readings of one sort are wrong: "
            "have a second person look"
        )
    if len(groups) > 1:
        yield Caution("which end is early rests on what comes and what goes: steel is seldom put back")
    if columns.samples == 1:
        yield Caution("one sample has no order")


def _nothing_known(
    lot: Lot, tells_nothing: tuple[TellsNothing, ...], missed: float, imagined: float
) -> LotOrder:
    return LotOrder(
        samples=(), groups=(), earlier=(), same=(), places=(), details=(), undone=(), odd=(),
        not_placed=lot.samples, tells_nothing=tells_nothing, look_next=(), missed=missed, imagined=imagined,
        method="nothing to order", words="nothing was seen that tells of an order",
        cautions=(Caution("no detail differs between samples: look at more details, or at more samples"),),
    )  # fmt: skip
