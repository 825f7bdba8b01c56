"""Read the file of a gauge study: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from itertools import count as count_from

from offtool.core.values import Caution, OfftoolError
from offtool.exchange.gauge_readings import StudyTable, read_study
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge, Programme
from offtool.records.operations import NewGaugeReading, NewStudy, set_study_aside, store_study
from offtool.records.queries import SPREAD_KINDS, find_gauge, find_programme, find_study, study_that_counts
from offtool.steps.gauge_sentences import decimals_of, headline
from offtool.steps.kept_studies import analyse, tolerance_of, unit_of
from offtool.steps.overview import is_invented
from offtool.steps.read_readings import refuse_problems
from offtool.steps.sentences import count
from offtool.steps.study_preview import StudyKept, StudyPreview
from offtool.steps.what_is_asked import drawing_order, size_key, size_named


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyAbout:
    """What a study's file does not say itself."""

    kind: StudyKind = StudyKind.CROSSED
    size: str = ""
    """Part and number of the size that was measured, such as HO-05 3, or a number that only one has."""
    tolerance: float | None = None
    """None for that of the size."""
    reference: float | None = None
    """The known size of the reference part, where the file has no column for it."""
    reference_uncertainty: float = 0.0
    done_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPlace:
    """Where a study would be kept: the gauge, the sizes it may be of, and a name that is free."""

    programme: str
    programme_title: str
    invented: bool
    gauge: str
    sizes: tuple[tuple[str, str], ...]
    """Part and number of each size, and how it is shown; those measured with this gauge first."""
    next_name: str


def place_of_study(programme: str, gauge: str) -> StudyPlace:
    """Where a study of a gauge would be kept. Raises NotInRecord."""
    found = find_gauge(find_programme(programme), gauge)
    sizes = Characteristic.objects.filter(part__programme=found.programme).select_related("part")
    in_order = sorted(
        sizes, key=lambda one: (one.gauge_id != found.pk, one.part.code, drawing_order(one.number))
    )
    taken = set(found.studies.values_list("name", flat=True))
    return StudyPlace(
        programme=found.programme.slug,
        programme_title=found.programme.title,
        invented=is_invented(found.programme),
        gauge=found.code,
        sizes=tuple((size_key(one), f"{one.part.code} {one}") for one in in_order),
        next_name=next(name for i in count_from(1) if (name := f"S{i}") not in taken),
    )


def preview_study(
    content: bytes, name: str, *, programme: str, gauge: str, about: StudyAbout, sheet: str | None = None
) -> StudyPreview:
    """How a study's file would be read and what it would say; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme, gauge or size.
    """
    found = find_gauge(find_programme(programme), gauge)
    return _previewed(found, content, read_study(content, name, sheet=sheet), about)


def keep_study(
    content: bytes,
    name: str,
    *,
    programme: str,
    gauge: str,
    study: str,
    about: StudyAbout,
    read_at: datetime,
    read_by: str,
    sheet: str | None = None,
    leave_out: bool = False,
) -> StudyKept:
    """Keep a study under its own name.

    Raises what `preview_study` raises; CannotKeep for a study that says nothing as it is, and for refused
    cells unless `leave_out`; StudyAlreadyKept for bytes that count already. Nothing is kept then.
    """
    found = find_gauge(find_programme(programme), gauge)
    table = read_study(content, name, sheet=sheet)
    seen = _previewed(found, content, table, about)
    refuse_problems(seen.file, seen.problems, seen.refused, leave_out=leave_out)
    kept = store_study(
        found,
        NewStudy(
            name=study.strip(),
            kind=about.kind,
            characteristic=_size_of(found.programme, about.size),
            tolerance=about.tolerance,
            reference_uncertainty=about.reference_uncertainty,
            done_on=about.done_on,
            note=_note(about.note, table),
            file_name=table.name,
            content=content,
        ),
        [NewGaugeReading(**asdict(one)) for one in _readings(table, about)],
        read_at=read_at,
        read_by=read_by,
    )
    return StudyKept(
        programme=found.programme.slug,
        gauge=found.code,
        study=kept.name,
        kind=kept.kind,
        file=kept.file_name,
        readings=len(table.readings),
        repairs=len(table.repairs),
        left_out=len(table.refused),
        study_id=kept.pk,
    )


