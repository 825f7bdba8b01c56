"""The page that shows the file of a shape as it is understood, and keeps it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.planning.geometry.units import box_in_words
from offtool.core.values import Caution
from offtool.steps.findings import Fact
from offtool.steps.part_found import MeshKept, MeshPreview
from offtool.steps.part_sentences import unit_in_words, way_in_words
from offtool.steps.sentences import sentence
from offtool.web.pages.part import ShapeShown, shape_shown
from offtool.web.pages.seam_words import with_capital


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    """The part as it would be in one unit."""

    unit: str
    box: str
    word: str
    is_plausible: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshShown:
    """What is understood of a file."""

    headline: str
    doubt: str
    """Why it is asked whether it is right before it is kept; empty where it is not."""
    can_be_kept: bool
    problems: tuple[str, ...]
    units: tuple[UnitRow, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    shape: ShapeShown | None


def mesh_shown(preview: MeshPreview, picture: bytes = b"") -> MeshShown:
    """A preview in words; `picture` is empty where nothing is measured yet."""
    found = preview.found
    opens = Fact(about="Opens along", says=way_in_words(preview.direction))
    return MeshShown(
        headline=found.headline if found is not None else "In which unit is this file?",
        doubt=preview.doubt,
        can_be_kept=preview.can_be_kept,
        problems=tuple(map(sentence, preview.problems)),
        units=tuple(
            UnitRow(
                unit=one.unit,
                box=box_in_words(one.box_mm),
                word="plausible" if one.is_plausible else "hardly a moulded part",
                is_plausible=one.is_plausible,
            )
            for one in preview.sizes.tried
        ),
        how=(
            Fact(about="Kind", says=preview.kind),
            Fact(about="Unit", says=f"{unit_in_words(preview.unit)}, {preview.unit_from}"),
            *(found.rests_on if found is not None else (opens,)),
        ),
        notes=preview.notes,
        cautions=tuple(
            map(with_capital, (*preview.cautions, *(found.cautions if found is not None else ())))
        ),
        shape=shape_shown(found, picture) if found is not None else None,
    )


def mesh_kept_in_words(kept: MeshKept) -> str:
    """What was done."""
    return f"{kept.file} is the shape of {kept.part} now, in {unit_in_words(kept.unit)}."
