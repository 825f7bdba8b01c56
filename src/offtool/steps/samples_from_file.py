"""Read a register of samples: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from offtool.core.values import Caution
from offtool.exchange.headed_tables import FileTable
from offtool.exchange.readings import RefusedCell
from offtool.exchange.samples_file import SampleRowRead, read_samples
from offtool.records.models import Programme
from offtool.records.operations import NewSample, NewSamplePart, register_samples
from offtool.records.queries import find_programme
from offtool.steps.read_readings import refuse_problems
from offtool.steps.tags_in_record import CellUnknown, TagsInRecord

LISTED = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class PartInFile:
    """A part of a sample as a file would enter it, by the names of the record; empty: not said."""

    label: str
    part: str
    tool: str
    state: str
    cavity: str
    trial: str
    shot: int | None
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleInFile:
    """A sample as a file would enter it."""

    number: str
    name: str
    place: str
    holder: str
    parts: tuple[PartInFile, ...]
    also: tuple[tuple[str, str], ...] = ()
    """All else that would be kept of it: about what, and what is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesPreview:
    """How a register is read. `problems` must be mended before it can be kept; refused cells may stay out."""

    sha256: str
    size: int
    file: FileTable
    """How the file is written, its repairs and notes."""
    samples: tuple[SampleInFile, ...]
    """What would be kept."""
    refused: tuple[RefusedCell, ...]
    problems: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def parts(self) -> int:
        """How many parts the samples have."""
        return sum(len(one.parts) for one in self.samples)

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and bool(self.samples)


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesKept:
    """A register that is now in the record."""

    programme: str
    file: str
    numbers: tuple[str, ...]
    parts: int
    left_out: int


def preview_samples(content: bytes, name: str, *, programme: str, sheet: str | None = None) -> SamplesPreview:
    """How a register would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme.
    """
    return _understood(content, name, find_programme(programme), sheet)[0]


def keep_samples(
    content: bytes,
    name: str,
    *,
    programme: str,
    sheet: str | None = None,
    leave_out: bool = False,
    registered_at: datetime,
    registered_by: str,
) -> SamplesKept:
    """Enter the samples of a file into the register.

    Raises what `preview_samples` raises; CannotKeep where no sample is left, and for refused cells unless
    `leave_out`. Nothing is kept then.
    """
    found = find_programme(programme)
    seen, samples = _understood(content, name, found, sheet)
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    kept = register_samples(found, samples, registered_at=registered_at, registered_by=registered_by)
    return SamplesKept(
        programme=found.slug,
        file=seen.file.name,
        numbers=tuple(one.number for one in kept),
        parts=seen.parts,
        left_out=len(seen.refused),
    )


def _understood(
    content: bytes, name: str, programme: Programme, sheet: str | None
) -> tuple[SamplesPreview, tuple[NewSample, ...]]:
    """What is shown of a file, and the samples that would be entered."""
    table = read_samples(content, name, sheet=sheet)
    matched = _Matched(TagsInRecord.of(programme), table.columns)
    samples = tuple(matched.samples(table.rows))
    refused = sorted([*table.file.refused, *matched.refused], key=lambda cell: (cell.row, cell.column))
    seen = SamplesPreview(
        sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        file=table.file,
        samples=tuple(map(_in_file, samples)),
        refused=tuple(refused),
        problems=() if samples else ("no sample of it can be entered",),
        cautions=(*table.file.cautions, *_cautions(samples)),
    )
    return seen, samples


def _in_file(sample: NewSample) -> SampleInFile:
    return SampleInFile(
        number=sample.number,
        name=sample.name,
        place=sample.place,
        holder=sample.holder,
        parts=tuple(map(_part_in_file, sample.parts)),
        also=tuple((about, said) for about, said in _also(sample) if said),
    )


def _also(sample: NewSample) -> Iterator[tuple[str, str]]:
    yield "build", sample.build.code if sample.build is not None else ""
    yield "found on", sample.found_on.isoformat() if sample.found_on is not None else ""
    yield "purpose", sample.purpose
    yield "disposition", sample.disposition
    yield "note", sample.note


def _part_in_file(part: NewSamplePart) -> PartInFile:
    return PartInFile(
        label=part.label or part.part.code,
        part=part.part.code,
        tool=part.tool.code if part.tool else "",
        state=part.state.label if part.state else "",
        cavity=part.cavity.label if part.cavity else "",
        trial=part.trial.name if part.trial else "",
        shot=part.shot,
        colour=part.colour,
    )


def _cautions(samples: Sequence[NewSample]) -> Iterator[Caution]:
    bare = [one.number for one in samples if not one.parts]
    if bare:
        more = " …" if len(bare) > LISTED else ""
        yield Caution(
            f"without a part: {', '.join(bare[:LISTED])}{more}. Which tool made a piece is asked of its "
            "parts: say which it has"
        )


class _Matched:
    """The rows of a register with what their names mean in the record; what means nothing is refused."""

    def __init__(self, tags: TagsInRecord, columns: Mapping[str, int]) -> None:
        self._tags, self._columns = tags, columns
        self.refused: list[RefusedCell] = []

    def samples(self, rows: Sequence[SampleRowRead]) -> Iterator[NewSample]:
        """The samples in the order of the file, each with the parts whose rows can be understood."""
        of_sample: dict[str, list[SampleRowRead]] = {}
        for row in rows:
            of_sample.setdefault(row.number, []).append(row)
        for of_one in of_sample.values():
            made = self._sample(of_one)
            if made is not None:
                yield made

    def _sample(self, rows: Sequence[SampleRowRead]) -> NewSample | None:
        first = rows[0]
        try:
            self._tags.refuse_taken(first.number)
            build = self._tags.build(first.build)
        except CellUnknown as unknown:
            for row in rows:
                self._refuse(row, unknown)
            return None
        parts = self._parts(rows)
        if not parts and any(row.part for row in rows):
            return None  # none of its rows can be understood: each is refused
        return NewSample(
            number=first.number,
            name=first.name,
            build=build,
            found_on=first.found_on,
            place=first.place,
            holder=first.holder,
            purpose=first.purpose,
            disposition=first.disposition,
            note=first.note,
            parts=parts,
        )

    def _parts(self, rows: Sequence[SampleRowRead]) -> tuple[NewSamplePart, ...]:
        parts: dict[str, NewSamplePart] = {}
        row_of: dict[str, int] = {}
        for row in rows:
            if not row.part:
                continue
            try:
                part = self._tags.part(row)
                label = row.label or part.part.code
                if label in parts:
                    raise CellUnknown(
                        "label" if row.label else "part",
                        row.label or row.part,
                        f"is a part of sample {row.number} in row {row_of[label]} already",
                        "give each a part label, such as left arm",
                    )
            except CellUnknown as unknown:
                self._refuse(row, unknown)
                continue
            parts[label], row_of[label] = part, row.row
        return tuple(parts.values())

    def _refuse(self, row: SampleRowRead, unknown: CellUnknown) -> None:
        column = self._columns.get(unknown.field, self._columns["number"])
        self.refused.append(
            RefusedCell(row.row, column, unknown.found, unknown.why, f"{unknown.remedy}; the row is left out")
        )
