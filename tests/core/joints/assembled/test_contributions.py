"""Who moves the measure: shares of a straight chain by hand, slopes, what friction does."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.core.joints.assembled import assemble_joint
from offtool.core.joints.evidence import SizeGiven
from tests.core.joints.assembled.made import cavities, chain, peg, slip
from tests.labels import independent

A, B = (5.000, 5.010, 5.005), (3.00, 3.03)
SD_A, SD_B, REACH = 0.004, 0.01, 0.06


def test_the_shares_of_a_straight_chain_are_those_by_hand() -> None:
    given = [SizeGiven(role="c", value=1.0, plus_minus=REACH)]
    measured = (*cavities("a", "arm", A, SD_A), *cavities("b", "body", B, SD_B))
    found = assemble_joint(chain(given, measured, {"a": 2.0, "b": -1.0}, upper=9.0), combinations=10_000)
    parts = {
        "a": (4 * np.var(A), 4 * SD_A**2),
        "b": (np.var(B), SD_B**2),
        "c": (0.0, (REACH / 3) ** 2),
    }
    whole = sum(map(sum, parts.values()))
    way = "variances of independent causes, by hand"
    for one in found.contributions:
        between, within = parts[one.role]
        assert one.within == independent(within / whole, way=way)
        assert one.between == pytest.approx(between / whole)
        assert one.share == pytest.approx((between + within) / whole)
        assert one.slope == independent({"a": 2.0, "b": -1.0, "c": 1.0}[one.role], way="the factor", rel=1e-8)
    assert found.rest_of_variance == pytest.approx(0, abs=1e-9)
    assert [one.share for one in found.contributions] == sorted(
        (one.share for one in found.contributions), reverse=True
    )
    assert found.mix.sd == independent(np.sqrt(whole), way=way, rel=0.03)


def test_shares_and_the_rest_add_up_where_the_torque_bends() -> None:
    found = assemble_joint(peg(), combinations=10_000)
    assert sum(one.share for one in found.contributions) + found.rest_of_variance == pytest.approx(1)
    assert 0 <= found.rest_of_variance < 0.1
    assert {one.role for one in found.contributions[:2]} == {"peg_diameter", "socket_bore"}
    slopes = {one.role: one.slope for one in found.contributions}
    assert slopes["peg_diameter"] > 0 > slopes["socket_bore"]
    assert slopes["contact_length"] > 0


def test_friction_is_named_apart_and_moves_the_mean_in_proportion() -> None:
    effect = assemble_joint(peg(), combinations=200_000).friction_effect
    assert effect is not None
    assert effect.mean_at_high / effect.mean_at_low == independent(
        0.4 / 0.3, way="torque grows with friction"
    )
    assert effect.slope == pytest.approx((effect.mean_at_high - effect.mean_at_low) / 0.1)
    assert effect.beside_variance > 0
    assert assemble_joint(slip(), combinations=3000).friction_effect is None
