"""The page of one part: what its shape says, what to do, why; a picture that can be turned and one that
cannot."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.planning.geometry import PartGeometry, ThickPlace, WallFinding, read_picture
from offtool.core.planning.geometry.units import box_in_words
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.wall_colours import RIM, wall_classes
from offtool.reports.wall_drawing import draw_swatch, draw_walls
from offtool.reports.wall_histogram import draw_wall_histogram
from offtool.steps.findings import Fact
from offtool.steps.part_found import PartFound, PartKnown
from offtool.steps.part_sentences import (
    cooling_in_words,
    direction_in_words,
    disagreement_in_words,
    place_in_words,
)
from offtool.steps.sentences import sentence
from offtool.web.pages.frame import AS_JSON, Frame
from offtool.web.pages.parts import PartPlace, action_row, place_of
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import ActionRow

WIDE = 560.0
"""Width of the drawings, in pixels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberRow:
    """One number, and what it rests on."""

    what: str
    value: str
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """One of the thickest places."""

    number: int
    thickness: str
    where: str
    ray: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """One thing that is wrong with the mesh, or was."""

    kind: str
    words: str
    where: str
    spoils: str
    mark: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedPicture:
    """What the script needs to show the part: where its bytes are, colours and marks."""

    href: str
    told: str
    """Classes and places, as JSON."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeShown:
    """What is known of a shape, as the page and the preview show it."""

    numbers: tuple[NumberRow, ...]
    drawing: SafeString | None
    key: tuple[tuple[SafeString, str], ...]
    """Each colour of the drawing, and what it means."""
    histogram: SafeString | None
    places: tuple[PlaceRow, ...]
    faults: tuple[FaultRow, ...]
    disagreement: str
    cooling: tuple[str, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPage:
    """One part."""

    frame: Frame
    place: PartPlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    shape: ShapeShown | None
    picture: TurnedPicture | None
    read_href: str
    file_href: str
    tools: tuple[tuple[str, str], ...]
    method: str


def part_page(found: PartFound, picture: bytes) -> PartPage:
    """The page of a part; `picture` is empty where none is kept."""
    place = place_of(found)
    name = f"{found.part}, {found.name}" if found.name else found.part
    return PartPage(
        frame=place.frame(as_json=AS_JSON),
        place=place,
        when=f"{name}: the shape of the part in {found.resin}",
        headline=found.headline,
        actions=tuple(action_row(one, place, found.tools[0] if found.tools else "") for one in found.actions),
        facts=found.rests_on,
        cautions=tuple(map(with_capital, found.cautions)),
        shape=shape_shown(found, picture) if found.known is not None else None,
        picture=_turned(found.known, place) if found.known is not None and picture else None,
        read_href=place.address("read_mesh"),
        file_href=place.address("part_file") if found.mesh is not None else "",
        tools=tuple((tool, reverse("fit_tool", args=[found.programme, tool])) for tool in found.tools),
        method=found.method,
    )


def shape_shown(found: PartFound, picture: bytes) -> ShapeShown:
    """Everything that is known of a shape."""
    known = found.known
    assert known is not None  # noqa: S101 the callers ask first
    walls = known.geometry.walls
    return ShapeShown(
        numbers=tuple(_numbers(found, known)),
        drawing=_drawing(walls, picture) if walls is not None and picture else None,
        key=tuple(_key(walls)) if walls is not None and picture else (),
        histogram=mark_safe(draw_wall_histogram(walls, width=WIDE)) if walls is not None else None,  # noqa: S308 our own
        places=tuple(_place(i, one) for i, one in enumerate(walls.thickest, 1)) if walls is not None else (),
        faults=tuple(_faults(known)),
        disagreement=disagreement_in_words(walls) if walls is not None else "",
        cooling=tuple(sentence(cooling_in_words(one)) for one in found.cooling),
        said=found.said,
    )


def _drawing(walls: WallFinding, picture: bytes) -> SafeString:
    drawn = draw_walls(
        read_picture(picture), walls.by_sphere.median_mm, walls.thickest, width=WIDE, with_key=False
    )
    return mark_safe(drawn)  # noqa: S308 our own


def _key(walls: WallFinding) -> Iterator[tuple[SafeString, str]]:
    told = [(one.colour, one.words) for one in wall_classes(walls.by_sphere.median_mm)]
    for colour, said in (*told, (RIM, "rim or outer corner")):
        yield mark_safe(draw_swatch(colour)), said  # noqa: S308 our own


def _turned(known: PartKnown, place: PartPlace) -> TurnedPicture | None:
    walls = known.geometry.walls
    if walls is None:
        return None
    classes = [
        {"to": None if one.high_mm == float("inf") else one.high_mm, "colour": one.colour, "words": one.words}
        for one in wall_classes(walls.by_sphere.median_mm)
    ]
    marks = [{"at": [one.x_mm, one.y_mm, one.z_mm], "mm": one.thickness_mm} for one in walls.thickest]
    told = {"classes": classes, "rim": RIM, "marks": marks}
    return TurnedPicture(href=place.address("part_picture"), told=json.dumps(told))


def _numbers(found: PartFound, known: PartKnown) -> Iterator[NumberRow]:
    geometry = known.geometry
    spoiled = {number.value for number in geometry.spoiled}

    def row(what: str, value: str, rests_on: str, number: str = "") -> NumberRow:
        doubt = "spoiled by the mesh, see below; " if number in spoiled else ""
        return NumberRow(what=what, value=value, rests_on=doubt + rests_on)

    volume = "cannot be said" if geometry.volume_cm3 is None else f"{geometry.volume_cm3:.3g} cm³"
    yield row("Volume", volume, "enclosed by the triangles, exact", "volume")
    weight = f"{known.weight_g:.3g} g" if known.weight_g is not None else "cannot be said"
    density = (
        f"{known.density_g_cm3:g} g/cm³ of {found.resin}" if known.density_g_cm3 else "no density is known"
    )
    yield row("Weight", weight, f"volume times {density}" if known.density_g_cm3 else density, "weight")
    yield row("Surface", f"{geometry.surface_mm2 / 100:.3g} cm²", "all triangles", "surface")
    yield row("Box", box_in_words(geometry.box_mm), "in the axes of the file")
    way = direction_in_words(known)
    yield row("Projected area", f"{known.silhouette_mm2 / 100:.3g} cm²",
              f"the true shadow along {way}, holes not counted", "silhouette")  # fmt: skip
    yield row("Depth", f"{geometry.depth_mm:.3g} mm", f"along {way}")
    yield row("Undercuts", f"{100 * geometry.undercut_share:.1f} %",
              f"of the surface is seen by neither half along {way}")  # fmt: skip
    yield from _walls(geometry, row)


def _walls(geometry: PartGeometry, row: object) -> Iterator[NumberRow]:
    walls = geometry.walls
    if walls is None:
        return
    for what, one, how in (
        ("Wall", walls.by_sphere, "largest sphere that touches inside"),
        ("Wall, by rays", walls.by_ray, "a ray straight in to the other side"),
    ):
        value = f"{one.median_mm:.2g} mm, mostly {one.p5_mm:.2g} to {one.p95_mm:.2g}"
        yield row(what, value, f"{how}; median, and 5 % to 95 % of the wall", "wall thickness")  # type: ignore[operator]
    share = f"{100 * walls.thick_share:.1f} %"
    yield row("Thick", share, "of the wall is more than 1.5 times the median", "wall thickness")  # type: ignore[operator]


def _place(number: int, one: ThickPlace) -> PlaceRow:
    return PlaceRow(
        number=number,
        thickness=f"{words.number(one.thickness_mm, 1)} mm",
        where=place_in_words(one.x_mm, one.y_mm, one.z_mm),
        ray="left the part" if one.ray_mm is None else f"{words.number(one.ray_mm, 1)} mm",
    )


def _faults(known: PartKnown) -> Iterator[FaultRow]:
    for fault in known.findings.faults:
        where = fault.where_mm
        spoils = ", ".join(number.value for number in fault.spoils)
        yield FaultRow(
            kind=fault.kind.value,
            words=fault.words,
            where=f"at {place_in_words(*where)}" if where else "",
            spoils=f"spoils {spoils}" if spoils else ("mended" if fault.is_mended else "does no harm"),
            mark="no" if spoils else "yes",
            remedy=fault.remedy,
        )
