"""Joints tested before and after ageing or cycling: what changed, and whether what is asked still holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.inspection.tolerance import SHARE
from offtool.core.joints.limit_shown import LimitShown, limit_cautions, limits_shown
from offtool.core.joints.ratio import interval_of_ratio
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range, Verdict

DROOP_LIMIT_DEG = 10.0
"""How far a limb held level may sink; common practice, no source."""
ALLOWED_CHANGE_PCT = (-50.0, 50.0)
"""How far ageing or cycling may change a torque; common practice, no source."""
PRACTICE = "common practice, no source"

_LIMIT = Range(meaning="limit that all joints must keep; blank when there is none", unit="as measured")
_ALLOWED = Range(
    meaning="change of the mean that is allowed, downwards and upwards",
    unit="%",
    usual=(-60.0, 60.0),
    source=PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceChange:
    """One piece before and after; the change is None where there was nothing before."""

    piece: str
    before: float
    after: float
    change_pct: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What the mean did, in per cent of the mean before; `by_piece` where the same pieces were read again."""

    change_pct: float
    interval: Interval | None
    by_piece: bool
    pieces: tuple[PieceChange, ...]
    degrees_of_freedom: float
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionFound:
    """What the joints showed in one condition; `change` is None for the condition they are compared with."""

    condition: str
    readings: int
    pieces: int
    mean: float
    sd: float | None
    limits: tuple[LimitShown, ...]
    change: Change | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TestsCompared:
    """Every condition, the one they are compared with first; the verdict is that of all of them."""

    __test__ = False  # not one of pytest's

    conditions: tuple[ConditionFound, ...]
    verdict: Verdict
    before: str
    allowed_low_pct: float
    allowed_high_pct: float
    share: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DroopJudged:
    """How far limbs sank, beside the limit."""

    shown: LimitShown
    verdict: Verdict
    mean_deg: float
    worst_deg: float
    pieces: int
    share: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": Range(meaning="torque or force as read, one a reading", unit="as measured", at_least=0),
        "conditions": Range(meaning="what the joint had been through at each reading"),
        "pieces": Range(meaning="piece of each reading; the same name where a piece was read again"),
        "before": Range(meaning="the condition that the others are compared with"),
        "allowed_low_pct": _ALLOWED,
        "allowed_high_pct": _ALLOWED,
        "lower": _LIMIT,
        "upper": _LIMIT,
        "share": SHARE,
        "confidence": CONFIDENCE,
    },
    example={
        "values": [0.081, 0.088, 0.079, 0.090, 0.085, 0.063, 0.070, 0.060, 0.072, 0.066],
        "conditions": ["fresh"] * 5 + ["aged"] * 5,
        "pieces": ["1", "2", "3", "4", "5"] * 2,
        "lower": 0.03,
        "upper": 0.15,
    },
    source="ratio of two means, Fieller 1954, J. R. Stat. Soc. B 16:175, from memory; limits by ISO "
    "16269-6:2014, one-sided",
)
def compare_tests(
    values: Numbers,
    conditions: Texts,
    pieces: Texts,
    *,
    before: str = "fresh",
    allowed_low_pct: float = ALLOWED_CHANGE_PCT[0],
    allowed_high_pct: float = ALLOWED_CHANGE_PCT[1],
    lower: float | None = None,
    upper: float | None = None,
    share: float = 0.95,
    confidence: float = 0.95,
) -> TestsCompared:
    """What ageing or cycling did to a joint, and whether its limits are shown to hold in every condition.

    Change = mean after / mean before - 1: over the pieces read both times where two or more were, else over
    all pieces. It holds when its interval lies inside what is allowed, does not hold when it lies outside.
    A limit holds when mean -+ k s keeps it, k one-sided for the share and the confidence; each limit is a
    claim of its own. Readings of one piece in one condition are averaged.

    Returns: TestsCompared. Raises: NotEnoughData where nothing was read before; ImpossibleInput for unequal
    lists or limits that cross.

    Holds when: pieces are a fair sample and nearly normal. Pieces without a name are taken as different ones.

    Example: 0.10 and 0.12 before, 0.05 and 0.06 after: a change of -50 %.
    """
    array = np.asarray(values, dtype=float)
    if not array.size == len(conditions) == len(pieces):
        raise ImpossibleInput(
            "conditions", len(conditions), "", f"must be one for each of {array.size} values"
        )
    _in_order("lower", lower, upper)
    _in_order("allowed_low_pct", allowed_low_pct, allowed_high_pct)
    read = _by_condition(array, [str(one) for one in conditions], [str(one) for one in pieces])
    if before not in read:
        raise NotEnoughData(f"no readings of condition {before!r}", remedy="say which condition comes before")
    counts = {name: [str(one) for one in conditions].count(name) for name in read}
    found = []
    for name in (before, *(one for one in read if one != before)):
        own = np.array(list(read[name].values()))
        change = None if name == before else _change(read[before], read[name], confidence)
        found.append(
            ConditionFound(
                condition=name,
                readings=counts[name],
                pieces=own.size,
                mean=float(own.mean()),
                sd=mean_and_sd(own)[1] if own.size > 1 else None,
                limits=limits_shown(own, lower, upper, share, confidence),
                change=None if change is None else _judged(change, allowed_low_pct, allowed_high_pct),
            )
        )
    return TestsCompared(
        conditions=tuple(found),
        verdict=_all_of(found),
        before=before,
        allowed_low_pct=allowed_low_pct,
        allowed_high_pct=allowed_high_pct,
        share=share,
        confidence=confidence,
        cautions=_cautions(found, read, before, allowed_low_pct, allowed_high_pct),
    )


