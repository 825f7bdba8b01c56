"""The destructive audit: printed sample numbers, operating curves simulated, laws."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.values import ImpossibleInput
from offtool.core.welding.audit import WeldAudit, weld_audit
from offtool.core.welding.cautions import PULLING
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published

REQUIREMENT, MEAN = "pull to the requirement", "mean of the pulls"
TABLE = "zero-failure sample numbers, ln(1 - C) / ln R, widely printed"


def audit(**changed: Any) -> WeldAudit:
    asked = {"mean_n": 110.0, "sd_n": 10.0, "required_n": 70.0, "drop_n": 20.0, "audits": 3, **changed}
    return weld_audit(**asked)


@pytest.mark.parametrize(
    ("confidence", "reliability", "printed"),
    [
        (0.95, 0.95, "59"),
        (0.90, 0.90, "22"),
        (0.95, 0.99, "299"),
        (0.90, 0.99, "230"),
        (0.95, 0.90, "29"),
        (0.90, 0.95, "45"),
        (0.99, 0.99, "459"),
    ],
)
def test_one_audit_without_a_failure_takes_the_printed_number(
    confidence: float, reliability: float, printed: str
) -> None:
    found = audit(drop_n=None, share_after=1 - reliability, probability=confidence, audits=1)
    assert found.plan(REQUIREMENT).pulls == published(printed, source=TABLE)


def test_the_share_and_the_drop_are_one_question() -> None:
    by_share = audit(drop_n=None, share_after=0.05)
    assert by_share.share_after == pytest.approx(0.05, rel=1e-9)
    again = audit(drop_n=by_share.drop_n)
    assert [one.pulls for one in again.plans] == [one.pulls for one in by_share.plans]


def simulated(found: WeldAudit, name: Any, drop: float, seed: int) -> tuple[float, float]:
    """How often an audit alarms, and how often any of the planned number does."""
    plan = found.plan(name)
    rng = np.random.default_rng(seed)
    pulls = rng.normal(found.mean_n - drop, found.sd_n, (20_000, found.audits, plan.pulls or 1))
    worst = pulls.min(axis=2) if name == REQUIREMENT else pulls.mean(axis=2)
    alarm = worst < plan.alarm_below_n
    return float(alarm.mean()), float(alarm.any(axis=1).mean())


@pytest.mark.parametrize("name", [REQUIREMENT, MEAN])
def test_the_drop_is_found_as_often_as_planned(name: Any) -> None:
    found = audit()
    plan = found.plan(name)
    each, within = simulated(found, name, found.drop_n, 4)
    assert plan.found_each == independent(each, way="simulation", within=chance(each, 20_000))
    assert plan.found_within == independent(within, way="simulation", within=chance(within, 20_000))
    assert (plan.found_within or 0) >= found.probability


@pytest.mark.parametrize("name", [REQUIREMENT, MEAN])
def test_the_curve_is_that_of_simulated_audits(name: Any) -> None:
    found = audit()
    for drop, probability in found.plan(name).curve[2::6]:
        _, within = simulated(found, name, drop, 5)
        assert abs(probability - within) <= chance(max(within, 0.002), 20_000) + 1e-4


def test_an_unchanged_weld_alarms_as_seldom_as_allowed() -> None:
    found = audit(audits_between_false_alarms=50.0)
    plan = found.plan(MEAN)
    alarms, _ = simulated(found, MEAN, 0.0, 6)
    assert 1 / (plan.audits_between_false_alarms or 1) == independent(
        alarms, way="simulation", within=chance(alarms, 60_000)
    )


def test_the_mean_takes_as_many_pulls_as_a_one_sided_z_test() -> None:
    found = audit(audits=1, audits_between_false_alarms=20.0, probability=0.9, drop_n=8.0)
    z = stats.norm.ppf(0.95) + stats.norm.ppf(0.9)
    assert found.plan(MEAN).pulls == independent(
        float(np.ceil((z * 10 / 8) ** 2)), way="(z_a + z_b)^2 sd^2 / d^2, scipy.stats"
    )


def test_the_plan_with_fewer_pulls_is_chosen_unless_it_cries_wolf() -> None:
    found = audit()
    usable = [one for one in found.plans if not one.too_many_false_alarms]
    assert found.plan(found.chosen or MEAN).pulls == min(one.pulls or 0 for one in usable)
    near = audit(required_n=95.0, drop_n=8.0)
    assert near.plan(REQUIREMENT).too_many_false_alarms
    assert near.chosen == MEAN
    assert any("false alarms" in str(one) for one in near.cautions)


def test_cost_is_counted_in_seams() -> None:
    plan = audit(piece_cost=0.4).plan(MEAN)
    assert plan.cost_each == pytest.approx(0.4 * (plan.pulls or 0))
    assert plan.pieces_to_find == pytest.approx((plan.pulls or 0) * (plan.audits_to_find or 0))


def test_a_drop_too_small_to_find_is_answered_so() -> None:
    found = audit(drop_n=1e-4)
    assert (found.plan(MEAN).pulls, found.chosen) == (None, None)
    assert any("allow more audits" in str(one) for one in found.cautions)


def test_whoever_pulls_is_warned() -> None:
    assert PULLING in audit().cautions


def test_one_of_drop_and_share_is_asked_for() -> None:
    for drop, share in ((None, None), (20.0, 0.05)):
        with pytest.raises(ImpossibleInput, match="either the drop or the share"):
            audit(drop_n=drop, share_after=share)
    with pytest.raises(ImpossibleInput, match="above today's"):
        audit(drop_n=None, share_after=1e-9)


@law(examples=40, drop=st.floats(5.0, 40.0), unit=st.sampled_from([0.2248, 9.81]))
def test_the_unit_does_not_matter(drop: float, unit: float) -> None:
    plain = audit(drop_n=drop)
    scaled = audit(mean_n=110 * unit, sd_n=10 * unit, required_n=70 * unit, drop_n=drop * unit)
    assert [one.pulls for one in scaled.plans] == [one.pulls for one in plain.plans]


@law(examples=40, drop=st.floats(5.0, 40.0))
def test_a_larger_drop_more_audits_or_less_certainty_take_fewer_pulls(drop: float) -> None:
    for changed in ({"drop_n": drop * 1.3}, {"audits": 6}, {"probability": 0.7}):
        for before, after in zip(
            audit(drop_n=drop).plans, audit(**{"drop_n": drop, **changed}).plans, strict=True
        ):
            assert before.pulls is None or (after.pulls or 0) <= before.pulls
