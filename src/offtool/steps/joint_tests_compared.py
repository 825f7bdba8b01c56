"""Joints that were measured, beside their limits and beside fresh ones: which test says which of the two."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.spread import mean_and_sd
from offtool.core.joints.limit_shown import LimitShown, limit_cautions, limits_shown
from offtool.core.joints.tested import ALLOWED_CHANGE_PCT, ConditionFound, TestsCompared, compare_tests
from offtool.core.values import Caution, Verdict
from offtool.handbook.terms import JointCondition

SHARE, CONFIDENCE = 0.95, 0.95
FRESH = JointCondition.FRESH.value


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading of a joint."""

    test: str
    piece: str
    condition: str
    value: float


def hold_against(
    standing: Collection[Measured],
    within: Sequence[Measured],
    lower: float | None,
    upper: float | None,
) -> TestsCompared | None:
    """All joints that stand for the tool of today against the limits; what ageing did from those of `within`,
    which were read fresh and later alike. None without any reading.
    """
    change = _change(within)
    conditions = {one.condition for one in (*standing, *within)}
    order = sorted(conditions, key=lambda one: (one != FRESH, one))
    found = [_condition(name, standing, within, change, lower, upper) for name in order]
    if not found:
        return None
    said = [caution for one in found for caution in limit_cautions(one.limits, one.pieces, one.condition)]
    said.extend(_failing_alone(standing, lower, upper))
    if change is None:
        said.append(Caution("no joints were read fresh and later alike: nothing is said of a change"))
    else:
        said.extend(change.cautions)
        said.extend(_others(standing, within))
    return TestsCompared(
        conditions=tuple(found),
        verdict=_verdict(found),
        before=order[0],
        allowed_low_pct=ALLOWED_CHANGE_PCT[0],
        allowed_high_pct=ALLOWED_CHANGE_PCT[1],
        share=SHARE,
        confidence=CONFIDENCE,
        cautions=tuple(said),
    )


def _change(within: Sequence[Measured]) -> TestsCompared | None:
    """Ageing and cycling, without limits."""
    conditions = [one.condition for one in within]
    if FRESH not in conditions or len(set(conditions)) < 2:
        return None
    return compare_tests([one.value for one in within], conditions, [one.piece for one in within])


def _condition(
    name: str,
    standing: Collection[Measured],
    within: Collection[Measured],
    change: TestsCompared | None,
    lower: float | None,
    upper: float | None,
) -> ConditionFound:
    """Condition by its readings that stand; one that was read on older steel only has a change, no limits."""
    own = [one for one in standing if one.condition == name]
    read = own or [one for one in within if one.condition == name]
    values = _by_piece(read)
    changed = (
        next((one.change for one in change.conditions if one.condition == name), None) if change else None
    )
    return ConditionFound(
        condition=name,
        readings=len(read),
        pieces=values.size,
        mean=float(values.mean()),
        sd=mean_and_sd(values)[1] if values.size > 1 else None,
        limits=_worst(own, lower, upper) if own else (),
        change=changed,
    )


def _worst(own: Collection[Measured], lower: float | None, upper: float | None) -> tuple[LimitShown, ...]:
    """The limits by all joints together; by a test alone where that one is shown not to keep them, since good
    joints of another test do not undo it.
    """
    found = limits_shown(_by_piece(own), lower, upper, SHARE, CONFIDENCE)
    for alone in _each_test(own, lower, upper).values():
        found = tuple(
            replace(of_all, bound=one.bound, verdict=one.verdict) if one.verdict is Verdict.FAILS else of_all
            for of_all, one in zip(found, alone, strict=True)
        )
    return found


def _each_test(
    own: Collection[Measured], lower: float | None, upper: float | None
) -> Mapping[str, tuple[LimitShown, ...]]:
    tests = sorted({one.test for one in own})
    values = {test: _by_piece([one for one in own if one.test == test]) for test in tests}
    return {test: limits_shown(read, lower, upper, SHARE, CONFIDENCE) for test, read in values.items()}


def _failing_alone(
    standing: Collection[Measured], lower: float | None, upper: float | None
) -> Iterator[Caution]:
    """Which test is shown not to keep a limit, where there are several."""
    if len({one.test for one in standing}) < 2:
        return
    for condition in sorted({one.condition for one in standing}):
        own = [one for one in standing if one.condition == condition]
        for test, limits in _each_test(own, lower, upper).items():
            for one in limits:
                if one.verdict is Verdict.FAILS:
                    yield Caution(f"{condition} joints of test {test} do not keep the {one.side} limit")


def _others(standing: Collection[Measured], within: Collection[Measured]) -> Iterator[Caution]:
    left = sorted({one.test for one in standing} - {one.test for one in within})
    used = sorted({one.test for one in within})
    if left:
        yield Caution(f"the change is that within {', '.join(used)}; the limits count {', '.join(left)} too")


def _by_piece(read: Collection[Measured]) -> NDArray[np.float64]:
    """Mean of each piece of each test; a piece without a name is one of its own."""
    groups: dict[tuple[str, str], list[float]] = {}
    for row, one in enumerate(read):
        groups.setdefault((one.test, one.piece or f"\n{row}"), []).append(one.value)
    return np.array([sum(own) / len(own) for own in groups.values()])


def _verdict(found: Sequence[ConditionFound]) -> Verdict:
    verdicts = [limit.verdict for one in found for limit in one.limits]
    verdicts += [one.change.verdict for one in found if one.change is not None]
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    return Verdict.HOLDS if verdicts and set(verdicts) == {Verdict.HOLDS} else Verdict.NOT_SHOWN
