"""A tool and a press of the record as the fit takes them: each number with what it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

from offtool.core.planning.press.facts import TOOL_LIMITS, PressFacts, ToolFacts
from offtool.core.values import Caution, OfftoolError
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Feed, SizeKind
from offtool.records.models import Characteristic, Part, Press, Tool
from offtool.steps.findings import Fact
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.part_doubt import doubt_of_known, mend_of
from offtool.steps.part_found import PartKnown, Weighed
from offtool.steps.part_geometry import geometry_of_part
from offtool.steps.part_wall import THICK_PLACE, deciding_wall_mm, is_round
from offtool.steps.sentences import count

OWN_NUMBERS = (
    *("wide_mm", "high_mm", "thick_mm", "opening_mm", "ejector_mm"),
    *("runner_cm2", "runner_g", "cavity_pressure_mpa"),
)
"""What a tool is asked for itself; the rest comes from its parts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartAtPress:
    """A part of a tool: how often it is made in a shot, and what is known of one piece."""

    part: str
    resin: str
    cavities: int
    weight_g: float | None
    weight_from: str
    """The trial that weighed it, or the mesh; empty where neither is there."""
    area_cm2: float | None
    depth_mm: float | None
    wall_mm: float | None
    """Thinner than that is 95 % of its surface; of a solid round part the wall that cools as long."""
    thickest_mm: float | None
    """At its thickest place."""
    is_round: bool
    has_mesh: bool
    doubt: str = ""
    """Why its mesh can hardly be right; empty where nothing is doubted."""
    mend: str = ""
    """What to do with a mesh that is not sound; empty where it is, or where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolKnown:
    """A tool as the press sees it, part by part, and what it rests on."""

    facts: ToolFacts
    parts: tuple[PartAtPress, ...]
    wall_of: str
    """The part with the thickest wall; empty where no wall is known."""
    sources: tuple[Fact, ...]
    cautions: tuple[Caution, ...] = ()

    @property
    def resins(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(one.resin for one in self.parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolTyped:
    """Numbers of a shot that somebody tries; they are used and not kept."""

    parts_g: float | None = None
    projected_cm2: float | None = None
    wall_mm: float | None = None
    runner_g: float | None = None
    runner_cm2: float | None = None

    def given(self) -> dict[str, float]:
        """Those that are typed."""
        each = ((field.name, getattr(self, field.name)) for field in fields(self))
        return {name: value for name, value in each if value is not None}


def press_facts(press: Press) -> PressFacts:
    """A press of the record as its sheet describes it."""
    return PressFacts(**{field.name: getattr(press, field.name) for field in fields(PressFacts)})


def tool_facts(
    tool: Tool, measured: SizesMeasured | None = None, typed: ToolTyped | None = None
) -> ToolKnown:
    """A tool with the parts of its cavities: weights as weighed at a trial, else by mesh; areas by mesh.

    What is typed goes before both, and is said. Raises: ImpossibleInput for a typed number that cannot be.
    """
    known = _AtPress(tool, measured or SizesMeasured()).known()
    given = typed.given() if typed is not None else {}
    if not given:
        return known
    for name, value in given.items():
        TOOL_LIMITS[name].refuse_impossible(name, value)
    said = ", ".join(
        f"{TOOL_LIMITS[name].meaning} {value:g} {TOOL_LIMITS[name].unit}" for name, value in given.items()
    )
    return replace(
        known,
        facts=_tried(known.facts, given),
        sources=(*known.sources, Fact(about="Typed", says=said)),
        cautions=(*known.cautions, Caution("numbers were typed to try them; they are not kept")),
    )


def _tried(facts: ToolFacts, given: dict[str, Any]) -> ToolFacts:
    return replace(facts, **given)


class _AtPress:
    """One tool while its parts are looked up."""

    def __init__(self, tool: Tool, measured: SizesMeasured) -> None:
        self.tool, self.measured = tool, measured
        self.unmeasured: list[str] = []
        cavities = tool.cavities.select_related("part__resin").order_by("part__code")
        self.parts: dict[int, Part] = {one.part_id: one.part for one in cavities}
        self.times = Counter(one.part_id for one in cavities)

    def known(self) -> ToolKnown:
        parts, has_runner = self.seen, self.tool.feed in (Feed.COLD_RUNNER, "")
        thickest = max((one for one in parts if one.wall_mm), key=lambda one: one.wall_mm or 0, default=None)
        resins = dict.fromkeys(one.resin for one in parts)
        facts = ToolFacts(
            code=self.tool.code,
            resin=next(iter(resins)) if len(resins) == 1 else "",
            cavities=self.times.total() or None,
            parts_g=_of_shot(parts, "weight_g"),
            projected_cm2=_of_shot(parts, "area_cm2"),
            depth_mm=max((one.depth_mm for one in parts if one.depth_mm is not None), default=None),
            wall_mm=thickest.wall_mm if thickest is not None and not self._without_wall else None,
            has_runner=has_runner,
            **{name: getattr(self.tool, name) for name in OWN_NUMBERS},
        )
        return ToolKnown(
            facts=facts,
            parts=parts,
            wall_of=thickest.part if thickest is not None else "",
            sources=tuple(self._sources(facts)),
            cautions=tuple(self._cautions(resins)),
        )

    @cached_property
    def seen(self) -> tuple[PartAtPress, ...]:
        weighed = _weighed(self.parts.values(), self.measured)
        return tuple(self._part(part, weighed.get(key)) for key, part in self.parts.items())

    def _part(self, part: Part, weighed: tuple[float, str] | None) -> PartAtPress:
        shape = self._shape(part)
        weight, source = weighed or (None, "")
        if weight is None and shape is not None and shape.weight_g is not None:
            weight, source = shape.weight_g, f"volume of its mesh in {part.resin.code}"
        area = shape.silhouette_mm2 if shape is not None else None
        scales = Weighed(weight_g=weighed[0], where=weighed[1]) if weighed is not None else None
        return PartAtPress(
            part=part.code,
            resin=part.resin.code,
            cavities=self.times[part.pk],
            weight_g=weight,
            weight_from=source,
            area_cm2=area / 100 if area is not None else None,
            depth_mm=shape.depth_mm if shape is not None else None,
            wall_mm=deciding_wall_mm(shape),
            thickest_mm=shape.thickest_mm if shape is not None else None,
            is_round=shape is not None and is_round(shape),
            has_mesh=shape is not None,
            doubt=doubt_of_known(shape, scales) if shape is not None else "",
            mend=mend_of(shape) if shape is not None else "",
        )

    def _shape(self, part: Part) -> PartKnown | None:
        """Its mesh; one that cannot be measured here is said, and the rest is judged without it."""
        try:
            return geometry_of_part(part)
        except OfftoolError as error:
            self.unmeasured.append(f"the mesh of {part.code} is not measured: {error}")
            return None

    @property
    def _without_wall(self) -> bool:
        """Whether a part whose wall is not known may be the thickest."""
        return any(one.wall_mm is None for one in self.seen)

    def _sources(self, facts: ToolFacts) -> Iterator[Fact]:
        for one in self.seen:
            weight = (
                f"{one.weight_g:.3g} g ({one.weight_from})" if one.weight_g is not None else "not weighed"
            )
            area = (
                f"{one.area_cm2:.3g} cm² along the opening" if one.area_cm2 is not None else "no area known"
            )
            made = f"{count(one.cavities, 'cavity', 'cavities')} of {one.resin}"
            yield Fact(about=one.part, says=f"{made}: {weight}, {area}{_wall_says(one)}")
        yield Fact(about="Runner", says=_runner(self.tool, facts))

    def _cautions(self, resins: Iterable[str]) -> Iterator[Caution]:
        named = list(resins)
        if len(named) > 1:
            yield Caution(
                f"its parts are of {' and '.join(named)}: one shot has one resin, so nothing that depends on "
                "it is judged"
            )
        yield from map(Caution, self.unmeasured)
        missing = [one.part for one in self.seen if not one.has_mesh]
        if missing:
            are = "are" if len(missing) > 1 else "is"
            yield Caution(f"no mesh of {', '.join(missing)} {are} kept: area and wall are not known")
        yield from (Caution(f"the mesh of {one.part}: {one.doubt}") for one in self.seen if one.doubt)
        yield from filter(None, map(_thick_place, self.seen))
        if not self.tool.feed:
            yield Caution("how the melt reaches the cavities is not said: a cold runner is taken")


def _wall_says(one: PartAtPress) -> str:
    if one.wall_mm is None:
        return ""
    if one.is_round:
        return f", solid and round: cools as a wall of {one.wall_mm:.2g} mm"
    thick = f", {one.thickest_mm:.2g} mm at one place" if _has_thick_place(one) else ""
    return f", walls to {one.wall_mm:.2g} mm{thick}"


def _has_thick_place(one: PartAtPress) -> bool:
    known = one.wall_mm is not None and one.thickest_mm is not None and not one.is_round
    return known and (one.thickest_mm or 0) > THICK_PLACE * (one.wall_mm or 0)


def _thick_place(one: PartAtPress) -> Caution | None:
    if not _has_thick_place(one) or one.wall_mm is None or one.thickest_mm is None:
        return None
    longer = (one.thickest_mm / one.wall_mm) ** 2
    return Caution(
        f"{one.part} is {one.thickest_mm:.2g} mm thick at one place, its walls are {one.wall_mm:.2g} mm: "
        f"there it would cool {longer:.0f} times as long, and leaves the mould soft inside, with sink marks "
        "or voids; core it out, or give it time",
        PRACTICE,
    )


def _of_shot(parts: Sequence[PartAtPress], number: str) -> float | None:
    """The sum over all cavities; None where it is not known of every part."""
    each = [(getattr(one, number), one.cavities) for one in parts]
    if not each or any(value is None for value, _ in each):
        return None
    return float(sum(value * cavities for value, cavities in each))


def _weighed(parts: Collection[Part], measured: SizesMeasured) -> dict[int, tuple[float, str]]:
    """Mean weight in g of each part that a trial weighed, over its cavities, and which trial."""
    kind = {"kind": SizeKind.WEIGHT.value, "unit": "g"}
    weights = Characteristic.objects.filter(part__in=[one.pk for one in parts], **kind)
    asked = list(weights.select_related("part__resin", "gauge").order_by("number"))
    sizes = measured.latest(asked)
    found = {}
    for one in asked:
        latest = sizes.get(one.pk)
        if latest is None or one.part_id in found:
            continue
        means = [cavity.mean for cavity in latest.cavities]
        trial = f"weighed at {latest.trial.name} of {latest.trial.tool.code}"
        found[one.part_id] = (sum(means) / len(means), trial)
    return found


def _runner(tool: Tool, facts: ToolFacts) -> str:
    if not facts.has_runner:
        return f"{tool.feed}: none comes out"
    weight = f"{facts.runner_g:g} g" if facts.runner_g is not None else "not weighed"
    area = f"{facts.runner_cm2:g} cm² beside the parts" if facts.runner_cm2 is not None else "area not known"
    return f"{weight}, {area}"
