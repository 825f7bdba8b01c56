"""The friction that reconciles measured torques with those predicted, and the pairs of cavities that it does
not."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.names import names_in_order
from offtool.core.joints.evidence import Span
from offtool.core.joints.ratio import quantile
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range, Verdict

UNSURE_SHARE = 0.05
"""From this share of the predicted torques' squares on, their own uncertainty pulls the friction low by as
much."""

REPEATS = 1e-9
"""Of the torques: scatter below it is rounding of numbers, no scatter of pieces."""

_GIVEN = Range(
    meaning="friction that was taken so far, its lower and its upper end; blank when there is none",
    above=0,
    usual=(0.05, 1.2),
    source="common practice, no source",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PairFit:
    """One pair of cavities: measured beside predicted with the friction learned from all pairs.

    `left_nm` is measured less predicted with the friction of the other pairs; `fits` is False where its
    interval, drawn for all pairs at once, leaves zero out, None where nothing can be said.
    """

    pair: str
    readings: int
    at_friction_one_nm: float
    measured_nm: float
    predicted_nm: float
    left_nm: float | None = None
    interval: Interval | None = None
    fits: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedFriction:
    """The friction, the scatter about it, and each pair.

    `pair_sd_nm` is the scatter of the pairs' means about what is predicted; `piece_sd_nm` that of pieces of
    one pair with the gauge's own share taken out. `agrees` compares the interval with the friction that was
    taken: within it, outside it, or not to be told.
    """

    friction: float
    interval: Interval | None
    pairs: tuple[PairFit, ...]
    predicted_clear: tuple[str, ...]
    readings: int
    degrees_of_freedom: int
    pair_sd_nm: float | None
    piece_sd_nm: float | None
    given: Span | None
    agrees: Verdict | None
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "at_friction_one": Range(
            meaning="torque predicted with a friction of 1, one a reading; 0 where a clearance is predicted",
            unit="N·m",
            at_least=0,
        ),
        "measured": Range(
            meaning="breakaway torque as read",
            unit="N·m",
            at_least=0,
            remedy="give the size of the torque, whichever way it was turned",
        ),
        "pairs": Range(meaning="pair of cavities of each reading"),
        "predicted_sds": Range(
            meaning="standard uncertainty of each predicted torque, at a friction of 1; empty when not known",
            unit="N·m",
            at_least=0,
        ),
        "gauge_sd": Range(
            meaning="repeatability of the torque gauge; blank when there is no gauge study",
            unit="N·m",
            at_least=0,
        ),
        "given_low": _GIVEN,
        "given_high": _GIVEN,
        "confidence": CONFIDENCE,
    },
    example={
        "at_friction_one": [0.20, 0.20, 0.25, 0.25, 0.31, 0.31],
        "measured": [0.071, 0.066, 0.088, 0.083, 0.112, 0.104],
        "pairs": ["1-1", "1-1", "1-2", "1-2", "2-2", "2-2"],
        "given_low": 0.3,
        "given_high": 0.5,
    },
    source="line through zero by weighted least squares over the means of pairs, put together by offtool",
)
def learn_friction(
    at_friction_one: Numbers,
    measured: Numbers,
    pairs: Texts,
    *,
    predicted_sds: Numbers = (),
    gauge_sd: float | None = None,
    given_low: float | None = None,
    given_high: float | None = None,
    confidence: float = 0.95,
) -> LearnedFriction:
    """The friction with which the predicted torques come nearest to the measured ones.

    f = sum(w x y) / sum(w x^2) over pairs of cavities, x predicted at friction 1, y the mean measured; w is
    1, or 1 / (f^2 u^2 + s^2 / n) where the predicted torques come with their uncertainty u. The interval is
    drawn from how the pairs scatter about the line, by Student's t with one less than the pairs; from the
    pieces where there is one pair. Pairs with a predicted clearance are named and not used.

    Returns: LearnedFriction. Raises: NotEnoughData where no torque is predicted, or none was measured;
    ImpossibleInput for unequal lists or ends that cross.

    Holds when: the torque is proportional to friction (peg, clip, ball), and is the same
    for all pairs.

    Example: predicted 0.20 and 0.30, measured 0.07 and 0.105: a friction of 0.35.
    """
    given = _span(given_low, given_high)
    clear, found = _pairs(at_friction_one, measured, pairs, predicted_sds)
    weight = found.weights()
    friction = found.through_zero(weight)
    if not friction > 0:
        raise NotEnoughData(
            "every joint measured turned freely",
            remedy="measure joints that have interference: a friction needs a torque",
        )
    variance, freedom, pair_sd = found.scatter(weight, friction)
    interval = None
    if freedom:
        reach = quantile(freedom, confidence) * sqrt(variance)
        interval = Interval(low=max(friction - reach, 0.0), high=friction + reach, confidence=confidence)
    fits = tuple(found.fit(one, weight, friction, confidence) for one in range(len(found.names)))
    return LearnedFriction(
        friction=friction,
        interval=interval,
        pairs=fits,
        predicted_clear=tuple(name for name, _ in clear),
        readings=int(found.count.sum()),
        degrees_of_freedom=freedom,
        pair_sd_nm=pair_sd,
        piece_sd_nm=found.piece_sd(gauge_sd or 0.0),
        given=given,
        agrees=_agrees(given, interval),
        confidence=confidence,
        cautions=(
            *_cautions(found, gauge_sd),
            *_clear_cautions(clear),
            *_misfits(fits),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pairs:
    """Pairs with a predicted torque, as arrays."""

    names: tuple[str, ...]
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    unsure: NDArray[np.float64]
    count: NDArray[np.int64]
    squares: float
    zeros: int

    @property
    def within_freedom(self) -> int:
        return int(self.count.sum()) - len(self.names)

    @property
    def within(self) -> float:
        """Variance of pieces of one pair; 0 where no pair was read twice."""
        return self.squares / self.within_freedom if self.within_freedom else 0.0

    @property
    def pieces_scatter(self) -> bool:
        return self.within > REPEATS**2 * float(self.y @ self.y)

    def weights(self) -> NDArray[np.float64]:
        """Equal ones; by their uncertainty where it is known of every pair."""
        even = np.ones_like(self.x)
        if not self.unsure.any():
            return even
        variance = (self.through_zero(even) * self.unsure) ** 2 + self.within / self.count
        return variance.min() / variance if (variance > 0).all() else even

    def through_zero(self, weight: NDArray[np.float64]) -> float:
        return float((weight * self.x) @ self.y / ((weight * self.x) @ self.x))

    def scatter(self, weight: NDArray[np.float64], friction: float) -> tuple[float, int, float | None]:
        """Variance of the friction, degrees of freedom behind it, and the pairs' scatter in torque."""
        freedom = len(self.names) - 1
        if not freedom:
            own = self.within / self.count[0] + (friction * self.unsure[0]) ** 2
            return float(own / self.x[0] ** 2), self.within_freedom, None
        left = self.y - friction * self.x
        mean_square = float((weight * left) @ left) / freedom
        pair_sd = sqrt(float(left @ left) / freedom)
        return mean_square / float((weight * self.x) @ self.x), freedom, pair_sd

    def piece_sd(self, gauge_sd: float) -> float | None:
        return sqrt(max(self.within - gauge_sd**2, 0.0)) if self.within_freedom else None

    def fit(self, one: int, weight: NDArray[np.float64], friction: float, confidence: float) -> PairFit:
        """One pair beside what the other pairs make of it."""
        left, interval = None, None
        others = np.arange(len(self.names)) != one
        if others.any():
            x, w = self.x[others], weight[others]
            by_others = float((w * x) @ self.y[others] / ((w * x) @ x))
            left = float(self.y[one] - by_others * self.x[one])
            interval = self._interval(one, others, weight, by_others, confidence)
        return PairFit(
            pair=self.names[one],
            readings=int(self.count[one]),
            at_friction_one_nm=float(self.x[one]),
            measured_nm=float(self.y[one]),
            predicted_nm=friction * float(self.x[one]),
            left_nm=left,
            interval=interval,
            fits=None if interval is None else 0.0 in interval,
        )

    def _interval(
        self,
        one: int,
        others: NDArray[np.bool_],
        weight: NDArray[np.float64],
        by_others: float,
        confidence: float,
    ) -> Interval | None:
        """Where measured less predicted lies, for all pairs at once (Bonferroni).

        From the scatter of pieces where there is any within a pair, else from that of the other pairs:
        readings that repeat to the last digit are those of a coarse gauge, not of joints without scatter.
        """
        x, w, y = self.x[others], weight[others], self.y[others]
        pull = self.x[one] * w * x / ((w * x) @ x)
        if self.pieces_scatter:
            freedom = self.within_freedom
            own = self.within / self.count + (by_others * self.unsure) ** 2
            variance = float(own[one] + pull**2 @ own[others])
        else:
            freedom = len(self.names) - 2
            if freedom < 1:
                return None
            mean_square = float((w * (y - by_others * x)) @ (y - by_others * x)) / freedom
            variance = mean_square * float(1 / weight[one] + pull**2 @ (1 / w))
        level = 1 - (1 - confidence) / len(self.names)
        reach = quantile(freedom, level) * sqrt(variance)
        left = float(self.y[one] - by_others * self.x[one])
        return Interval(low=left - reach, high=left + reach, confidence=confidence)


