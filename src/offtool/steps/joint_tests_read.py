"""What assembled pieces showed: the friction that they teach, what ageing did, how fast they loosen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from math import isfinite
from typing import Any, TypeAlias

import numpy as np

from offtool.core.joints.assembled import AssembledJoint, assemble_joint
from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.joints.relaxation import RelaxationFit, fit_relaxation
from offtool.core.joints.tested import DroopJudged, TestsCompared, compare_tests, judge_droop
from offtool.core.values import OfftoolError, Verdict
from offtool.handbook.joint_kinds import JOINT_KINDS, Side
from offtool.handbook.terms import JointCondition, JointKind, JointReadingKind
from offtool.records.models import Characteristic, Joint, JointTest, Part, Trial
from offtool.records.queries import JointReadings, joint_readings, joint_tests_of
from offtool.records.queries.finding import latest_state
from offtool.steps.friction_unsure import PredictedPair, predicted_pairs, with_sizes_unsure
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainty_of
from offtool.steps.joint_evidence import JointInRecord
from offtool.steps.joint_found import FrictionUsed, TestSeen
from offtool.steps.joint_standing import PRESSED
from offtool.steps.latest_sizes import LatestSize, sizes_in_trials
from offtool.steps.sentences import count

Rows: TypeAlias = np.ndarray[tuple[int], np.dtype[np.bool_]]

COMBINATIONS_TO_LEARN = 20_000
PAIR = "{} with {}"
SIDES: tuple[Side, Side] = ("inner", "outer")
FIRST_DAY_H = 24.0


class TestsRead:
    """All tests of one joint that count, and what they say together."""

    __test__ = False  # not one of pytest's

    def __init__(self, joint: Joint) -> None:
        self.joint = joint
        self.tests = joint_tests_of(joint)
        self.counting = [one for one in self.tests if not one.set_aside]
        self.readings: JointReadings = joint_readings(self.counting)
        self._learned: dict[Span, LearnedFriction | None] = {}

    def seen(self) -> tuple[TestSeen, ...]:
        """Every test, those set aside too, newest first."""
        counts = {one.pk: int((self.readings.test_id == one.pk).sum()) for one in self.tests}
        return tuple(_seen(one, counts.get(one.pk, 0), self._gauge(one)) for one in self.tests)

    @property
    def is_stale(self) -> bool:
        """Whether all that counts was read on steel that has changed since."""
        return bool(self.counting) and all(is_stale(one) for one in self.counting)

    def _gauge(self, test: JointTest) -> GaugeUncertainty | None:
        return gauge_uncertainty_of(test.gauge) if test.gauge is not None else None

    @cached_property
    def gauge_sd(self) -> float | None:
        """Scatter of the newest test's gauge."""
        found = (self._gauge(one) for one in self.counting)
        return next((one.scatter for one in found if one is not None), None)

    def _rows(self, what: JointReadingKind) -> Rows:
        return np.asarray(self.readings.what == what.value, dtype=np.bool_)

    def learned(self, friction: FrictionUsed | None) -> LearnedFriction | None:
        """The friction that reconciles fresh breakaway torques with what is predicted; None without any."""
        if friction is None or JointKind(self.joint.kind) not in PRESSED:
            return None
        if friction.handbook not in self._learned:
            self._learned[friction.handbook] = self._learn(friction.handbook)
        return self._learned[friction.handbook]

    def _learn(self, given: Span) -> LearnedFriction | None:
        predicted = {test.pk: self._predicted_at_one(test) for test in self.counting}
        rows = [
            (self._pair(test, *cavities), predicted[test][cavities], value)
            for test, cavities, value in self._fresh_by_pair()
            if cavities in predicted[test]
        ]
        if not rows:
            return None
        try:
            found = learn_friction(
                [one.at_one_nm for _, one, _ in rows],
                [value for _, _, value in rows],
                [pair for pair, _, _ in rows],
                predicted_sds=[one.sd_nm for _, one, _ in rows],
                gauge_sd=self.gauge_sd,
                given_low=given.low,
                given_high=given.high,
            )
        except OfftoolError:
            return None
        return with_sizes_unsure(found, {pair: one for pair, one, _ in rows})

    def _pair(self, test: int, inner: str, outer: str) -> str:
        """A pair of cavities; with its test where several count, since steel may be cut between them."""
        pair = PAIR.format(inner, outer)
        return pair if len(self.counting) < 2 else f"{pair} in {self._name[test]}"

    @cached_property
    def _name(self) -> dict[int, str]:
        return {one.pk: one.name for one in self.counting}

    def _fresh_by_pair(self) -> Iterator[tuple[int, tuple[str, str], float]]:
        """Test, cavities and torque of every fresh joint that was read with both cavities known.

        A piece counts once, with the mean of what was read of it first: later it has loosened.
        """
        read = self.readings
        is_fresh = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        told = is_fresh & (read.inner != "") & (read.outer != "") & ~(read.hours > FIRST_DAY_H)
        groups: dict[tuple[int, str, str, str], list[tuple[float, float]]] = defaultdict(list)
        for i in np.flatnonzero(told):
            key = (int(read.test_id[i]), str(read.inner[i]), str(read.outer[i]), str(read.piece[i]))
            hours = float(read.hours[i])
            groups[key].append((hours if isfinite(hours) else 0.0, float(read.value[i])))
        for (test, inner, outer, _), values in groups.items():
            first = min(hours for hours, _ in values)
            yield test, (inner, outer), float(np.mean([value for hours, value in values if hours == first]))

    def _predicted_at_one(self, test: JointTest) -> dict[tuple[str, str], PredictedPair]:
        """Torque with a friction of 1 and its uncertainty, for each pair, with the sizes of the test's own
        trials."""
        sizes = [one.characteristic for one in self.joint.sizes.all() if one.characteristic is not None]
        at_test = JointInRecord(self.joint, _sizes_of_test(test, sizes))
        if at_test.missing:
            return {}
        base = at_test.evidence(None)
        try:
            found = assemble_joint(
                replace(base, friction=Span(low=1.0, high=1.0)), combinations=COMBINATIONS_TO_LEARN
            )
        except OfftoolError:
            return {}
        inner, outer = (_place(found, at_test.part(side)) for side in SIDES)
        return {
            (cavities[inner], cavities[outer]): one
            for cavities, one in predicted_pairs(found, test.pk).items()
        }

    def compared(self, lower: float | None, upper: float | None) -> TestsCompared | None:
        """Whether the pieces measured keep the limits, and what ageing or cycling did; None without any.

        Of torques those at the first move count, of snaps the force to pull them off.
        """
        read = self.readings
        rows, pieces = self._comparable(self._rows(self._measured_as), read.condition)
        conditions = read.condition[rows].tolist()
        if JointCondition.FRESH.value not in conditions:
            return None
        try:
            return compare_tests(read.value[rows], conditions, pieces, lower=lower, upper=upper)
        except OfftoolError:
            return None

    @property
    def _measured_as(self) -> JointReadingKind:
        """What is read of a joint of this kind."""
        is_force = JOINT_KINDS[JointKind(self.joint.kind)].unit == JointReadingKind.PULL_OFF.unit
        return JointReadingKind.PULL_OFF if is_force else JointReadingKind.BREAKAWAY

    def droop(self) -> DroopJudged | None:
        """How far limbs held out level sank; None where that was not read."""
        sunk = self.readings.value[self._rows(JointReadingKind.DROOP)]
        try:
            return judge_droop(np.abs(sunk)) if sunk.size else None
        except OfftoolError:
            return None

    def relaxation(self) -> RelaxationFit | None:
        """How fast fresh joints loosen; None where they were not read at two times."""
        read = self.readings
        rows = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        rows &= np.isfinite(read.hours) & (read.hours > 0)
        rows, pieces = self._comparable(rows, read.hours)
        if len(np.unique(read.hours[rows])) < 2:
            return None
        try:
            return fit_relaxation(read.value[rows], read.hours[rows], pieces)
        except OfftoolError:
            return None

    def _comparable(self, rows: Rows, by: np.ndarray[Any, Any]) -> tuple[Rows, list[str]]:
        """The rows to compare by condition or by time, and the pieces that they are of.

        Each test that holds both sides is compared within itself: its pieces are numbered for it alone. Where
        none does, tests are compared with each other, and the same name is the same piece.
        """
        read = self.readings
        tests = np.unique(read.test_id[rows])
        both = [one for one in tests if np.unique(by[rows & (read.test_id == one)]).size > 1]
        if not both:
            rows = self._of_one_steel(rows)
            return rows, read.piece[rows].tolist()
        within = np.asarray(rows & np.isin(read.test_id, both), dtype=np.bool_)
        pieces = read.piece[within].tolist()
        if len(both) > 1:
            of = zip(pieces, read.test_id[within].tolist(), strict=True)
            pieces = [f"{piece} in {self._name[test]}" if piece else "" for piece, test in of]
        return within, pieces

    def _of_one_steel(self, rows: Rows) -> Rows:
        """The rows of tests whose pieces are from the same trials as those of the newest test."""
        tests = {one.pk: (one.inner_trial_id, one.outer_trial_id) for one in self.counting}
        here = [one for one in self.counting if bool((self.readings.test_id[rows] == one.pk).any())]
        if not here:
            return rows
        same = [key for key, trials in tests.items() if trials == tests[here[0].pk]]
        return np.asarray(rows & np.isin(self.readings.test_id, same), dtype=np.bool_)


