"""Amplitude at the horn: gains that multiply, peak against peak-to-peak, the range by resin and frequency."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import strategies as st

from offtool.core.values import ImpossibleInput, Verdict
from offtool.core.welding.amplitude import (
    BOOSTERS,
    FREQUENCIES_KHZ,
    NEAR_FIELD_MM,
    HornAmplitude,
    horn_amplitude,
)
from offtool.handbook.weld_resins import WELD_RESINS
from tests.core.laws import law
from tests.labels import independent, practice, published, remembered


def horn(
    converter: float = 20.0,
    booster: float = 1.5,
    gain: float = 2.0,
    *,
    khz: float = 20.0,
    pct: float = 100.0,
    resin: str = "ABS",
    distance: float | None = None,
) -> HornAmplitude:
    return horn_amplitude(
        converter,
        booster,
        gain,
        stated="peak-to-peak",
        frequency_khz=khz,
        amplitude_pct=pct,
        resin=resin,
        horn_distance_mm=distance,
    )


def said(found: HornAmplitude) -> str:
    return " ".join(str(one) for one in found.cautions)


def test_twenty_by_one_and_a_half_by_two_are_sixty() -> None:
    found = horn()
    assert found.amplitude_um == independent(60.0, way="20 x 1.5 x 2.0, by hand")
    assert found.verdict is Verdict.HOLDS
    assert "60 µm peak-to-peak" in found.words


def test_a_peak_is_doubled_and_said() -> None:
    found = horn_amplitude(10.0, 1.5, 2.0, stated="peak", frequency_khz=20.0, resin="ABS")
    assert (found.amplitude_um, found.peak_um) == (horn().amplitude_um, 30.0)
    assert "doubled" in said(found)


def test_a_converter_that_looks_like_a_peak_is_asked_about() -> None:
    assert "was it stated as peak" in said(horn(10.0))
    assert "was it stated as peak" not in said(horn(20.0))
    assert "was it stated as peak" not in said(horn(10.0, khz=40.0))


@law(parts=st.tuples(st.floats(5, 40), st.floats(0.5, 3), st.floats(0.5, 4)), pct=st.floats(20, 100))
def test_the_product_does_not_ask_for_order_and_scales_with_the_setting(
    parts: tuple[float, float, float], pct: float
) -> None:
    converter, booster, gain = parts
    found = horn(converter, booster, gain, pct=pct)
    assert found.amplitude_um == pytest.approx(
        horn(converter, gain, booster, pct=pct).amplitude_um, rel=1e-12
    )
    assert found.amplitude_um == pytest.approx(horn(*parts).amplitude_um * pct / 100, rel=1e-12)
    assert found.amplitude_um == pytest.approx(2 * found.peak_um, rel=1e-12)


@pytest.mark.parametrize(
    ("resin", "low", "high"), [("PP", "90", "120"), ("POM", "75", "125"), ("PET", "80", "120")]
)
def test_ranges_of_practice_at_20_khz(resin: str, low: str, high: str) -> None:
    wanted = horn(resin=resin).wanted_um
    assert wanted is not None
    assert (wanted.low, wanted.high) == (practice(low), practice(high))


@pytest.mark.parametrize("khz", FREQUENCIES_KHZ)
def test_amplitude_times_frequency_is_the_same_at_every_frequency(khz: float) -> None:
    wanted = horn(khz=khz).wanted_um
    assert wanted is not None
    assert wanted.low * khz == independent(30 * 20, way="peak velocity of the face, up to a factor")
    assert ("roughly" in said(horn(khz=khz))) is (khz != 20)


def test_the_ranges_lie_where_horns_are_said_to_move() -> None:
    """A public page on horns has 20 to 100 µm peak-to-peak at the horn face; tables of resins reach a little
    further."""
    low = published("20", source="a public page on ultrasonic assembly, horn face, peak-to-peak").value
    high = published("100", source="the same").value
    for one in WELD_RESINS.values():
        if one.amplitude_um is not None:
            assert one.amplitude_um[0] >= low
            assert one.amplitude_um[1] <= 1.25 * high


def test_stock_boosters_and_frequencies() -> None:
    for found, printed in zip(BOOSTERS, ("0.6", "1.0", "1.5", "2.0", "2.5"), strict=True):
        assert found == remembered(printed, source="stock gains of boosters")
    for found, printed in zip(FREQUENCIES_KHZ, ("15", "20", "30", "35", "40"), strict=True):
        assert found == remembered(printed, source="stock frequencies of welders")


def test_the_booster_named_comes_nearest_the_middle_of_those_inside() -> None:
    found = horn(booster=0.6, resin="PP")
    assert found.verdict is Verdict.FAILS
    inside = [one for one in found.boosters if one.verdict is Verdict.HOLDS]
    assert [one.gain for one in inside] == [2.5]
    assert found.booster == independent(2.5, way="20 x 2.5 x 2.0 = 100 in 90 to 120, by hand")
    assert "a booster of 2.5 brings it inside" in found.words


def test_where_no_booster_helps_it_says_another_horn() -> None:
    found = horn(gain=0.5, resin="PP")
    assert found.booster is None
    assert "another horn" in found.words


@pytest.mark.parametrize(
    ("distance", "field"), [(0.0, "near field"), (6.0, "near field"), (6.01, "far field")]
)
def test_near_and_far(distance: float, field: str) -> None:
    assert horn(distance=distance).field == field
    assert horn().field == "not given"


def test_the_near_field_ends_before_the_quarter_inch_of_the_glossary() -> None:
    quarter = published("0.25", source="a public glossary of assembly, near field, inches").value * 25.4
    assert NEAR_FIELD_MM <= quarter < NEAR_FIELD_MM + 0.5


def test_far_from_the_horn_semi_crystalline_resins_are_cautioned_against() -> None:
    assert "swallows sound" in said(horn(resin="POM", distance=20.0))
    assert "swallows sound" not in said(horn(resin="POM", distance=3.0))
    assert "swallows sound" not in said(horn(resin="PS", distance=20.0))


@pytest.mark.parametrize(
    ("resin", "words"), [("", "no resin is given"), ("ABX", "did you mean"), ("PVC-P", "not welded")]
)
def test_without_a_range_nothing_is_shown(resin: str, words: str) -> None:
    found = horn(resin=resin)
    assert (found.verdict, found.wanted_um, found.booster) == (Verdict.NOT_SHOWN, None, None)
    assert words in said(found)


def test_amplitudes_that_crack_horns_are_cautioned_against() -> None:
    assert "horns crack" in said(horn(booster=2.5, gain=3.0))
    assert "horns crack" not in said(horn())


def test_hertz_for_kilohertz_is_refused() -> None:
    with pytest.raises(
        ImpossibleInput, match=r"frequency_khz = 20000\.0 kHz: must be at most 200; give it in kHz"
    ):
        horn(khz=20_000.0)


def test_hands_noise_and_limits_are_always_said() -> None:
    for resin in ("ABS", ""):
        words = said(horn(resin=resin))
        for one in ("Never touch a horn", "hearing protection", "just above hearing", "differ by country"):
            assert one in words


def test_every_order_of_the_three_gains_is_one_answer() -> None:
    found = {round(horn(*one).amplitude_um, 9) for one in permutations((6.0, 2.0, 3.0))}
    assert found == {36.0}
