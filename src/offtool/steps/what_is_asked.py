"""What is asked of a characteristic: index, target, the shrinkage its steel was drawn with, and its name."""

from __future__ import annotations

import re
from collections.abc import Sequence

from offtool.core.inspection import middle
from offtool.core.values import nearest
from offtool.handbook.terms import Direction, WeightClass
from offtool.records.models import Characteristic
from offtool.records.queries.finding import NotInRecord

REQUIRED_INDEX = {WeightClass.CRITICAL.value: 1.33, WeightClass.MAJOR.value: 1.0}
"""Index that a size must show where the drawing does not say; common practice, no source."""


def required_index_of(characteristic: Characteristic) -> float | None:
    """The index a size must show: as entered, else by its class; None where every reading must lie inside."""
    if characteristic.required_index is not None:
        return characteristic.required_index
    return REQUIRED_INDEX.get(characteristic.weight_class)


def target_of(characteristic: Characteristic) -> float:
    """Where the mean should stand: as entered, else the middle of the limits, else nominal."""
    if characteristic.target is not None:
        return characteristic.target
    if characteristic.lower is None or characteristic.upper is None:
        return characteristic.nominal
    return middle(characteristic.lower, characteristic.upper)


def size_key(characteristic: Characteristic) -> str:
    """What core calls a size: part and number together are unique in a programme."""
    return f"{characteristic.part.code} {characteristic.number}"


def size_named(
    sizes: Sequence[Characteristic], name: str, *, not_there: str = "was measured"
) -> Characteristic:
    """The size of this part and number, or of this number where it is one only.

    Raises NotInRecord, which ends with `not_there` where no size has the name.
    """
    asked = _one_space(name)
    by_key = {_one_space(size_key(one)): one for one in sizes}
    if asked in by_key:
        return by_key[asked]
    numbered = [one for one in sizes if _one_space(one.number) == asked]
    if len(numbered) == 1:
        return numbered[0]
    if numbered:
        named = ", ".join(size_key(one) for one in numbered)
        raise NotInRecord(f"{len(numbered)} sizes have the number {asked}", remedy=f"name one of {named}")
    raise NotInRecord(f"no size {asked!r} {not_there}", remedy=nearest(asked, by_key))


def _one_space(name: str) -> str:
    return " ".join(name.split())


def allowed_shrinkage(characteristic: Characteristic) -> float:
    """The shrinkage its steel was drawn with; across the flow where the direction is not stated."""
    resin = characteristic.part.resin
    per_cent = {
        Direction.FLOW.value: resin.flow_pct,
        Direction.CROSS.value: resin.cross_pct,
        Direction.THICKNESS.value: resin.thickness_pct,
    }.get(characteristic.direction, resin.cross_pct)
    return per_cent / 100


def drawing_order(number: str) -> tuple[tuple[int, int, str], ...]:
    """Order of the drawing: 2 before 10, 7a before 7b."""
    pieces = (piece for piece in re.split(r"(\d+)", number) if piece)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)
