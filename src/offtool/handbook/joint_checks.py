"""What no joint can be, whoever defines it: a form, a command or a folder."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from offtool.core.values import nearest
from offtool.handbook.joint_kinds import JOINT_KINDS, MOST_LINKS, KindOfJoint, Role, Side
from offtool.handbook.joint_materials import joint_material
from offtool.handbook.terms import JointKind

PartT = TypeVar("PartT", bound=Hashable)
NO_CODE = "new"
"""Where the pages define the next joint or seam."""
_SCREW = "STEEL"
"""What a screw is made of where nothing else is said."""
_WALLS = (
    ("socket_bore", "socket_outer"),
    ("peg_bore", "peg_diameter"),
    ("boss_bore", "boss_outer"),
    ("screw_core", "screw_diameter"),
)
"""Sizes of which the first lies inside the second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Why a definition cannot be; `field` is a column or the role of a size."""

    field: str
    what: str
    remedy: str


class Said(Protocol):
    """What is said of a joint beside its sizes."""

    @property
    def lower(self) -> float | None: ...
    @property
    def upper(self) -> float | None: ...
    @property
    def limb_mass_g(self) -> float | None: ...
    @property
    def lever_mm(self) -> float | None: ...
    @property
    def friction_low(self) -> float | None: ...
    @property
    def friction_high(self) -> float | None: ...
    @property
    def strain_allowed_pct(self) -> float | None: ...


class Size(Protocol):
    """One size; `characteristic` says whether it is measured."""

    @property
    def role(self) -> str: ...
    @property
    def characteristic(self) -> Any: ...
    @property
    def value(self) -> float | None: ...
    @property
    def factor(self) -> float: ...
    @property
    def angle_deg(self) -> float | None: ...
    @property
    def angle_role(self) -> str: ...


class Number(Protocol):
    """A size of a joint or a seam, as far as it is a number."""

    @property
    def role(self) -> str: ...
    @property
    def value(self) -> float | None: ...


def code_faults(thing: str, code: str) -> Iterator[Fault]:
    """A short name that its page could not be opened under; `thing` is joint or seam."""
    if not code.strip():
        yield Fault(field="code", what=f"the {thing} has no code", remedy="give a short one")
    if code.strip().casefold() == NO_CODE:
        yield Fault(
            field="code", what=f"no {thing} can be called {code.strip()}", remedy="give another short name"
        )


def pair_faults(facts: KindOfJoint, said: Said) -> Iterator[Fault]:
    """Limits, friction, and weight with its lever: what goes in pairs."""
    if said.lower is not None and said.upper is not None and said.lower >= said.upper:
        yield Fault(
            field="lower",
            what=f"{said.lower:g} is not below upper, {said.upper:g}",
            remedy="give the smaller limit as the lower",
        )
    yield from _friction_faults(facts, said.friction_low, said.friction_high)
    if (said.limb_mass_g is None) != (said.lever_mm is None):
        yield Fault(
            field="limb_mass_g" if said.limb_mass_g is None else "lever_mm",
            what="weight and lever go together, one is missing",
            remedy="give both, or none",
        )


def _friction_faults(facts: KindOfJoint, low: float | None, high: float | None) -> Iterator[Fault]:
    if not facts.uses_friction and (low is not None or high is not None):
        yield Fault(
            field="friction_low" if low is not None else "friction_high",
            what=f"a {facts.kind} does not rest on friction",
            remedy="leave both ends blank",
        )
    if (low is None) != (high is None):
        yield Fault(
            field="friction_low" if low is None else "friction_high",
            what="only one end of the friction is given",
            remedy="give both ends, or none",
        )
    if low is not None and high is not None and low > high:
        yield Fault(
            field="friction_low",
            what=f"{low:g} is above friction_high, {high:g}",
            remedy="give the smaller end first",
        )


def number_faults(roles: Sequence[Role], sizes: Iterable[Number]) -> Iterator[Fault]:
    """Numbers that no such size has: below 0, or 0 where nothing would be left; walls of nothing."""
    numbers = {one.role: one.value for one in sizes if one.value is not None}
    for role in roles:
        value = numbers.get(role.name)
        if value is not None and (value < 0 or (value == 0 and role.usual is None)):
            yield Fault(
                field=role.name,
                what=f"{value:g} {role.unit} is no {role.meaning}",
                remedy="give a number above 0",
            )
    for inside, outside in _WALLS:
        if inside in numbers and outside in numbers and numbers[inside] >= numbers[outside]:
            yield Fault(
                field=outside,
                what=f"{numbers[outside]:g} mm is not above {inside}, {numbers[inside]:g} mm: "
                "nothing is left",
                remedy="exchange the two, or measure them again",
            )


def link_faults(facts: KindOfJoint, sizes: Sequence[Size]) -> Iterator[Fault]:
    """What the sizes of a chain or a loop cannot be, whether measured or not."""
    is_loop = facts.kind is JointKind.LOOP
    if len(sizes) < (3 if is_loop else 2):
        least = "three sizes at least, the gap among them" if is_loop else "two sizes at least"
        yield Fault(
            field="sizes", what=f"a {facts.kind} has {least}", remedy="name each size that adds to the gap"
        )
    if len(sizes) > MOST_LINKS:
        yield Fault(
            field="sizes",
            what=f"{len(sizes)} sizes, and a {facts.kind} has {MOST_LINKS} at most",
            remedy="add up those that are only numbers, or make several chains of it",
        )
    angles = {one.angle_role for one in sizes if one.angle_role}
    if is_loop:
        yield from angle_faults({one.role: one.angle_role for one in sizes})
    for size in sizes:
        yield from _link_faults(size, angles, is_loop=is_loop)
    yield from _gap_faults([one.role for one in sizes if _is_gap(one)], is_loop=is_loop)


def angle_faults(angle_of: Mapping[str, str]) -> Iterator[Fault]:
    """A size whose angle is said to be a size that is not there; by role, each size's angle or nothing."""
    for role, angle in angle_of.items():
        if angle and angle not in angle_of:
            yield Fault(
                field=role,
                what=f"no size {angle!r} in the loop to be its angle",
                remedy=nearest(angle, angle_of),
            )


