"""Readings one by one, as a person looks at them: where they were read, and whether they count."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np

from offtool.records.models import Characteristic, Exclusion, Trial
from offtool.records.reading_arrays import NOT_RECORDED
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key


class Counts(StrEnum):
    """Whether a reading is used in a judgement."""

    YES = "counts"
    UNSETTLED = "not settled"
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSeen:
    """One reading as it was measured, and the cell it was read from."""

    reading_id: int
    size: str
    cavity: str
    shot: int | None
    part_no: int | None
    value: float
    counts: Counts
    pointed_at: bool
    """It lies farther from its cavity's others than chance puts one in a trial."""
    reason: str
    """Why it is left out; empty where it is not."""
    said_by: str
    """Who left it out."""
    file: str
    row: int
    column: int

    @property
    def cell(self) -> str:
        """Where it was read: file, row and column."""
        return f"{self.file} row {self.row}, column {self.column}"


@dataclass(frozen=True, slots=True, kw_only=True)
class WordSaid:
    """A person's word on a reading: left out, or taken back in; every word is kept."""

    value: float
    cell: str
    is_left_out: bool
    reason: str
    made_at: datetime
    made_by: str


def words_on(trial: Trial, characteristic: Characteristic) -> tuple[WordSaid, ...]:
    """Every word on the readings of a size at a trial, the newest first."""
    kept = Exclusion.objects.filter(reading__source__trial=trial, reading__characteristic=characteristic)
    rows = kept.select_related("reading__source").defer("reading__source__content").order_by("-pk")
    return tuple(
        WordSaid(
            value=row.reading.value,
            cell=f"{row.reading.source.name} row {row.reading.row}, column {row.reading.column}",
            is_left_out=row.is_left_out,
            reason=row.reason,
            made_at=row.made_at,
            made_by=row.made_by,
        )
        for row in rows
    )


def readings_of(seen: TrialEvidence, size: SizeSeen) -> Iterator[ReadingSeen]:
    """All readings of a size, in the order of the shots and then of the file."""
    shot = seen.readings.shot[size.rows]
    order = size.rows[np.argsort(np.where(shot == NOT_RECORDED, np.iinfo(np.int64).max, shot), kind="stable")]
    return one_by_one(seen, size_key(size.characteristic), order, used=set(size.used.tolist()))


def pointed_at_in(seen: TrialEvidence) -> Iterator[ReadingSeen]:
    """The readings of a trial that are pointed at, size by size."""
    pointed = set(seen.pointed_at.tolist())
    for size in seen.sizes if pointed else ():
        rows = [row for row in size.used.tolist() if row in pointed]
        yield from one_by_one(seen, size_key(size.characteristic), rows, used=set(rows))


def one_by_one(
    seen: TrialEvidence, size: str, rows: Iterable[int], *, used: set[int]
) -> Iterator[ReadingSeen]:
    """These rows of the trial's readings."""
    names = dict(seen.trial.source_files.values_list("pk", "name"))
    words = {row.reading_id: row for row in seen.left_out.rows}
    pointed = set(seen.pointed_at.tolist())
    columns = seen.readings
    for row in rows:
        reading_id = int(columns.reading_id[row])
        word = words.get(reading_id)
        yield ReadingSeen(
            reading_id=reading_id,
            size=size,
            cavity=seen.cavity_labels.get(int(columns.cavity_id[row]), ""),
            shot=_known(int(columns.shot[row])),
            part_no=_known(int(columns.part[row])),
            value=float(columns.value[row]),
            counts=Counts.LEFT_OUT if word else Counts.YES if int(row) in used else Counts.UNSETTLED,
            pointed_at=int(row) in pointed,
            reason=word.reason if word else "",
            said_by=word.made_by if word else "",
            file=names.get(int(columns.source_id[row]), ""),
            row=int(columns.row[row]),
            column=int(columns.column[row]),
        )


def left_out_in(seen: TrialEvidence) -> Iterator[ReadingSeen]:
    """The readings of a trial that a person left out, with the reason."""
    for word in seen.left_out.rows:
        reading = word.reading
        yield ReadingSeen(
            reading_id=reading.pk,
            size=f"{reading.characteristic.part.code} {reading.characteristic.number}",
            cavity=reading.cavity.label if reading.cavity else "",
            shot=reading.shot.number if reading.shot else None,
            part_no=reading.part_no,
            value=reading.value,
            counts=Counts.LEFT_OUT,
            pointed_at=False,
            reason=word.reason,
            said_by=word.made_by,
            file=reading.source.name,
            row=reading.row,
            column=reading.column,
        )


def _known(number: int) -> int | None:
    return None if number == NOT_RECORDED else number