@formula(
    limits={
        "droops_deg": Range(meaning="how far each limb sank", unit="deg", at_least=0, at_most=180),
        "limit_deg": Range(
            meaning="how far a limb held level may sink",
            unit="deg",
            above=0,
            usual=(5.0, 10.0),
            source=PRACTICE,
        ),
        "share": SHARE,
        "confidence": CONFIDENCE,
    },
    example={"droops_deg": [2.1, 3.0, 1.4, 4.2, 2.8]},
    source="ISO 16269-6:2014, one-sided; the limit is common practice, no source",
)
def judge_droop(
    droops_deg: Numbers,
    *,
    limit_deg: float = DROOP_LIMIT_DEG,
    share: float = 0.95,
    confidence: float = 0.95,
) -> DroopJudged:
    """Whether limbs hold their pose: how far they sank, against a limit that most of them must keep.

    Holds when mean + k s <= limit, k one-sided for the share and the confidence; does not hold when even the
    opposite bound is past it.

    Returns: DroopJudged. Raises: NotEnoughData for no reading.

    Holds when: one reading a piece, all after the same time. Droop is seldom normal near zero: the bound then
    is on the safe side only as far as the tail is no longer than a normal one.

    Example: 2.1, 3.0, 1.4, 4.2 and 2.8: mean 2.7, s 1.04, k 4.20, so that 7.1 is the bound.
    """
    array = np.asarray(droops_deg, dtype=float)
    if not array.size:
        raise NotEnoughData("no readings", remedy="measure at least five joints")
    (shown,) = limits_shown(array, None, limit_deg, share, confidence)
    return DroopJudged(
        shown=shown,
        verdict=shown.verdict,
        mean_deg=float(array.mean()),
        worst_deg=float(array.max()),
        pieces=array.size,
        share=share,
        confidence=confidence,
        cautions=limit_cautions((shown,), array.size, ""),
    )


def _in_order(argument: str, low: float | None, high: float | None) -> None:
    if low is not None and high is not None and not low < high:
        raise ImpossibleInput(argument, low, "", f"must be below {high:g}", "swap or correct them")


def _by_condition(
    values: NDArray[np.float64], conditions: list[str], pieces: list[str]
) -> dict[str, dict[str, float]]:
    """The mean of each piece in each condition; a piece without a name is one of its own."""
    read: dict[str, dict[str, list[float]]] = {}
    for row, (value, condition, piece) in enumerate(zip(values.tolist(), conditions, pieces, strict=True)):
        read.setdefault(condition, {}).setdefault(piece or f"\n{row}", []).append(value)
    return {
        name: {piece: sum(own) / len(own) for piece, own in group.items()} for name, group in read.items()
    }


