"""A part's resin by its weight."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.samples import resin_by_weight
from offtool.core.values import ImpossibleInput
from offtool.handbook.resins import RESINS
from tests.core.laws import law
from tests.labels import independent, practice

CODES = [one.code for one in RESINS if one.density_g_cm3 is not None]


def ratio(resin: str) -> float:
    found = resin_by_weight(10.0, 10.0, "ABS")
    return next(one.ratio for one in found.resins if one.resin == resin)


def test_weights_in_other_resins_are_those_that_shops_know() -> None:
    """Acetal in a tool for ABS weighs about 1.3 times as much."""
    assert ratio("POM") == practice("1.3")
    assert ratio("ABS") == independent(1.0, way="the same resin")


def test_the_ratio_is_density_times_what_is_left_of_the_cavity() -> None:
    by_code = {one.code: one for one in RESINS}
    acetal, usual = by_code["POM"], by_code["ABS"]
    assert acetal.density_g_cm3 is not None
    assert usual.density_g_cm3 is not None
    sides = ((100 - acetal.shrinkage_pct) / (100 - usual.shrinkage_pct)) ** 3
    by_hand = acetal.density_g_cm3 / usual.density_g_cm3 * sides
    assert ratio("POM") == independent(by_hand, way="by hand, volume of the cavity left")


@law(resin=st.sampled_from(CODES), scale=st.floats(0.1, 1000))
def test_the_usual_weight_fits_the_usual_resin_whatever_the_size(resin: str, scale: float) -> None:
    found = resin_by_weight(3.0 * scale, 3.0 * scale, resin)
    assert found.fits_usual
    assert found.words == f"fits {resin}, the usual resin"
    assert sum(one.probability for one in found.resins) == pytest.approx(1)


def test_a_part_of_acetal_from_a_tool_for_abs_is_recognised() -> None:
    found = resin_by_weight(12.6, 9.8, "ABS")
    assert found.resins[0].resin == "POM"
    assert not found.fits_usual


def test_a_weight_that_fits_nothing_says_so() -> None:
    found = resin_by_weight(2.0, 9.8, "ABS")
    assert found.words == "fits no resin of the handbook"
    assert not found.fits_usual
    assert any("short" in str(one) for one in found.cautions)


def test_a_resin_that_is_not_known_is_named() -> None:
    with pytest.raises(ImpossibleInput, match="did you mean 'ABS'"):
        resin_by_weight(1.0, 1.0, "ABSS")
