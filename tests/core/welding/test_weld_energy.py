"""Energy to melt a seam: an independent heat balance, units, and that it is never a single number."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st
from scipy import integrate

from offtool.core.values import ImpossibleInput
from offtool.core.welding.energy import (
    USUAL_TIME_S,
    WeldEnergy,
    weld_energy,
)
from offtool.handbook.weld_resins import WELD_RESINS
from tests.core.laws import law
from tests.labels import independent, practice, published

RESINS = st.sampled_from(sorted(WELD_RESINS))


def enthalpy_si(melt_mm3: float, resin: str, end: int, start_c: float = 23.0) -> float:
    """The same in kilograms, metres and kelvin, the sensible heat integrated."""
    one = WELD_RESINS[resin]
    mass_kg = melt_mm3 * 1e-9 * one.density_g_cm3[end] * 1000
    sensible = integrate.quad(
        lambda _: one.specific_heat_j_gk[end] * 1000, start_c + 273.15, one.melt_c[end] + 273.15
    )[0]
    return mass_kg * (sensible + one.fusion_j_g[end] * 1000)


@pytest.mark.parametrize("resin", WELD_RESINS)
def test_heat_is_the_enthalpy_of_the_melt(resin: str) -> None:
    found = weld_energy(19.2, resin=resin).heat_j
    way = "heat balance in SI units, integrated from 23 °C"
    assert found.low == independent(enthalpy_si(19.2, resin, 0), way=way)
    assert found.high == independent(enthalpy_si(19.2, resin, 1), way=way)


def test_a_cubic_millimetre_of_water_like_stuff_weighs_a_milligram() -> None:
    found = weld_energy(1000.0, resin="PS").mass_mg
    assert (found.low, found.high) == (
        independent(1040.0, way="a cubic centimetre of 1.04 g"),
        independent(1060.0, way="a cubic centimetre of 1.06 g"),
    )


def test_efficiency_and_time_are_ranges_of_practice() -> None:
    guessed = weld_energy(10.0, resin="ABS")
    assert guessed.heat_j.low / guessed.energy_j.low == practice("0.6")
    assert guessed.heat_j.high / guessed.energy_j.high == practice("0.1")
    assert USUAL_TIME_S.low == published(
        "0.1", source="a handbook of plastics joining, 2009, ch. 2, weld time"
    )
    assert USUAL_TIME_S.high == published("1.0", source="the same")


@law(volume=st.floats(0.1, 1000), resin=RESINS, power=st.floats(50, 3000))
def test_it_is_a_wide_range_never_a_number(volume: float, resin: str, power: float) -> None:
    found = weld_energy(volume, resin=resin, power_w=power)
    assert found.time_s is not None
    for span in (found.heat_j, found.energy_j, found.power_w, found.time_s):
        assert 0 < span.low < span.high
    assert found.energy_j.high > 6 * found.energy_j.low
    assert found.energy_j.low > found.heat_j.low


@law(volume=st.floats(0.1, 1000), resin=RESINS, factor=st.floats(0.1, 10))
def test_energy_power_and_time_are_in_proportion_to_what_melts(
    volume: float, resin: str, factor: float
) -> None:
    one, other = (weld_energy(v, resin=resin, power_w=500.0) for v in (volume, volume * factor))
    assert one.time_s is not None
    assert other.time_s is not None
    assert other.energy_j.high == pytest.approx(factor * one.energy_j.high, rel=1e-9)
    assert other.power_w.low == pytest.approx(factor * one.power_w.low, rel=1e-9)
    assert other.time_s.low == pytest.approx(factor * one.time_s.low, rel=1e-9)


@law(volume=st.floats(0.1, 1000), resin=RESINS, power=st.floats(10, 5000))
def test_power_times_time_is_the_energy(volume: float, resin: str, power: float) -> None:
    found = weld_energy(volume, resin=resin, power_w=power)
    assert found.time_s is not None
    assert found.time_s.high * power == pytest.approx(found.energy_j.high, rel=1e-12)
    assert found.power_w.high * USUAL_TIME_S.low == pytest.approx(found.energy_j.high, rel=1e-12)
    assert found.power_w.low * USUAL_TIME_S.high == pytest.approx(found.energy_j.low, rel=1e-12)


def test_warm_parts_take_less_and_a_perfect_welder_only_the_heat() -> None:
    assert weld_energy(10, resin="PP", room_c=60).heat_j.high < weld_energy(10, resin="PP").heat_j.high
    found = weld_energy(10, resin="PP", least_efficiency=1, most_efficiency=1)
    assert found.energy_j == found.heat_j


def test_crystals_take_more_heat_than_glass_of_the_same_melt() -> None:
    """The example of the docstring: about 6 J for 19.2 mm³ of ABS; acetal takes more."""
    assert weld_energy(19.2, resin="ABS").heat_j.low < 6 < weld_energy(19.2, resin="ABS").heat_j.high
    assert weld_energy(19.2, resin="POM").heat_j.low > weld_energy(19.2, resin="ABS").heat_j.low


def said(found: WeldEnergy) -> str:
    return " ".join(str(one) for one in found.cautions)


def test_it_says_that_it_is_an_order_of_magnitude_and_what_the_welder_can_do_to_people() -> None:
    found = weld_energy(19.2, resin="ABS")
    assert "order of magnitude" in found.words
    for words in ("for choosing a welder", "Never touch a horn", "hearing protection"):
        assert words in said(found)


def test_words_have_one_digit_and_no_exponent() -> None:
    assert weld_energy(19.2, resin="ABS", power_w=300).words == (
        "6 to 100 J from the welder, in order of magnitude; 0.02 to 0.3 s at that power"
    )


def test_times_that_no_welder_has_are_cautioned_against() -> None:
    assert "longer than seams usually take" in said(weld_energy(1000, resin="PP", power_w=100))
    assert "shorter than a welder can set" in said(weld_energy(0.5, resin="ABS", power_w=3000))


def test_nothing_to_melt_takes_nothing() -> None:
    found = weld_energy(0.0, resin="ABS", power_w=100)
    assert (found.energy_j.high, found.words) == (0.0, "nothing is there to melt")


@pytest.mark.parametrize(("resin", "words"), [("ABX", "did you mean 'ABS'"), ("", "resin = blank")])
def test_a_resin_whose_heat_is_not_known_is_refused(resin: str, words: str) -> None:
    with pytest.raises(ImpossibleInput, match=words):
        weld_energy(10.0, resin=resin)


def test_efficiencies_that_cross_and_cubic_metres_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must not be above the most"):
        weld_energy(10.0, resin="ABS", least_efficiency=0.7)
    with pytest.raises(ImpossibleInput, match="melt_mm3 = 19200000"):
        weld_energy(19_200_000.0, resin="ABS")
