"""What assembled pieces showed: the friction that they teach, what ageing did, how fast they loosen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from math import hypot, isfinite, sqrt

import numpy as np

from offtool.core.joints.assembled import AssembledJoint, assemble_joint
from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.joints.relaxation import RelaxationFit, fit_relaxation
from offtool.core.joints.tested import TestsCompared, compare_tests
from offtool.core.values import OfftoolError
from offtool.handbook.joint_kinds import Side
from offtool.handbook.terms import JointCondition, JointReadingKind
from offtool.records.models import Characteristic, Joint, JointTest, Part, Trial
from offtool.records.queries import JointReadings, joint_readings, joint_tests_of
from offtool.records.queries.finding import latest_state
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainty_of
from offtool.steps.joint_evidence import JointInRecord
from offtool.steps.joint_found import FrictionUsed, TestSeen
from offtool.steps.latest_sizes import LatestSize, sizes_in_trials
from offtool.steps.sentences import count

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

    def _rows(self, what: JointReadingKind) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        return np.asarray(self.readings.what == what.value, dtype=np.bool_)

    def learned(self, friction: FrictionUsed | None) -> LearnedFriction | None:
        """The friction that reconciles fresh breakaway torques with what is predicted; None without any."""
        if friction is None:
            return None
        rows = list(self._fresh_by_pair())
        if not rows:
            return None
        predicted = {test.pk: self._predicted_at_one(test) for test in self.counting}
        found = [
            (*predicted[test][inner, outer], value, PAIR.format(inner, outer))
            for test, inner, outer, value in rows
            if predicted[test] is not None and (inner, outer) in predicted[test]
        ]
        if not found:
            return None
        at_one, sds, measured, pairs = zip(*found, strict=True)
        try:
            return learn_friction(
                list(at_one),
                list(measured),
                list(pairs),
                predicted_sds=list(sds),
                gauge_sd=self.gauge_sd,
                given_low=friction.handbook.low,
                given_high=friction.handbook.high,
            )
        except OfftoolError:
            return None

    def _fresh_by_pair(self) -> Iterator[tuple[int, str, str, float]]:
        """Test, cavities and torque of every fresh joint that was read with both cavities known.

        Repeats of a piece count once, with their mean.
        """
        read = self.readings
        is_fresh = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        told = is_fresh & (read.inner != "") & (read.outer != "") & ~(read.hours > FIRST_DAY_H)
        groups: dict[tuple[int, str, str, str], list[float]] = defaultdict(list)
        for i in np.flatnonzero(told):
            key = (int(read.test_id[i]), str(read.inner[i]), str(read.outer[i]), str(read.piece[i]))
            groups[key].append(float(read.value[i]))
        for (test, inner, outer, _), values in groups.items():
            yield test, inner, outer, float(np.mean(values))

    def _predicted_at_one(self, test: JointTest) -> dict[tuple[str, str], tuple[float, float]]:
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
            (one.cavities[inner], one.cavities[outer]): (one.shares.mean, _unsure(found, one.cavities))
            for one in found.pairs
        }

    def compared(self, lower: float | None, upper: float | None) -> TestsCompared | None:
        """What ageing or cycling did to the breakaway torque; None where it was read in one condition."""
        rows = self._rows(JointReadingKind.BREAKAWAY)
        read = self.readings
        conditions = read.condition[rows].tolist()
        if len(set(conditions)) < 2 or JointCondition.FRESH.value not in conditions:
            return None
        try:
            return compare_tests(
                read.value[rows], conditions, read.piece[rows].tolist(), lower=lower, upper=upper
            )
        except OfftoolError:
            return None

    def relaxation(self) -> RelaxationFit | None:
        """How fast fresh joints loosen; None where they were not read at two times."""
        read = self.readings
        rows = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        rows &= np.isfinite(read.hours) & (read.hours > 0)
        if len(np.unique(read.hours[rows])) < 2:
            return None
        try:
            return fit_relaxation(read.value[rows], read.hours[rows], read.piece[rows].tolist())
        except OfftoolError:
            return None


def friction_by(friction: FrictionUsed | None, learned: LearnedFriction | None) -> FrictionUsed | None:
    """The learned friction where it is known well enough to be narrower than the handbook's range."""
    if friction is None or learned is None or learned.interval is None:
        return friction
    low, high = learned.interval.low, learned.interval.high
    if not isfinite(high) or high - low >= friction.span.high - friction.span.low:
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


def _unsure(found: AssembledJoint, cavities: tuple[str, ...]) -> float:
    """Standard uncertainty of a pair's mean torque: that of its sizes' means, by what each moves."""
    cavity_of = dict(zip(found.parts, cavities, strict=True))
    slopes = {one.role: one.slope for one in found.contributions}
    return hypot(
        *(
            slopes.get(one.role, 0.0) * one.sd / sqrt(one.parts)
            for one in found.sizes
            if one.part and one.parts and cavity_of.get(one.part) == one.cavity
        )
    )


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