def _pairs(
    at_friction_one: Numbers, measured: Numbers, pairs: Texts, predicted_sds: Numbers
) -> tuple[list[tuple[str, float]], _Pairs]:
    """Pairs predicted clear, with what was measured of them; and the others."""
    x, y = np.asarray(at_friction_one, dtype=float), np.asarray(measured, dtype=float)
    sds = np.asarray(predicted_sds, dtype=float) if len(predicted_sds) else np.zeros_like(x)
    if not x.size == y.size == len(pairs) == sds.size:
        raise ImpossibleInput("measured", y.size, "", f"must be one for each of {x.size} predicted torques")
    names, code = names_in_order(list(pairs)) if x.size else ((), np.zeros(0, dtype=np.int64))
    count = np.bincount(code, minlength=len(names))
    mean_x, mean_y, mean_sd = (np.bincount(code, one, minlength=len(names)) / count for one in (x, y, sds))
    squares = np.bincount(code, (y - mean_y[code]) ** 2, minlength=len(names)) if x.size else np.zeros(0)
    used = mean_x > 0
    if not used.any():
        raise NotEnoughData(
            "no pair has a predicted torque", remedy="all are predicted loose: check the sizes of both parts"
        )
    clear = [(name, float(mean)) for name, mean, use in zip(names, mean_y, used, strict=True) if not use]
    return clear, _Pairs(
        names=tuple(name for name, use in zip(names, used, strict=True) if use),
        x=mean_x[used],
        y=mean_y[used],
        unsure=mean_sd[used],
        count=count[used],
        squares=float(squares[used].sum()),
        zeros=int((y[used[code]] == 0).sum()),
    )


