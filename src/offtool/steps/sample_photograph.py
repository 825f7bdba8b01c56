"""A photograph of a sample as it is shown and printed: drawn anew, without where and when it was taken."""

from __future__ import annotations

from offtool.exchange.pictures import SHOWN, draw_picture
from offtool.records.queries import find_programme, find_sample
from offtool.records.queries.samples import find_sample_photograph
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
