"""Seams in the record: defining them, and keeping their weld studies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import LONGEST_NAME, Appearance, Failure, Ridge
from offtool.records.acting import acting_as
from offtool.records.models import Cavity, Gauge, Programme, Seam, Trial, WeldRun, WeldStudy
from offtool.records.operations.defining import SEAM_SIZE, NewSize, write_defined
from offtool.records.operations.tested import FileOfTest, Kept
from offtool.records.plain import plain_text
from offtool.records.queries.seams import NUMBERS
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewWeldRun:
    """One piece that was welded, and the row it was read from; None where nothing was written down."""

    piece: str
    top_cavity: Cavity | None
    bottom_cavity: Cavity | None
    time_s: float | None
    pressure_bar: float | None
    amplitude_um: float | None
    hold_s: float | None
    energy_j: float | None
    collapse_mm: float | None
    strength_n: float | None
    failure: Failure
    height_mm: float | None
    flash_mm: float | None
    appearance: Appearance
    ridge: Ridge
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewWeldStudy:
    """A weld study as it was carried out, with its file as it came."""

    file: FileOfTest
    gauge: Gauge | None = None
    top_trial: Trial | None = None
    bottom_trial: Trial | None = None


def store_seam(
    programme: Programme,
    columns: Mapping[str, Any],
    sizes: Sequence[NewSize],
    *,
    made_by: str,
    seam: Seam | None = None,
) -> Seam:
    """Write a seam and its sizes, in one transaction: a new one, or the one given as it is to be from now.

    Raises OfftoolError for what the record refuses; nothing is changed then.
    """
    kept = seam or Seam(programme=programme)
    write_defined(kept, columns, sizes, SEAM_SIZE, made_by=made_by)
    return kept


def delete_seam(seam: Seam, *, made_by: str) -> None:
    """Take a seam out of the record. Raises OfftoolError where something hangs on it, such as a study."""
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        for thing, rows in (
            ("weld studies", seam.studies),
            ("audits of pilots", seam.pilot_audits),
            ("tasks of a line", seam.line_tasks),
            ("changes told of it", seam.changes_made),
        ):
            number = rows.count()
            if number:
                raise OfftoolError(
                    f"seam {seam.code} has {thing} ({number}) in the record",
                    remedy="what was measured stays: change the seam instead",
                )
        seam.delete()


def kept_studies_of(seam: Seam) -> Kept[WeldStudy]:
    """The weld studies of a seam, to be kept once and set aside."""
    return Kept(WeldStudy, "weld study", seam, "seam")


def store_weld_study(
    seam: Seam, study: NewWeldStudy, runs: Sequence[NewWeldRun], *, read_at: datetime, read_by: str
) -> WeldStudy:
    """Keep a weld study and all its runs, in one transaction. Returns it as kept.

    Raises NotEnoughData without runs; AlreadyKept for bytes that count as a study of this seam;
    OfftoolError for a name that is taken, a trial of another programme, or a value that cannot be.
    """
    where = study.file.file_name
    if not runs:
        raise NotEnoughData("no runs in it", where=where, remedy="read a file with a row for each piece")
    return kept_studies_of(seam).store(
        study.file,
        lambda kept: [_run(kept, one) for one in runs],
        read_at=read_at,
        read_by=read_by,
        gauge=study.gauge,
        top_trial=study.top_trial,
        bottom_trial=study.bottom_trial,
    )


def _run(study: WeldStudy, one: NewWeldRun) -> WeldRun:
    return WeldRun(
        study=study,
        piece=plain_text(one.piece)[:LONGEST_NAME],
        top_cavity=one.top_cavity,
        bottom_cavity=one.bottom_cavity,
        failure=one.failure.value,
        appearance=one.appearance.value,
        ridge=one.ridge.value,
        row=one.row,
        **{name: getattr(one, name) for name in NUMBERS},
    )
