"""The page that shows the file of a joint test as it is understood, and keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.steps.findings import Fact
from offtool.steps.joint_test_preview import JointTestKept, JointTestPreview, ReadingsSeen
from offtool.steps.sentences import count
from offtool.web.pages.reading import (
    CELLS_SHOWN,
    DECIMAL_MARKS,
    SEPARATORS,
    CellRow,
    count_large,
)
from offtool.web.pages.study import refused_row, repair_row

NAMES_SHOWN = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenRow:
    """All readings of one kind in one condition."""

    what: str
    condition: str
    unit: str
    readings: int
    pieces: int
    mean: str
    ends: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestShown:
    """What is understood of a file."""

    headline: str
    seen: tuple[SeenRow, ...]
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def joint_test_shown(preview: JointTestPreview) -> JointTestShown:
    """A preview in words."""
    workbook = preview.file.sheet is not None
    return JointTestShown(
        headline=_headline(preview),
        seen=tuple(map(_seen, preview.seen)),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        how=tuple(Fact(about=about, says=says) for about, says in _how(preview) if says),
        notes=preview.file.notes,
        refused=tuple(refused_row(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(repair_row(cell, workbook) for cell in preview.file.repairs[:CELLS_SHOWN]),
    )


def joint_test_kept_in_words(kept: JointTestKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count_large(kept.readings, 'reading')} of {kept.file} are kept as {kept.test}."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")


def _headline(preview: JointTestPreview) -> str:
    start = f"{count_large(preview.readings, 'reading')} of {count(len(preview.pieces), 'piece')}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _seen(one: ReadingsSeen) -> SeenRow:
    return SeenRow(
        what=one.what,
        condition=one.condition,
        unit=one.unit,
        readings=one.readings,
        pieces=one.pieces,
        mean=f"{one.mean:.3g}",
        ends=f"{one.lowest:.3g} to {one.highest:.3g}",
    )


def _how(preview: JointTestPreview) -> list[tuple[str, str]]:
    file = preview.file
    told = [
        ("Inner pieces", _side(preview.inner_part, preview.inner_trial)),
        ("Outer pieces", _side(preview.outer_part, preview.outer_trial)),
        ("Pairs of cavities", _pairs(preview.pairs)),
        ("Pieces", _names(preview.pieces)),
        ("Measured with", preview.gauge or "not said"),
        ("Empty cells", f"{file.missing:,}" if file.missing else ""),
    ]
    if file.sheet is None:
        told += [("Separator", SEPARATORS.get(file.delimiter, file.delimiter)), ("Encoding", file.encoding)]
    else:
        told.append(("Sheet", file.sheet))
    return [*told, ("Decimal mark", DECIMAL_MARKS.get(file.decimal, file.decimal))]


def _side(part: str, trial: str) -> str:
    """HO-04 of M3 T3."""
    return f"{part} of {trial or 'a trial that is not known'}" if part else ""


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    return _names([f"{inner or '?'} with {outer or '?'}" for inner, outer in pairs if inner or outer])


def _names(names: Sequence[str]) -> str:
    more = len(names) - NAMES_SHOWN
    return ", ".join(names[:NAMES_SHOWN]) + (f" and {more} more" if more > 0 else "")
