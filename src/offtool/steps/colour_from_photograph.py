"""The colours of a piece from a photograph with a card in it: shown first, then kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from offtool import __version__
from offtool.core.colour import Lab, Light
from offtool.core.colour.spaces import USUAL_LIGHT
from offtool.core.samples.colour import CardCorrection, CardPatch, PieceColour, correct_card
from offtool.core.samples.colour import correct_colour as correct_region
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, OfftoolError
from offtool.exchange.card_patches import read_card
from offtool.exchange.photographed import Region, RegionPixels, regions_of
from offtool.handbook.measured_colour import Illuminant
from offtool.handbook.terms import ColourBy
from offtool.records.models import SamplePhotograph
from offtool.records.operations import NewColour, measure_colour
from offtool.records.queries import find_programme, find_sample, find_sample_part
from offtool.records.queries.samples import find_sample_photograph
from offtool.steps.card_marks import CardGrid, Corners
from offtool.steps.overview import is_invented
from offtool.steps.sample_seen import on_screen
from offtool.steps.sentences import count

METHOD = f"offtool {__version__}"
GREY = "grey"
MOST_OFF = 15.0
"""A card that comes out farther off than this, as ΔE00, is marked wrongly or has other values. Our own."""
GIVE_CARD = "choose the file of the card's values: patch, L, a, b"


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceMark:
    """A region of the piece, the part it is of, and where on the part."""

    part: str
    region: Region
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographMarks:
    """What was marked on a photograph: the card, and regions of the piece.

    A grey card is one patch, `grey_lightness` its L*. Of any other, `card` is the file of its values, row by
    row from the upper left.
    """

    corners: Corners
    rows: int = 1
    columns: int = 1
    grey_lightness: float | None = None
    card: bytes = b""
    card_name: str = ""
    light: Light = "D50/2"
    """What the card's values are stated for."""
    piece: tuple[PieceMark, ...] = ()

    @property
    def grid(self) -> CardGrid:
        """Where its patches lie; a grey card is one patch, whatever is counted."""
        if self.grey_lightness is not None:
            return CardGrid(corners=self.corners, rows=1, columns=1)
        return CardGrid(corners=self.corners, rows=self.rows, columns=self.columns)


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchFound:
    """One patch of the card: what it should be, what the correction made without it says, or why it is not
    used."""

    name: str
    region: Region
    wanted: Lab
    off_de: float | None
    """How far off it comes out when the correction is made without it; None where that cannot be said."""
    left_out: str
    on_screen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionFound:
    """The colour of one region of the piece."""

    part: str
    place: str
    region: Region
    colour: PieceColour
    glints: float
    """Share of its pixels that were left out as glints, scratches or dirt."""
    on_screen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographColours:
    """What a photograph says of the colours of a piece."""

    programme: str
    programme_title: str
    invented: bool
    number: str
    key: int
    photograph: str
    width: int
    height: int
    headline: str
    patches: tuple[PatchFound, ...]
    correction: CardCorrection
    regions: tuple[RegionFound, ...]
    card_refused: tuple[str, ...]
    """Cells of the card's file that cannot be read, each with its row and why."""
    method: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographPlace:
    """A photograph that is to be marked, and the parts that it may show."""

    programme: str
    programme_title: str
    invented: bool
    number: str
    key: int
    photograph: str
    width: int
    height: int
    part: str
    """The part that it was taken of; empty for the whole piece."""
    parts: tuple[tuple[str, str], ...]
    """Label, and what it is."""


def place_of_photograph(programme: str, number: str, key: int) -> PhotographPlace:
    """Which photograph it is. Raises NotInRecord."""
    found = find_programme(programme)
    sample = find_sample(found, number)
    kept = find_sample_photograph(sample, key)
    parts = sample.parts.select_related("part").order_by("pk")
    return PhotographPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        number=sample.number,
        key=kept.pk,
        photograph=kept.name,
        width=kept.width,
        height=kept.height,
        part=kept.sample_part.label if kept.sample_part is not None else "",
        parts=tuple((one.label, one.part.name or one.part.code) for one in parts),
    )


def colours_from_photograph(
    programme: str, number: str, key: int, marks: PhotographMarks
) -> PhotographColours:
    """The colours of the marked regions, corrected by the card. Nothing is kept.

    Raises NotInRecord; FileRefused for a file that is no card; ImpossibleInput for marks that cannot be;
    NotEnoughData where no patch can be used or no region is marked.
    """
    place = place_of_photograph(programme, number, key)
    sample = find_sample(find_programme(programme), number)
    for mark in marks.piece:
        find_sample_part(sample, mark.part)
    kept = SamplePhotograph.objects.get(pk=place.key)
    wanted, refused = _wanted(marks)
    on_card = marks.grid.patches(place.width, place.height)
    if not marks.piece:
        raise NotEnoughData("no region of the piece is marked", remedy="mark one, and say which part it is")
    seen = regions_of(bytes(kept.content), kept.name, [*on_card, *(one.region for one in marks.piece)])
    correction = _corrected(wanted, seen[: len(on_card)], marks.light)
    regions = tuple(
        _region(correction, *pair) for pair in zip(marks.piece, seen[len(on_card) :], strict=True)
    )
    return PhotographColours(
        programme=place.programme,
        programme_title=place.programme_title,
        invented=place.invented,
        number=place.number,
        key=place.key,
        photograph=place.photograph,
        width=place.width,
        height=place.height,
        headline=_headline(regions, correction),
        patches=tuple(_patches(correction, on_card)),
        correction=correction,
        regions=regions,
        card_refused=refused,
        method=METHOD,
        cautions=correction.cautions,
    )


