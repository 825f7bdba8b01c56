"""Small parts and own tests of the law in a review: a part that fits must be shown to stay on by itself."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from offtool.core.pilot.release import Standing
from offtool.handbook.release_list import Change
from offtool.records.models import Programme
from offtool.steps.review_found import ReviewFact
from tests.steps import reviewed
from tests.steps.reviewed import only, review
from tests.steps.toyed import TRIED_ON, keep, keep_shape, sold, torque_file

AFTER = TRIED_ON + timedelta(days=10)
PULLED = "Piece,Part,Tension [N],Held,Came off [mm]\n"


@pytest.fixture(autouse=True)
def asked(clip: Programme) -> None:
    """A toy for children under three in the United States."""
    only(clip, "small-parts", "toy-tests")
    sold(clip, from_months=24.0)


@pytest.fixture
def small() -> None:
    """Both parts fit into the cylinder."""
    keep_shape("P1", 20, 20, 20)
    keep_shape("P2", 20, 20, 25)


def pulled(part: str, stood: int, failed: int = 0) -> bytes:
    """Pieces that were pulled to 15 lbf and held, and pieces that came apart before."""
    rows = [f"{i},{part},>67,yes," for i in range(1, stood + 1)]
    rows += [f"{stood + i},{part},50,no,31" for i in range(1, failed + 1)]
    return (PULLED + "\n".join(rows)).encode()


def stands(part: str) -> ReviewFact:
    """How a part stands on the line of small parts."""
    return next(one for one in review().line("small-parts").facts if one.item == part)


@pytest.mark.usefixtures("small")
def test_a_part_that_fits_is_missing_until_its_own_pieces_were_turned_and_pulled() -> None:
    assert stands("P1").standing is Standing.MISSING
    assert stands("P1").again.startswith("P1 fits: show by its own torque and tension")
    keep(torque_file(29))
    assert stands("P1").standing is Standing.MISSING  # turned, and not pulled
    keep(pulled("P1", 29), "L2", test="tension")
    assert stands("P1").standing is Standing.HOLDS
    assert stands("P1").day == TRIED_ON


@pytest.mark.usefixtures("small")
def test_one_part_says_nothing_of_another() -> None:
    keep(torque_file(29))
    keep(pulled("P1", 29), "L2", test="tension")
    assert stands("P2").standing is Standing.MISSING
    assert stands("P2").words.endswith("it is not shown to stay on")


@pytest.mark.usefixtures("small")
def test_a_part_that_fits_and_came_off_does_not_hold_and_what_came_off_is_asked_about() -> None:
    keep(torque_file(29))
    keep(pulled("P1", 28, 1), "L2", test="tension")
    assert stands("P1").standing is Standing.FAILS
    off = stands("came off L2 29")
    assert off.standing is Standing.MISSING  # 31 mm: it hangs on the shape
    assert off.again == "Put what came off piece 29 of L2 into the cylinder, and give the evidence."


def test_paint_makes_a_pull_stale_and_leaves_a_shape_that_does_not_fit() -> None:
    keep_shape("P1", 20, 20, 20)
    keep_shape("P2", 60, 60, 60)
    keep(torque_file(29))
    keep(pulled("P1", 29), "L2", test="tension")
    reviewed.change(Change.PAINT, AFTER)
    assert stands("P1").standing is Standing.STALE
    assert stands("P2").standing is Standing.HOLDS


def test_steel_makes_only_a_shape_near_the_gauge_stale(clip: Programme) -> None:
    keep_shape("P1", 60, 60, 60)
    keep_shape("P2", 22.8, 22.8, 22.8)
    assert {stands("P1").standing, stands("P2").standing} == {Standing.HOLDS}
    reviewed.cut(clip, made_on=date(2026, 5, 20))
    assert stands("P1").standing is Standing.HOLDS
    assert stands("P2").standing is Standing.STALE


def test_a_toy_of_three_years_or_for_another_market_is_not_asked(clip: Programme) -> None:
    sold(clip, from_months=36.0)
    assert "small-parts" not in review().codes
    sold(clip, "other", 24.0)
    assert "small-parts" not in review().codes
