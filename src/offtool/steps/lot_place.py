"""Of which parts a lot can be ordered: their details, and on how many samples these were looked for."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count

from offtool.records.models import Part, SeenDetail
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPart:
    """A part whose samples may be ordered."""

    code: str
    name: str
    details: int
    samples: int
    """Samples on which at least one of its details was looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPlace:
    """A programme, and the parts of it; those looked at most come first."""

    programme: str
    programme_title: str
    invented: bool
    parts: tuple[LotPart, ...]


def place_of_lot(programme: str) -> LotPlace:
    """What can be ordered. Raises NotInRecord."""
    found = find_programme(programme)
    looked = SeenDetail.objects.filter(detail__part__programme=found, set_aside="").order_by()
    on = looked.values_list("detail__part").annotate(Count("sample_part__sample", distinct=True))
    samples = dict(on)
    parts = Part.objects.filter(programme=found).annotate(number=Count("details")).order_by("code")
    listed = [
        LotPart(code=one.code, name=one.name, details=one.number, samples=samples.get(one.pk, 0))
        for one in parts
    ]
    return LotPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        parts=tuple(sorted(listed, key=lambda one: -one.samples)),
    )
