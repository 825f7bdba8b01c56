"""From the record to a joint: its sizes by cavity, its materials, its friction, and what is asked of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from math import isfinite, sqrt

from offtool.core.joints.evidence import JointEvidence, JointMaterial, Link, SizeGiven, SizeInCavity, Span
from offtool.core.joints.hold import hold_torque, peg_torque_ceiling
from offtool.core.joints.materials import material_of, yield_of
from offtool.core.values import Caution
from offtool.handbook.friction import SURFACE_NOTE, friction_range
from offtool.handbook.joint_kinds import JOINT_KINDS, KindOfJoint, Side
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint, JointSize, Part
from offtool.steps.define_joint import parts_of_sides
from offtool.steps.joint_found import FrictionUsed, JointSizeSeen, LimitAsked
from offtool.steps.latest_sizes import LatestSize, latest_sizes
from offtool.steps.sizes_seen import size_seen
from offtool.steps.trial_evidence import SizeSeen
from offtool.steps.what_is_asked import size_key

SIDES: tuple[Side, Side] = ("inner", "outer")
NOTHING_ASKED = "nothing is asked"
FAR_ABOVE = 5.0
"""So many times what the peg bears, a torque is taken to be meant in another unit."""
PUT_TOGETHER_ONCE = (JointKind.SNAP, JointKind.BOSS)
"""Kinds that are strained while they are put together, and bear what is allowed once."""


class JointInRecord:
    """A joint of the record with everything that is looked up for it, once."""

    def __init__(self, joint: Joint, latest: Mapping[int, LatestSize] | None = None) -> None:
        self.joint = joint
        self.kind = JointKind(joint.kind)
        self.facts: KindOfJoint = JOINT_KINDS[self.kind]
        self.sizes = sizes_of(joint)
        measured = [one.characteristic for one in self.sizes if one.characteristic is not None]
        self.latest = latest if latest is not None else latest_sizes(measured)

    @property
    def missing(self) -> tuple[str, ...]:
        """What keeps the joint from being worked out, in words."""
        return (
            *self._missing_roles(),
            *self._not_measured(),
            *self._missing_materials(),
            *self._impossible_limits(),
        )

    def _impossible_limits(self) -> Iterator[str]:
        """A least that no joint of this peg can have: most often another unit."""
        lower, upper = self.limits
        if lower.value is None or self.facts.unit != "N·m":
            return
        most = upper if self.joint.upper is None else self._from_peg()
        factor = 1.0 if self.joint.upper is None else FAR_ABOVE
        if most.value is not None and lower.value >= factor * most.value:
            yield (
                f"its least, {lower.value:g} N·m, is above what its peg bears, {most.value:.2g} N·m "
                f"({most.says}); is it meant in mN·m?"
            )

    def _missing_roles(self) -> Iterator[str]:
        given = {one.role for one in self.sizes}
        for role in self.facts.roles:
            if role.usual is None and role.name not in given:
                yield f"{role.meaning} ({role.name}) is not given"
        if not self.facts.roles and len(self.sizes) < 2:
            yield "a chain has two sizes at least"

    def _not_measured(self) -> Iterator[str]:
        for one in self.sizes:
            if one.characteristic is not None and one.characteristic_id not in self.latest:
                yield f"{size_key(one.characteristic)} {one.characteristic.name} was not measured yet"

    def _missing_materials(self) -> Iterator[str]:
        if not self.facts.uses_materials:
            return
        for side in SIDES:
            if self.material(side) is None:
                code = self.resin(side)
                said = f"{code} is not in the handbook" if code else "no resin is given"
                yield (
                    f"the {side} side has no stiffness: {said}; "
                    f"give {side}_modulus_mpa and strain_allowed_pct, or a resin code"
                )

    def part(self, side: Side) -> Part | None:
        """The part that is the inner or the outer side; of a chain, the first and the second part."""
        return self._parts[0 if side == "inner" else 1]

    @cached_property
    def _parts(self) -> tuple[Part | None, Part | None]:
        return parts_of_sides(self.kind, self.sizes)

    def resin(self, side: Side) -> str:
        """Code of the resin of one side: as given, else that of its part."""
        given = self.joint.inner_resin if side == "inner" else self.joint.outer_resin
        part = self.part(side)
        if self.kind is JointKind.BOSS and side == "inner" and not given and part is None:
            return "STEEL"
        return given or (part.resin.code if part is not None else "")

    def material(self, side: Side) -> JointMaterial | None:
        """What one side is made of: the handbook's, with what the joint says itself in its place."""
        found = material_of(self.resin(side), repeated=self.kind not in PUT_TOGETHER_ONCE)
        joint = self.joint
        modulus = joint.inner_modulus_mpa if side == "inner" else joint.outer_modulus_mpa
        share = joint.strain_allowed_pct / 100 if joint.strain_allowed_pct else None
        if self._is_more_than(found):
            share = None  # one number for two materials frees neither
        if found is None and (modulus is None or share is None):
            return None
        return JointMaterial(
            modulus_mpa=modulus or (found.modulus_mpa if found else 0.0),
            poisson=found.poisson if found else 0.38,
            strain_allowed=share or (found.strain_allowed if found else 0.0),
            name=self.resin(side),
            source=_source(found, modulus, share),
        )

    def _is_more_than(self, found: JointMaterial | None) -> bool:
        """Whether the joint's one strain for two different materials is more than the handbook allows one."""
        given = self.joint.strain_allowed_pct
        if found is None or not given or self.resin("inner") == self.resin("outer"):
            return False
        return given / 100 > found.strain_allowed

    def _not_taken(self) -> Iterator[Caution]:
        """Sides that the strain given with the joint is not taken for."""
        for side in SIDES:
            found = material_of(self.resin(side), repeated=self.kind not in PUT_TOGETHER_ONCE)
            if found is not None and self._is_more_than(found):
                yield Caution(
                    f"the strain given with the joint, {self.joint.strain_allowed_pct:g} %, is more than the "
                    f"handbook allows {found.name}, {100 * found.strain_allowed:g} %: with two materials the "
                    f"handbook's counts for the {side} side"
                )

    @cached_property
    def handbook_friction(self) -> FrictionUsed | None:
        """Friction as the joint gives it, else of the pair of resins; None for kinds without friction."""
        if not self.facts.uses_friction:
            return None
        inner, outer = self.resin("inner"), self.resin("outer")
        pair = friction_range(inner, outer)
        handbook = Span(low=pair.low, high=pair.high)
        joint = self.joint
        if joint.friction_low is not None and joint.friction_high is not None:
            own = Span(low=joint.friction_low, high=joint.friction_high)
            return FrictionUsed(span=own, says="as given with the joint", handbook=handbook, is_learned=False)
        says = f"{inner or 'not known'} on {outer or 'not known'}, dry: {pair.source}"
        return FrictionUsed(span=handbook, says=says, handbook=handbook, is_learned=False)

    @cached_property
    def limits(self) -> tuple[LimitAsked, LimitAsked]:
        """What is asked of the measure: as given, else what the limb weighs and what the peg may bear."""
        lower = LimitAsked(value=self.joint.lower, says="as given with the joint")
        upper = LimitAsked(value=self.joint.upper, says="as given with the joint")
        turns = self.facts.unit == "N·m"
        if lower.value is None:
            lower = self._from_weight() if turns else LimitAsked(value=None, says=NOTHING_ASKED)
        if upper.value is None:
            upper = self._from_peg() if turns else LimitAsked(value=None, says=NOTHING_ASKED)
        return lower, upper

    def _from_weight(self) -> LimitAsked:
        joint = self.joint
        if joint.limb_mass_g is None or joint.lever_mm is None:
            return LimitAsked(value=None, says=f"{NOTHING_ASKED}: give the limb's weight and lever")
        held = hold_torque(joint.limb_mass_g, joint.lever_mm, safety_factor=joint.safety_factor)
        return LimitAsked(
            value=held.torque_nm,
            says=f"{joint.limb_mass_g:g} g at {joint.lever_mm:g} mm, {joint.safety_factor:g} times",
        )

    def _from_peg(self) -> LimitAsked:
        """Half of what shears the peg off."""
        diameter, inner = self._middle("peg_diameter"), self.material("inner")
        if diameter is None or inner is None:
            return LimitAsked(value=None, says=NOTHING_ASKED)
        hollow = self._middle("peg_bore") or 0.0
        ceiling = peg_torque_ceiling(diameter, yield_of(inner), peg_bore_mm=hollow)
        return LimitAsked(value=ceiling.torque_nm, says="half of what shears the peg off (common practice)")

    def _middle(self, role: str) -> float | None:
        found = next((one for one in self.sizes if one.role == role), None)
        if found is None:
            return None
        return found.characteristic.nominal if found.characteristic is not None else found.value

    def evidence(self, friction: FrictionUsed | None) -> JointEvidence:
        """All that the assembled joint rests on; nothing of it may be missing."""
        lower, upper = self.limits
        return JointEvidence(
            kind=self.kind,
            measured=tuple(self._measured()),
            given=tuple(self._given()),
            lower=lower.value,
            upper=upper.value,
            inner=self.material("inner"),
            outer=self.material("outer"),
            friction=friction.span if friction is not None else None,
            links=tuple(self._links()),
            gap=next((one.role for one in self.sizes if _is_gap(one)), ""),
        )

    def _measured(self) -> Iterator[SizeInCavity]:
        for one in self.sizes:
            if one.characteristic is None:
                continue
            for measured in self.latest[one.characteristic.pk].measured:
                cavity = measured.finding
                yield SizeInCavity(
                    role=one.role,
                    part=one.characteristic.part.code,
                    cavity=cavity.cavity,
                    mean=cavity.mean,
                    sd=cavity.sd if isfinite(cavity.sd) else 0.0,
                    parts=cavity.parts,
                    gauge_sd=gauge_sd_of(measured.seen),
                )

    def _given(self) -> Iterator[SizeGiven]:
        given = {one.role for one in self.sizes}
        for one in self.sizes:
            if one.value is not None:
                yield SizeGiven(role=one.role, value=one.value, plus_minus=one.plus_minus)
        for role in self.facts.roles:
            if role.usual is not None and role.name not in given:
                yield SizeGiven(role=role.name, value=role.usual)

    def _links(self) -> Iterator[Link]:
        if self.facts.roles:
            return
        angles = {one.angle_role for one in self.sizes if one.angle_role}
        for one in self.sizes:
            if one.role not in angles:
                yield Link(
                    role=one.role, factor=one.factor, angle_deg=one.angle_deg, angle_role=one.angle_role
                )

    def seen(self) -> tuple[JointSizeSeen, ...]:
        """The sizes as they are shown: measured ones with their cavities, numbers as given."""
        return tuple(self._seen(one) for one in self.sizes)

    def _seen(self, one: JointSize) -> JointSizeSeen:
        role = self.facts.role(one.role)
        return size_seen(
            one,
            self.latest.get(one.characteristic_id or 0),
            meaning=role.meaning if role else _link_in_words(one),
            unit=role.unit if role else "mm",
        )

    @property
    def is_as_first_cut(self) -> bool:
        """Whether a measured size comes from a tool that was not cut since it was made."""
        return any(one.trial.state.ordinal == 1 for one in self.latest_of_sizes)

    @property
    def latest_of_sizes(self) -> list[LatestSize]:
        """The sizes of this joint that were measured."""
        keys = [one.characteristic_id for one in self.sizes]
        return [self.latest[key] for key in keys if key is not None and key in self.latest]

    @property
    def cautions(self) -> Iterator[Caution]:
        """What must be known of the sizes before acting."""
        for one in self.sizes:
            latest = self.latest.get(one.characteristic_id or 0)
            if one.characteristic is None or latest is None:
                continue
            yield from latest.cautions
            for trial in latest.stale_trials:
                yield Caution(
                    f"{size_key(one.characteristic)} was measured in {trial.name}, state "
                    f"{trial.state.label}; steel of {trial.tool.code} has changed since"
                )
        if self.facts.uses_friction:
            yield from self._not_taken()
            yield Caution(SURFACE_NOTE, "common practice, no source")


def sizes_of(joint: Joint) -> list[JointSize]:
    """The sizes of a joint, in the order in which they were given."""
    return sorted(joint.sizes.all(), key=lambda one: (one.place, one.pk))


def gauge_sd_of(seen: SizeSeen) -> float:
    """What reading one part adds to the spread: the gauge's scatter, less where parts were read again."""
    if seen.gauge is None:
        return 0.0
    times = seen.parts.readings / max(len(seen.parts.value), 1)
    return seen.gauge.scatter / sqrt(max(times, 1.0))


def _source(found: JointMaterial | None, modulus: float | None, share: float | None) -> str:
    """Where stiffness and strain come from."""
    if found is None or (modulus and share):
        return "as given"
    if modulus:
        return f"stiffness as given, strain by {found.source}"
    return f"strain as given, stiffness by {found.source}" if share else found.source


def _is_gap(one: JointSize) -> bool:
    """The link of a loop that nothing is given of closes it."""
    return one.characteristic_id is None and one.value is None


def _link_in_words(one: JointSize) -> str:
    if _is_gap(one):
        return "closes the loop"
    return "adds to the gap" if one.factor > 0 else "takes from the gap"
