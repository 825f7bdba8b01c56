"""Define a joint, change it, or take it out: its kind, its sizes, and what it must do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from math import isfinite
from typing import Any

from offtool.core.values import nearest
from offtool.handbook.joint_checks import (
    angle_faults,
    code_faults,
    link_faults,
    material_faults,
    pair_faults,
    sides_of,
)
from offtool.handbook.joint_kinds import JOINT_KINDS, KindOfJoint
from offtool.handbook.terms import LARGEST_NUMBER, JointKind
from offtool.records.models import Joint, Part, Programme
from offtool.records.operations import NewSize, delete_joint, store_joint
from offtool.records.queries import find_joint, find_programme
from offtool.steps.sizes_given import DefinitionRefused, Said, Sizes, refuse_first


@dataclass(frozen=True, slots=True, kw_only=True)
class JointDefined:
    """A joint as it is defined. None and empty stand for what the joint's own table in the record says."""

    code: str
    kind: str
    sizes: Mapping[str, Said]
    """By role, such as peg_diameter; in a chain by any name, in the order of the chain."""
    name: str = ""
    lower: float | None = None
    upper: float | None = None
    limb_mass_g: float | None = None
    lever_mm: float | None = None
    safety_factor: float = 2.0  # common practice, no source
    friction_low: float | None = None
    friction_high: float | None = None
    inner_resin: str = ""
    outer_resin: str = ""
    inner_modulus_mpa: float | None = None
    outer_modulus_mpa: float | None = None
    strain_allowed_pct: float | None = None
    note: str = ""


_COLUMNS = tuple(one.name for one in fields(JointDefined) if one.name != "sizes")
_ABOVE_ZERO = (
    *("safety_factor", "friction_low", "friction_high"),
    *("inner_modulus_mpa", "outer_modulus_mpa", "strain_allowed_pct"),
)
_NOT_BELOW_ZERO = ("limb_mass_g", "lever_mm")


def define_joint(programme: str, joint: JointDefined, *, made_by: str) -> str:
    """Define a new joint and return its code.

    Raises NotInRecord for an unknown programme; DefinitionRefused, which names the field, for a kind, a role,
    a size, a number or a material that cannot be, and for a code that is taken. Nothing is recorded then.
    """
    found = find_programme(programme)
    _refuse_taken(found, joint.code, now=None)
    return store_joint(found, *_checked(found, joint), made_by=made_by).code


def change_joint(programme: str, code: str, joint: JointDefined, *, made_by: str) -> str:
    """Make a joint what is given, all of it, and return its code.

    Raises what `define_joint` raises; DefinitionRefused too for another kind or another part where tests hang
    on the joint, since their cavities are those of its parts.
    """
    found = find_programme(programme)
    now = find_joint(found, code)
    _refuse_taken(found, joint.code, now=now)
    columns, sizes = _checked(found, joint)
    if now.tests.exists():
        _refuse_another(now, columns["kind"], sizes)
    return store_joint(found, columns, sizes, made_by=made_by, joint=now).code


def remove_joint(programme: str, code: str, *, made_by: str) -> None:
    """Take a joint out of the record.

    Raises NotInRecord for names that are not there; OfftoolError where a test or a demand hangs on it.
    """
    delete_joint(find_joint(find_programme(programme), code), made_by=made_by)


def parts_of_sides(kind: JointKind, sizes: Iterable[Any]) -> tuple[Part | None, Part | None]:
    """The parts of the inner and the outer side, from the sizes in their order; see `sides_of`."""
    measured = [(one.role, one.characteristic.part) for one in sizes if one.characteristic is not None]
    return sides_of(kind, measured)


def _refuse_taken(programme: Programme, code: str, *, now: Joint | None) -> None:
    refuse_first(code_faults("joint", code))
    taken = Joint.objects.filter(programme=programme, code=code.strip()).first()
    if taken is not None and (now is None or taken.pk != now.pk):
        raise DefinitionRefused(
            "code", f"there is a joint {code} already", "change that one, or give another code"
        )


def _refuse_another(now: Joint, kind: str, sizes: Sequence[NewSize]) -> None:
    """Tests that are kept were of pieces of these parts, joined in this way."""
    if kind != now.kind:
        raise DefinitionRefused(
            "kind", f"tests of joint {now.code} as a {now.kind} are kept", "define another joint beside it"
        )
    before = parts_of_sides(JointKind(kind), now.sizes.all())
    after = parts_of_sides(JointKind(kind), sizes)
    for side, one, other in zip(("inner", "outer"), before, after, strict=True):
        if one is not None and one != other:
            raise DefinitionRefused(
                "sizes",
                f"tests of joint {now.code} with {one.code} as its {side} part are kept",
                "define another joint beside it",
            )


def _checked(programme: Programme, joint: JointDefined) -> tuple[dict[str, Any], list[NewSize]]:
    """The columns and sizes of a joint that can be. Raises DefinitionRefused."""
    known = [one.value for one in JointKind]
    if joint.kind not in known:
        raise DefinitionRefused(
            "kind", f"no kind of joint is called {joint.kind!r}", nearest(joint.kind, known)
        )
    facts = JOINT_KINDS[JointKind(joint.kind)]
    columns = {name: getattr(joint, name) for name in _COLUMNS}
    refuse_numbers(columns, _ABOVE_ZERO, _NOT_BELOW_ZERO, ("lower", "upper"))
    refuse_first(pair_faults(facts, joint))
    given = Sizes(programme, joint.sizes)
    sizes = given.by_roles(facts.roles, facts.kind.value) if facts.roles else _links(given, facts)
    inner, outer = parts_of_sides(facts.kind, sizes)
    resins = (inner.resin.code if inner else None, outer.resin.code if outer else None)
    refuse_first(material_faults(facts, joint, resins))
    return columns, sizes


def refuse_numbers(
    columns: Mapping[str, Any],
    above_zero: Sequence[str],
    not_below_zero: Sequence[str],
    any_number: Sequence[str] = (),
) -> None:
    """Raise DefinitionRefused for the first number that the record cannot hold."""
    for name in (*above_zero, *not_below_zero, *any_number):
        value = columns[name]
        if value is None:
            continue
        if not isfinite(value) or abs(value) > LARGEST_NUMBER:
            raise DefinitionRefused(
                name, f"{value:g} is no such number", "give a finite number, or leave it blank"
            )
        if name in above_zero and value <= 0:
            raise DefinitionRefused(
                name, f"{value:g} is not above 0", "give a number above 0, or leave it blank"
            )
        if name in not_below_zero and value < 0:
            raise DefinitionRefused(name, f"{value:g} is below 0", "give 0 or more, or leave it blank")


def _links(given: Sizes, facts: KindOfJoint) -> list[NewSize]:
    """The sizes of a chain or a loop. Raises DefinitionRefused."""
    angle_of = {role: one.angle_role.strip() for role, one in given.said.items()}
    if facts.kind is JointKind.LOOP:
        refuse_first(angle_faults(angle_of))
    angles = set(angle_of.values())
    sizes = [given.size(role, said, "deg" if role in angles else "mm") for role, said in given.said.items()]
    refuse_first(link_faults(facts, sizes))
    return sizes
