"""What is learned from tested joints: the loss with time, the friction, the change by ageing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.joints.friction import learn_friction
from offtool.core.joints.relaxation import RelaxationFit, fit_relaxation
from offtool.core.joints.tested import compare_tests
from tests.coverage.cases import covers

LOSS, TORQUE, PIECE_SD, GAUGE_SD = 0.1, 0.1, 0.015, 0.002
TIMES = np.array([1.0, 24.0, 168.0])
FRICTION = 0.35
AT_ONE = np.array([0.15, 0.22, 0.28, 0.36])


def _said_right(found: RelaxationFit) -> NDArray[np.bool_]:
    """The loss, and the torque after 1000 h."""
    assert found.interval is not None
    later = found.after[1].torque_interval
    assert later is not None
    return np.array([LOSS in found.interval, TORQUE * (1 - 3 * LOSS) in later])


@covers("loss of torque and torque at 1000 h, 5 pieces read three times", worlds=3000)
def pieces_read_again(rng: np.random.Generator) -> NDArray[np.bool_]:
    levels = rng.normal(TORQUE, PIECE_SD, (5, 1))
    read = levels * (1 - LOSS * np.log10(TIMES)) + rng.normal(0, GAUGE_SD, (5, 3))
    return _said_right(
        fit_relaxation(read.ravel(), np.tile(TIMES, 5), [one for one in "abcde" for _ in TIMES])
    )


@covers("loss of torque and torque at 1000 h, 5 pieces whose losses differ", worlds=3000)
def pieces_that_lose_differently(rng: np.random.Generator) -> NDArray[np.bool_]:
    levels, losses = rng.normal(TORQUE, PIECE_SD, (5, 1)), rng.normal(LOSS, 0.02, (5, 1))
    read = levels * (1 - losses * np.log10(TIMES)) + rng.normal(0, GAUGE_SD, (5, 3))
    return _said_right(
        fit_relaxation(read.ravel(), np.tile(TIMES, 5), [one for one in "abcde" for _ in TIMES])
    )


@covers("loss of torque and torque at 1000 h, other pieces each time, 4 a time", worlds=3000)
def other_pieces_each_time(rng: np.random.Generator) -> NDArray[np.bool_]:
    hours = np.tile(TIMES, 4)
    read = TORQUE * (1 - LOSS * np.log10(hours)) + rng.normal(0, PIECE_SD / 2, 12)
    return _said_right(fit_relaxation(read, hours, [""] * 12))


def _friction(rng: np.random.Generator, pair_sd: float, pieces: int) -> bool:
    means = FRICTION * AT_ONE + rng.normal(0, pair_sd, 4)
    read = means[:, None] + rng.normal(0, 0.008, (4, pieces))
    pairs = [one for one in "abcd" for _ in range(pieces)]
    found = learn_friction(np.repeat(AT_ONE, pieces), read.ravel(), pairs)
    assert found.interval is not None
    return FRICTION in found.interval


@covers("friction from 4 pairs that scatter, 5 pieces each", worlds=4000)
def friction_of_pairs(rng: np.random.Generator) -> bool:
    return _friction(rng, 0.01, 5)


@covers("friction from 4 pairs, one piece each", worlds=4000)
def friction_of_single_pieces(rng: np.random.Generator) -> bool:
    return _friction(rng, 0.0, 1)


@covers("friction from 4 pairs of known, unequal uncertainty, 5 pieces each", worlds=4000)
def friction_with_weights(rng: np.random.Generator) -> bool:
    sds = np.array([0.01, 0.03, 0.05, 0.02])
    read = (FRICTION * (AT_ONE + rng.normal(0, sds)))[:, None] + rng.normal(0, 0.004, (4, 5))
    found = learn_friction(
        np.repeat(AT_ONE, 5),
        read.ravel(),
        [one for one in "abcd" for _ in range(5)],
        predicted_sds=np.repeat(sds, 5),
    )
    assert found.interval is not None
    return FRICTION in found.interval


@covers("no pair of 4 is said not to fit where all do, 5 pieces each", worlds=4000, safe_side=True)
def pairs_that_fit(rng: np.random.Generator) -> bool:
    read = (FRICTION * AT_ONE)[:, None] + rng.normal(0, 0.008, (4, 5))
    found = learn_friction(np.repeat(AT_ONE, 5), read.ravel(), [one for one in "abcd" for _ in range(5)])
    return all(pair.fits for pair in found.pairs)


def _change(before: NDArray[np.float64], after: NDArray[np.float64], same: bool) -> bool:
    fresh = [f"f{i}" for i in range(before.size)]
    aged = fresh if same else [f"a{i}" for i in range(after.size)]
    found = compare_tests(
        np.maximum(np.concatenate([before, after]), 0.0),
        ["fresh"] * before.size + ["aged"] * after.size,
        [*fresh, *aged],
    )
    change = found.conditions[1].change
    assert change is not None
    assert change.interval is not None
    return -25.0 in change.interval


@covers("change of torque by ageing, 5 pieces before and after", worlds=4000)
def change_of_the_same_pieces(rng: np.random.Generator) -> bool:
    before = rng.normal(TORQUE, PIECE_SD, 5)
    return _change(before, 0.75 * before + rng.normal(0, 0.004, 5), True)


@covers("change of torque by ageing, 8 other pieces after", worlds=4000)
def change_of_other_pieces(rng: np.random.Generator) -> bool:
    return _change(rng.normal(TORQUE, PIECE_SD, 8), rng.normal(0.75 * TORQUE, PIECE_SD / 2, 8), False)
