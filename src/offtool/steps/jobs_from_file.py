"""Read the running jobs from a file: first shown as understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from django.db import transaction

from offtool.core.values import Caution, nearest
from offtool.exchange.headed_tables import FileTable
from offtool.exchange.jobs_file import JobRowRead, JobsTable, read_jobs
from offtool.exchange.readings import RefusedCell
from offtool.handbook.colour_changes import unknown_resins
from offtool.handbook.measured_colour import USUAL_OBSERVER, Illuminant
from offtool.records.models import Job, Programme
from offtool.records.operations import define_job
from offtool.records.queries import find_programme, presses_of
from offtool.steps.read_readings import refuse_problems
from offtool.steps.sentences import count, listed

COLUMNS = (
    *("product", "what", "resin", "colour", "lightness", "a", "b"),
    *("begins", "ends", "may_stop", "margin_per_h", "restart_min"),
)
LAB = frozenset({"lightness", "a", "b"})
NEW, CHANGED, SAME = "new", "changed", "as it is"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobInFile:
    """A job as the file would enter it."""

    press: str
    job: str
    says: str
    begins: date
    ends: date | None
    may_stop: bool | None
    margin_per_h: float | None
    standing: str
    """New, changed, or as it is in the record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsPreview:
    """How a list of jobs is read. `problems` must be mended first; refused cells may stay out."""

    sha256: str
    size: int
    file: FileTable
    jobs: tuple[JobInFile, ...]
    refused: tuple[RefusedCell, ...]
    problems: tuple[str, ...]
    cautions: tuple[Caution, ...]
    left_out: tuple[str, ...] = ()
    """Jobs that stay out, because a cell that every job needs cannot be read."""

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and any(one.standing != SAME for one in self.jobs)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsKept:
    """Jobs that are now in the record."""

    programme: str
    file: str
    new: int
    changed: int
    left_out: int
    """Cells."""
    jobs_left_out: tuple[str, ...] = ()


def preview_jobs(content: bytes, name: str, *, programme: str, sheet: str | None = None) -> JobsPreview:
    """How a list of jobs would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme.
    """
    return _Understood(content, name, find_programme(programme), sheet).preview()


def keep_jobs(
    content: bytes,
    name: str,
    *,
    programme: str,
    sheet: str | None = None,
    leave_out: bool = False,
    read_by: str,
) -> JobsKept:
    """Write the jobs of a file: new ones, and those of the same number on the same press as they are now.

    What the file has no column for stays. Raises what `preview_jobs` raises; CannotKeep for problems, and for
    refused cells unless `leave_out`; OfftoolError for what the record cannot hold. Nothing is kept then.
    """
    understood = _Understood(content, name, find_programme(programme), sheet)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    understood.write(read_by)
    return JobsKept(
        programme=programme,
        file=seen.file.name,
        new=sum(one.standing == NEW for one in seen.jobs),
        changed=sum(one.standing == CHANGED for one in seen.jobs),
        left_out=len(seen.refused),
        jobs_left_out=seen.left_out,
    )


def left_out_in_words(jobs: tuple[str, ...]) -> str:
    """2 jobs are left out: A-100 and A-101; their presses look free."""
    if not jobs:
        return ""
    are, their = ("is", "its press looks") if len(jobs) == 1 else ("are", "their presses look")
    return f"{count(len(jobs), 'job')} {are} left out: {listed(jobs)}; {their} free."


