"""Judge a joint: will it hold, which pairs of cavities are off, and which steel moves it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from offtool import __version__
from offtool.core.joints.assembled import AssembledJoint
from offtool.core.joints.evidence import JointEvidence, Span
from offtool.core.joints.relaxation import RelaxationFit, RelaxedTorque, predict_relaxed_torque
from offtool.core.joints.steel import JointSteelChoice
from offtool.core.joints.tested import DroopJudged, TestsCompared
from offtool.core.values import Caution, OfftoolError, Verdict
from offtool.handbook.joint_materials import joint_material
from offtool.records.models import Joint, JointDemand, Programme
from offtool.records.queries import find_joint, find_programme, joints_of
from offtool.steps.joint_evidence import JointInRecord
from offtool.steps.joint_facts import facts
from offtool.steps.joint_found import DemandSeen, FrictionUsed, JointFound, JointsFound, JointWord
from offtool.steps.joint_sentences import (
    actions,
    decimals_of_measure,
    headline,
    headline_of_all,
    missing_headline,
)
from offtool.steps.joint_standing import (
    PRESSED,
    StandingOnScale,
    interference_of,
    standing_of,
    strain_use_of,
)
from offtool.steps.joint_steel import Neighbour, choose_steel
from offtool.steps.joint_tests_read import TestsRead, assembled_of, friction_by
from offtool.steps.joint_verdict import good_after, verdict_of, word_of
from offtool.steps.latest_sizes import LatestSize, SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.sentences import decimals_for
from offtool.steps.what_is_asked import size_key

METHOD = f"offtool {__version__}"
COMBINATIONS = 200_000
COMBINATIONS_OF_ALL = 50_000
FIRST_H = 1.0


def judge_joint(programme: str, joint: str) -> JointFound:
    """One joint with all that stands behind it. Raises NotInRecord."""
    found = find_programme(programme)
    return _Joints(found, [find_joint(found, joint)], COMBINATIONS).judged(0)


def judge_joints(programme: str, measured: SizesMeasured | None = None) -> JointsFound:
    """Every joint of a programme, with the sizes that are looked up already. Raises NotInRecord."""
    found = find_programme(programme)
    all_of = _Joints(found, joints_of(found), COMBINATIONS_OF_ALL, measured)
    judged = tuple(all_of.judged(i) for i in range(len(all_of.joints)))
    return JointsFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=headline_of_all(judged),
        joints=judged,
    )


@dataclass(slots=True)
class _Working:
    """One joint with what is worked out of it once."""

    told: JointInRecord
    tests: TestsRead
    friction: FrictionUsed | None
    evidence: JointEvidence | None
    assembled: AssembledJoint | None
    standing: StandingOnScale | None
    missing: tuple[str, ...]


class _Joints:
    """Joints of one programme that are judged together: their sizes are looked up once."""

    def __init__(
        self,
        programme: Programme,
        joints: Sequence[Joint],
        combinations: int,
        measured: SizesMeasured | None = None,
    ) -> None:
        self.programme, self.joints, self.combinations = programme, list(joints), combinations
        self._worked: dict[int, _Working] = {}
        self._measured = measured or SizesMeasured()

    @cached_property
    def _latest(self) -> Mapping[int, LatestSize]:
        sizes = {
            size.characteristic.pk: size.characteristic
            for joint in self._everyone
            for size in joint.sizes.all()
            if size.characteristic is not None
        }
        return self._measured.latest(list(sizes.values()))

    @cached_property
    def _everyone(self) -> list[Joint]:
        known = {one.pk: one for one in self.joints}
        return [known.get(one.pk, one) for one in joints_of(self.programme)]

    def _working(self, joint: Joint) -> _Working:
        if joint.pk not in self._worked:
            is_asked_for = any(one.pk == joint.pk for one in self.joints)
            self._worked[joint.pk] = self._work(
                joint, self.combinations if is_asked_for else COMBINATIONS_OF_ALL
            )
        return self._worked[joint.pk]

    def _work(self, joint: Joint, combinations: int) -> _Working:
        told, tests = JointInRecord(joint, self._latest), TestsRead(joint, self._measured)
        if told.missing:
            return _Working(told, tests, told.handbook_friction, None, None, None, told.missing)
        learned = tests.learned(told.handbook_friction)
        friction = friction_by(told.handbook_friction, learned)
        evidence = told.evidence(friction)
        try:
            assembled = assembled_of(evidence, combinations=combinations)
        except OfftoolError as error:
            return _Working(told, tests, friction, evidence, None, None, (str(error),))
        return _Working(told, tests, friction, evidence, assembled, standing_of(evidence, assembled), ())

    def judged(self, place: int) -> JointFound:
        """The whole answer for one of the joints."""
        joint = self.joints[place]
        one = self._working(joint)
        assembled = one.assembled
        lower, upper = one.told.limits
        steel, why_no_steel = self._steel(joint, one)
        compared, droop = one.tests.compared(lower.value, upper.value), one.tests.droop()
        relaxed, relaxation = _relaxed(one), one.tests.relaxation()
        found = JointFound(
            programme=self.programme.slug,
            programme_title=self.programme.title,
            invented=is_invented(self.programme),
            joint=joint.code,
            name=joint.name,
            kind=joint.kind,
            meaning=one.told.facts.meaning,
            measure=one.told.facts.measure,
            unit=one.told.facts.unit,
            decimals=decimals_of_measure(lower.value, upper.value, assembled),
            word=_word(assembled, compared, droop),
            verdict=_verdict(assembled, compared, droop),
            headline="",
            actions=(),
            rests_on=(),
            lower=lower,
            upper=upper,
            sizes=one.told.seen(),
            friction=one.friction,
            assembled=assembled,
            missing=one.missing,
            **_pressed(one),
            loose_at_first=one.told.is_as_first_cut and _steel_left(assembled, steel),
            steel_left=_steel_left(assembled, steel),
            steel=steel,
            demands=self._demands(joint),
            tests=one.tests.seen(),
            learned=one.tests.learned(one.told.handbook_friction) if assembled else None,
            compared=compared,
            relaxed=relaxed,
            relaxation=relaxation,
            good_after_1000h=_good_after(assembled, relaxed, relaxation),
            droop=droop,
            method=METHOD,
            cautions=(
                *one.told.cautions,
                *(assembled.cautions if assembled else ()),
                *_turns_freely(one),
                *why_no_steel,
                *one.tests.cautions,
            ),
        )
        return replace(
            found,
            headline=headline(found) if assembled else missing_headline(found),
            actions=tuple(actions(found)),
            rests_on=tuple(facts(found)),
        )

    def _steel(self, joint: Joint, one: _Working) -> tuple[JointSteelChoice | None, tuple[Caution, ...]]:
        """The ways that steel opens; none with the reason where they cannot be worked out."""
        if one.assembled is None or one.standing is None or not one.standing.slopes:
            return None, ()
        try:
            found = choose_steel(
                one.told,
                one.assembled,
                one.standing,
                friction_known=one.friction is None or one.friction.is_learned,
                neighbours=self._neighbours(joint, one),
                measured=self._measured,
            )
        except OfftoolError as error:
            return None, (Caution(f"no steel is proposed: {error}"),)
        return found, ()

    def _demands(self, joint: Joint) -> tuple[DemandSeen, ...]:
        made = JointDemand.objects.filter(joint=joint).select_related("characteristic__part")
        loaded = made.prefetch_related("characteristic__part__cavities__tool").order_by("-made_at", "-pk")
        return tuple(_demand(one, self._latest.get(one.characteristic_id)) for one in loaded)

    def _neighbours(self, joint: Joint, one: _Working) -> list[Neighbour]:
        """Other joints that share a size with this one."""
        own = {size.characteristic_id for size in one.told.sizes if size.characteristic_id}
        found = []
        for other in self._everyone:
            shared = {size.characteristic_id for size in other.sizes.all()} & own
            if other.pk == joint.pk or not shared:
                continue
            working = self._working(other)
            if working.standing is not None:
                keys = {
                    size.role: size_key(size.characteristic)
                    for size in working.told.sizes
                    if size.characteristic is not None
                }
                found.append(Neighbour(joint=other.code, standing=working.standing, sizes=keys))
        return found


def _pressed(one: _Working) -> dict[str, Any]:
    """Materials, strain and interference: what a spreadsheet shows in one cell."""
    found: dict[str, Any] = {"inner": one.told.material("inner"), "outer": one.told.material("outer")}
    if one.evidence is None or one.assembled is None:
        return found
    found["strain_use"] = strain_use_of(one.evidence, one.assembled)
    found["interference_mm"] = interference_of(one.evidence, one.assembled)
    if one.standing is not None and found["interference_mm"] is not None:
        found |= {"good_from_mm": one.standing.lower, "good_to_mm": one.standing.upper}
    return found


def _verdict(
    assembled: AssembledJoint | None, compared: TestsCompared | None, droop: DroopJudged | None
) -> Verdict:
    """What sizes say, unless joints that were measured say that it does not hold."""
    found = verdict_of(assembled)
    measured = [one.verdict for one in (compared, droop) if one is not None]
    return Verdict.NOT_SHOWN if found is Verdict.HOLDS and Verdict.FAILS in measured else found


def _word(
    assembled: AssembledJoint | None, compared: TestsCompared | None, droop: DroopJudged | None
) -> JointWord:
    found = word_of(assembled)
    if found is JointWord.GOOD and _verdict(assembled, compared, droop) is not Verdict.HOLDS:
        return JointWord.NOT_SHOWN
    return found


def _good_after(
    assembled: AssembledJoint | None, relaxed: RelaxedTorque | None, relaxation: RelaxationFit | None
) -> Span | None:
    """By the readings of this joint where they say it with an interval, else by the handbook."""
    if assembled is None or relaxed is None:
        return None
    left = Span(
        low=relaxed.torque_1000h_nm.low / relaxed.torque_nm,
        high=relaxed.torque_1000h_nm.high / relaxed.torque_nm,
    )
    last = relaxation.after[-1].share_interval if relaxation is not None else None
    if last is not None and last.low > 0:
        left = Span(low=last.low, high=min(last.high, 1.0))
    return good_after(assembled, left)


def _steel_left(assembled: AssembledJoint | None, steel: JointSteelChoice | None) -> bool:
    """Loose, and steel that was left on purpose tightens it."""
    if word_of(assembled) is not JointWord.LOOSE or steel is None:
        return False
    return any(not one.adds_steel and one.amounts for one in steel.candidates)


def _relaxed(one: _Working) -> RelaxedTorque | None:
    """What is left of the mean torque, by the handbook's share of both materials."""
    assembled = one.assembled
    if assembled is None or assembled.unit != "N·m" or not assembled.mix.mean > 0:
        return None
    sides = [joint_material(one.told.resin(side)) for side in ("inner", "outer")]
    shares = [side.remains_1000h for side in sides if side is not None]
    if len(shares) < len(sides):
        return None  # the material that is not known may loosen more
    low, high = min(low for low, _ in shares), min(high for _, high in shares)
    if not 0 < low <= high < 1:
        return None
    found = predict_relaxed_torque(assembled.mix.mean, FIRST_H, remaining_low=low, remaining_high=high)
    said = "taken as the torque after an hour; the material that loosens more decides"
    return replace(found, cautions=(*found.cautions, Caution(said, "common practice, no source")))


def _turns_freely(one: _Working) -> tuple[Caution, ...]:
    """A joint with clearance at its mean has no torque there, and no size moves a torque of nothing."""
    standing = one.standing
    if standing is None or one.told.kind not in PRESSED or standing.mean > 0:
        return ()
    return (
        Caution(
            f"at its mean the joint turns freely, {-standing.mean:.3f} mm of clearance: torque begins at "
            "interference, so that no size moves the torque where it stands"
        ),
    )


def _demand(one: JointDemand, taken: LatestSize | None) -> DemandSeen:
    size = one.characteristic
    tools = sorted({cavity.tool.code for cavity in size.part.cavities.all()})
    return DemandSeen(
        size=size_key(size),
        name=size.name,
        tool=taken.trial.tool.code if taken is not None else next(iter(tools), ""),
        target=one.target,
        lower=one.lower,
        upper=one.upper,
        decimals=decimals_for(size.lower, size.upper, size.nominal),
        reason=one.reason,
        made_at=one.made_at,
        made_by=one.made_by,
        dropped=one.dropped,
        demand_id=one.pk,
        tools=tuple(tools),
    )
