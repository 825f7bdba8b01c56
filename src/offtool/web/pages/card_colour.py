"""The page on which card and piece are marked on a photograph, and what their colours come to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString

from offtool.core.values import Caution
from offtool.exchange.photographed import Region
from offtool.steps.colour_from_photograph import (
    PatchFound,
    PhotographColours,
    PhotographPlace,
    RegionFound,
)
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.swatch import draw_patch, lab_in_words

WIDE = 1000.0
"""Units across the drawing that lies on the photograph."""
TENTHS = tuple(range(10, 100, 10))


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A region in the units of the drawing."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A mark of the scale along an edge: every tenth of the picture."""

    x: float
    y: float
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourRow:
    """The colour of one region, or why there is none."""

    number: int
    part: str
    place: str
    patch: SafeString | str
    lab: str
    sure: str
    words: str
    """Why it cannot be said; empty where it can."""
    left_out: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchRow:
    """One patch of the card."""

    name: str
    patch: SafeString | str
    wanted: str
    off: str
    mark: str
    """"no" for a patch that was left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColoursShown:
    """What the marks come to."""

    headline: str
    cautions: tuple[Caution, ...]
    colours: tuple[ColourRow, ...]
    patches: tuple[PatchRow, ...]
    how: str
    refused: tuple[str, ...]
    boxes: tuple[Box, ...]
    can_be_kept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CardColourPage:
    """A photograph to be marked."""

    frame: Frame
    when: str
    headline: str
    picture_href: str
    picture_says: str
    wide: float
    high: float
    ticks: tuple[Tick, ...]
    form: Any
    card_name: str
    """The file of the card that was sent already; it need not be sent again."""
    shown: ColoursShown | None
    back_href: str


def card_colour_page(
    place: PhotographPlace, form: Any, *, card_name: str = "", found: PhotographColours | None = None
) -> CardColourPage:
    """The page before anything is measured, or with what was found."""
    high = round(WIDE * place.height / place.width, 1)
    names = [place.programme, place.number]
    shown = _shown(found, high) if found is not None else None
    return CardColourPage(
        frame=_frame(place),
        when=f"Sample {place.number}, photograph {place.photograph}",
        headline=shown.headline if shown else "Mark the card and the piece, and their colour is measured.",
        picture_href=reverse("sample_photograph", args=[*names, place.key]),
        picture_says=f"photograph {place.photograph}, with a scale in per cent along its edges",
        wide=WIDE,
        high=high,
        ticks=_ticks(high),
        form=form,
        card_name=card_name,
        shown=shown,
        back_href=reverse("sample", args=names),
    )


def _frame(place: PhotographPlace) -> Frame:
    sample = reverse("sample", args=[place.programme, place.number])
    return Frame(
        title=f"Colour from a photograph: sample {place.number}, {place.programme_title}",
        crumbs=(
            Crumb(text=place.programme_title, href=reverse("programme", args=[place.programme])),
            Crumb(text="Samples", href=reverse("samples", args=[place.programme])),
            Crumb(text=place.number, href=sample),
            Crumb(text="Colour from a photograph"),
        ),
        invented=place.invented,
    )


def _ticks(high: float) -> tuple[Tick, ...]:
    across = [Tick(x=WIDE * one / 100, y=0, says=str(one)) for one in TENTHS]
    down = [Tick(x=0, y=round(high * one / 100, 1), says=str(one)) for one in TENTHS]
    return (*across, *down)


def _shown(found: PhotographColours, high: float) -> ColoursShown:
    return ColoursShown(
        headline=found.headline,
        cautions=found.cautions,
        colours=tuple(_colour(number, one) for number, one in enumerate(found.regions, start=1)),
        patches=tuple(map(_patch, found.patches)),
        how=_how(found),
        refused=found.card_refused,
        boxes=_boxes([*(one.region for one in found.patches)], high),
        can_be_kept=any(one.colour.can_be_said for one in found.regions),
    )


def _boxes(regions: Sequence[Region], high: float) -> tuple[Box, ...]:
    return tuple(
        Box(
            x=round(WIDE * x0, 1),
            y=round(high * y0, 1),
            width=round(WIDE * (x1 - x0), 1),
            height=round(high * (y1 - y0), 1),
        )
        for x0, y0, x1, y1 in regions
    )


def _colour(number: int, one: RegionFound) -> ColourRow:
    colour = one.colour
    if colour.lightness is None or colour.a is None or colour.b is None or colour.uncertainty_de is None:
        lab, sure, words = "", "", colour.words
    else:
        lab = lab_in_words(colour.lightness, colour.a, colour.b)
        sure = colour.words[colour.words.index("give or take") :]
        words = ""
    return ColourRow(
        number=number,
        part=one.part,
        place=one.place,
        patch=draw_patch(one.on_screen, lab),
        lab=lab,
        sure=sure,
        words=words,
        left_out=_left_out(one),
        cautions=colour.cautions,
    )


def _left_out(one: RegionFound) -> str:
    shares = (
        (one.glints, "glints or dirt, left out"),
        (one.colour.clipped_share, "burnt out"),
        (one.colour.dark_share, "too dark"),
    )
    said = [f"{share:.1%} {what}".replace("%", " %") for share, what in shares if share >= 0.001]
    return ", ".join(said) or "nothing"


def _patch(one: PatchFound) -> PatchRow:
    wanted = lab_in_words(*one.wanted)
    if one.left_out:
        off = f"left out: {one.left_out}"
    else:
        off = f"{one.off_de:.1f} ΔE00" if one.off_de is not None else "cannot be said: it stands alone"
    return PatchRow(
        name=one.name,
        patch=draw_patch(one.on_screen, one.name),
        wanted=wanted,
        off=off,
        mark="no" if one.left_out else "",
    )


def _how(found: PhotographColours) -> str:
    tried = [
        f"{one.method} {one.rms_de:.1f} ΔE00" for one in found.correction.tried if one.rms_de is not None
    ]
    taken = f"Corrected by {found.correction.method}, with {len(found.correction.used)} of "
    taken += f"{len(found.patches)} patches."
    return f"{taken} Tried: {'; '.join(tried)}." if tried else taken
