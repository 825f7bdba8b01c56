"""The register of samples: a list that can be searched, and one sample with all that hangs on it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Model

from offtool.core.values import nearest
from offtool.records.models import (
    Programme,
    Sample,
    SampleColour,
    SamplePart,
    SamplePhotograph,
    SampleSize,
    SeenDetail,
    SeenSign,
)
from offtool.records.queries.finding import NotInRecord

_SEEN: Mapping[str, tuple[type[Model], str]] = {
    "details": (SeenDetail, "sample_part__sample"),
    "signs": (SeenSign, "sample"),
    "sizes": (SampleSize, "sample_part__sample"),
    "colours": (SampleColour, "sample_part__sample"),
}
_TAGGED = ("part", "tool", "state", "cavity", "trial")


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleListed:
    """A sample in a list: its parts with their tags, and how much was seen of it; what is set aside is not
    counted."""

    sample: Sample
    parts: tuple[SamplePart, ...]
    details: int = 0
    signs: int = 0
    sizes: int = 0
    colours: int = 0
    photographs: int = 0
    first_photograph: int | None = None
    """Key of the photograph that was added first."""

    @property
    def observations(self) -> int:
        """All that was seen and measured and counts."""
        return self.details + self.signs + self.sizes + self.colours

    def has(self, words: Sequence[str]) -> bool:
        """Whether each of the words, in small letters, stands in something that is said of the sample."""
        text = "\n".join(self._said()).casefold()
        return all(word in text for word in words)

    def _said(self) -> Iterable[str]:
        one = self.sample
        yield from (one.number, one.name, one.place, one.holder, one.purpose, one.disposition, one.note)
        yield one.build.code if one.build else ""
        for part in self.parts:
            yield from (part.part.code, part.part.name, part.label, part.colour, part.note)
            yield part.tool.code if part.tool else ""
            yield part.trial.name if part.trial else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleWhole:
    """A sample with its parts and all observations in the order of time, those set aside too.

    The bytes of photographs come when they are asked for.
    """

    sample: Sample
    parts: tuple[SamplePart, ...]
    details: tuple[SeenDetail, ...]
    signs: tuple[SeenSign, ...]
    sizes: tuple[SampleSize, ...]
    colours: tuple[SampleColour, ...]
    photographs: tuple[SamplePhotograph, ...]


@dataclass(slots=True)
class _Counts:
    """How many rows hang on each sample, by what they are."""

    of: dict[int, dict[str, int]] = field(default_factory=lambda: defaultdict(dict))

    def add(self, name: str, counted: Iterable[tuple[int, int]]) -> None:
        for sample, number in counted:
            self.of[sample][name] = number


def samples_of(programme: Programme, *, words: str = "") -> list[SampleListed]:
    """The samples of a programme by number, as people count; eight queries, however many there are.

    `words` are looked for in number, name, place, holder, purpose, disposition, note, build, and in part,
    label, colour, tool and trial of its parts; each must stand somewhere, in large letters or small.
    """
    samples = Sample.objects.filter(programme=programme).select_related("build")
    parts: dict[int, list[SamplePart]] = defaultdict(list)
    tagged = SamplePart.objects.filter(sample__programme=programme).select_related(*_TAGGED)
    for part in tagged.order_by("pk"):
        parts[part.sample_id].append(part)
    counts = _counts(programme)
    first = _first_photographs(programme)
    listed = [
        SampleListed(
            sample=one,
            parts=tuple(parts[one.pk]),
            first_photograph=first.get(one.pk),
            **counts.of[one.pk],
        )
        for one in samples
    ]
    wanted = words.casefold().split()
    return sorted((one for one in listed if one.has(wanted)), key=lambda one: as_counted(one.sample.number))


def as_counted(number: str) -> tuple[Any, ...]:
    """What numbers are sorted by: S2 before S10; letters before figures."""
    pieces = re.findall(r"\d+|\D+", number)
    return [(1, int(one), "") if one.isdecimal() else (0, 0, one) for one in pieces], number


def _counts(programme: Programme) -> _Counts:
    counts = _Counts()
    for name, (model, owner) in _SEEN.items():
        rows = model._default_manager.filter(**{f"{owner}__programme": programme, "set_aside": ""})
        counts.add(name, rows.values_list(owner).annotate(Count("pk")).order_by())
    pictures = SamplePhotograph.objects.filter(sample__programme=programme)
    counts.add("photographs", pictures.values_list("sample").annotate(Count("pk")).order_by())
    return counts


def _first_photographs(programme: Programme) -> dict[int, int]:
    rows = SamplePhotograph.objects.filter(sample__programme=programme).order_by("-added_at", "-pk")
    return dict(rows.values_list("sample_id", "pk"))  # the last of a sample stays: the earliest


def find_sample(programme: Programme, number: str) -> Sample:
    """The sample with this number. Raises NotInRecord."""
    found = (
        Sample.objects.filter(programme=programme, number=number).select_related("programme", "build").first()
    )
    if found is None:
        known = programme.samples.values_list("number", flat=True)
        raise NotInRecord(f"no sample {number!r} in {programme.slug}", remedy=nearest(number, known))
    return found


def find_sample_part(sample: Sample, label: str) -> SamplePart:
    """The part of this sample with this label. Raises NotInRecord."""
    found = sample.parts.filter(label=label).select_related(*_TAGGED).first()
    if found is None:
        known = sample.parts.values_list("label", flat=True)
        raise NotInRecord(f"no part {label!r} of sample {sample.number}", remedy=nearest(label, known))
    return found


def sample_whole(sample: Sample) -> SampleWhole:
    """One sample with all that hangs on it, in six queries."""
    parts = sample.parts.select_related(*_TAGGED, "part__resin", "trial__state").order_by("pk")
    on_parts = {"sample_part__sample": sample}
    details = SeenDetail.objects.filter(**on_parts).select_related("sample_part", "detail")
    signs = SeenSign.objects.filter(sample=sample).select_related("sample_part")
    sizes = SampleSize.objects.filter(**on_parts).select_related("sample_part", "characteristic__part")
    colours = SampleColour.objects.filter(**on_parts).select_related("sample_part")
    photographs = sample.photographs.select_related("sample_part").defer("content")
    return SampleWhole(
        sample=sample,
        parts=tuple(parts),
        details=tuple(details.order_by("seen_at", "pk")),
        signs=tuple(signs.order_by("seen_at", "pk")),
        sizes=tuple(sizes.order_by("seen_at", "pk")),
        colours=tuple(colours.order_by("seen_at", "pk")),
        photographs=tuple(photographs.order_by("added_at", "pk")),
    )


def find_sample_photograph(sample: Sample, number: int) -> SamplePhotograph:
    """A photograph of this sample; its bytes come when they are asked for. Raises NotInRecord."""
    found = sample.photographs.filter(pk=number).defer("content").first()
    if found is None:
        raise NotInRecord(
            f"no photograph {number} of sample {sample.number}", remedy="choose one of those shown"
        )
    return found
