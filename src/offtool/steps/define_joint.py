"""Define a joint, change it, or take it out: its kind, its sizes, and what it must do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from math import isfinite
from typing import Any

from offtool.core.values import nearest
from offtool.handbook.joint_kinds import JOINT_KINDS, KindOfJoint, Side
from offtool.handbook.terms import LARGEST_NUMBER, JointKind
from offtool.records.models import Joint, Part, Programme
from offtool.records.operations import NewSize, delete_joint, store_joint
from offtool.records.queries import find_joint, find_programme
from offtool.steps.sizes_given import DefinitionRefused, Said, Sizes, refuse_thinner_than_nothing


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
NO_CODE = "new"
"""Where the pages define the next joint."""
_SCREW = "STEEL"
"""What a screw is made of where nothing else is said."""


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


def parts_of_sides(kind: JointKind, sizes: Sequence[Any]) -> tuple[Part | None, Part | None]:
    """The parts of the inner and the outer side: of the first measured size of each side; of a chain, the
    first part and the next one. None where nothing of that side is measured.
    """
    facts = JOINT_KINDS[kind]
    measured = [one for one in sizes if one.characteristic is not None]
    if not facts.roles:
        parts = list({one.characteristic.part_id: one.characteristic.part for one in measured}.values())
        return (parts[0] if parts else None), (parts[1] if len(parts) > 1 else None)
    return _part_of_side(facts, measured, "inner"), _part_of_side(facts, measured, "outer")


def _part_of_side(facts: KindOfJoint, measured: Sequence[Any], side: Side) -> Part | None:
    for one in measured:
        role = facts.role(one.role)
        if role is not None and role.side == side:
            part: Part = one.characteristic.part
            return part
    return None


def _refuse_taken(programme: Programme, code: str, *, now: Joint | None) -> None:
    if not code.strip():
        raise DefinitionRefused("code", "the joint has no code", "give a short one, such as shoulder")
    if code.strip().casefold() == NO_CODE:
        raise DefinitionRefused("code", f"no joint can be called {code.strip()}", "give another short name")
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
    before = parts_of_sides(JointKind(kind), list(now.sizes.all()))
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
    _refuse_order(joint, facts)
    given = Sizes(programme, joint.sizes)
    sizes = given.by_roles(facts.roles, facts.kind.value) if facts.roles else list(_links(given, facts))
    refuse_thinner_than_nothing(sizes)
    if facts.uses_friction:
        _refuse_no_material(joint, facts, sizes)
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


def _refuse_order(joint: JointDefined, facts: KindOfJoint) -> None:
    """Limits, friction, and weight with its lever: what goes in pairs."""
    if joint.lower is not None and joint.upper is not None and joint.lower >= joint.upper:
        raise DefinitionRefused(
            "lower",
            f"{joint.lower:g} is not below upper, {joint.upper:g}",
            "give the smaller limit as the lower",
        )
    low, high = joint.friction_low, joint.friction_high
    if not facts.uses_friction and (low is not None or high is not None):
        raise DefinitionRefused(
            "friction_low" if low is not None else "friction_high",
            f"a {facts.kind} does not rest on friction",
            "leave both ends blank",
        )
    if (low is None) != (high is None):
        missing = "friction_low" if low is None else "friction_high"
        raise DefinitionRefused(missing, "only one end of the friction is given", "give both ends, or none")
    if low is not None and high is not None and low > high:
        raise DefinitionRefused(
            "friction_low", f"{low:g} is above friction_high, {high:g}", "give the smaller end first"
        )
    if (joint.limb_mass_g is None) != (joint.lever_mm is None):
        missing = "limb_mass_g" if joint.limb_mass_g is None else "lever_mm"
        raise DefinitionRefused(missing, "weight and lever go together, one is missing", "give both, or none")


def _links(given: Sizes, facts: KindOfJoint) -> Iterator[NewSize]:
    """The sizes of a chain or a loop. Raises DefinitionRefused."""
    is_loop = facts.kind is JointKind.LOOP
    if len(given.said) < (3 if is_loop else 2):
        least = "three sizes at least, the gap among them" if is_loop else "two sizes at least"
        raise DefinitionRefused("sizes", f"a {facts.kind} has {least}", "name each size that adds to the gap")
    angles = {one.angle_role.strip() for one in given.said.values() if one.angle_role.strip()}
    gaps: list[str] = []
    for role, said in given.said.items():
        size = given.size(role, said, "deg" if role in angles else "mm")
        _refuse_link(size, angles, list(given.said), is_loop=is_loop)
        if size.characteristic is None and size.value is None:
            gaps.append(role)
        yield size
    if is_loop and len(gaps) != 1:
        what = (
            f"{len(gaps)} sizes have neither a size nor a number: {', '.join(gaps)}"
            if gaps
            else "no size is the gap"
        )
        raise DefinitionRefused(
            gaps[1] if gaps else "sizes", what, "leave exactly one without: the gap closes the loop"
        )
    if not is_loop and gaps:
        raise DefinitionRefused(
            gaps[0], "it says no size", "give a size that is measured, such as HO-04 2, or a number"
        )


def _refuse_link(size: NewSize, angles: set[str], roles: list[str], *, is_loop: bool) -> None:
    if not size.role:
        raise DefinitionRefused("sizes", "a size has no name", "name each size of the chain")
    if size.factor == 0:
        raise DefinitionRefused(
            size.role, "factor 0: the size moves nothing", "give +1 or −1, or leave it out"
        )
    turned = size.angle_deg is not None or size.angle_role
    if turned and not is_loop:
        raise DefinitionRefused(
            size.role,
            "a chain lies in one line and has no angles",
            f"leave the angle out, or make it a {JointKind.LOOP}",
        )
    if size.angle_role and size.angle_role not in roles:
        raise DefinitionRefused(
            size.role,
            f"no size {size.angle_role!r} in the loop to be its angle",
            nearest(size.angle_role, roles),
        )
    if size.angle_role and (size.angle_deg is not None or size.angle_role == size.role):
        raise DefinitionRefused(
            size.role, "its angle is given twice, or is itself", "give one angle, or one size"
        )
    is_gap = size.characteristic is None and size.value is None
    if is_loop and not turned and not is_gap and size.role not in angles:
        raise DefinitionRefused(
            size.role, "it has no direction", "give angle_deg, or the size that is its angle"
        )


def _refuse_no_material(joint: JointDefined, facts: KindOfJoint, sizes: Sequence[NewSize]) -> None:
    """A side without a stiffness: neither its resin is in the handbook, nor a modulus given."""
    from offtool.handbook.joint_materials import joint_material

    for side, part in zip(("inner", "outer"), parts_of_sides(facts.kind, sizes), strict=True):
        given: str = getattr(joint, f"{side}_resin").strip()
        usual = _SCREW if facts.kind is JointKind.BOSS and side == "inner" and part is None else ""
        code = given or (part.resin.code if part is not None else usual)
        if joint_material(code) is not None:
            continue
        named = f"{code} is not in the handbook" if code else "no part and no resin say what it is made of"
        if getattr(joint, f"{side}_modulus_mpa") is None:
            raise DefinitionRefused(
                f"{side}_modulus_mpa",
                f"the {side} side has no modulus: {named}",
                f"give {side}_modulus_mpa and strain_allowed_pct, or {side}_resin as the handbook calls it",
            )
        if joint.strain_allowed_pct is None:
            raise DefinitionRefused(
                "strain_allowed_pct",
                f"what the {side} side may bear is not known: {named}",
                "give strain_allowed_pct",
            )