class _Understood:
    """A file with what it is matched to in the record."""

    def __init__(self, content: bytes, name: str, programme: Programme, sheet: str | None) -> None:
        self._content, self._programme = content, programme
        self._table: JobsTable = read_jobs(content, name, sheet=sheet)
        self._presses = {one.code: one for one in presses_of(programme)}
        kept = Job.objects.filter(press__programme=programme).select_related("press")
        self._kept = {(one.press.code, one.code): one for one in kept}

    def preview(self) -> JobsPreview:
        """What was understood."""
        file = self._table.file
        return JobsPreview(
            sha256=hashlib.sha256(self._content).hexdigest(),
            size=len(self._content),
            file=file,
            jobs=tuple(self._in_file(row) for row in self._table.rows if not _ends_first(row)),
            refused=file.refused,
            problems=tuple(dict.fromkeys(self._problems())),
            cautions=(*self._of_left_out(), *file.cautions, *self._cautions()),
            left_out=self._left_out(),
        )

    def write(self, by: str) -> None:
        """Keep all that is new or changed."""
        with transaction.atomic():
            for row in self._table.rows:
                columns = self._columns(row)
                now = self._kept.get((row.press, row.job))
                if now is None or self._differs(now, columns):
                    define_job(self._presses[row.press], {"code": row.job, **columns}, made_by=by, job=now)

    def _columns(self, row: JobRowRead) -> dict[str, object]:
        fields = self._table.fields if self._table.fields >= LAB else self._table.fields - LAB
        told: dict[str, object] = {one: getattr(row, one) for one in COLUMNS if one in fields}
        # A file states colours for one light and eye; the handbook's are the usual ones.
        return told | (
            {"illuminant": Illuminant.D65.value, "observer": USUAL_OBSERVER} if fields >= LAB else {}
        )

    def _differs(self, now: Job, columns: dict[str, object]) -> bool:
        return any(getattr(now, one) != value for one, value in columns.items())

    def _in_file(self, row: JobRowRead) -> JobInFile:
        now = self._kept.get((row.press, row.job))
        standing = NEW if now is None else CHANGED if self._differs(now, self._columns(row)) else SAME
        return JobInFile(
            press=row.press,
            job=row.job,
            says=" ".join(filter(None, (row.colour, row.product, row.what, row.resin))),
            begins=row.begins,
            ends=row.ends,
            may_stop=row.may_stop,
            margin_per_h=row.margin_per_h,
            standing=standing,
        )

    def _problems(self) -> Iterator[str]:
        seen: dict[tuple[str, str], int] = {}
        for row in self._table.rows:
            if row.press not in self._presses:
                yield f"row {row.row}: no press {row.press!r}; {nearest(row.press, self._presses)}"
            if _ends_first(row):
                yield f"row {row.row}: job {row.job} ends before it begins; correct its days"
            first = seen.setdefault((row.press, row.job), row.row)
            if first != row.row:
                yield f"row {row.row}: job {row.job} of {row.press} stands in row {first} already"
        yield from self._overlaps()

    def _overlaps(self) -> Iterator[str]:
        """Two jobs of the file on one press at once."""
        by_press: dict[str, list[JobRowRead]] = {}
        for row in sorted(self._table.rows, key=lambda one: one.begins):
            by_press.setdefault(row.press, []).append(row)
        for press, rows in by_press.items():
            for one, following in pairwise(rows):
                if one.ends is None or following.begins <= one.ends:
                    until = "has no end" if one.ends is None else f"runs until {one.ends}"
                    yield (
                        f"{press}: {following.job} begins on {following.begins}, and {one.job} {until}; "
                        "correct one of the two: the record keeps whole days"
                    )

    def _left_out(self) -> tuple[str, ...]:
        return tuple(one.job or f"that of row {one.row}" for one in self._table.left_out)

    def _of_left_out(self) -> Iterator[Caution]:
        said = left_out_in_words(self._left_out())
        if said:
            yield Caution(said)

    def _cautions(self) -> Iterator[Caution]:
        said, ours = self._table.currency, self._programme.currency
        if said and ours and said.casefold() != ours.casefold():
            yield Caution(
                f"margins are headed in {said}, and the programme is reckoned in {ours}: convert them"
            )
        yield from self._of_resins()
        unsaid = [row.job for row in self._table.rows if row.may_stop is None]
        if unsaid:
            yield Caution(f"not said whether they may be stopped: {', '.join(unsaid[:8])}; the plan takes no")
        without = [row.job for row in self._table.rows if row.may_stop and row.margin_per_h is None]
        if without:
            yield Caution(f"no margin per hour: {', '.join(without[:8])}; stopping them counts as nothing")

    def _of_resins(self) -> Iterator[Caution]:
        """Of which nobody can say what may follow them in a barrel."""
        unsaid = [row.job for row in self._table.rows if not row.resin]
        if unsaid:
            yield Caution(f"no resin is said: {', '.join(unsaid[:8])}; nobody can say what may follow them")
        unknown = unknown_resins(*(row.resin for row in self._table.rows))
        if unknown:
            yield Caution(
                f"no resins that are known: {', '.join(unknown[:8])}; nobody can say what may follow them: "
                "write their codes, such as ABS or POM"
            )


def _ends_first(row: JobRowRead) -> bool:
    return row.ends is not None and row.ends < row.begins
