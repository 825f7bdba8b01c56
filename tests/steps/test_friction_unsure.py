"""A friction learned from pairs that share their cavities: how often its interval holds the truth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.random import Generator
from numpy.typing import NDArray
from scipy.stats import norm

from offtool.core.joints.friction import LearnedFriction, learn_friction
from offtool.core.values import Verdict
from offtool.steps.friction_unsure import PredictedPair, with_sizes_unsure

FRICTION, NM_PER_MM = 0.2, 20.0
PEGS = np.array([4.009, 4.0135, 4.0105, 4.004])
SOCKETS = np.array([4.005, 4.0065])
SD, PARTS, PIECES = 0.0027, 13, 5


@dataclass(frozen=True, slots=True)
class Measured:
    """Means and spread as a trial finds them; a third of the spread is common to all cavities of a shot."""

    mean: NDArray[np.float64]
    sd: float


def measured(truth: NDArray[np.float64], random: Generator) -> Measured:
    common = np.sqrt(0.3) * random.normal(0, SD, (PARTS, 1))
    own = np.sqrt(0.7) * random.normal(0, SD, (PARTS, truth.size))
    value = truth + common + own
    return Measured(value.mean(axis=0), float(np.sqrt(value.var(axis=0, ddof=1).mean())))


def learned(random: Generator) -> tuple[LearnedFriction, LearnedFriction]:
    """Without and with what the sizes leave open; the mechanics is a straight line from no interference."""
    pegs, sockets = measured(PEGS, random), measured(SOCKETS, random)
    spread = np.hypot(pegs.sd, sockets.sd)
    predicted: dict[str, PredictedPair] = {}
    at_one, torques, names = [], [], []
    for i, j in np.ndindex(PEGS.size, SOCKETS.size):
        gap = pegs.mean[i] - sockets.mean[j]
        mean = NM_PER_MM * (gap * norm.cdf(gap / spread) + spread * norm.pdf(gap / spread))
        moved = {(1, "peg", str(i)): pegs.sd, (1, "socket", str(j)): sockets.sd}
        pair = PredictedPair(
            at_one_nm=float(mean),
            moved_nm={size: NM_PER_MM * sd / np.sqrt(PARTS) for size, sd in moved.items()},
        )
        true = random.normal(PEGS[i], SD, PIECES) - random.normal(SOCKETS[j], SD, PIECES)
        predicted[f"{i} with {j}"] = pair
        at_one += [pair.at_one_nm] * PIECES
        torques += list(FRICTION * NM_PER_MM * np.maximum(true, 0))
        names += [f"{i} with {j}"] * PIECES
    sds = [predicted[name].sd_nm for name in names]
    found = learn_friction(at_one, torques, names, predicted_sds=sds, given_low=0.15, given_high=0.25)
    return found, with_sizes_unsure(found, predicted)


def test_the_interval_holds_the_friction_as_often_as_it_says_and_the_narrow_one_does_not() -> None:
    random, times = np.random.default_rng(5), 300
    held = np.zeros(2)
    for _ in range(times):
        for which, one in enumerate(learned(random)):
            assert one.interval is not None
            held[which] += FRICTION in one.interval
    narrow, wide = held / times
    assert narrow < 0.85
    assert wide == pytest.approx(0.95, abs=0.035)


def test_sizes_that_are_known_exactly_leave_the_interval_as_it_is() -> None:
    found, _ = learned(np.random.default_rng(6))
    exact = {one.pair: PredictedPair(at_one_nm=one.at_friction_one_nm, moved_nm={}) for one in found.pairs}
    same = with_sizes_unsure(found, exact).interval
    assert found.interval is not None
    assert same is not None
    assert same.high == pytest.approx(found.interval.high)


def test_one_socket_that_is_off_counts_more_than_many_that_are_off_each_its_own_way() -> None:
    found, _ = learned(np.random.default_rng(6))
    together, apart = (
        {
            one.pair: PredictedPair(
                at_one_nm=one.at_friction_one_nm, moved_nm={(1, "socket", which(one.pair)): 0.01}
            )
            for one in found.pairs
        }
        for which in (lambda _: "1", str)
    )
    wide, narrow = (with_sizes_unsure(found, pairs).interval for pairs in (together, apart))
    assert wide is not None
    assert narrow is not None
    assert wide.high > narrow.high


def test_a_wider_interval_may_no_longer_tell_the_friction_from_the_usual() -> None:
    found, wide = learned(np.random.default_rng(7))
    assert found.given is not None
    assert wide.interval is not None
    assert wide.agrees in (Verdict.NOT_SHOWN, found.agrees)
    inside = found.given.low <= wide.interval.low and wide.interval.high <= found.given.high
    assert (wide.agrees is Verdict.HOLDS) == inside
