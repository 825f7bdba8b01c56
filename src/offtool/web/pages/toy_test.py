"""The pages that show the file of a toy test as it is understood, keep it, and say for whom the toy is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.handbook.toy_law import MARKETS, TOY_TESTS_NAMED
from offtool.steps.findings import Fact
from offtool.steps.keep_toy_test import ToyTestKept, ToyTestPreview
from offtool.steps.sentences import count
from offtool.steps.toy_market import MarketKnown
from offtool.web.pages.frame import AS_JSON
from offtool.web.pages.ground import GroundFormPage
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.toy import safety_frame

_MEANT = (
    ("Sold in", "each place has its own tests; of a place that is not listed an accredited laboratory knows"),
    ("Age", "the law gives a toy an age by what it is and how it is sold, whatever the pack says"),
    ("Mass", "from some mass on the law drops a toy otherwise, or not at all"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestShown:
    """What is understood of a file."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    facts: tuple[Fact, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def toy_test_shown(preview: ToyTestPreview) -> ToyTestShown:
    """A preview in words."""
    file = preview.file
    workbook = file.sheet is not None
    return ToyTestShown(
        headline=_headline(preview),
        cautions=tuple(map(with_capital, preview.cautions)),
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        facts=tuple(_facts(preview)),
        how=tuple(_how(preview)),
        notes=file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in file.repairs[:CELLS_SHOWN]),
    )


def _headline(preview: ToyTestPreview) -> str:
    pieces = f"{count(preview.pieces, 'piece')} of " if preview.pieces else ""
    start = f"{pieces}{preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _facts(preview: ToyTestPreview) -> Iterator[Fact]:
    if preview.test:
        yield Fact(about="Test", says=TOY_TESTS_NAMED[next(k for k in TOY_TESTS_NAMED if k == preview.test)])
    if preview.market:
        yield Fact(about="Law of", says=MARKETS[next(k for k in MARKETS if k == preview.market)])
    if preview.pieces:
        yield Fact(about="Held", says=f"{preview.held} of {preview.pieces}")
    if preview.lowest is not None and preview.highest is not None:
        alike = preview.lowest == preview.highest
        span = f"all {preview.lowest:g}" if alike else f"{preview.lowest:g} to {preview.highest:g}"
        yield Fact(about="Loads", says=f"{span} {preview.unit}")
    for part, pieces in preview.parts:
        yield Fact(about=part or "Whole toy", says=count(pieces, "piece"))


def _how(preview: ToyTestPreview) -> Iterator[Fact]:
    file = preview.file
    if file.missing:
        yield Fact(about="Empty cells", says=f"{file.missing:,}")
    if file.sheet is None:
        yield Fact(about="Separator", says=SEPARATORS.get(file.delimiter, file.delimiter))
        yield Fact(about="Encoding", says=file.encoding)
    else:
        yield Fact(about="Sheet", says=file.sheet)
    yield Fact(about="Decimal mark", says=DECIMAL_MARKS.get(file.decimal, file.decimal))


def _repair(cell: Repair, workbook: bool) -> CellRow:
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.read_as, note=cell.why
    )


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.why, note=cell.remedy
    )


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"


def toy_test_kept_in_words(kept: ToyTestKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count(kept.pieces, 'piece')} of {kept.file} are kept as {kept.test} test {kept.name}."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")


def market_page(known: MarketKnown, form: Any) -> GroundFormPage:
    """The page on which is said for whom the toy is."""
    return GroundFormPage(
        frame=safety_frame(
            known.programme, known.programme_title, known.invented, here="For whom", as_json=AS_JSON
        ),
        headline="Where is it sold, for which children, and what does it weigh?",
        lead="Which tests the law asks, and with which values, hangs on it.",
        why=_MEANT,
        form=form,
        done="Keep it",
        back_href=reverse("safety", args=[known.programme]),
    )
