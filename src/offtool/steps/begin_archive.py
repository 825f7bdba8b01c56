"""Begin a register of pieces where no tool, no drawing and no trial is recorded."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.records.acting import acting_as
from offtool.records.models import Part, Programme
from offtool.records.plain import plain_name
from offtool.records.refusals import refusals_in_words
from offtool.steps.start_from_report import free_slug, resin_of_programme

USUAL_RESIN = "ABS"
"""What the parts are taken to be moulded in where nobody says; common practice, no source."""


def begin_archive(title: str, parts: Sequence[str], *, resin: str = USUAL_RESIN, by: str) -> str:
    """A programme of a title and the parts that its pieces have, and nothing else. Returns its short name.

    Raises OfftoolError for a title that is empty or taken, a part that is named twice, and a resin that the
    handbook does not have.
    """
    named = [plain_name(one, "part") for one in parts if one.strip()]
    twice = next((one for one in named if named.count(one) > 1), None)
    if twice is not None:
        raise OfftoolError(f"{twice!r} stands twice", where="parts", remedy="name each part once")
    with refusals_in_words(), acting_as(by), transaction.atomic():
        programme = Programme.objects.create(slug=free_slug(title), title=title.strip())
        if named:
            kept = resin_of_programme(programme, resin)
            for code in named:
                Part.objects.create(programme=programme, code=code, resin=kept)
    return programme.slug
