"""What a page about a seam can offer to choose from: parts, measured sizes, gauges, trials; and a seam as it
stands defined."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count as count_from

from offtool.records.models import Characteristic, Part, Programme, Trial
from offtool.records.queries import find_programme, find_seam
from offtool.steps.as_defined import seam_as_defined
from offtool.steps.define_seam import SeamDefined
from offtool.steps.overview import is_invented
from offtool.steps.what_is_asked import drawing_order, size_key


@dataclass(frozen=True, slots=True, kw_only=True)
class PartToChoose:
    """A part that can be welded."""

    code: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeToChoose:
    """A size of the drawing that can be a size of a seam."""

    key: str
    """Part and number, such as HO-02 7."""
    words: str
    part: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamPlace:
    """Where a seam is defined."""

    programme: str
    programme_title: str
    invented: bool
    parts: tuple[PartToChoose, ...]
    sizes: tuple[SizeToChoose, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamNow:
    """A seam as it stands defined, and whether weld studies hang on it."""

    defined: SeamDefined
    studies: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldPlace:
    """Where a weld study is kept, and what its pieces can be from."""

    programme: str
    programme_title: str
    invented: bool
    seam: str
    top_part: str
    bottom_part: str
    gauges: tuple[tuple[str, str], ...]
    top_trials: tuple[str, ...]
    """Tool and trial, newest first."""
    bottom_trials: tuple[str, ...]
    next_name: str


def place_of_seam(programme: str) -> SeamPlace:
    """What a seam of a programme can be made of. Raises NotInRecord."""
    found = find_programme(programme)
    sizes = Characteristic.objects.filter(part__programme=found).select_related("part")
    in_order = sorted(sizes, key=lambda one: (one.part.code, drawing_order(one.number)))
    return SeamPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        parts=tuple(
            PartToChoose(code=one.code, words=f"{one.code} {one.name}".rstrip())
            for one in found.parts.order_by("code")
        ),
        sizes=tuple(
            SizeToChoose(
                key=size_key(one),
                words=f"{size_key(one)} {one.name}".rstrip() + f", {one.nominal:g} {one.unit}",
                part=one.part.code,
                unit=one.unit,
            )
            for one in in_order
        ),
    )


def seam_now(programme: str, seam: str) -> SeamNow:
    """A seam as it was defined last. Raises NotInRecord."""
    found = find_seam(find_programme(programme), seam)
    return SeamNow(defined=seam_as_defined(programme, seam), studies=found.studies.count())


def place_of_weld_study(programme: str, seam: str) -> WeldPlace:
    """Where a weld study of a seam would be kept. Raises NotInRecord."""
    found = find_seam(find_programme(programme), seam)
    taken = set(found.studies.values_list("name", flat=True))
    return WeldPlace(
        programme=found.programme.slug,
        programme_title=found.programme.title,
        invented=is_invented(found.programme),
        seam=found.code,
        top_part=found.top_part.code,
        bottom_part=found.bottom_part.code,
        gauges=tuple(_gauges(found.programme)),
        top_trials=_trials(found.top_part),
        bottom_trials=_trials(found.bottom_part),
        next_name=next(name for i in count_from(1) if (name := f"W{i}") not in taken),
    )


def _gauges(programme: Programme) -> Iterator[tuple[str, str]]:
    for one in programme.gauges.order_by("code"):
        yield one.code, f"{one.code} {one.name}".rstrip()


def _trials(part: Part) -> tuple[str, ...]:
    trials = Trial.objects.filter(tool__cavities__part=part).distinct().select_related("tool", "state")
    newest = sorted(trials, key=lambda one: (one.state.ordinal, one.pk), reverse=True)
    return tuple(f"{one.tool.code} {one.name}" for one in newest)
