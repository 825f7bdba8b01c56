"""The register of samples: entering pieces and their parts, changing what is said of them, photographs."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LONGEST_FILE_NAME
from offtool.records.acting import acting_as
from offtool.records.models import (
    Build,
    Cavity,
    Part,
    Programme,
    Sample,
    SamplePart,
    SamplePhotograph,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.operations.defining import plain_columns
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words

R = TypeVar("R", Sample, SamplePart)

NOT_NUMBERS = frozenset({"new", "read", "lot"})
"""The pages of the register stand at these addresses."""

SAMPLE_COLUMNS = (
    *("number", "name", "build", "found_on", "place", "holder"),
    *("purpose", "disposition", "note"),
)
"""What is said of a sample and may change."""
PART_COLUMNS = ("part", "label", "tool", "state", "cavity", "trial", "shot", "colour", "note")
"""What is said of a part of a sample and may change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSamplePart:
    """A part of a sample, with what its tag says; without a label it is called by its part's code.

    The tool may be left out where the cavity, the state or the trial says it.
    """

    part: Part
    label: str = ""
    tool: Tool | None = None
    state: ToolState | None = None
    cavity: Cavity | None = None
    trial: Trial | None = None
    shot: int | None = None
    colour: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSample:
    """A piece for the register, with its parts."""

    number: str
    name: str = ""
    build: Build | None = None
    found_on: date | None = None
    place: str = ""
    holder: str = ""
    purpose: str = ""
    disposition: str = ""
    note: str = ""
    parts: Sequence[NewSamplePart] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSamplePhotograph:
    """A picture that was checked and from which all metadata was taken."""

    name: str
    content: bytes = field(repr=False)
    media_type: str
    width: int
    height: int
    note: str = ""


def register_samples(
    programme: Programme, samples: Sequence[NewSample], *, registered_at: datetime, registered_by: str
) -> list[Sample]:
    """Enter samples with their parts, in one transaction. Returns them as kept, in their order.

    Raises OfftoolError for a number that is taken or empty, parts that have the same label, or a tag that
    names what does not belong together; the sample is named. Nothing is kept then.
    """
    _refuse_taken_numbers(programme, [plain_text(one.number.strip()) for one in samples])
    told = {"registered_at": registered_at, "registered_by": plain_name(registered_by, "your name")}
    made = [Sample(programme=programme, **_columns(one, SAMPLE_COLUMNS), **told) for one in samples]
    with acting_as(registered_by), transaction.atomic():
        with refusals_in_words("samples"):
            kept = bulk_create_with_history(made, Sample)
        with refusals_in_words("parts of samples"):
            parts = [_part(*pair) for pair in zip(kept, samples, strict=True)]
            bulk_create_with_history([each for of_sample in parts for each in of_sample], SamplePart)
    return list(kept)


def change_sample(sample: Sample, columns: Mapping[str, Any], *, made_by: str, reason: str = "") -> Sample:
    """Change what is said of a sample; the history keeps what was said before. Returns it as kept.

    `columns` are some of SAMPLE_COLUMNS. Raises OfftoolError for what the record refuses.
    """
    return _changed(sample, columns, SAMPLE_COLUMNS, made_by, reason)


def add_part(sample: Sample, part: NewSamplePart, *, made_by: str) -> SamplePart:
    """Add a part to a sample. Raises OfftoolError for a label that is taken, or a tag that cannot be."""
    with refusals_in_words(sample.number), acting_as(made_by), transaction.atomic():
        made = _one_part(sample, part)
        made.save()
    return made


def change_part(
    part: SamplePart, columns: Mapping[str, Any], *, made_by: str, reason: str = ""
) -> SamplePart:
    """Change what is said of a part of a sample, such as what its tag says. Returns it as kept.

    `columns` are some of PART_COLUMNS. Raises OfftoolError for what the record refuses, and for another part
    once something was seen or measured on it.
    """
    return _changed(part, columns, PART_COLUMNS, made_by, reason)


def keep_sample_photograph(
    sample: Sample,
    picture: NewSamplePhotograph,
    *,
    sample_part: SamplePart | None = None,
    added_at: datetime,
    added_by: str,
) -> SamplePhotograph:
    """Keep a picture of a sample, or of one of its parts; the same bytes are kept once.

    Raises OfftoolError for a part of another sample.
    """
    sha256 = hashlib.sha256(picture.content).hexdigest()
    with refusals_in_words(picture.name), transaction.atomic():
        Sample.objects.select_for_update().get(pk=sample.pk)  # two phones at once send one after the other
        first = SamplePhotograph.objects.filter(sample=sample, sha256=sha256).first()
        if first is not None:
            return first
        return SamplePhotograph.objects.create(
            sample=sample,
            sample_part=sample_part,
            name=plain_text(picture.name)[:LONGEST_FILE_NAME] or "photograph",
            sha256=sha256,
            content=picture.content,
            media_type=picture.media_type,
            width=picture.width,
            height=picture.height,
            note=plain_text(picture.note),
            added_at=added_at,
            added_by=plain_name(added_by, "your name"),
        )


def _refuse_taken_numbers(programme: Programme, numbers: Sequence[str]) -> None:
    """Raise for a number that a sample has already, or that is given twice."""
    seen: set[str] = set(programme.samples.filter(number__in=numbers).values_list("number", flat=True))
    for number in numbers:
        if not number:
            raise OfftoolError("a sample has no number", remedy="number it as its label says")
        if number.casefold() in NOT_NUMBERS:
            raise OfftoolError(
                f"{number} is the name of a page", where=number, remedy="give the sample another number"
            )
        if number in seen:
            raise OfftoolError(
                f"there is a sample {number} already", where=number, remedy="give this one another number"
            )
        seen.add(number)


def _part(sample: Sample, told: NewSample) -> Iterator[SamplePart]:
    labels: set[str] = set()
    for one in told.parts:
        made = _one_part(sample, one)
        if made.label in labels:
            raise OfftoolError(
                f"two parts are called {made.label}",
                where=sample.number,
                remedy="give each a label, such as left arm",
            )
        labels.add(made.label)
        yield made


def _one_part(sample: Sample, told: NewSamplePart) -> SamplePart:
    columns = _columns(told, PART_COLUMNS)
    said = told.tool or next(
        (one.tool for one in (told.cavity, told.state, told.trial) if one is not None), None
    )
    label = columns["label"] or told.part.code
    return SamplePart(sample=sample, **columns | {"tool": said, "label": label})


def _columns(told: NewSample | NewSamplePart, names: Sequence[str]) -> dict[str, Any]:
    return plain_columns({name: getattr(told, name) for name in names})


def _changed(row: R, columns: Mapping[str, Any], known: Sequence[str], made_by: str, reason: str) -> R:
    """The row with these columns changed; nothing is written where nothing changes."""
    unknown = [name for name in columns if name not in known]
    if unknown:
        raise OfftoolError(f"{unknown[0]} is not changed here", remedy=f"change one of: {', '.join(known)}")
    with refusals_in_words(str(row)), acting_as(made_by), transaction.atomic():
        kept: R = type(row)._default_manager.select_for_update().get(pk=row.pk)
        asked: dict[str, Any] = plain_columns(columns)
        told: dict[str, Any] = {n: value for n, value in asked.items() if getattr(kept, n) != value}
        for name, value in told.items():
            setattr(kept, name, value)
        if told:
            kept._change_reason = plain_text(reason)  # type: ignore[attr-defined]  # kept with the history
            kept.save(update_fields=[*told])
    return kept
