"""A part by its shape on the terminal: the verdict, what to do, the numbers, the mesh, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.planning.geometry import MeshFault, Number, PartGeometry, WallSpread
from offtool.core.planning.geometry.units import box_in_words
from offtool.steps.part_found import MeshKept, MeshPreview, PartFound, PartKnown, PartsFound
from offtool.steps.part_sentences import (
    cooling_in_words,
    direction_in_words,
    disagreement_in_words,
    place_in_words,
    unit_in_words,
    weight_in_words,
)


def parts_lines(found: PartsFound) -> list[str]:
    """A line a part, and the first thing to do with it."""
    rows = []
    for one in found.parts:
        rows.append([one.part, _in_short(one.known)])
        rows += [["", one.actions[0].do]] if one.actions else []
    lines = [*sentence(found.headline), "", *table(rows, width=width(), indent=2)]
    bare = next((one.part for one in found.parts if one.known is None), None)
    if bare is not None:
        reads = f"offtool part {found.programme} {bare} --mesh FILE --unit mm --keep reads a shape."
        lines += ["", *sentence(reads)]
    return lines


def _in_short(known: PartKnown | None) -> str:
    if known is None:
        return "no shape yet"
    thick = f", {known.thickest_mm:.1f} mm at the thickest" if known.thickest_mm is not None else ""
    return f"{weight_in_words(known)}, {known.silhouette_mm2 / 100:.2f} cm² along the opening{thick}"


def part_lines(found: PartFound) -> list[str]:
    """All lines of a part."""
    name = f"{found.part} {found.name}".rstrip()
    lines = [*sentence(found.headline), *sentence(f"{name}, {found.resin or 'no resin named'}.")]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    if found.known is not None:
        lines += _shape(found, found.known)
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def mesh_lines(found: MeshPreview, *, refused: bool = False) -> list[str]:
    """How a file is understood; nothing is kept yet."""
    if found.found is None:
        told = [
            f"{one.unit}: {box_in_words(one.box_mm)}{', plausible' if one.is_plausible else ''}"
            for one in found.sizes.tried
        ]
        return [
            *sentence(f"{found.file}: its unit is not known, and nothing is measured."),
            *heading("Its size in each unit"),
            *bullets(told),
            *heading("What to do"),
            *steps([("Give the unit with --unit.", "Ask who made the file, or measure one side.")]),
            *cautions(found.cautions),
        ]
    unit = f"{found.kind} in {unit_in_words(found.unit)}, {found.unit_from}"
    kept = "" if refused or not found.part else " Nothing is kept yet."
    if found.part and found.doubt:
        kept += " It is kept only with --confirm, where somebody knows that it is right."
    return [
        *sentence(f"{found.file}, {unit}.{kept}"),
        *bullets(found.notes),
        *part_lines(found.found),
        *cautions(found.cautions),
    ]


def kept_mesh_lines(kept: MeshKept, _: MeshPreview) -> list[str]:
    """A shape that is in the record now."""
    return [
        *sentence(f"Kept: {kept.file} is the shape of {kept.part} now, in {unit_in_words(kept.unit)}."),
        "",
        *part_lines(kept.found),
    ]


def _shape(found: PartFound, known: PartKnown) -> Iterator[str]:
    yield from heading("Numbers")
    yield from table([*_numbers(known)], width=width(), indent=2)
    walls = known.geometry.walls
    if walls is not None:
        thick = [
            f"{i}: {one.thickness_mm:.1f} mm at {place_in_words(one.x_mm, one.y_mm, one.z_mm)}"
            for i, one in enumerate(walls.thickest, 1)
        ]
        spoiled = " (spoiled by the mesh)" if Number.WALL in known.geometry.spoiled else ""
        yield from heading(f"Thickest places{spoiled}")
        yield from bullets(thick)
        yield from bullets([cooling_in_words(one) for one in found.cooling])
        yield from heading("Walls over the surface")
        yield from sentence(disagreement_in_words(walls))
    yield from bullets(found.said)
    if known.findings.faults:
        yield from heading("The mesh")
        yield from bullets([_fault(one) for one in known.findings.faults])


def _numbers(known: PartKnown) -> Iterator[list[str]]:
    geometry = known.geometry
    spoiled = {number.value for number in geometry.spoiled}

    def row(what: str, value: str, number: str = "") -> list[str]:
        return [what, f"{value} (spoiled by the mesh)" if number in spoiled else value]

    volume = geometry.volume_cm3
    yield row("Volume", "cannot be said" if volume is None else f"{volume:.3g} cm³", "volume")
    weight = known.weight_g
    yield row("Weight", "cannot be said" if weight is None else f"{weight:.3g} g", "weight")
    yield row("Surface", f"{geometry.surface_mm2 / 100:.3g} cm²", "surface")
    way = direction_in_words(known)
    yield row("Projected area", f"{known.silhouette_mm2 / 100:.3g} cm² along {way}", "silhouette")
    yield row("Depth", f"{geometry.depth_mm:.3g} mm along {way}")
    yield row("Undercuts", f"{100 * geometry.undercut_share:.1f} % of the surface")
    yield from _walls(geometry, row)


def _walls(geometry: PartGeometry, row: object) -> Iterator[list[str]]:
    walls = geometry.walls
    if walls is None:
        return
    yield row("Wall, by spheres", _spread(walls.by_sphere), "wall thickness")  # type: ignore[operator]
    yield row("Wall, by rays", _spread(walls.by_ray), "wall thickness")  # type: ignore[operator]
    if walls.thin_mm is not None and walls.thin_share is not None:
        thin = f"{100 * walls.thin_share:.1f} % of the wall under {walls.thin_mm:g} mm"
        yield row("Thin", thin, "wall thickness")  # type: ignore[operator]


def _spread(one: WallSpread) -> str:
    return f"{one.median_mm:.2f} mm, 5 % to 95 %: {one.p5_mm:.2f} to {one.p95_mm:.2f}, most {one.most_mm:.2f}"


def _fault(one: MeshFault) -> str:
    spoils = f"; spoils {', '.join(number.value for number in one.spoils)}" if one.spoils else ""
    remedy = f"; {one.remedy}" if one.remedy else ""
    return f"{one.kind}: {one.words}{spoils}{remedy}"
