"""A part's shape in sentences: the verdict, what to do, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.planning.geometry import Number, WallFinding
from offtool.core.planning.geometry.units import box_in_words
from offtool.core.planning.geometry.walls import THICK
from offtool.steps.findings import Action, Fact
from offtool.steps.part_doubt import grams
from offtool.steps.part_found import CoolingOfWall, MeshSeen, PartFound, PartKnown, Weighed
from offtool.steps.part_wall import is_round, thick_spot_mm
from offtool.steps.sentences import count, sentence

READ, FIT = "read", "fit"
"""Where an action leads: to the form that reads a shape, to the presses of the tool."""
WEIGHT_APART = 0.1
"""Share by which the mesh and the scales may differ; beyond it the two are not the same shape."""
UNDERCUT_WORTH_SAYING = 0.005
LONG_COOLING_S = 30.0
"""From here on the press mostly waits for a small part to cool; common practice, no source."""


def headline(known: PartKnown | None, part: str) -> str:
    """What the part is, in one sentence."""
    if known is None:
        return f"The shape of {part} is not known yet." if part else "The shape is not known yet."
    weight = weight_in_words(known)
    walls = known.geometry.walls
    if known.thickest_mm is None or walls is None:
        what = spoiled_in_words(known)
        return f"{weight}; {what}." if what else f"{weight}, without a wall that has another side."
    if is_round(known):
        return f"{weight}, solid, {known.thickest_mm:.1f} mm at the thickest."
    spread, spot = walls.by_sphere, thick_spot_mm(known)
    if spot is not None:
        place = f"one place is {spot:.1f} mm thick, cools last and may sink"
    elif is_thick(known):
        place = f"its thick walls, {known.thickest_mm:.1f} mm at most, decide the cooling"
    else:
        place = f"no place is much thicker than the rest, {known.thickest_mm:.1f} mm at most"
    low, high = f"{spread.p5_mm:.1f}", f"{spread.p95_mm:.1f}"
    walls_said = f"walls of {high} mm" if low == high else f"walls {low} to {high} mm"
    return f"{weight}, {walls_said}; {place}."


def weight_in_words(known: PartKnown) -> str:
    """6.2 g of ABS."""
    if known.weight_g is not None:
        return f"{grams(known.weight_g)} of {known.resin}" if known.resin else grams(known.weight_g)
    volume = known.geometry.volume_cm3
    if volume is not None and Number.VOLUME not in known.geometry.spoiled:
        return f"{volume:.3g} cm³, of a weight that needs the density"
    return "A part whose weight cannot be said"


def spoiled_in_words(known: PartKnown) -> str:
    """What the mesh cannot say."""
    names = [number.value for number in known.geometry.spoiled]
    if not names:
        return ""
    joined = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"the mesh is not sound, so that it cannot be relied on for {joined}"


def is_thick(known: PartKnown) -> bool:
    """Whether a place is so much thicker than the usual wall that it cools late and may sink."""
    return (
        known.thickest_mm is not None
        and known.median_mm is not None
        and known.thickest_mm > THICK * known.median_mm
    )


def actions(found: PartFound) -> Iterator[Action]:
    """What to do, in order of effect."""
    known = found.known
    if known is None:
        yield Action(
            do=f"Read the shape of {found.part} as STL, OBJ or 3MF.",
            because="Weight, projected area and the thickest wall follow from it.",
            leads_to=READ,
        )
        return
    if found.doubt:
        yield _ask_of_unit(found)
    for fault in known.findings.faults:
        if fault.spoils:
            spoils = ", ".join(number.value for number in fault.spoils)
            do = f"{fault.remedy[:1].upper()}{fault.remedy[1:]}."
            yield Action(do=do, because=f"{fault.words}. It spoils {spoils}.", leads_to=READ)
    if found.doubt:
        return
    if is_thick(known):
        yield _core_out(found, known)
    else:
        yield from _hollow(found)
    if known.geometry.undercut_share > UNDERCUT_WORTH_SAYING:
        share = f"{100 * known.geometry.undercut_share:.1f} % of the surface"
        yield Action(
            do="Ask the toolmaker how the undercuts are freed, or give the way the tool opens.",
            because=f"Neither mould half sees {share} along {direction_in_words(known)}.",
            leads_to=READ,
        )
    yield from _weigh(found, known)
    if found.tools:
        yield Action(
            do=f"See which press takes tool {found.tools[0]}.",
            because="Weight and projected area are known now."
            if known.weight_g is not None
            else "Its projected area is known now.",
            leads_to=FIT,
        )


def _ask_of_unit(found: PartFound) -> Action:
    unit = unit_in_words(found.mesh.unit) if found.mesh is not None else "this"
    are = "are" if unit == "inches" else "is"
    whose = f", and whether it is the shape of {found.part}" if found.programme else ""
    return Action(
        do=f"Ask who made the file whether {unit} {are} its unit{whose}.",
        because="Weight, area, wall and every press that is chosen by them hang on it.",
        leads_to=READ,
    )


def _core_out(found: PartFound, known: PartKnown) -> Action:
    walls = known.geometry.walls
    place = walls.thickest[0] if walls and walls.thickest else None
    where = f" at {place_in_words(place.x_mm, place.y_mm, place.z_mm)}" if place else ""
    gain = ""
    if len(found.cooling) > 1:
        wall, thick = found.cooling[0], found.cooling[-1]
        gain = f" As a plate it cools about {thick.usual_s:.0f} s, the walls {wall.usual_s:.0f} s."
    return Action(
        do=f"Ask whether the {known.thickest_mm:.1f} mm{where} can be cored out.",
        because=f"It is {(known.thickest_mm or 0) / (known.median_mm or 1):.1f} times the usual wall of "
        f"{known.median_mm:.1f} mm: it cools last and may sink.{gain}",
        leads_to="",
    )


def _hollow(found: PartFound) -> Iterator[Action]:
    if found.cooling and found.cooling[0].usual_s > LONG_COOLING_S:
        wall = found.cooling[0]
        yield Action(
            do=f"Ask whether {found.part} can be made hollow or with thinner walls.",
            because=f"It cools about {wall.usual_s:.0f} s, like a plate of {wall.wall_mm:.2g} mm; cooling "
            "goes with the wall squared, and so thick a wall may sink or hide voids.",
            leads_to="",
        )


def _weigh(found: PartFound, known: PartKnown) -> Iterator[Action]:
    if known.weight_g is None or found.weighed is None:
        return
    apart = found.weighed.weight_g / known.weight_g - 1
    if abs(apart) > WEIGHT_APART:
        more = "more" if apart > 0 else "less"
        yield Action(
            do="Ask whether this is the shape that the tool was cut to.",
            because=f"Parts weigh {found.weighed.weight_g:.3g} g ({found.weighed.where}), "
            f"{100 * abs(apart):.0f} % {more} than the mesh.",
            leads_to=READ,
        )


def facts(found: PartFound) -> Iterator[Fact]:
    """What the verdict rests on."""
    known, mesh = found.known, found.mesh
    if mesh is not None:
        yield Fact(about="Shape", says=shape_in_words(mesh))
    if known is None:
        return
    yield Fact(about="Box", says=box_in_words(known.geometry.box_mm))
    yield Fact(about="Opens along", says=direction_in_words(known))
    density = known.density_g_cm3
    said = f"{density:g} g/cm³ of {found.resin}" if density is not None else "not known: give it at the resin"
    yield Fact(about="Density", says=said)
    if found.weighed is not None:
        yield Fact(about="On the scales", says=f"{found.weighed.weight_g:.3g} g, {found.weighed.where}")
    yield Fact(about="Mesh", says=mesh_in_words(known))
    if known.geometry.walls is not None:
        yield Fact(
            about="Walls", says=f"{known.geometry.walls.points:,} points, spread evenly over the surface"
        )


def shape_in_words(mesh: MeshSeen) -> str:
    """The file a shape is from."""
    when = f", read {mesh.read_at:%Y-%m-%d}" if mesh.read_at else ", not kept"
    who = f" by {mesh.read_by}" if mesh.read_by else ""
    note = f". {sentence(mesh.note)}" if mesh.note else ""
    return f"{mesh.file}, {mesh.kind} in {unit_in_words(mesh.unit)}{when}{who}{note}"


def unit_in_words(unit: str) -> str:
    """The unit as it is read: inches are no word of their own when short."""
    return "inches" if unit == "in" else unit or "no unit"


def place_in_words(x: float, y: float, z: float) -> str:
    """x 1.0, y 0.0, z 11.4 mm; never a minus zero."""
    told = (f"{name} {round(value, 1) + 0.0:.1f}" for name, value in zip("xyz", (x, y, z), strict=True))
    return f"{', '.join(told)} mm"


def mesh_in_words(known: PartKnown) -> str:
    """How sound the mesh is."""
    findings = known.findings
    bodies = f" in {findings.bodies} bodies" if findings.bodies > 1 else ""
    closed = "closed" if findings.is_closed else "open"
    mended = sum(fault.is_mended for fault in findings.faults)
    state = f"{closed}; {count(mended, 'thing')} mended" if mended else closed
    return f"{findings.triangles:,} triangles{bodies}, {state}"


def direction_in_words(known: PartKnown) -> str:
    """Along z, or three numbers."""
    return way_in_words(known.geometry.direction)


def way_in_words(direction: Sequence[float]) -> str:
    """z, -x, or three numbers."""
    for name, axis in (("x", 0), ("y", 1), ("z", 2)):
        if abs(abs(direction[axis]) - 1) < 1e-9:
            return name if direction[axis] > 0 else f"-{name}"
    return ", ".join(f"{one:.3g}" for one in direction)


def disagreement_in_words(walls: WallFinding) -> str:
    """Where ray and sphere say different things, and why."""
    opposite = 100 * (1 - walls.corner_share - walls.missed_share)
    said = [f"Over {opposite:.0f} % of the surface a wall stands opposite"]
    if walls.corner_share > 0:
        said.append(
            f"{100 * walls.corner_share:.0f} % is rim or outer corner, where a neighbouring face and not the "
            "other side holds the sphere: not counted as wall"
        )
    if walls.disagree_share > 0.001:
        said.append(
            f"on {100 * walls.disagree_share:.1f} % the ray is more than 1.5 times as long as the sphere is "
            "wide: there it looks along a rib or into an edge, and the sphere is to be believed"
        )
    else:
        said.append("ray and sphere agree within half of the wall everywhere")
    if walls.missed_share > 0.0005:
        said.append(f"on {100 * walls.missed_share:.1f} % the ray left through a hole of the mesh")
    return "; ".join(said) + "."


def cooling_in_words(one: CoolingOfWall) -> str:
    """The thickest place of 5.2 mm: about 33 s as a plate, 25 to 48 s over the usual temperatures."""
    return (
        f"{one.what} of {one.wall_mm:.2g} mm: about {one.usual_s:.0f} s as a plate, {one.least_s:.0f} to "
        f"{one.most_s:.0f} s over the usual temperatures"
    )


def weighed_in_words(weighed: Weighed) -> str:
    """9.8 g, weighed at T3 of M1."""
    return f"{weighed.weight_g:.3g} g, {weighed.where}"


def headline_of_all(parts: Sequence[PartFound]) -> str:
    """How many shapes are known."""
    if not parts:
        return "No part is in the programme yet."
    known = [one for one in parts if one.known is not None]
    doubted = [one for one in known if one.doubt]
    thick = [one.part for one in known if one.known is not None and not one.doubt and is_thick(one.known)]
    said = f"The shape of {len(known)} of {count(len(parts), 'part')} is known"
    if doubted:
        return f"{said}, and that of {', '.join(one.part for one in doubted)} is doubted. {doubted[0].doubt}"
    if not thick:
        return f"{said}."
    named = f"{', '.join(thick[:-1])} and {thick[-1]} have" if len(thick) > 1 else f"{thick[0]} has"
    return f"{said}; {named} a thick place that cools last."