def set_aside(programme: str, gauge: str, study: str, *, reason: str, made_by: str) -> None:
    """Let a study count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    found = find_study(find_gauge(find_programme(programme), gauge), study)
    set_study_aside(found, reason, made_by=made_by)


def _size_of(programme: Programme, size: str) -> Characteristic | None:
    """The size that a study is of; None for no name. Raises NotInRecord."""
    if not size.strip():
        return None
    sizes = Characteristic.objects.filter(part__programme=programme).select_related("part", "gauge")
    return size_named(list(sizes), size, not_there=f"in {programme.slug}")


def _readings(table: StudyTable, about: StudyAbout) -> tuple[NewGaugeReading, ...]:
    """The readings of the file, with the reference that was given beside it."""
    kept = tuple(NewGaugeReading(**asdict(one)) for one in table.readings)
    if about.reference is None:
        return kept
    return tuple(replace(one, reference=about.reference) for one in kept)


def _previewed(gauge: Gauge, content: bytes, table: StudyTable, about: StudyAbout) -> StudyPreview:
    size = _size_of(gauge.programme, about.size)
    problems = list(_problems(table, about, size))
    said, cautions = "", list[Caution]()
    if not problems:
        try:
            said, cautions = _said(gauge, table, about, size)
        except OfftoolError as error:
            problems = [str(error)]
    return StudyPreview(
        file=table.name,
        sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        gauge=gauge.code,
        kind=about.kind.value,
        measured=f"{size.part.code} {size.number}" if size is not None else "",
        tolerance=tolerance_of(about.tolerance, size),
        layout=table.layout.value,
        sheet=table.sheet,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal=table.decimal,
        unit=table.unit or unit_of(gauge, size),
        readings=len(table.readings),
        parts=table.parts,
        operators=tuple(one for one in table.operators if one),
        repeats=max((one.repeat for one in table.readings), default=0),
        missing=table.missing,
        repairs=table.repairs,
        refused=table.refused,
        notes=table.notes,
        problems=tuple(problems),
        headline=said,
        cautions=(*cautions, *_counts_now(gauge, about, size)),
    )


def _problems(table: StudyTable, about: StudyAbout, size: Characteristic | None) -> Iterator[str]:
    if size is not None and table.unit is not None and table.unit != size.unit:
        yield (
            f"the readings are in {table.unit}, {size.part.code} {size.number} in {size.unit}; name the "
            "size that was measured"
        )
    if about.reference is not None and any(
        one.reference not in (None, about.reference) for one in table.readings
    ):
        yield f"the file gives other references than {about.reference:g}; leave the reference blank"
    if about.reference is not None and about.kind is StudyKind.LINEARITY:
        yield "a study of linearity has several references; give them in a column headed reference"


def _said(
    gauge: Gauge, table: StudyTable, about: StudyAbout, size: Characteristic | None
) -> tuple[str, list[Caution]]:
    found = analyse(
        about.kind,
        _readings(table, about),
        tolerance=tolerance_of(about.tolerance, size),
        reference_uncertainty=about.reference_uncertainty,
        resolution=gauge.resolution,
    )
    named = f"{size.part.code} {size.number}" if size is not None else ""
    unit = table.unit or unit_of(gauge, size)
    return headline(gauge, named, found, decimals_of(gauge.resolution), unit), list(found.cautions)


def _counts_now(gauge: Gauge, about: StudyAbout, size: Characteristic | None) -> Iterator[Caution]:
    """The study of this kind that counts until now, which this one may displace."""
    kinds = SPREAD_KINDS if about.kind.value in SPREAD_KINDS else (about.kind.value,)
    now = study_that_counts(gauge, size, kinds=kinds)
    if now is not None and now.characteristic == size:
        done = f" of {now.done_on.isoformat()}" if now.done_on else ""
        yield Caution(f"study {now.name}{done} counts until now; of the two the newer one will")


def _note(note: str, table: StudyTable) -> str:
    """What the user noted, and what of the file was not taken as it stands."""
    odd = []
    if table.repairs:
        odd.append(f"{count(len(table.repairs), 'cell')} repaired")
    if table.refused:
        odd.append(f"{count(len(table.refused), 'cell')} left out: " + "; ".join(map(str, table.refused[:3])))
    return ". ".join(filter(None, [note.strip(), *odd]))
