"""The list of a release: whole, each line with its source, and stale where common practice says so."""

from __future__ import annotations

import pytest

from offtool.handbook.release_list import (
    RELEASE_LIST,
    Change,
    Fed,
    ReleaseRequirement,
    made_stale_by,
    requirements_for,
)
from offtool.handbook.toy_law import MARKETS, Market


def codes(lines: tuple[ReleaseRequirement, ...]) -> set[str]:
    return {one.code for one in lines}


def test_codes_are_given_once() -> None:
    assert len(codes(RELEASE_LIST)) == len(RELEASE_LIST)


@pytest.mark.parametrize("one", RELEASE_LIST, ids=lambda one: one.code)
def test_every_line_says_what_it_asks_and_where_it_comes_from(one: ReleaseRequirement) -> None:
    assert one.title
    assert one.asks
    assert one.source
    assert set(one.markets) <= set(MARKETS)
    assert one.markets
    assert one.ages_months[0] < one.ages_months[1]
    assert len(set(one.stale_by)) == len(one.stale_by)


def test_everything_the_record_can_feed_is_asked_for_somewhere() -> None:
    assert {one.fed_by for one in RELEASE_LIST} == set(Fed)


@pytest.mark.parametrize("market", MARKETS)
@pytest.mark.parametrize("from_months", [0, 36, 96])
def test_every_market_and_age_has_safety_and_signatures(market: Market, from_months: float) -> None:
    asked = {one.fed_by for one in requirements_for(market, from_months=from_months)}
    assert {Fed.SIZES, Fed.TOY_TESTS, Fed.FINDINGS, Fed.SIGNATURES} <= asked


def test_small_parts_are_asked_under_three_years_only() -> None:
    assert "small-parts" in codes(requirements_for("US", from_months=18))
    assert "small-parts" not in codes(requirements_for("US", from_months=36))


def test_each_market_has_its_own_certificate() -> None:
    american, european = (codes(requirements_for(market, from_months=36)) for market in ("US", "EU"))
    assert "certificate-us" in american - european
    assert "certificate-eu" in european - american


@pytest.mark.parametrize(
    ("change", "stale"),
    [
        (Change.STEEL, {"sizes", "capability", "weight", "joints-fresh", "seams", "decoration", "tool-book"}),
        (Change.RESIN, {"sizes", "weight", "material", "joints-aged", "seams", "certificate-us"}),
        (Change.COLOUR, {"colour", "material", "decoration", "certificate-us", "certificate-eu"}),
        (Change.PAINT, {"colour", "decoration", "joints-fresh", "certificate-us"}),
        (Change.MASK, {"decoration", "limit-samples", "yield"}),
        (Change.SEAM, {"seams", "toy-tests", "control-plan", "line-rate"}),
        (Change.GAUGE, {"gauges"}),
    ],
)
def test_a_change_makes_stale_what_it_touches(change: Change, stale: set[str]) -> None:
    """Common practice, no source; a change that may touch safety: 16 CFR 1107.23."""
    assert stale | {"signatures"} <= codes(made_stale_by(change))


def test_a_new_mask_leaves_the_sizes_alone() -> None:
    assert not {"sizes", "capability", "joints-fresh", "seams"} & codes(made_stale_by(Change.MASK))
