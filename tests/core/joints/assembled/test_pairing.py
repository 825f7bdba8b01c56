"""Pairing of cavities: the best of all permutations, every cavity used up, a gain that holds."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.assembled import assemble_joint
from offtool.core.joints.assembled.pairing import best_flows
from tests.core.joints.assembled.made import slip
from tests.core.laws import law
from tests.labels import independent


@law(seed=st.integers(0, 10**6), count=st.integers(1, 6))
def test_the_best_pairing_is_the_best_permutation(seed: int, count: int) -> None:
    good = np.random.default_rng(seed).random((count, count))
    best = max(good[range(count), order].mean() for order in permutations(range(count)))
    assert float((best_flows(good) * good).sum()) == independent(best, way="all permutations")


@law(seed=st.integers(0, 10**6), rows=st.integers(1, 6), columns=st.integers(1, 6))
def test_every_cavity_is_used_up_and_no_pairing_is_worse_than_chance(
    seed: int, rows: int, columns: int
) -> None:
    good = np.random.default_rng(seed).random((rows, columns))
    flows = best_flows(good)
    assert flows.min() >= -1e-12
    assert flows.sum(axis=1) == pytest.approx(np.full(rows, 1 / rows))
    assert flows.sum(axis=0) == pytest.approx(np.full(columns, 1 / columns))
    assert (flows * good).sum() >= good.mean() - 1e-12
    assert (best_flows(good.T) * good.T).sum() == pytest.approx((flows * good).sum())


def test_large_shafts_go_to_large_bores() -> None:
    found = assemble_joint(
        slip(50, shafts=(4.0, 4.01, 4.02), bores=(4.047, 4.027, 4.037)), combinations=45_000
    )
    assert found.pairing is not None
    assert {(flow.first, flow.second) for flow in found.pairing.flows} == {("1", "2"), ("2", "3"), ("3", "1")}
    assert all(flow.share == pytest.approx(1 / 3) for flow in found.pairing.flows)
    assert found.pairing.good > 0.9
    assert found.pairing.gain == pytest.approx(found.pairing.good - found.mix.good.share)
    assert found.pairing.interval.low > 0.2


def test_alike_cavities_gain_nothing_that_is_sure() -> None:
    found = assemble_joint(slip(5, shafts=(4.0, 4.0001), bores=(4.027, 4.0271)), combinations=20_000).pairing
    assert found is not None
    assert found.gain < 0.02
    assert found.interval.low <= 0 <= found.interval.high


def test_one_cavity_leaves_nothing_to_pair() -> None:
    assert assemble_joint(slip(shafts=(4.0,)), combinations=3000).pairing is None
