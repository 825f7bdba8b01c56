"""Keeping gauge studies: the file, every reading and what was said of them, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import transaction

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import LONGEST_FILE_NAME, LONGEST_NAME, StudyKind
from offtool.records.acting import acting_as
from offtool.records.models import Characteristic, Gauge, GaugeReading, GaugeStudy
from offtool.records.plain import plain_text
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewGaugeReading:
    """One reading of a study, and the cell it was read from."""

    part: str
    operator: str
    repeat: int
    reference: float | None
    value: float
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStudy:
    """A gauge study as it was carried out, with its file as it came."""

    name: str
    kind: StudyKind
    characteristic: Characteristic | None
    tolerance: float | None
    reference_uncertainty: float
    done_on: date | None
    note: str
    file_name: str
    content: bytes = field(repr=False)


class StudyAlreadyKept(OfftoolError):
    """The same bytes are kept as a study of this gauge that still counts."""


def store_study(
    gauge: Gauge, study: NewStudy, readings: Sequence[NewGaugeReading], *, read_at: datetime, read_by: str
) -> GaugeStudy:
    """Keep a study and all its readings, in one transaction. Returns it as kept.

    Raises NotEnoughData without readings; StudyAlreadyKept for bytes that this gauge has as a study of the
    same kind; OfftoolError for a name that is taken, a size of another programme, or a value that cannot be.
    """
    if not readings:
        raise NotEnoughData("no readings in it", where=study.file_name, remedy="read a file with values")
    sha256 = hashlib.sha256(study.content).hexdigest()
    with refusals_in_words(study.file_name), acting_as(read_by), transaction.atomic():
        # two people at once read one after the other
        Gauge.objects.select_for_update().get(pk=gauge.pk)
        _refuse_kept_before(gauge, study, sha256)
        _refuse_a_name_that_is_taken(gauge, study.name)
        kept = GaugeStudy.objects.create(
            gauge=gauge,
            characteristic=study.characteristic,
            name=plain_text(study.name)[:LONGEST_NAME],
            kind=study.kind.value,
            tolerance=study.tolerance,
            reference_uncertainty=study.reference_uncertainty,
            done_on=study.done_on,
            note=plain_text(study.note),
            file_name=plain_text(study.file_name)[:LONGEST_FILE_NAME],
            sha256=sha256,
            content=study.content,
            read_at=read_at,
            read_by=plain_text(read_by)[:LONGEST_NAME],
        )
        GaugeReading.objects.bulk_create(
            (
                GaugeReading(
                    study=kept,
                    part=plain_text(one.part)[:LONGEST_NAME],
                    operator=plain_text(one.operator)[:LONGEST_NAME],
                    repeat=one.repeat,
                    reference=one.reference,
                    value=one.value,
                    row=one.row,
                    column=one.column,
                )
                for one in readings
            ),
            batch_size=1000,
        )
    return kept


def set_study_aside(study: GaugeStudy, reason: str, *, made_by: str) -> None:
    """Let a study count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for a study that is set aside already.
    """
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason is given", remedy="say why the study no longer counts")
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        current = GaugeStudy.objects.select_for_update().defer("content").get(pk=study.pk)
        if current.set_aside:
            raise OfftoolError(
                f"study {current.name} is set aside already: {current.set_aside}",
                remedy="read a new study of this gauge",
            )
        current.set_aside = reason
        current.save(update_fields=["set_aside"])
    study.set_aside = reason


def _refuse_kept_before(gauge: Gauge, study: NewStudy, sha256: str) -> None:
    first = (
        GaugeStudy.objects.filter(gauge=gauge, sha256=sha256, kind=study.kind.value, set_aside="")
        .defer("content")
        .first()
    )
    if first is not None:
        raise StudyAlreadyKept(
            f"the same file is study {first.name} of gauge {gauge.code}",
            where=study.file_name,
            remedy="look there, or set that study aside first",
        )


def _refuse_a_name_that_is_taken(gauge: Gauge, name: str) -> None:
    if not name.strip():
        raise OfftoolError("the study has no name", remedy="name it, such as S1")
    if GaugeStudy.objects.filter(gauge=gauge, name=name).exists():
        raise OfftoolError(
            f"gauge {gauge.code} has a study {name} already", remedy="give this one another name"
        )
