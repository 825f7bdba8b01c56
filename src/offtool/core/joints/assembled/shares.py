"""From counts and plausible shares to what is said: shares with intervals, middles, bars, pairs."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np
from scipy import special

from offtool.core.joints.assembled.chances import Plausible
from offtool.core.joints.assembled.draws import (
    ABOVE,
    BARS,
    BELOW,
    BINS,
    FINE,
    GOOD,
    OVER,
    Counts,
    Scale,
    Tally,
    places,
)
from offtool.core.joints.assembled.known import KnownJoint
from offtool.core.joints.assembled.pairing import pair_cavities
from offtool.core.joints.assembled.results import (
    AssembledPair,
    AssembledShares,
    Bar,
    Grade,
    GradeShare,
    Pairing,
)
from offtool.core.joints.assembled.sizes import Array, natural
from offtool.core.values import Interval

MIDDLE_SHARE = 0.95
UNLIKELY_BELOW = 1e-9


class Shares:
    """Shares and intervals from what was counted and what is plausible."""

    def __init__(
        self,
        known: KnownJoint,
        counted: Tally,
        plausible: Plausible,
        confidence: float,
        *,
        lower_is_loose: bool,
    ) -> None:
        self.known, self.counted, self.plausible = known, counted, plausible
        self.confidence = confidence
        self.places = places(lower_is_loose)

    def of_pairs(self) -> tuple[AssembledPair, ...]:
        rows = [
            (tuple(part.cavities[i] for part, i in zip(self.known.parts, row, strict=True)), at)
            for at, row in enumerate(self.known.tuples)
        ]
        rows.sort(key=lambda one: [natural(cavity) for cavity in one[0]])
        return tuple(AssembledPair(cavities=cavities, shares=self._of_pair(at)) for cavities, at in rows)

    def of_mix(self) -> AssembledShares:
        counted = self.counted
        return self._shares(
            counted.grades.sum(axis=0),
            self.plausible.mix,
            counted.bins.sum(axis=0),
            float(counted.total.sum()),
            float(counted.squares.sum()),
            int(counted.locked.sum()),
        )

    def bars(self) -> tuple[Bar, ...]:
        """Shares of all pieces; without a bar where none has a finite measure."""
        counts = self.counted.bins_by_grade.reshape(4, BARS, FINE).sum(axis=2)
        if not counts.any():
            return ()
        shares = counts / self.counted.grades.sum()
        scale = self.counted.scale
        return tuple(
            Bar(
                low=scale.low + i * FINE * scale.width,
                high=scale.low + (i + 1) * FINE * scale.width,
                loose=float(shares[self.places[Grade.LOOSE], i]),
                good=float(shares[self.places[Grade.GOOD], i]),
                tight=float(shares[self.places[Grade.TIGHT], i]),
                overstrained=float(shares[OVER, i]),
            )
            for i in range(BARS)
        )

    def pairing(self) -> Pairing | None:
        """For two parts with two cavities or more each; else there is nothing to choose."""
        shape = tuple(len(part.cavities) for part in self.known.parts)
        if len(shape) != 2 or min(shape) < 2:
            return None
        good = self.places[Grade.GOOD]
        counts = self.counted.grades
        order = [
            sorted(range(n), key=lambda i: natural(part.cavities[i]))
            for n, part in zip(shape, self.known.parts, strict=True)
        ]
        pick = np.ix_(*order)
        found = (counts[:, good] / counts.sum(axis=1)).reshape(shape)[pick]
        draws = self.plausible.pairs[:, :, good].reshape(-1, *shape)[:, order[0]][:, :, order[1]]
        labels = [
            tuple(part.cavities[i] for i in each) for part, each in zip(self.known.parts, order, strict=True)
        ]
        return pair_cavities(found, draws, labels[0], labels[1], self.confidence)

    def _of_pair(self, at: int) -> AssembledShares:
        counted = self.counted
        return self._shares(
            counted.grades[at],
            [self.plausible.pairs[:, at]],
            counted.bins[at],
            float(counted.total[at]),
            float(counted.squares[at]),
            int(counted.locked[at]),
        )

    def _shares(
        self,
        grades: Counts,
        draws: Sequence[Array],
        bins: Counts,
        total: float,
        squares: float,
        locked: int,
    ) -> AssembledShares:
        count, real = int(grades.sum()), int(bins.sum())
        scale = self.counted.scale
        apart = total / max(real, 1)
        all_lock = locked > 0 and not real
        half = (1 - MIDDLE_SHARE) / 2
        loose, good, tight, over = (
            self._share(int(grades[self.places[grade]]), count, draws, self.places[grade]) for grade in Grade
        )
        return AssembledShares(
            loose=loose,
            good=good,
            tight=tight,
            overstrained=over,
            mean=inf if all_lock else (scale.low + scale.high) / 2 + apart,
            sd=float(np.sqrt(max(squares / max(real, 1) - apart**2, 0.0))),
            middle_low=inf if all_lock else _quantile(bins, scale, half),
            middle_high=inf if all_lock else _quantile(bins, scale, 1 - half),
            combinations=count,
            locked=locked / count,
        )

    def _share(self, seen: int, count: int, draws: Sequence[Array], place: int) -> GradeShare:
        """Counted share; the interval holds the plausible shares and the exact bounds of the count."""
        risk = (1 - self.confidence) / 2
        ends = [_plausible_ends(one, place, risk) for one in draws]
        by_count_low = float(special.betaincinv(seen, count - seen + 1, risk)) if seen else 0.0
        by_count_high = float(special.betaincinv(seen + 1, count - seen, 1 - risk)) if seen < count else 1.0
        return GradeShare(
            share=seen / count,
            interval=Interval(
                low=max(min(by_count_low, *(low for low, _ in ends)), 0.0),
                high=min(max(by_count_high, *(high for _, high in ends)), 1.0),
                confidence=self.confidence,
            ),
        )


def _plausible_ends(draws: Array, place: int, risk: float) -> tuple[float, float]:
    """Ends of what is plausible of one share.

    A share between two others is largest with sizes in its middle, a corner that draws seldom reach: its
    upper end is what the others leave at the least, the risk divided among the two.
    """
    low, high = (float(one) for one in np.quantile(draws[:, place], [risk, 1 - risk]))
    above = draws[:, ABOVE] + draws[:, OVER]
    if place == GOOD:
        left = 1 - _least(draws[:, BELOW], above, risk)
    elif place == ABOVE:
        left = 1 - _least(1 - above, draws[:, OVER], risk)
    else:
        left = high
    return low, max(high, left)


def _least(one: Array, other: Array, risk: float) -> float:
    """What two shares take at the least; where one is nothing, all the risk is the other's."""
    seen = [share for share in (one, other) if share.max() > UNLIKELY_BELOW]
    return sum(float(np.quantile(share, risk / len(seen))) for share in seen)


def _quantile(bins: Counts, scale: Scale, share: float) -> float:
    """Read off the bins, evenly within a bin."""
    below = np.concatenate([[0], np.cumsum(bins)])
    edges = scale.low + scale.width * np.arange(BINS + 1)
    goal = share * below[-1]
    i = int(np.clip(np.searchsorted(below, goal, side="left") - 1, 0, BINS - 1))
    return float(edges[i] + scale.width * (goal - below[i]) / max(below[i + 1] - below[i], 1))