def keep_photograph_colours(
    programme: str, number: str, key: int, marks: PhotographMarks, *, at: datetime, by: str
) -> tuple[str, ...]:
    """Measure again as it was shown, and keep each colour that can be said. Returns their parts.

    Raises what `colours_from_photograph` raises; NotEnoughData where no colour can be said.
    """
    found = colours_from_photograph(programme, number, key, marks)
    sample = find_sample(find_programme(programme), number)
    said = [one for one in found.regions if one.colour.can_be_said]
    if not said:
        raise NotEnoughData(
            "no colour can be said: nothing is kept", remedy="mark regions without glare or shadow"
        )
    with transaction.atomic():
        for one in said:
            part = find_sample_part(sample, one.part)
            measure_colour(part, _as_kept(one), note=_note(found), seen_at=at, seen_by=by)
    return tuple(one.part for one in said)


def _wanted(marks: PhotographMarks) -> tuple[list[tuple[str, Lab]], tuple[str, ...]]:
    """The patches as they should be, by name, and the cells of their file that cannot be read."""
    if marks.grey_lightness is not None:
        if not 0 < marks.grey_lightness <= 100:
            raise ImpossibleInput(
                "grey_lightness", marks.grey_lightness, "", "must be above 0, up to 100",
                "it stands on the card; a middle grey is about 50",
            )  # fmt: skip
        return [(GREY, (marks.grey_lightness, 0.0, 0.0))], ()
    if not marks.card:
        raise NotEnoughData("the values of the card are not given", remedy=GIVE_CARD)
    table = read_card(marks.card, marks.card_name)
    patches = [(one.name, (one.lightness, one.a, one.b)) for one in table.patches]
    refused = tuple(f"row {one.row}: {one.found!r} {one.why}" for one in table.file.refused)
    if len(patches) != marks.rows * marks.columns:
        raise ImpossibleInput(
            "rows", marks.rows * marks.columns, "patches", f"the file has {len(patches)}",
            "; ".join(refused[:1]) or "count rows and columns as the card lies, from its upper left",
        )  # fmt: skip
    return patches, refused


def _corrected(
    wanted: Sequence[tuple[str, Lab]], seen: Sequence[RegionPixels], light: Light
) -> CardCorrection:
    patches = [
        CardPatch(
            name=name,
            lab=lab,
            rgb=pixels.rgb_mean,
            clipped_share=pixels.clipped_share,
            dark_share=pixels.dark_share,
            x=pixels.x,
            y=pixels.y,
        )
        for (name, lab), pixels in zip(wanted, seen, strict=True)
    ]
    correction = correct_card(patches, light=light)
    if correction.rms_de is not None and correction.rms_de > MOST_OFF:
        raise OfftoolError(
            f"the patches come out {correction.rms_de:.0f} ΔE00 off the card's values",
            where="card",
            remedy="look at its corners, rows and columns, which way up it lies, and whose values these are",
        )
    return correction


def _region(correction: CardCorrection, mark: PieceMark, pixels: RegionPixels) -> RegionFound:
    colour = correct_region(
        correction,
        pixels.rgb_mean,
        pixels.rgb_sd,
        pixels.pixels,
        pixels.clipped_share,
        pixels.dark_share,
        light=USUAL_LIGHT,
    )
    return RegionFound(
        part=mark.part,
        place=mark.place,
        region=mark.region,
        colour=colour,
        glints=pixels.left_out_share,
        on_screen=on_screen(colour.lightness or 0.0, colour.a or 0.0, colour.b or 0.0, USUAL_LIGHT)
        if colour.can_be_said
        else "",
    )


def _patches(correction: CardCorrection, on_card: Sequence[Region]) -> Iterator[PatchFound]:
    off = {one.name: one.difference for one in correction.errors}
    why = {one.name: one.why for one in correction.left_out}
    for patch, region in zip(correction.patches, on_card, strict=True):
        yield PatchFound(
            name=patch.name,
            region=region,
            wanted=patch.lab,
            off_de=off.get(patch.name),
            left_out=why.get(patch.name, ""),
            on_screen=on_screen(*patch.lab, correction.light),
        )


def _headline(regions: Sequence[RegionFound], correction: CardCorrection) -> str:
    said = sum(one.colour.can_be_said for one in regions)
    if said == len(regions):
        start = "The colour is measured" if said == 1 else f"All {said} colours are measured"
    elif said:
        start = f"{said} of {count(len(regions), 'colour')} can be said"
    else:
        start = "No colour can be said"
    if correction.rms_de is None:
        return f"{start}; one patch cannot show how well."
    return f"{start}; the card itself comes out within {correction.rms_de:.1f} ΔE00."


def _as_kept(one: RegionFound) -> NewColour:
    colour = one.colour
    assert colour.lightness is not None and colour.a is not None and colour.b is not None  # noqa: S101, PT018
    assert colour.uncertainty_de is not None  # noqa: S101 for the type checker
    return NewColour(
        lightness=colour.lightness,
        a=colour.a,
        b=colour.b,
        uncertainty_de=colour.uncertainty_de,
        by=ColourBy.PHOTOGRAPH,
        place=one.place,
        illuminant=Illuminant.D65,
        observer=2,
        clipped_share=colour.clipped_share,
    )


def _note(found: PhotographColours) -> str:
    card = found.correction
    off = f", card within {card.rms_de:.1f} ΔE00" if card.rms_de is not None else ""
    return f"photograph {found.photograph}, {count(len(card.used), 'patch', 'patches')}, {card.method}{off}"
