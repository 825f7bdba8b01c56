"""What a form of a joint offers: sizes, trials and gauges of the programme, and the joint as it is now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import count as count_from

from offtool.handbook.terms import JointKind
from offtool.records.models import Characteristic, Part, Trial
from offtool.records.queries import find_joint, find_programme
from offtool.steps.as_defined import joint_as_defined
from offtool.steps.define_joint import JointDefined, parts_of_sides
from offtool.steps.overview import is_invented
from offtool.steps.what_is_asked import drawing_order, size_key


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeToChoose:
    """One size of the programme that a joint may be made of."""

    key: str
    """Part and number, such as HO-04 2."""
    shown: str
    part: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DefiningPlace:
    """Where a joint is defined, or changed where it is there already."""

    programme: str
    programme_title: str
    invented: bool
    sizes: tuple[SizeToChoose, ...]
    now: JointDefined | None
    tests: int
    """How many tests hang on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestPlace:
    """Where a test of a joint would be kept, what it may be from, and a name that is free."""

    programme: str
    programme_title: str
    invented: bool
    joint: str
    inner_part: str
    outer_part: str
    inner_trials: tuple[str, ...]
    """Tool and trial, such as M3 T3, newest first."""
    outer_trials: tuple[str, ...]
    gauges: tuple[tuple[str, str], ...]
    next_name: str


def defining_place(programme: str, joint: str = "") -> DefiningPlace:
    """Where a new joint, or the one named, is defined. Raises NotInRecord."""
    found = find_programme(programme)
    now = find_joint(found, joint) if joint else None
    sizes = Characteristic.objects.filter(part__programme=found).select_related("part")
    in_order = sorted(sizes, key=lambda one: (one.part.code, drawing_order(one.number)))
    return DefiningPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        sizes=tuple(_to_choose(one) for one in in_order),
        now=joint_as_defined(programme, joint) if joint else None,
        tests=now.tests.count() if now is not None else 0,
    )


def place_of_joint_test(programme: str, joint: str) -> JointTestPlace:
    """Where a test of a joint would be kept. Raises NotInRecord."""
    found = find_programme(programme)
    one = find_joint(found, joint)
    inner, outer = parts_of_sides(JointKind(one.kind), one.sizes.all())
    taken = set(one.tests.values_list("name", flat=True))
    return JointTestPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        joint=one.code,
        inner_part=inner.code if inner is not None else "",
        outer_part=outer.code if outer is not None else "",
        inner_trials=_trials_of(inner),
        outer_trials=_trials_of(outer),
        gauges=tuple((gauge.code, f"{gauge.code} {gauge.name}".rstrip()) for gauge in found.gauges.all()),
        next_name=next(name for i in count_from(1) if (name := f"test {i}") not in taken),
    )


def _to_choose(one: Characteristic) -> SizeToChoose:
    return SizeToChoose(
        key=size_key(one),
        shown=f"{size_key(one)} {one.name}".rstrip(),
        part=f"{one.part.code} {one.part.name}".rstrip(),
        unit=one.unit,
    )


def _trials_of(part: Part | None) -> tuple[str, ...]:
    """The trials of the tools that make a part, newest first."""
    if part is None:
        return ()
    trials = Trial.objects.filter(tool__cavities__part=part).distinct().select_related("tool")
    newest = sorted(trials, key=lambda one: (one.shot_on or date.min, one.pk), reverse=True)
    return tuple(f"{one.tool.code} {one.name}" for one in newest)
