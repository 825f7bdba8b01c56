"""Know a part by its shape: what it weighs, what it covers, where it is thick, and how long that cools."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool import __version__
from offtool.core.planning.cycle import cycle_time
from offtool.core.planning.geometry import METHOD as GEOMETRY
from offtool.core.planning.geometry.measure import NOT_THE_STEEL
from offtool.core.planning.geometry.weight import FROM_THE_DRAWING
from offtool.core.values import Caution, OfftoolError, nearest
from offtool.handbook.terms import SizeKind
from offtool.records.models import Characteristic, Part, PartMesh, Programme
from offtool.records.queries import find_programme, newest_mesh, newest_meshes
from offtool.records.queries.finding import NotInRecord
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.part_doubt import doubt_of
from offtool.steps.part_found import CoolingOfWall, MeshSeen, PartFound, PartKnown, PartsFound, Weighed
from offtool.steps.part_geometry import known_from, measured_of, picture_of
from offtool.steps.part_sentences import actions, facts, headline, headline_of_all
from offtool.steps.part_wall import deciding_wall_mm, is_round, thick_spot_mm

METHOD = f"offtool {__version__}, {GEOMETRY}"
AS_A_PLATE = Caution(
    "cooling is that of an even plate of each thickness with both sides alike; a boss cools from all around "
    "and a corner worse: the page of the tool's presses has the whole cycle"
)


def find_part(programme: Programme, code: str) -> Part:
    """A part of a programme by its code. Raises NotInRecord."""
    found = programme.parts.filter(code=code).select_related("resin").first()
    if found is None:
        codes = programme.parts.values_list("code", flat=True)
        raise NotInRecord(f"there is no part {code}", where=programme.slug, remedy=nearest(code, codes))
    return found


def know_part(programme: str, part: str) -> PartFound:
    """One part by the shape of it that counts. Raises NotInRecord."""
    found = find_programme(programme)
    one = find_part(found, part)
    return _found(one, newest_mesh(one), SizesMeasured())


def know_parts(programme: str) -> PartsFound:
    """All parts of a programme. Raises NotInRecord."""
    found = find_programme(programme)
    parts = list(found.parts.select_related("resin", "programme").order_by("code"))
    meshes, measured = newest_meshes(parts), SizesMeasured()
    known = tuple(_found(one, meshes.get(one.pk), measured) for one in parts)
    return PartsFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=headline_of_all(known),
        parts=known,
    )


def part_picture(programme: str, part: str) -> bytes:
    """The picture of a part as the page reads it. Raises NotInRecord for one without a shape."""
    return picture_of(_kept(programme, part))


def part_file(programme: str, part: str) -> tuple[bytes, str]:
    """The file of the shape that counts, byte for byte, and its name. Raises NotInRecord."""
    kept = _kept(programme, part)
    return bytes(kept.content), kept.file_name


def _kept(programme: str, part: str) -> PartMesh:
    kept = newest_mesh(find_part(find_programme(programme), part))
    if kept is None:
        raise NotInRecord(f"part {part} has no shape yet", remedy="read it as STL, OBJ or 3MF")
    return kept


def _found(part: Part, kept: PartMesh | None, measured: SizesMeasured) -> PartFound:
    known = known_from(part, *measured_of(kept)) if kept is not None else None
    found = PartFound(
        programme=part.programme.slug,
        programme_title=part.programme.title,
        invented=is_invented(part.programme),
        part=part.code,
        name=part.name,
        resin=part.resin.code,
        headline="",
        actions=(),
        rests_on=(),
        mesh=mesh_seen(kept) if kept is not None else None,
        known=known,
        weighed=weighed_of(part, measured),
        cooling=(),
        tools=tuple(_tools(part)),
        said=(),
        method=METHOD,
    )
    return completed(found)


def completed(found: PartFound) -> PartFound:
    """The sentences, once everything else is known."""
    cooling, said = cooling_of(found.known)
    found = replace(found, cooling=cooling, said=said, cautions=tuple(_cautions(found, bool(cooling))))
    found = replace(found, doubt=doubt_of(found))
    return replace(
        found,
        headline=found.doubt or headline(found.known, found.part),
        actions=tuple(actions(found)),
        rests_on=tuple(facts(found)),
    )


def mesh_seen(kept: PartMesh) -> MeshSeen:
    """The file of a kept shape."""
    return MeshSeen(
        file=kept.file_name,
        sha256=kept.sha256,
        kind=kept.kind,
        unit=kept.unit,
        size=kept.size,
        read_at=kept.read_at,
        read_by=kept.read_by,
        note=kept.note,
        mesh_id=kept.pk,
    )


def cooling_of(known: PartKnown | None) -> tuple[tuple[CoolingOfWall, ...], tuple[str, ...]]:
    """How long the wall that decides and the thickest place cool, and why not where it cannot be said."""
    wall = deciding_wall_mm(known)
    if known is None or wall is None:
        return (), ()
    if not known.resin:
        return (), ("Cooling: name the resin.",)
    walls = [("solid, like a wall" if is_round(known) else "the deciding wall", wall)]
    spot = thick_spot_mm(known)
    if spot is not None:
        walls.append(("the thickest place", spot))
    try:
        return tuple(_cools(what, wall, known.resin) for what, wall in walls), ()
    except OfftoolError as error:
        return (), (f"Cooling: {error}.",)


def _cools(what: str, wall_mm: float, resin: str) -> CoolingOfWall:
    cooling = cycle_time(wall_mm, resin=resin).cooling_s
    return CoolingOfWall(
        what=what, wall_mm=wall_mm, least_s=cooling.low, usual_s=cooling.usual, most_s=cooling.high
    )


def _cautions(found: PartFound, has_cooling: bool) -> Iterator[Caution]:
    known = found.known
    if known is None:
        return
    yield NOT_THE_STEEL
    if known.weight_g is not None:
        yield FROM_THE_DRAWING
    yield from (one for one in known.geometry.cautions if one != NOT_THE_STEEL)
    if has_cooling:
        yield AS_A_PLATE


def weighed_of(part: Part, measured: SizesMeasured) -> Weighed | None:
    """The mean weight over the cavities of the last trial that weighed it."""
    asked = Characteristic.objects.filter(part=part, kind=SizeKind.WEIGHT.value, unit="g")
    for one in asked.select_related("part__resin", "gauge").order_by("number"):
        latest = measured.latest([one]).get(one.pk)
        if latest is not None:
            means = [cavity.mean for cavity in latest.cavities]
            where = f"mean of trial {latest.trial.name} of tool {latest.trial.tool.code}"
            return Weighed(weight_g=sum(means) / len(means), where=where)
    return None


def _tools(part: Part) -> list[str]:
    return list(part.cavities.values_list("tool__code", flat=True).distinct().order_by("tool__code"))