def _is_gap(size: Size) -> bool:
    return not size.characteristic and size.value is None


def _link_faults(size: Size, angles: set[str], *, is_loop: bool) -> Iterator[Fault]:
    if not size.role:
        yield Fault(field="sizes", what="a size has no name", remedy="name each size of the chain")
    if size.factor == 0:
        yield Fault(
            field=size.role,
            what="factor 0: the size moves nothing",
            remedy="give +1 or −1, or leave it out",
        )
    turned = size.angle_deg is not None or bool(size.angle_role)
    if turned and not is_loop:
        yield Fault(
            field=size.role,
            what="a chain lies in one line and has no angles",
            remedy=f"leave the angle out, or make it a {JointKind.LOOP}",
        )
    if size.angle_role and (size.angle_deg is not None or size.angle_role == size.role):
        yield Fault(
            field=size.role,
            what="its angle is given twice, or is itself",
            remedy="give one angle, or one size",
        )
    if is_loop and not turned and not _is_gap(size) and size.role not in angles:
        yield Fault(
            field=size.role,
            what="it has no direction",
            remedy="give angle_deg, or the size that is its angle",
        )


def _gap_faults(gaps: Sequence[str], *, is_loop: bool) -> Iterator[Fault]:
    if is_loop and len(gaps) != 1:
        several = f"{len(gaps)} sizes have neither a size nor a number: {', '.join(gaps)}"
        yield Fault(
            field=gaps[1] if gaps else "sizes",
            what=several if gaps else "no size is the gap",
            remedy="leave exactly one without: the gap closes the loop",
        )
    if not is_loop and gaps:
        yield Fault(
            field=gaps[0],
            what="it says no size",
            remedy="give a size that is measured, such as HO-04 2, or a number",
        )


def sides_of(kind: JointKind, measured: Iterable[tuple[str, PartT]]) -> tuple[PartT | None, PartT | None]:
    """The parts of the inner and the outer side, from the role and the part of each measured size, in order:
    of the first of each side; of a chain, the first part and the next one. None where nothing is measured.
    """
    facts, pairs = JOINT_KINDS[kind], list(measured)
    if not facts.roles:
        parts = list(dict.fromkeys(part for _, part in pairs))
        return (parts[0] if parts else None), (parts[1] if len(parts) > 1 else None)
    return _of_side(facts, pairs, "inner"), _of_side(facts, pairs, "outer")


def _of_side(facts: KindOfJoint, pairs: Sequence[tuple[str, PartT]], side: Side) -> PartT | None:
    for name, part in pairs:
        role = facts.role(name)
        if role is not None and role.side == side:
            return part
    return None


def material_faults(facts: KindOfJoint, said: Said, resins: tuple[str | None, str | None]) -> Iterator[Fault]:
    """A side without a stiffness: neither its resin is in the handbook, nor a modulus given.

    `resins` are those of the parts of the inner and the outer side; None where no part is known.
    """
    if not facts.uses_materials:
        return
    for side, resin in zip(("inner", "outer"), resins, strict=True):
        given: str = getattr(said, f"{side}_resin").strip()
        usual = _SCREW if facts.kind is JointKind.BOSS and side == "inner" and resin is None else ""
        code = given or (resin if resin is not None else usual)
        if joint_material(code) is not None:
            continue
        named = f"{code} is not in the handbook" if code else "no part and no resin say what it is made of"
        if getattr(said, f"{side}_modulus_mpa") is None:
            yield Fault(
                field=f"{side}_modulus_mpa",
                what=f"the {side} side has no modulus: {named}",
                remedy=f"give {side}_modulus_mpa and strain_allowed_pct, "
                f"or {side}_resin as the handbook calls it",
            )
        if said.strain_allowed_pct is None:
            yield Fault(
                field="strain_allowed_pct",
                what=f"what the {side} side may bear is not known: {named}",
                remedy="give strain_allowed_pct",
            )