def _span(low: float | None, high: float | None) -> Span | None:
    if low is None or high is None:
        return None
    if low > high:
        raise ImpossibleInput("given_low", low, "", f"must not be above {high:g}", "swap them")
    return Span(low=low, high=high)


def _agrees(given: Span | None, found: Interval | None) -> Verdict | None:
    """Whether the friction lies in the range that was taken; None where none was."""
    if given is None:
        return None
    if found is None:
        return Verdict.NOT_SHOWN
    if given.low <= found.low and found.high <= given.high:
        return Verdict.HOLDS
    return Verdict.FAILS if found.high < given.low or found.low > given.high else Verdict.NOT_SHOWN


def _cautions(found: _Pairs, gauge_sd: float | None) -> tuple[Caution, ...]:
    said = []
    if len(found.names) == 1:
        said.append(
            "one pair of cavities: whatever its sizes are off by goes into the friction; measure other pairs"
        )
        if not found.within_freedom:
            said.append("one reading gives a friction but no interval")
    if found.zeros:
        said.append(f"{found.zeros} joints turned freely where a torque is predicted; they count as zero")
    if float(found.unsure @ found.unsure) > UNSURE_SHARE * float(found.x @ found.x):
        said.append("the predicted torques are so unsure that they pull the friction low")
    if found.within_freedom and not found.pieces_scatter:
        said.append(
            "all readings of a pair are the same: pairs are compared by how they scatter among themselves"
        )
    if gauge_sd and found.within_freedom and found.within < gauge_sd**2:
        said.append("the pieces scatter no more than the gauge does")
    return tuple(Caution(one) for one in said)


def _clear_cautions(clear: list[tuple[str, float]]) -> tuple[Caution, ...]:
    """Pairs that should turn freely and do not."""
    tight = [name for name, torque in clear if torque > 0]
    if not tight:
        return ()
    return (Caution(f"predicted loose, but measured with a torque, and not used: {', '.join(tight)}"),)


def _misfits(fits: tuple[PairFit, ...]) -> tuple[Caution, ...]:
    misfit = [one.pair for one in fits if one.fits is False]
    if not misfit:
        return ()
    return (
        Caution(
            f"one friction does not explain {', '.join(misfit)}: their interference is not what was taken"
        ),
    )