def _change(before: Mapping[str, float], after: Mapping[str, float], confidence: float) -> Change:
    both = [piece for piece in before if piece in after]
    by_piece = len(both) > 1 or (len(both) == 1 and len(before) == len(after) == 1)
    old = np.array([before[one] for one in both] if by_piece else list(before.values()))
    new = np.array([after[one] for one in both] if by_piece else list(after.values()))
    if not old.mean() > 0:
        return Change(
            change_pct=inf if new.mean() > 0 else 0.0,
            interval=None,
            by_piece=by_piece,
            pieces=(),
            degrees_of_freedom=0.0,
            verdict=Verdict.NOT_SHOWN,
        )
    interval, freedom = (_paired if by_piece else _apart)(old, new, confidence)
    return Change(
        change_pct=100 * float(new.mean() / old.mean() - 1),
        interval=interval,
        by_piece=by_piece,
        pieces=tuple(_piece(one, before[one], after[one]) for one in both) if by_piece else (),
        degrees_of_freedom=freedom,
        verdict=Verdict.NOT_SHOWN,
    )


def _piece(piece: str, before: float, after: float) -> PieceChange:
    change = 100 * (after / before - 1) if before > 0 else None
    return PieceChange(piece=piece, before=before, after=after, change_pct=change)


def _paired(
    old: NDArray[np.float64], new: NDArray[np.float64], confidence: float
) -> tuple[Interval | None, float]:
    if old.size < 2:
        return None, 0.0
    spread = np.cov(new, old) / old.size
    ratio = interval_of_ratio(
        float(new.mean()),
        float(old.mean()),
        top_variance=float(spread[0, 0]),
        bottom_variance=float(spread[1, 1]),
        covariance=float(spread[0, 1]),
        freedom=old.size - 1,
        confidence=confidence,
    )
    return _in_per_cent(ratio), old.size - 1.0


def _apart(
    old: NDArray[np.float64], new: NDArray[np.float64], confidence: float
) -> tuple[Interval | None, float]:
    """Different pieces before and after; degrees of freedom by Welch and Satterthwaite."""
    if old.size < 2 or new.size < 2:
        return None, 0.0
    top, bottom = float(new.var(ddof=1)) / new.size, float(old.var(ddof=1)) / old.size
    pulled = float(new.mean() / old.mean()) ** 2 * bottom
    below = top**2 / (new.size - 1) + pulled**2 / (old.size - 1)
    freedom = (top + pulled) ** 2 / below if below > 0 else float(old.size + new.size - 2)
    ratio = interval_of_ratio(
        float(new.mean()),
        float(old.mean()),
        top_variance=top,
        bottom_variance=bottom,
        freedom=freedom,
        confidence=confidence,
    )
    return _in_per_cent(ratio), freedom


def _in_per_cent(ratio: Interval) -> Interval:
    return Interval(
        low=100 * max(ratio.low - 1, -1.0), high=100 * (ratio.high - 1), confidence=ratio.confidence
    )


def _judged(change: Change, low: float, high: float) -> Change:
    found = change.interval
    if found is None:
        return change
    if low <= found.low and found.high <= high:
        verdict = Verdict.HOLDS
    else:
        verdict = Verdict.FAILS if found.high < low or found.low > high else Verdict.NOT_SHOWN
    return replace(change, verdict=verdict)


def _all_of(found: list[ConditionFound]) -> Verdict:
    verdicts = [limit.verdict for one in found for limit in one.limits]
    verdicts += [one.change.verdict for one in found if one.change is not None]
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    return Verdict.HOLDS if verdicts and set(verdicts) == {Verdict.HOLDS} else Verdict.NOT_SHOWN


def _cautions(
    found: list[ConditionFound],
    read: Mapping[str, Mapping[str, float]],
    before: str,
    low: float,
    high: float,
) -> tuple[Caution, ...]:
    said: list[Caution] = []
    if len(found) == 1:
        said.append(Caution(f"only {before!r} was read: nothing is said of a change"))
    for one in found:
        said.extend(limit_cautions(one.limits, one.pieces, one.condition))
        if one.change is not None:
            said.extend(_change_cautions(one.condition, one.change, read[before], one.pieces, low, high))
    return tuple(said)


def _change_cautions(
    condition: str, change: Change, before: Mapping[str, float], pieces: int, low: float, high: float
) -> list[Caution]:
    said = []
    if change.interval is None:
        said.append(f"{condition}: too few pieces before or after for an interval of the change")
    if change.by_piece and (left := len(before) + pieces - 2 * len(change.pieces)):
        said.append(
            f"{condition}: {left} pieces were read only before or only after; the change leaves them out"
        )
    far = [
        one.piece for one in change.pieces if one.change_pct is not None and not low <= one.change_pct <= high
    ]
    if far:
        said.append(f"{condition}: single pieces changed by more than is allowed: {', '.join(far[:10])}")
    return [Caution(one) for one in said]