def friction_by(friction: FrictionUsed | None, learned: LearnedFriction | None) -> FrictionUsed | None:
    """The learned friction where it is known better than the handbook's range, or contradicts it.

    Better is by high over low, since torque goes with friction.
    """
    if friction is None or learned is None or learned.interval is None:
        return friction
    low, high = learned.interval.low, learned.interval.high
    is_wider = not isfinite(high) or high * friction.span.low >= low * friction.span.high
    if is_wider and learned.agrees is not Verdict.FAILS:
        return friction
    says = (
        f"learned from {count(learned.readings, 'measured joint')}: {learned.friction:.3f} "
        f"({low:.3f} to {high:.3f})"
    )
    return FrictionUsed(
        span=Span(low=max(low, 1e-6), high=high), says=says, handbook=friction.handbook, is_learned=True
    )


def is_stale(test: JointTest) -> bool:
    """Whether steel of a part was cut since the pieces of a test were moulded."""
    trials = [one for one in (test.inner_trial, test.outer_trial) if one is not None]
    return any((now := latest_state(one.tool)) is not None and now.pk != one.state_id for one in trials)


def _sizes_of_test(test: JointTest, sizes: Sequence[Characteristic]) -> dict[int, LatestSize]:
    trials = [one for one in (test.inner_trial, test.outer_trial) if one is not None]
    return sizes_in_trials(sizes, trials)


def _place(found: AssembledJoint, part: Part | None) -> int:
    """Where the cavities of a part stand in a pair."""
    return found.parts.index(part.code) if part is not None and part.code in found.parts else 0


def _seen(test: JointTest, readings: int, gauge: GaugeUncertainty | None) -> TestSeen:
    return TestSeen(
        name=test.name,
        file=test.file_name,
        sha256=test.sha256,
        done_on=test.done_on,
        read_by=test.read_by,
        readings=readings,
        gauge=test.gauge.code if test.gauge is not None else "",
        gauge_says=gauge.says if gauge is not None else "no gauge study",
        inner_trial=_trial(test.inner_trial),
        outer_trial=_trial(test.outer_trial),
        is_stale=is_stale(test),
        note=test.note,
        set_aside=test.set_aside,
        test_id=test.pk,
    )


def _trial(trial: Trial | None) -> str:
    return f"{trial.name} of {trial.tool.code}, state {trial.state.label}" if trial is not None else ""
