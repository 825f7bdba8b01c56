"""A smaller run of `make samples`: held to what is demanded, with the margin that so few pieces allow.

The same worlds every time, so that nothing flickers; the margins are two standard errors of a paired
difference over so many pieces.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tests.virtual_archive.__main__ import answers
from tests.virtual_archive.play import COMPLETE, LOOKED, NO_RECORDS, REGIMES, THIRD_LOST, Judged, play
from tests.virtual_archive.scores import distinguishable, log_scores, right, swaps, top_error

WORLDS, PIECES = range(500, 510), 20
RULES = ("odd colour", "nearest size")


@cache
def judged(regime: str) -> list[Judged]:
    """Ten worlds, 20 pieces each."""
    return [one for seed in WORLDS for one in play(regime, PIECES, seed)]


@pytest.mark.parametrize("regime", REGIMES)
def test_the_bound_is_beaten_by_nobody_in_the_mean(regime: str) -> None:
    given = answers(judged(regime))
    bound = log_scores(given["bound"], judged(regime))
    for name in ("bound, stated shares", "offtool", *RULES):
        behind = bound - log_scores(given[name], judged(regime))
        assert behind.mean() > -2 * behind.std() / np.sqrt(behind.size), name


@pytest.mark.parametrize(("regime", "points"), [(COMPLETE, 2), (THIRD_LOST, 3)])
def test_the_program_is_near_the_bound_that_starts_from_the_same_shares(regime: str, points: float) -> None:
    given = answers(judged(regime))
    behind = right(given["bound, stated shares"], judged(regime)).astype(float)
    behind -= right(given["offtool"], judged(regime))
    assert 100 * behind.mean() <= points + 200 * behind.std() / np.sqrt(behind.size)


@pytest.mark.parametrize(("regime", "least"), [(COMPLETE, 0.97), (THIRD_LOST, 0.97)])
def test_what_can_be_told_apart_is_told_apart(regime: str, least: float) -> None:
    sure = distinguishable(judged(regime))
    hits = right(answers(judged(regime))["offtool"], judged(regime))[sure]
    assert sure.mean() > 0.5
    assert hits.mean() >= least - 2 * np.sqrt(least * (1 - least) / hits.size)


@pytest.mark.parametrize("regime", REGIMES)
def test_the_program_beats_both_rules_by_far(regime: str) -> None:
    given = answers(judged(regime))
    ours = log_scores(given["offtool"], judged(regime))
    for name in RULES:
        ahead = ours - log_scores(given[name], judged(regime))
        assert ahead.mean() > 0.5
        assert right(given["offtool"], judged(regime)).mean() > right(given[name], judged(regime)).mean()


@pytest.mark.parametrize("regime", REGIMES)
def test_eighty_per_cent_means_eighty(regime: str) -> None:
    """0.03 is asked; ten bins of 200 pieces add 0.05 by chance alone."""
    given = answers(judged(regime))
    assert top_error(given["offtool"], judged(regime)) <= 0.03 + 0.05


def test_most_parts_from_elsewhere_that_can_be_found_are_found_and_few_others_called_so() -> None:
    found = swaps(judged(COMPLETE))
    assert found.bound_found > 0
    assert found.found >= 0.6 * found.bound_found
    assert found.wrongly <= 0.01 * found.parts


@pytest.mark.parametrize("regime", [COMPLETE, NO_RECORDS])
def test_what_is_believed_wrong_by_a_third_costs_little(regime: str) -> None:
    ours = right(answers(judged(regime))["offtool"], judged(regime)).mean()
    for name in judged(regime)[0].wrong:
        bent = right([one.wrong[name] for one in judged(regime)], judged(regime)).mean()
        assert bent > ours - 0.05, name


def test_going_through_the_list_of_signs_is_worth_it() -> None:
    half, all_of_it = (
        right(answers(judged(one))["offtool"], judged(one)).mean() for one in (NO_RECORDS, LOOKED)
    )
    assert all_of_it > half
