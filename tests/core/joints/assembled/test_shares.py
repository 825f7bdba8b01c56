"""Shares of an assembled joint against exact convolution, and what must not change them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import factorial, floor

import numpy as np
import pytest
from scipy import special, stats

from offtool.core.joints.assembled import AssembledJoint, AssembledShares, Grade, assemble_joint, draws
from offtool.core.joints.assembled.chances import exact_shares
from offtool.core.joints.assembled.contributions import fit_contributions
from offtool.core.joints.assembled.draws import ABOVE, BELOW, GOOD, OVER
from offtool.core.joints.assembled.known import known_joint
from offtool.core.joints.evidence import JointEvidence, SizeGiven, SizesTogether, Span
from tests.core.joints.assembled.made import (
    BORE_SD,
    BORES,
    LOWER,
    SHAFT_SD,
    SHAFTS,
    UPPER,
    cavities,
    chain,
    peg,
    slip,
)
from tests.core.simulated import chance
from tests.labels import independent

COUNT = 450_000
EACH = COUNT // 9


def exact(evidence: JointEvidence) -> np.ndarray:
    """Shares of every combination by lines, [combination, place]."""
    known = known_joint(evidence)
    units = {size.role: "mm" for size in known.sizes}
    return exact_shares(known, fit_contributions(known, units, 1).direction, 1)


def irwin_hall(x: float, n: int) -> float:
    """The distribution of a sum of n uniform numbers."""
    terms = ((-1) ** k * special.comb(n, k) * (x - k) ** n for k in range(floor(x) + 1))
    return float(sum(terms)) / factorial(n)


@pytest.fixture(scope="module")
def assembled() -> AssembledJoint:
    return assemble_joint(slip(), combinations=COUNT)


def normal_shares(shaft: float, bore: float) -> tuple[float, float, float]:
    clearance = stats.norm(bore - shaft, np.hypot(SHAFT_SD, BORE_SD))
    loose, tight = clearance.sf(UPPER), clearance.cdf(LOWER)
    return float(loose), float(1 - loose - tight), float(tight)


def test_every_pair_is_graded_as_the_difference_of_two_normals_says(assembled: AssembledJoint) -> None:
    for one in assembled.pairs:
        shaft, bore = (sizes[int(i) - 1] for sizes, i in zip((SHAFTS, BORES), one.cavities, strict=True))
        found = (one.shares.loose, one.shares.good, one.shares.tight)
        for true, share in zip(normal_shares(shaft, bore), found, strict=True):
            assert abs(share.share - true) <= chance(true, EACH) + 1 / EACH
        assert one.shares.mean == independent(
            bore - shaft, way="difference of means", rel=0, within=4 * 0.005 / np.sqrt(EACH)
        )
        assert one.shares.sd == independent(0.005, way="root of squares 4 and 3", rel=0.015)
        reach = 1.959964 * 0.005
        way = "quantile of the normal difference"
        assert one.shares.middle_low == independent(bore - shaft - reach, way=way, rel=0, within=0.0003)
        assert one.shares.middle_high == independent(bore - shaft + reach, way=way, rel=0, within=0.0003)


def test_the_mix_is_the_mean_of_all_pairs(assembled: AssembledJoint) -> None:
    for grade in Grade:
        mean = np.mean([one.shares.of(grade).share for one in assembled.pairs])
        assert assembled.mix.of(grade).share == pytest.approx(mean)
    assert sum(assembled.mix.of(grade).share for grade in Grade) == pytest.approx(1)
    assert assembled.mix.combinations == assembled.combinations == COUNT


def test_bars_hold_every_joint_once_and_lie_side_by_side(assembled: AssembledJoint) -> None:
    bars = assembled.histogram
    assert sum(bar.loose for bar in bars) == pytest.approx(assembled.mix.loose.share)
    assert sum(bar.good for bar in bars) == pytest.approx(assembled.mix.good.share)
    assert all(one.high == pytest.approx(other.low) for one, other in pairwise(bars))
    middle = sum((bar.low + bar.high) / 2 * (bar.loose + bar.good + bar.tight) for bar in bars)
    assert middle == pytest.approx(assembled.mix.mean, abs=bars[0].high - bars[0].low)


@pytest.mark.parametrize("n", [1, 2, 3, 5])
def test_a_sum_of_even_sizes_is_irwin_hall(n: int) -> None:
    given = [SizeGiven(role=f"r{i}", value=10.0, plus_minus=0.5, spread="even") for i in range(n)]
    lower, upper = 10 * n - 0.3 * n, 10 * n + 0.2 * n
    evidence = chain(given, lower=lower, upper=upper)
    found = assemble_joint(evidence, combinations=200_000).mix
    below, above = irwin_hall(0.2 * n, n), 1 - irwin_hall(0.7 * n, n)
    assert abs(found.tight.share - below) <= chance(below, 200_000)
    assert abs(found.loose.share - above) <= chance(above, 200_000)
    by_lines = exact(evidence)[0]
    assert by_lines[BELOW] == pytest.approx(below, abs=0.01)


def test_an_even_and_a_normal_size_add_up_as_their_convolution() -> None:
    given = [SizeGiven(role="a", value=5.0, plus_minus=0.1, spread="even")]
    measured = cavities("b", "arm", (3.0,), 0.03)
    found = assemble_joint(chain(given, measured, upper=8.05), combinations=200_000).mix
    grid = np.linspace(-0.1, 0.1, 20_001)
    true = float(np.mean(stats.norm.sf(0.05 - grid, scale=0.03)))
    assert abs(found.loose.share - true) <= chance(true, 200_000)


@pytest.mark.parametrize("correlation", [-0.9, 0.0, 0.6, 1.0])
def test_sizes_that_go_together_widen_or_narrow_their_sum(correlation: float) -> None:
    measured = (*cavities("a", "arm", (5.0,), 0.03), *cavities("b", "arm", (3.0,), 0.04))
    together = (SizesTogether(first="a", second="b", correlation=correlation),)
    evidence = chain((), measured, upper=8.05, correlations=together)
    found = assemble_joint(evidence, combinations=200_000)
    sd = np.sqrt(0.03**2 + 0.04**2 + 2 * correlation * 0.03 * 0.04)
    true = float(stats.norm.sf(0.05, scale=sd))
    assert abs(found.mix.loose.share - true) <= chance(true, 200_000) + 1e-9
    assert exact(evidence)[0, ABOVE] == independent(true, way="normal of the sum", rel=1e-6, within=1e-9)
    assert sum(one.share for one in found.contributions) + found.rest_of_variance == pytest.approx(1)


def test_lines_give_the_normal_shares_to_the_last_digits() -> None:
    """Also where no Monte Carlo reaches."""
    evidence = replace(slip(), lower=0.002)
    known = known_joint(evidence)
    for row, shares in zip(known.tuples, exact(evidence), strict=True):
        arm, body = (part.cavities[i] for part, i in zip(known.parts, row, strict=True))
        clearance = stats.norm(BORES[int(body) - 1] - SHAFTS[int(arm) - 1], 0.005)
        true = [clearance.cdf(UPPER) - clearance.cdf(0.002), clearance.cdf(0.002), clearance.sf(UPPER), 0.0]
        assert shares == pytest.approx(true, abs=1e-8)


def test_lines_and_plain_pieces_agree_for_a_peg_with_all_four_grades() -> None:
    """Torque bends with length and bore, stops at nothing with clearance, and strain goes before torque."""
    known = known_joint(peg())
    counted = draws.tally(known, 400_000, 3, draws.pilot_scale(known, 3))
    pieces, lines = counted.grades / 400_000, exact(peg())
    assert (pieces.max(axis=0) > 0.1).all()
    room = 5 * np.sqrt(lines * (1 - lines) / 400_000) + 0.004
    assert (np.abs(pieces - lines) <= room).all()


def test_overstrained_goes_before_tight() -> None:
    evidence = peg(upper=0.01, lower=None)
    found = assemble_joint(evidence, combinations=40_000).mix
    strained = assemble_joint(replace(evidence, upper=None), combinations=40_000).mix
    assert found.overstrained.share == strained.overstrained.share > 0.05
    assert found.tight.share < 1 - found.overstrained.share


def test_clearance_where_interference_is_asked_is_simply_loose() -> None:
    measured = (
        *cavities("peg_diameter", "arm", (3.9,), 0.005),
        *cavities("socket_bore", "body", (4.0,), 0.005),
    )
    found = assemble_joint(peg(measured=measured), combinations=10_000)
    assert (found.mix.loose.share, found.mix.mean, found.mix.sd) == (1.0, 0.0, 0.0)
    assert found.mix.loose.interval.low > 0.99


def test_none_seen_is_not_said_to_be_none() -> None:
    found = assemble_joint(slip(1000, shafts=(4.0,), bores=(4.028,)), combinations=3000).mix
    assert found.overstrained.share == 0
    by_hand = 1 - 0.025 ** (1 / 3000)
    assert found.overstrained.interval.high == independent(by_hand, way="Clopper and Pearson for none of n")


def test_only_the_upper_limit_of_a_clearance_is_loose() -> None:
    found = assemble_joint(replace(slip(), lower=None), combinations=90_000)
    assert found.mix.tight.share == 0
    assert found.mix.loose.share > 0


def intervals(shares: AssembledShares) -> list[float]:
    return [end for grade in Grade for i in [shares.of(grade).interval] for end in (i.low, i.high)]


def test_labels_and_order_change_nothing() -> None:
    evidence = slip()
    names = {"1": "C", "2": "A", "3": "B"}
    moved = replace(
        evidence,
        measured=tuple(replace(one, cavity=names[one.cavity]) for one in reversed(evidence.measured)),
    )
    found, other = (assemble_joint(one, combinations=20_000) for one in (evidence, moved))
    for one in found.pairs:
        renamed = other.pair(*(names[cavity] for cavity in one.cavities)).shares
        assert renamed == one.shares
    assert other.mix == found.mix
    assert other.contributions == found.contributions
    assert found.pairing is not None
    assert other.pairing is not None
    assert other.pairing.gain == pytest.approx(found.pairing.gain)


def test_threads_change_nothing_and_seeds_change_little(monkeypatch: pytest.MonkeyPatch) -> None:
    evidence = peg()
    found = assemble_joint(evidence, combinations=40_000)
    monkeypatch.setattr(draws, "WORKERS", 1)
    assert assemble_joint(evidence, combinations=40_000) == found
    other = assemble_joint(evidence, combinations=40_000, seed=2).mix
    assert other.good.share != found.mix.good.share
    assert other.good.share == pytest.approx(found.mix.good.share, abs=2 * chance(0.5, 40_000))


def test_more_parts_narrow_the_intervals_and_more_confidence_widens_them() -> None:
    few, many = (assemble_joint(slip(parts), combinations=90_000).mix.good.interval for parts in (5, 100))
    assert few.half_width > 2 * many.half_width
    surer = assemble_joint(slip(5), combinations=90_000, confidence=0.99).mix.good.interval
    assert surer.half_width > few.half_width


def test_a_wider_range_of_friction_widens_the_intervals_not_the_pieces() -> None:
    narrow, wide = (
        assemble_joint(peg(friction=Span(low=a, high=b)), combinations=40_000)
        for a, b in ((0.345, 0.355), (0.2, 0.5))
    )
    assert wide.mix.sd == pytest.approx(narrow.mix.sd)
    assert wide.mix.loose.interval.half_width > 2 * narrow.mix.loose.interval.half_width


def test_places_are_the_four_grades() -> None:
    assert sorted(draws.places(lower_is_loose=True).values()) == [GOOD, BELOW, ABOVE, OVER]
