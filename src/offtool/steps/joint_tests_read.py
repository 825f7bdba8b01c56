"""What assembled pieces showed: the friction that they teach, what ageing did, how fast they loosen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property
from math import isfinite
from typing import Any, TypeAlias, TypeVar

import numpy as np

from offtool.core.joints.assembled import assemble_joint
from offtool.core.joints.assembled.means import JointMeans, joint_means
from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.joints.relaxation import RelaxationFit, fit_relaxation
from offtool.core.joints.tested import DroopJudged, TestsCompared, judge_droop
from offtool.core.values import Caution, OfftoolError, Verdict
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointCondition, JointKind, JointReadingKind
from offtool.records.models import Gauge, Joint, JointTest, Part
from offtool.records.queries import JointReadings, joint_readings, joint_tests_of
from offtool.steps.answered_before import answered_before
from offtool.steps.friction_unsure import PredictedPair, predicted_pairs, with_sizes_unsure
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainty_of
from offtool.steps.joint_evidence import SIDES, JointInRecord
from offtool.steps.joint_found import FrictionUsed, TestSeen
from offtool.steps.joint_standing import PRESSED
from offtool.steps.joint_tests_compared import Measured, hold_against
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.sentences import count
from offtool.steps.sizes_seen import trial_in_words

Rows: TypeAlias = np.ndarray[tuple[int], np.dtype[np.bool_]]

COMBINATIONS_TO_LEARN = 20_000
FIRST_DAY_H = 24.0

GIVEN_AS_NUMBERS = (
    "joints that were measured cannot be held against the sizes: both sides are given as numbers, and which "
    "pieces they are is not known; name the sizes that are measured"
)

R = TypeVar("R")

assembled_of = answered_before(assemble_joint)
means_of = answered_before(joint_means)


class TestsRead:
    """All tests of one joint that count, and what they say together."""

    __test__ = False  # not one of pytest's

    def __init__(self, joint: Joint, measured: SizesMeasured | None = None) -> None:
        self.joint, self.sizes = joint, measured or SizesMeasured()
        self.tests = joint_tests_of(joint)
        self.counting = [one for one in self.tests if not one.set_aside]
        self.readings: JointReadings = joint_readings(self.counting)
        self._learned: dict[Span, LearnedFriction | None] = {}
        self._gauges: dict[int, GaugeUncertainty | None] = {}
        self.said: dict[str, None] = {}
        """Why something could not be said, in the order in which it was found."""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What keeps the tests from saying more."""
        return tuple(Caution(one) for one in self.said)

    def _try(self, about: str, work: Callable[[], R]) -> R | None:
        """The answer, or None with the reason kept."""
        try:
            return work()
        except OfftoolError as error:
            self.said[f"{about}: {error}"] = None
            return None

    @cached_property
    def _stale(self) -> dict[int, bool]:
        """Whether steel of a part was cut since the pieces of each test were moulded."""
        old = self.sizes.is_of_old_steel
        return {one.pk: old((one.inner_trial, one.outer_trial)) for one in self.tests}

    def seen(self) -> tuple[TestSeen, ...]:
        """Every test, those set aside too, newest first."""
        counts = {one.pk: int((self.readings.test_id == one.pk).sum()) for one in self.tests}
        return tuple(
            _seen(one, counts.get(one.pk, 0), self._gauge(one.gauge), is_stale=self._stale[one.pk])
            for one in self.tests
        )

    def _gauge(self, gauge: Gauge | None) -> GaugeUncertainty | None:
        if gauge is None:
            return None
        if gauge.pk not in self._gauges:
            self._gauges[gauge.pk] = gauge_uncertainty_of(gauge)
        return self._gauges[gauge.pk]

    @cached_property
    def gauge_sd(self) -> float | None:
        """Scatter of the newest test's gauge."""
        found = (self._gauge(one.gauge) for one in self.counting)
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
        read = list(self._fresh_by_pair())
        tests = {test for test, _, _ in read}
        predicted = {test.pk: self._predicted_at_one(test) for test in self.counting if test.pk in tests}
        rows = [
            (self._pair(test, *cavities), predicted[test][cavities], value)
            for test, cavities, value in read
            if cavities in predicted[test]
        ]
        if not rows:
            return None
        found = self._try(
            "friction is not learned from the joints that were measured",
            lambda: learn_friction(
                [one.at_one_nm for _, one, _ in rows],
                [value for _, _, value in rows],
                [pair for pair, _, _ in rows],
                predicted_sds=[one.sd_nm for _, one, _ in rows],
                gauge_sd=self.gauge_sd,
                given_low=given.low,
                given_high=given.high,
            ),
        )
        return with_sizes_unsure(found, {pair: one for pair, one, _ in rows}) if found is not None else None

    def _pair(self, test: int, inner: str, outer: str) -> str:
        """A pair of cavities; with its test where several count, since steel may be cut between them."""
        pair = " with ".join(one for one in (inner, outer) if one)
        return pair if len(self.counting) < 2 else f"{pair} in {self._name[test]}"

    @cached_property
    def _name(self) -> dict[int, str]:
        return {one.pk: one.name for one in self.counting}

    def _fresh_by_pair(self) -> Iterator[tuple[int, tuple[str, str], float]]:
        """Test, cavities and torque of every fresh joint; empty for a side whose cavity is not known.

        A piece counts once, with the mean of what was read of it first: later it has loosened.
        """
        read = self.readings
        is_fresh = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        told = is_fresh & ~(read.hours > FIRST_DAY_H)
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
        trials. A side that is given as numbers has no cavity, and stands as an empty one.
        """
        sizes = [one.characteristic for one in self.joint.sizes.all() if one.characteristic is not None]
        trials = [one for one in (test.inner_trial, test.outer_trial) if one is not None]
        at_test = JointInRecord(self.joint, self.sizes.in_trials(sizes, trials))
        if at_test.missing:
            return {}
        parts = [at_test.part(side) for side in SIDES]
        if parts == [None, None]:
            self.said[GIVEN_AS_NUMBERS] = None
            return {}
        base = at_test.evidence(None)
        found = self._try(
            f"test {test.name} is not held against the sizes",
            lambda: means_of(
                replace(base, friction=Span(low=1.0, high=1.0)), combinations=COMBINATIONS_TO_LEARN
            ),
        )
        if found is None:
            return {}
        inner, outer = (_place(found, part) for part in parts)
        return {
            (_at(cavities, inner), _at(cavities, outer)): one
            for cavities, one in predicted_pairs(found, test.pk).items()
        }

    def compared(self, lower: float | None, upper: float | None) -> TestsCompared | None:
        """Whether the pieces measured keep the limits, and what ageing or cycling did; None without any.

        Of torques those at the first move count, of snaps the force to pull them off. The limits are kept or
        not by all that was read of today's steel, or of older steel where nothing else was; a change is seen
        only where fresh joints and others were read alike.
        """
        rows = self._rows(self._measured_as)
        of_today = [key for key, is_stale in self._stale.items() if not is_stale]
        standing = np.asarray(rows & np.isin(self.readings.test_id, of_today), dtype=np.bool_)
        within, pieces = self._comparable(rows, self.readings.condition, needs=JointCondition.FRESH.value)
        return self._try(
            "the joints that were measured are not judged",
            lambda: hold_against(
                list(self._readings(standing if standing.any() else rows)),
                list(self._readings(within, pieces)),
                lower,
                upper,
            ),
        )

    def _readings(self, rows: Rows, pieces: list[str] | None = None) -> Iterator[Measured]:
        read = self.readings
        named = pieces if pieces is not None else read.piece[rows].tolist()
        columns = (
            read.test_id[rows].tolist(),
            named,
            read.condition[rows].tolist(),
            read.value[rows].tolist(),
        )
        for test, piece, condition, value in zip(*columns, strict=True):
            yield Measured(self._name[test], piece, condition, value)

    @property
    def _measured_as(self) -> JointReadingKind:
        """What is read of a joint of this kind."""
        is_force = JOINT_KINDS[JointKind(self.joint.kind)].unit == JointReadingKind.PULL_OFF.unit
        return JointReadingKind.PULL_OFF if is_force else JointReadingKind.BREAKAWAY

    def droop(self) -> DroopJudged | None:
        """How far limbs held out level sank; None where that was not read."""
        sunk = self.readings.value[self._rows(JointReadingKind.DROOP)]
        return self._try("the droop is not judged", lambda: judge_droop(np.abs(sunk))) if sunk.size else None

    def relaxation(self) -> RelaxationFit | None:
        """How fast fresh joints loosen; None where they were not read at two times."""
        read = self.readings
        rows = self._rows(JointReadingKind.BREAKAWAY) & (read.condition == JointCondition.FRESH.value)
        rows &= np.isfinite(read.hours) & (read.hours > 0)
        rows, pieces = self._comparable(rows, read.hours)
        if len(np.unique(read.hours[rows])) < 2:
            return None
        return self._try(
            "how fast it loosens is not known",
            lambda: fit_relaxation(read.value[rows], read.hours[rows], pieces),
        )

    def _comparable(
        self, rows: Rows, by: np.ndarray[Any, Any], needs: str | None = None
    ) -> tuple[Rows, list[str]]:
        """The rows to compare by condition or by time, and the pieces that they are of.

        Each test that holds both sides is compared within itself: its pieces are numbered for it alone. Where
        none does, tests are compared with each other, and the same name is the same piece. Where one side is
        needed, a test without it holds nothing to compare.
        """
        read = self.readings
        tests = np.unique(read.test_id[rows])
        held = {one: set(by[rows & (read.test_id == one)].tolist()) for one in tests}
        both = [one for one, sides in held.items() if len(sides) > 1 and (needs is None or needs in sides)]
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


def _place(found: JointMeans, part: Part | None) -> int | None:
    """Where the cavities of a part stand in a pair; None for a side that is given as numbers."""
    return found.parts.index(part.code) if part is not None and part.code in found.parts else None


def _at(cavities: tuple[str, ...], place: int | None) -> str:
    return cavities[place] if place is not None else ""


def _seen(test: JointTest, readings: int, gauge: GaugeUncertainty | None, *, is_stale: bool) -> TestSeen:
    return TestSeen(
        name=test.name,
        file=test.file_name,
        sha256=test.sha256,
        done_on=test.done_on,
        read_by=test.read_by,
        readings=readings,
        gauge=test.gauge.code if test.gauge is not None else "",
        gauge_says=gauge.says if gauge is not None else "no gauge study",
        inner_trial=trial_in_words(test.inner_trial),
        outer_trial=trial_in_words(test.outer_trial),
        is_stale=is_stale,
        note=test.note,
        set_aside=test.set_aside,
        test_id=test.pk,
    )
