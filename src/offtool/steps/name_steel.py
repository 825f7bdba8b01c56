"""Name the steel that forms a size, and give it as measured: what a correction needs before it can cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import Half, Stated
from offtool.records.models import Characteristic, Move, SteelFeature, SteelSize, Tool
from offtool.records.queries import find_programme, find_tool, latest_state, nearest
from offtool.records.refusals import refusals_in_words
from offtool.steps.cut_steel import STEEL_UNCERTAINTY_MM


class Shape(StrEnum):
    """What the steel is, seen from the part; removing steel always adds plastic."""

    RECESS = "recess: the part gets larger when steel is removed"
    CORE = "core, pin or blade: the part gets smaller when steel is removed"


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelNamed:
    """One cavity's steel as measured, and what may still be removed, in the stated measure."""

    measured_mm: float
    allowance_mm: float = 0.0
    uncertainty_mm: float = STEEL_UNCERTAINTY_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWithoutSteel:
    """A size in mm that no steel feature forms yet, with the cavities to measure."""

    part: str
    number: str
    name: str
    nominal: float
    cavities: tuple[str, ...]


def sizes_without_steel(programme: str, tool: str) -> tuple[SizeWithoutSteel, ...]:
    """The sizes in mm of a tool whose steel is not named yet. Raises NotInRecord."""
    found = find_tool(find_programme(programme), tool)
    cavities: dict[int, list[str]] = {}
    for cavity in found.cavities.order_by("pk"):
        cavities.setdefault(cavity.part_id, []).append(cavity.label)
    formed = Move.objects.filter(feature__tool=found, forms=True).values("characteristic")
    sizes = Characteristic.objects.filter(part__in=list(cavities), unit="mm").exclude(pk__in=formed)
    return tuple(
        SizeWithoutSteel(
            part=one.part.code,
            number=one.number,
            name=one.name,
            nominal=one.nominal,
            cavities=tuple(cavities[one.part_id]),
        )
        for one in sizes.select_related("part").order_by("part__code", "pk")
    )


def name_steel(
    programme: str,
    tool: str,
    *,
    part: str,
    number: str,
    feature: str,
    shape: Shape,
    half: Half,
    stated: Stated,
    measured: Mapping[str, SteelNamed],
    drawn_mm: float | None = None,
    can_add: bool = False,
) -> None:
    """Record the steel feature that forms a size, with its size in each cavity in the tool's latest state.

    Raises OfftoolError for a size or cavity that is not there, a size that has its steel already, a tool
    without a state, a feature code in use, or a steel size that cannot be. Nothing is kept then.
    """
    found = find_tool(find_programme(programme), tool)
    size = _size(found, part, number)
    state = latest_state(found)
    if state is None:
        raise OfftoolError(f"tool {tool} has no state yet", remedy="add its first state, a")
    if not measured:
        raise OfftoolError("no steel was measured", remedy="give the steel size of at least one cavity")
    change = _change_per_mm(shape, stated)
    with transaction.atomic(), refusals_in_words():
        made = SteelFeature.objects.create(
            tool=found,
            part=size.part,
            code=feature,
            name=size.name,
            half=half,
            stated=stated,
            size_change_per_mm=change,
            drawn_mm=drawn_mm,
            can_add=can_add,
        )
        Move.objects.create(feature=made, characteristic=size, factor=change, forms=True)
        for label, steel in measured.items():
            cavity = found.cavities.filter(part=size.part, label=label).first()
            if cavity is None:
                labels = found.cavities.filter(part=size.part).values_list("label", flat=True)
                raise OfftoolError(f"part {part} has no cavity {label!r}", remedy=nearest(label, labels))
            SteelSize.objects.create(
                feature=made,
                cavity=cavity,
                state=state,
                measured_mm=steel.measured_mm,
                uncertainty_mm=steel.uncertainty_mm,
                allowance_mm=steel.allowance_mm,
            )


def _size(tool: Tool, part: str, number: str) -> Characteristic:
    made = Characteristic.objects.filter(part__in=tool.cavities.values("part")).select_related("part")
    size = made.filter(part__code=part, number=number).first()
    if size is None:
        known = [f"{one.part.code} {one.number}" for one in made]
        wanted = f"{part} {number}"
        raise OfftoolError(f"tool {tool.code} makes no size {wanted}", remedy=nearest(wanted, known))
    if former := size.moves.filter(forms=True).select_related("feature").first():
        raise OfftoolError(
            f"{part} {number} is formed by {former.feature} already",
            remedy="change it in the programme folder",
        )
    return size


def _change_per_mm(shape: Shape, stated: Stated) -> float:
    """What the steel size does per mm removed: twice where the amount is stated per side and both are cut."""
    times = 2.0 if stated is Stated.PER_SIDE else 1.0
    return times if shape is Shape.RECESS else -times
