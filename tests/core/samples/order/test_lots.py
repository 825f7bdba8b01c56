"""Made-up lots whose truth is known: agreement with it, and probabilities that mean what they say."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import kendalltau

from tests.virtual_archive.lots import LotScore, calibration_error, lots, score_lots

LOTS = 8
SPREAD = 0.04
"""Standard deviation of the agreement from lot to lot, counted over 16 lots."""


@pytest.fixture(scope="module")
def scores() -> list[LotScore]:
    return score_lots(LOTS, 8)


def test_lots_come_out_in_the_order_of_their_states(scores: list[LotScore]) -> None:
    allowed = 2 * SPREAD / np.sqrt(LOTS)
    assert np.mean([one.tau for one in scores]) >= 0.95 - allowed
    assert np.mean([one.tau - one.by_count for one in scores]) > 0.05


def test_no_lot_comes_out_turned_round(scores: list[LotScore]) -> None:
    """The fourth has 60 pieces and 11 details, a tenth misread: some walks see it from its other end."""
    assert min(one.tau for one in scores) > 0.7


def test_stated_probabilities_are_true_shares(scores: list[LotScore]) -> None:
    assert calibration_error(scores) < 0.03


def test_readings_without_a_truth_agree_with_none() -> None:
    """A permutation: the same answers held against states that were dealt anew."""
    generator = np.random.default_rng(3)
    (made,) = lots(1, 5)
    dealt = [kendalltau(generator.permutation(made.state), made.state).statistic for _ in range(400)]
    (one,) = score_lots(1, 5)
    assert one.tau > np.max(dealt)
