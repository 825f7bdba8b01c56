"""A lot on the terminal: the order of its pieces, what contradicts it, what to look at next."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.samples.order import LotOrder
from offtool.core.samples.order.found import LotGroup, OddCell
from offtool.reports.words import chance, listed
from offtool.steps.order_samples import LotFound

MOST_PAIRS = 12
"""Pairs whose order is not sure which are listed; --json has all."""
SURE = 0.95
"""Pairs surer than that are not listed. Our own."""


def lot_lines(found: LotFound) -> list[str]:
    """All lines of a lot."""
    order = found.order
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [
            *heading("What would settle it"),
            *steps([(one.do, one.because) for one in found.actions]),
        ]
    lines += [*heading("From early to late"), *_groups(order)]
    if order.not_placed:
        lines += bullets([f"not placed, nothing that tells was looked at: {listed(order.not_placed)}"])
    lines += _section("What speaks against it", [_odd(one) for one in order.odd])
    lines += _section(
        "Taken back later", [f"{one.detail}, {chance(one.probability)}" for one in order.undone]
    )
    lines += _pairs(order)
    lines += _section("Cells that could not be read", [str(one) for one in found.refused])
    lines += _section("What was understood", list(found.notes))
    lines += [*heading("What it rests on"), *table(list(_rests_on(found)), width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _which(found: LotFound) -> str:
    lot = f"{counted(len(found.lot.samples), 'sample')}, {counted(len(found.lot.details), 'detail')}"
    return f"{found.file}: {lot}." if found.file else f"{found.programme_title}, part {found.part}: {lot}."


def _groups(order: LotOrder) -> list[str]:
    """A line a group: who is in it, what came, how sure it is later than the one before."""
    rows = [[str(i), ", ".join(one.samples), _changes(one, i)] for i, one in enumerate(order.groups, 1)]
    return table_or_bullets(rows, [f"{number}: {who}; {what}" for number, who, what in rows])


def _changes(one: LotGroup, place: int) -> str:
    if one.probability is None:
        return f"shows {listed(one.shows)}" if one.shows else "shows none of the changes"
    came = f"{listed(one.came)} came" if one.came else ""
    went = f"{listed(one.went)} went" if one.went else ""
    said = ", ".join(filter(None, (came, went))) or "other readings"
    return f"{said}; later than {place - 1}: {chance(one.probability)}"


def _odd(one: OddCell) -> str:
    return f"{one.sample}, {one.detail}: read {one.read}, expected {one.expected}; {one.words}"


def _pairs(order: LotOrder) -> list[str]:
    """Pairs that are placed one before the other and are not sure to be."""
    unsure = sorted(_unsure(order), key=lambda one: one[0])
    if not unsure:
        return []
    said = [text for _, text in unsure[:MOST_PAIRS]]
    more = len(unsure) - MOST_PAIRS
    return _section("Not sure", [*said, *([f"and {more:,} more; --json has all"] if more > 0 else [])])


def _unsure(order: LotOrder) -> Iterator[tuple[float, str]]:
    group_of = {sample: i for i, one in enumerate(order.groups) for sample in one.samples}
    for i, first in enumerate(order.samples):
        for j, second in enumerate(order.samples):
            if group_of.get(first, 0) < group_of.get(second, 0) and order.earlier[i][j] < SURE:
                other = f", {second} before {first} {chance(order.earlier[j][i])}"
                same = f", of one state {chance(order.same[i][j])}"
                yield (
                    order.earlier[i][j],
                    f"{first} before {second} {chance(order.earlier[i][j])}{same}{other}",
                )


def _section(title: str, lines: list[str]) -> list[str]:
    return [*heading(title), *bullets(lines)] if lines else []


def _rests_on(found: LotFound) -> Iterator[list[str]]:
    order = found.order
    yield ["Way", order.method]
    yield ["Misread", f"{chance(order.missed)} of what is there is missed, {chance(order.imagined)} imagined"]
    for one in order.tells_nothing:
        yield ["Tells nothing", f"{one.detail}: {one.why}"]
