"""The order of a lot: samples of the register by their details, or a table that somebody brought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offtool import __version__
from offtool.core.samples.order import ColumnKind, Lot, LotOrder, order_lot
from offtool.core.values import Caution, NotEnoughData
from offtool.exchange.lot_table import read_lot
from offtool.exchange.readings.table import RefusedCell
from offtool.handbook.terms import DetailKind
from offtool.records.models import Detail, SeenDetail
from offtool.records.queries import find_programme
from offtool.records.queries.samples import as_counted
from offtool.steps.findings import Action
from offtool.steps.keep_sample import part_named
from offtool.steps.overview import is_invented
from offtool.steps.sentences import count

METHOD = f"offtool {__version__}"
SEED = 1
"""Walks and intervals start from the same numbers, so that the same lot gives the same answer."""
MOST_LOOKS = 3
FEWEST = 2
UNREAD = Caution("cells that could not be read count as not looked at")


@dataclass(frozen=True, slots=True, kw_only=True)
class LotFound:
    """A lot in order: what it shows, what to look at next."""

    programme: str
    programme_title: str
    invented: bool
    part: str
    """The part whose details were compared; empty for a table that was brought."""
    file: str
    headline: str
    actions: tuple[Action, ...]
    lot: Lot
    order: LotOrder
    refused: tuple[RefusedCell, ...]
    """Cells of the table that could not be read."""
    notes: tuple[str, ...]
    method: str
    cautions: tuple[Caution, ...] = ()


def order_of_samples(programme: str, part: str, numbers: Sequence[str] = ()) -> LotFound:
    """The samples of a programme that have this part, by its details; `numbers` for some of them only.

    Raises NotInRecord, and NotEnoughData where fewer than two samples were looked at.
    """
    found = find_programme(programme)
    kept = part_named(found, part)
    details = list(kept.details.order_by("code"))
    seen = _seen_on(details, kept.code, numbers)
    if len(seen) < FEWEST:
        raise NotEnoughData(
            f"details of part {kept.code} were looked for on {count(len(seen), 'sample')}",
            remedy="look for its details on two samples at least",
        )
    names = sorted(seen, key=as_counted)
    lot = Lot(
        samples=tuple(names),
        details=_names(details),
        seen=tuple(tuple(seen[name].get(one.pk) for one in details) for name in names),
        kinds=tuple(_kind(one) for one in details),
    )
    order = _ordered(lot)
    return LotFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        part=kept.code,
        file="",
        headline=_headline(order),
        actions=tuple(_actions(order)),
        lot=lot,
        order=order,
        refused=(),
        notes=(),
        method=METHOD,
        cautions=order.cautions,
    )


def order_of_table(content: bytes, name: str, *, sheet: str | None = None) -> LotFound:
    """The order of a lot from a table of samples and details. Raises FileRefused for one it cannot read."""
    table = read_lot(content, name, sheet=sheet)
    lot = Lot(samples=table.samples, details=table.details, seen=table.seen, kinds=table.kinds)
    order = _ordered(lot)
    return LotFound(
        programme="",
        programme_title="",
        invented=False,
        part="",
        file=table.name,
        headline=_headline(order),
        actions=tuple(_actions(order)),
        lot=lot,
        order=order,
        refused=table.refused,
        notes=table.notes,
        method=METHOD,
        cautions=(*((UNREAD,) if table.refused else ()), *order.cautions),
    )


def _seen_on(
    details: Sequence[Detail], part: str, numbers: Sequence[str]
) -> dict[str, dict[int, bool | None]]:
    """By sample, what was seen of each detail by its key; None where nobody was sure, or people disagree."""
    rows = SeenDetail.objects.filter(detail__in=details, set_aside="").select_related("sample_part__sample")
    said: dict[str, dict[int, set[bool]]] = {}
    for row in rows.order_by("seen_at", "pk"):
        sample = row.sample_part.sample
        if not numbers or sample.number in numbers:
            label = row.sample_part.label
            name = sample.number if label == part else f"{sample.number} {label}"
            seen = said.setdefault(name, {}).setdefault(row.detail_id, set())
            if row.is_sure:
                seen.add(row.is_there)
    return {
        name: {key: next(iter(seen)) if len(seen) == 1 else None for key, seen in found.items()}
        for name, found in said.items()
    }


def _names(details: Sequence[Detail]) -> tuple[str, ...]:
    """The details as people call them; by their short names where two are called the same."""
    called = [str(one) for one in details]
    return tuple(
        name if called.count(name) == 1 else one.code for name, one in zip(called, details, strict=True)
    )


def _kind(one: Detail) -> ColumnKind:
    stays = one.kind == DetailKind.STAYS.value
    return ColumnKind.STAYS if stays else ColumnKind.COMES_AND_GOES


def _ordered(lot: Lot) -> LotOrder:
    return order_lot(lot, generator=np.random.default_rng(SEED))


def _headline(order: LotOrder) -> str:
    return order.words[:1].upper() + order.words[1:] + ("" if order.words.endswith(".") else ".")


def _actions(order: LotOrder) -> list[Action]:
    found = [
        Action(
            do=f"Look again at {one.detail} on {one.sample}.",
            because=f"It reads {one.read}, the rest of the piece says {one.expected}: {one.words}.",
            leads_to="",
        )
        for one in order.odd[:MOST_LOOKS]
    ]
    found += [
        Action(
            do=f"Look for {one.detail} on {one.sample}{' again' if one.again else ''}.",
            because=f"It is expected to tell {one.bits:.2f} bits of the order.",
            leads_to="",
        )
        for one in order.look_next[:MOST_LOOKS]
        if not one.again
    ]
    return found
