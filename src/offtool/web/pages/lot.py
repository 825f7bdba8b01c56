"""The page of a lot: its order from early to late, what contradicts it, what would settle it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.samples.order import LotGroup, LotOrder, OddCell
from offtool.core.samples.order.lot import Cell
from offtool.core.values import Caution
from offtool.exchange.readings.table import RefusedCell
from offtool.reports.lot_strip import PHONE_WIDTH, draw_lot_strip, sure_in_words
from offtool.reports.words import chance, listed
from offtool.steps.findings import Action, Fact
from offtool.steps.lot_place import LotPlace
from offtool.steps.order_samples import LotFound
from offtool.steps.sentences import count
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.reading import column_letters

SURE = 0.95
"""Pairs surer than that are not listed. Our own."""
MOST_PAIRS = 12
MATRIX_UP_TO = 16
"""With more samples a table of all pairs is read by nobody; the JSON has it."""
CELLS_SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """Samples that are not told apart."""

    number: int
    samples: str
    changes: str
    """What came and went since the group before."""
    sure: str
    """How sure it is that they are later than the group before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CellShown:
    """What was read, and for an odd cell what the rest of the lot says."""

    read: str
    look: str
    """A class: there, away, unseen, odd."""
    expected: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRow:
    """One sample over the details, in the order of the lot."""

    sample: str
    href: str
    group: str
    cells: tuple[CellShown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OddRow:
    """A reading that contradicts the others."""

    sample: str
    detail: str
    read: str
    expected: str
    sure: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """Two samples whose order is not sure."""

    first: str
    second: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierRow:
    """How probably one sample is of an earlier state than each of the others."""

    sample: str
    chances: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotShown:
    """A lot in order."""

    which: str
    strip: SafeString
    strip_narrow: SafeString
    actions: tuple[Action, ...]
    groups: tuple[GroupRow, ...]
    details: tuple[str, ...]
    """In the order in which they came, those that tell nothing last."""
    samples: tuple[SampleRow, ...]
    odd: tuple[OddRow, ...]
    undone: tuple[str, ...]
    pairs: tuple[PairRow, ...]
    more_pairs: int
    earlier: tuple[EarlierRow, ...]
    not_placed: str
    rests_on: tuple[Fact, ...]
    refused: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPage:
    """A lot that is to be chosen, or one in order."""

    frame: Frame
    when: str
    headline: str
    refusal: str
    """Why there is no order."""
    choose: Any
    """The form that chooses part and samples; None outside a programme."""
    here: str
    table_form: Any
    table_here: str
    shown: LotShown | None
    ground_href: str
    samples_href: str


def lot_page(
    place: LotPlace | None,
    *,
    choose: Any = None,
    table_form: Any,
    found: LotFound | None = None,
    refusal: str = "",
    as_json: str = "",
) -> LotPage:
    """The page, in a programme or without one."""
    own = [place.programme] if place else []
    headline = found.headline if found else "Put a lot of pieces in the order in which their steel was made."
    if refusal:
        headline = "There is no order yet."
    return LotPage(
        frame=_frame(place, as_json=as_json),
        when=place.programme_title if place else "",
        headline=headline,
        refusal=refusal,
        choose=choose,
        here=reverse("lot", args=own) if place else "",
        table_form=table_form,
        table_here=reverse("order_table"),
        shown=_shown(found) if found else None,
        ground_href=reverse("ground", args=own) if place else "",
        samples_href=reverse("samples", args=own) if place else "",
    )


def _frame(place: LotPlace | None, *, as_json: str) -> Frame:
    here = "Order of a lot"
    if place is None:
        return Frame(title=here, crumbs=(Crumb(text=here),))
    crumbs = (
        Crumb(text=place.programme_title, href=reverse("programme", args=[place.programme])),
        Crumb(text="Samples", href=reverse("samples", args=[place.programme])),
        Crumb(text=here),
    )
    title = f"{here}, {place.programme_title}"
    return Frame(title=title, crumbs=crumbs, invented=place.invented, as_json=as_json)


def _shown(found: LotFound) -> LotShown:
    order = found.order
    pairs = sorted(_unsure(order), key=lambda one: one[0])
    details = tuple(_details_in_order(found))
    return LotShown(
        which=_which(found),
        strip=mark_safe(draw_lot_strip(order)),  # noqa: S308 our own drawing
        strip_narrow=mark_safe(draw_lot_strip(order, width=PHONE_WIDTH)),  # noqa: S308 our own drawing
        actions=found.actions,
        groups=tuple(_group(number, one) for number, one in enumerate(order.groups, start=1)),
        details=details,
        samples=tuple(_samples(found, details)),
        odd=tuple(map(_odd, order.odd)),
        undone=tuple(f"{one.detail}, {chance(one.probability)}" for one in order.undone),
        pairs=tuple(one for _, one in pairs[:MOST_PAIRS]),
        more_pairs=max(len(pairs) - MOST_PAIRS, 0),
        earlier=tuple(_earlier(order)),
        not_placed=listed(order.not_placed),
        rests_on=tuple(_rests_on(found)),
        refused=tuple(_cell(one) for one in found.refused[:CELLS_SHOWN]),
        notes=found.notes,
        cautions=found.cautions,
    )


def _which(found: LotFound) -> str:
    lot = f"{count(len(found.lot.samples), 'sample')}, {count(len(found.lot.details), 'detail')}"
    return f"{found.file}: {lot}" if found.file else f"part {found.part}: {lot}"


def _group(number: int, one: LotGroup) -> GroupRow:
    came = f"{listed(one.came)} came" if one.came else ""
    went = f"{listed(one.went)} went" if one.went else ""
    changes = "; ".join(filter(None, (came, went)))
    sure = ""
    if one.probability is None:
        changes = f"shows {listed(one.shows)}" if one.shows else "shows none of the changes"
    else:
        sure = f"later than {number - 1}: {sure_in_words(one.probability)}, {chance(one.probability)}"
    return GroupRow(
        number=number,
        samples=", ".join(one.samples),
        changes=changes or "other readings, no change for sure",
        sure=sure,
    )


def _details_in_order(found: LotFound) -> Iterator[str]:
    """The details as columns: a graded one stands where its first grade came."""
    steps = [name.split(" ≥ ")[0] for step in found.order.details for name in step.details]
    known = [name for name in dict.fromkeys(steps) if name in found.lot.details]
    yield from known
    yield from (name for name in found.lot.details if name not in known)


def _samples(found: LotFound, details: Sequence[str]) -> Iterator[SampleRow]:
    lot, order = found.lot, found.order
    odd = {(one.sample, one.detail.split(" ≥ ")[0]): one for one in order.odd}
    groups = [(str(number), one.samples) for number, one in enumerate(order.groups, start=1)]
    for number, samples in [*groups, ("not placed", order.not_placed)]:
        for sample in samples:
            row = lot.seen[lot.samples.index(sample)]
            cells = {
                detail: _read(cell, odd.get((sample, detail)))
                for detail, cell in zip(lot.details, row, strict=True)
            }
            yield SampleRow(
                sample=sample,
                href=_sample_href(found, sample),
                group=number,
                cells=tuple(cells[detail] for detail in details),
            )


def _sample_href(found: LotFound, sample: str) -> str:
    """The page of a sample; its name in a lot is its number, and the part's label where it has several."""
    return reverse("sample", args=[found.programme, sample.split(" ")[0]]) if found.programme else ""


def _read(cell: Cell, odd: OddCell | None) -> CellShown:
    if cell is None:
        return CellShown(read="not looked at", look="unseen", expected="")
    read = {True: "there", False: "not there"}[cell] if isinstance(cell, bool) else str(cell)
    if odd is not None:
        return CellShown(read=read, look="odd", expected=f"the rest says {odd.expected}")
    return CellShown(read=read, look="there" if cell else "away", expected="")


def _odd(one: OddCell) -> OddRow:
    probability = 1 / (1 + exp(-one.log_odds))
    return OddRow(
        sample=one.sample,
        detail=one.detail,
        read=one.read,
        expected=one.expected,
        sure=f"{sure_in_words(probability)}, {chance(probability)}",
        words=one.words,
    )


def _unsure(order: LotOrder) -> Iterator[tuple[float, PairRow]]:
    """Pairs that stand in different groups, and are not sure to."""
    group_of = {sample: i for i, one in enumerate(order.groups) for sample in one.samples}
    for i, first in enumerate(order.samples):
        for j, second in enumerate(order.samples):
            before = order.earlier[i][j]
            if group_of.get(first, 0) < group_of.get(second, 0) and before < SURE:
                says = (
                    f"{sure_in_words(before)}, {chance(before)}; of one state {chance(order.same[i][j])}, "
                    f"the other way round {chance(order.earlier[j][i])}"
                )
                yield before, PairRow(first=first, second=second, says=says)


def _earlier(order: LotOrder) -> Iterator[EarlierRow]:
    """All pairs of a small lot, in its order."""
    if not 1 < len(order.samples) <= MATRIX_UP_TO:
        return
    placed = [order.samples.index(sample) for group in order.groups for sample in group.samples]
    for i in placed:
        chances = tuple("" if i == j else chance(order.earlier[i][j]) for j in placed)
        yield EarlierRow(sample=order.samples[i], chances=chances)


def _rests_on(found: LotFound) -> Iterator[Fact]:
    order = found.order
    yield Fact(about="Way", says=order.method)
    missed, imagined = chance(order.missed), chance(order.imagined)
    yield Fact(about="Misread", says=f"{missed} of what is there missed, {imagined} imagined, as it shows")
    for one in order.tells_nothing:
        yield Fact(about=f"{one.detail} tells nothing", says=one.why)


def _cell(one: RefusedCell) -> str:
    """E14 as a spreadsheet says it, what stands there, and what to do."""
    return f"{column_letters(one.column)}{one.row}: {one.found} {one.why}; {one.remedy}"
