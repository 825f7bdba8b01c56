"""A chain of sizes: worst case at a corner, squares as pieces give them, shares that add up."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.joints.chain import chain_of_sizes, require_chain
from offtool.core.joints.evidence import JointEvidence, Link
from offtool.core.values import ImpossibleInput, NotEnoughData
from offtool.handbook.terms import JointKind
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published, remembered

VALUES, REACH, FACTORS = [40.0, 25.0, 2.0, 10.0], [0.1, 0.05, 0.03, 0.05], [1, -1, -1, -1]


def test_the_gap_of_a_housing_with_spacer_ring_and_shoulder() -> None:
    source = "a public worked example of a stack: bore 40.00 ± 0.10, spacer 25.00, ring 2.00, shoulder 10.00"
    assert chain_of_sizes(VALUES, REACH, FACTORS).gap == published("3.00", source=source)


def test_ten_parts_of_a_tenth_add_up_to_one_at_worst_and_a_third_as_pieces_come() -> None:
    found = chain_of_sizes([5.0] * 10, [0.1] * 10, [1] * 10)
    source = "textbook case of ten equal tolerances"
    assert found.worst_high - found.gap == remembered("1.0", source=source)
    assert found.rss_high - found.gap == remembered("0.316", source=source)


def test_the_worst_case_is_the_worst_of_all_corners() -> None:
    found = chain_of_sizes(VALUES, REACH, FACTORS)
    corners = [
        sum(f * (x + s * t) for f, x, s, t in zip(FACTORS, VALUES, signs, REACH, strict=True))
        for signs in product((-1, 1), repeat=4)
    ]
    assert found.worst_low == independent(min(corners), way="all sixteen corners")
    assert found.worst_high == independent(max(corners), way="all sixteen corners")


def test_the_squares_are_what_pieces_scatter() -> None:
    rng = np.random.default_rng(4)
    gaps = rng.normal(VALUES, np.array(REACH) / 3, (200_000, 4)) @ np.array(FACTORS, dtype=float)
    found = chain_of_sizes(VALUES, REACH, FACTORS, lower=2.9, upper=3.1)
    assert found.sd == independent(gaps.std(), way="200,000 pieces drawn", rel=4 / np.sqrt(2 * gaps.size))
    outside = ((gaps < 2.9) | (gaps > 3.1)).mean()
    assert found.outside == independent(
        outside, way="the same pieces counted", within=chance(float(outside), gaps.size)
    )


def test_an_even_spread_is_what_even_pieces_scatter() -> None:
    found = chain_of_sizes(VALUES, REACH, FACTORS)
    way = "variance of a uniform distribution, scipy"
    assert found.sd_even == independent(np.sqrt(sum(stats.uniform(0, 2 * t).var() for t in REACH)), way=way)


def test_limits_that_the_worst_case_keeps_and_does_not_keep() -> None:
    assert chain_of_sizes(VALUES, REACH, FACTORS, lower=2.76, upper=3.24).worst_holds is True
    assert chain_of_sizes(VALUES, REACH, FACTORS, lower=2.78).worst_holds is False
    assert chain_of_sizes(VALUES, REACH, FACTORS).worst_holds is None


SIZES = st.lists(
    st.tuples(st.floats(0.1, 100), st.floats(0, 1), st.sampled_from([-2.0, -1.0, -0.5, 0.5, 1.0, 2.0])),
    min_size=1,
    max_size=8,
)


@law(rows=SIZES, scale=st.sampled_from([0.1, 25.4]))
def test_shares_add_up_squares_lie_within_the_worst_case_and_units_scale(
    rows: list[tuple[float, float, float]], scale: float
) -> None:
    values, reach, factors = (list(column) for column in zip(*rows, strict=True))
    found = chain_of_sizes(values, reach, factors)
    assert found.worst_low <= found.rss_low + 1e-9
    assert found.rss_high <= found.worst_high + 1e-9
    if any(reach):
        assert sum(link.share_of_variance for link in found.links) == pytest.approx(1)
        assert sum(link.share_of_worst for link in found.links) == pytest.approx(1)
    scaled = chain_of_sizes([scale * x for x in values], [scale * t for t in reach], factors)
    assert scaled.sd == pytest.approx(scale * found.sd, abs=1e-12)
    turned = chain_of_sizes(values, reach, [-f for f in factors])
    assert turned.gap == pytest.approx(-found.gap)
    assert turned.sd == pytest.approx(found.sd)


def test_a_size_that_moves_nothing_is_refused_by_name() -> None:
    with pytest.raises(ImpossibleInput, match="spacer must open"):
        chain_of_sizes([4.0, 2.0], [0.1, 0.1], [1, 0], names=["bore", "spacer"])


def test_an_angle_among_lengths_is_refused_by_name() -> None:
    with pytest.raises(ImpossibleInput, match="units = deg: wedge must be in mm"):
        chain_of_sizes([4.0, 2.0], [0.1, 0.1], [1, -1], names=["bore", "wedge"], units=["mm", "deg"])


def test_unequal_lists_limits_that_cross_and_an_empty_chain_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="one for each of 2 sizes"):
        chain_of_sizes([4.0, 2.0], [0.1], [1, -1])
    with pytest.raises(ImpossibleInput, match="below the upper limit"):
        chain_of_sizes([4.0], [0.1], [1], lower=5.0, upper=4.0)
    with pytest.raises(NotEnoughData, match="no size is in the chain"):
        chain_of_sizes([], [], [])


@pytest.mark.parametrize(
    ("links", "said"),
    [
        ((), "no size is in the chain"),
        ((Link(role="a"), Link(role="a", factor=-1.0)), "is in the chain twice"),
        ((Link(role="a", factor=0.0),), "must open"),
        ((Link(role="a", angle_role="b"),), "has an angle"),
        ((Link(role="a"), Link(role="gap")), "is the gap"),
    ],
)
def test_links_that_make_no_chain_are_refused(links: tuple[Link, ...], said: str) -> None:
    with pytest.raises((ImpossibleInput, NotEnoughData), match=said):
        require_chain(JointEvidence(kind=JointKind.CHAIN, links=links, gap="gap"))


def test_a_rare_factor_is_answered_with_a_caution() -> None:
    evidence = JointEvidence(kind=JointKind.CHAIN, links=(Link(role="a", factor=3.0),))
    assert "counts 3 times" in str(require_chain(evidence)[0])
