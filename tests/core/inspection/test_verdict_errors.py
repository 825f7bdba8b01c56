"""How often a verdict is wrong, counted on seeded normal parts. At most one in twenty is what is promised."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from offtool.core.inspection import judge_size
from offtool.core.values import Verdict
from tests.core.simulated import chance

DRAWS = 600
REQUIRED = 1.33


def verdicts(
    index: list[float], spread: list[float], parts: int, *, two_limits: bool = False
) -> dict[Verdict, float]:
    """How often each verdict is given where cavity i truly has index[i] and spread[i]."""
    rng = np.random.default_rng(17)
    sd = np.array(spread)
    mean = -3 * np.array(index) * sd
    lower = 2 * mean.min() if two_limits else None
    names = np.repeat([str(i) for i in range(len(sd))], parts).tolist()
    counted = Counter(
        judge_size(
            rng.normal(np.repeat(mean, parts), np.repeat(sd, parts)),
            names,
            lower=lower,
            upper=0.0,
            required_index=REQUIRED,
            gauge_uncertainty=0.0,
        ).verdict
        for _ in range(DRAWS)
    )
    return {verdict: counted[verdict] / DRAWS for verdict in Verdict}


@pytest.mark.parametrize("parts", [5, 30])
@pytest.mark.parametrize("others", [0, 3, 7])
def test_a_size_with_one_cavity_just_short_holds_falsely_once_in_twenty(parts: int, others: int) -> None:
    """The cavities spread alike, the others stand far better: the hardest case for pooling them."""
    said = verdicts([REQUIRED] + [3.0] * others, [1.0] * (1 + others), parts)
    assert said[Verdict.HOLDS] <= 0.05 + chance(0.05, DRAWS)


@pytest.mark.parametrize("parts", [5, 30])
@pytest.mark.parametrize("cavities", [1, 4, 8])
def test_a_size_that_is_just_good_enough_fails_falsely_once_in_twenty(parts: int, cavities: int) -> None:
    """Every cavity has just the index that is required: eight chances to err must not make eight errors."""
    said = verdicts([REQUIRED] * cavities, [1.0] * cavities, parts)
    assert said[Verdict.FAILS] <= 0.05 + chance(0.05, DRAWS)


@pytest.mark.parametrize("parts", [5, 30])
def test_with_two_limits_both_errors_stay_under_one_in_twenty(parts: int) -> None:
    said = verdicts([REQUIRED], [1.0], parts, two_limits=True)
    assert said[Verdict.HOLDS] <= 0.05 + chance(0.05, DRAWS)
    assert said[Verdict.FAILS] <= 0.05 + chance(0.05, DRAWS)


@pytest.mark.parametrize(("parts", "often"), [(10, 0.35), (30, 0.10)])
def test_a_cavity_of_twice_the_spread_is_not_hidden_by_seven_calm_ones(parts: int, often: float) -> None:
    """Just short by itself, it would hold by the pooled spread. With ten parts no test sees it always: each
    cavity against all the others (one-sided F at 0.05 over the cavities) lets it pass in 31 of 100."""
    said = verdicts([REQUIRED] + [3.0] * 7, [2.0] + [1.0] * 7, parts)
    assert said[Verdict.HOLDS] <= often


@pytest.mark.parametrize(("index", "parts", "at_least"), [(2.0, 30, 0.9), (1.7, 50, 0.9)])
def test_a_good_size_of_four_cavities_is_shown(index: float, parts: int, at_least: float) -> None:
    said = verdicts([index] * 4, [1.0] * 4, parts)
    assert said[Verdict.HOLDS] >= at_least


@pytest.mark.parametrize(("index", "parts", "at_least"), [(0.5, 10, 0.9), (0.9, 30, 0.9)])
def test_a_bad_size_is_found_out(index: float, parts: int, at_least: float) -> None:
    said = verdicts([index] * 4, [1.0] * 4, parts)
    assert said[Verdict.FAILS] >= at_least
