"""Photographs of a sample: several kept at once, and one as it is printed, without where and when it was."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from offtool.exchange.pictures import SHOWN, draw_picture
from offtool.records.queries import find_programme, find_sample
from offtool.records.queries.samples import find_sample_photograph
from offtool.steps.keep_sample import photograph_sample
from offtool.steps.sample_found import SampleFound


def drawn_photograph(programme: str, number: str, key: int, *, longest: int = SHOWN) -> bytes:
    """One photograph as a JPEG, at most so many pixels long. Raises NotInRecord and PictureRefused."""
    kept = find_sample_photograph(find_sample(find_programme(programme), number), key)
    return draw_picture(bytes(kept.content), kept.name, longest=longest)


def first_photograph(found: SampleFound, *, longest: int = SHOWN) -> bytes | None:
    """The photograph that stands for the piece: the first that was taken; None where there is none."""
    if not found.photographs:
        return None
    return drawn_photograph(found.programme, found.number, found.photographs[0].key, longest=longest)


def keep_photographs(
    programme: str,
    number: str,
    pictures: Sequence[tuple[str, bytes]],
    *,
    part: str = "",
    note: str = "",
    at: datetime,
    by: str,
) -> tuple[int, ...]:
    """Keep photographs by name and content, all or none. Returns their keys; raises PictureRefused."""
    with transaction.atomic():
        return tuple(
            photograph_sample(programme, number, content, name, part=part, note=note, at=at, by=by)
            for name, content in pictures
        )
