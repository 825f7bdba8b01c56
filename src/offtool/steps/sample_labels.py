"""What stands on the label of a sample: its number, what it is, and what its tag says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.values import NotEnoughData, nearest
from offtool.records.models import Sample, SamplePart
from offtool.records.queries import SampleListed, find_programme, samples_of
from offtool.records.queries.finding import NotInRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelPart:
    """One part: what its tag says, and the day of that run."""

    label: str
    part_name: str
    tool: str
    state: str
    trial: str
    cavity: str
    shot: int | None
    day: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleLabel:
    """The label of one sample."""

    programme: str
    programme_title: str
    number: str
    name: str
    build: str
    built_on: date | None
    found_on: date | None
    place: str
    parts: tuple[LabelPart, ...]


def labels_of(programme: str, numbers: Sequence[str] = ()) -> tuple[SampleLabel, ...]:
    """The labels of these samples, in this order and each as often as it is named; without numbers, of all.

    Raises NotInRecord for a number that is not in the register, NotEnoughData where it is empty.
    """
    found = find_programme(programme)
    listed = {one.sample.number: one for one in samples_of(found)}
    if not listed:
        raise NotEnoughData("no sample is registered yet", remedy="register a piece first")
    for number in numbers:
        if number not in listed:
            raise NotInRecord(f"no sample {number!r} in {found.slug}", remedy=nearest(number, listed))
    return tuple(_label(found.title, listed[number], found.slug) for number in numbers or listed)


def _label(title: str, one: SampleListed, programme: str) -> SampleLabel:
    sample: Sample = one.sample
    return SampleLabel(
        programme=programme,
        programme_title=title,
        number=sample.number,
        name=sample.name,
        build=sample.build.code if sample.build is not None else "",
        built_on=sample.build.built_on if sample.build is not None else None,
        found_on=sample.found_on,
        place=sample.place,
        parts=tuple(_parts(one.parts)),
    )


def _parts(parts: Sequence[SamplePart]) -> Iterator[LabelPart]:
    for one in parts:
        state = one.state or (one.trial.state if one.trial is not None else None)
        yield LabelPart(
            label=one.label,
            part_name=one.part.name or one.part.code,
            tool=one.tool.code if one.tool is not None else "",
            state=state.label if state is not None else "",
            trial=one.trial.name if one.trial is not None else "",
            cavity=one.cavity.label if one.cavity is not None else "",
            shot=one.shot,
            day=one.trial.shot_on if one.trial is not None else None,
        )
