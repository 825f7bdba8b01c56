"""Mixtures have the colour of Kubelka and Munk; spectra that stand for Lab are near the true ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour.difference import ciede2000
from offtool.core.colour.spaces import WHITES
from offtool.core.planning import MixedColour, colour_of_mixture
from offtool.core.planning.colour_change.mixing import (
    absorption_over_scattering,
    counted_share,
    difference_of_share,
    mixed_lab,
    reflectance_of,
    share_seen,
    true_share,
)
from offtool.core.planning.colour_change.spectra import WEIGHTS, WHITE, lab_of_spectrum, smoothest_spectrum
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.planning.colour_change.chart import chart
from tests.labels import independent, published, remembered

YELLOW, BROWN, WHITE_LAB, BLACK = (84.0, 4.0, 75.0), (38.0, 14.0, 20.0), (93.0, -0.5, 2.0), (25.0, 0.0, 0.0)
COLOURS = st.sampled_from([tuple(map(float, lab_of_spectrum(one))) for one in chart().values()])


@pytest.mark.parametrize(
    ("reflectance", "printed"), [(0.5, "0.25"), (0.1, "4.05"), (0.9, "0.00556"), (0.04, "11.52")]
)
def test_k_over_s_is_as_tables_print_it(reflectance: float, printed: str) -> None:
    wanted = remembered(printed, source="tables of K/S, (1 - R)² / 2R")
    assert float(absorption_over_scattering(reflectance)) == wanted


@law(reflectance=st.floats(0.001, 0.999))
def test_k_over_s_and_reflectance_are_each_others_way_back(reflectance: float) -> None:
    back = float(reflectance_of(absorption_over_scattering(reflectance)))
    assert back == pytest.approx(reflectance, rel=1e-9)


def test_the_white_of_the_table_is_that_of_the_standard_to_its_spacing() -> None:
    """10 nm steps from 400 to 700 nm leave the fourth digit unsure."""
    white = independent(WHITES["D65/10"], way="the white point of ASTM E308", within=6e-4)
    assert white == WHITE


def test_a_flat_spectrum_is_grey_with_the_lightness_that_its_luminance_gives() -> None:
    lightness, a, b = lab_of_spectrum(np.full(31, 0.18418652))
    assert lightness == published("50.0", source="ISO/CIE 11664-4: Y of 18.4187 % is L* 50")
    assert abs(a) < 1e-9
    assert abs(b) < 1e-9


@law(lab=COLOURS)
def test_the_smoothest_spectrum_has_the_colour(lab: tuple[float, float, float]) -> None:
    found = smoothest_spectrum(lab)
    assert float(ciede2000(lab_of_spectrum(found), lab)) < 1e-6
    assert found.min() > 0
    assert found.max() < 1


@law(examples=20, grey=st.floats(5, 98))
def test_a_grey_has_a_flat_spectrum(grey: float) -> None:
    assert np.ptp(smoothest_spectrum((grey, 0.0, 0.0))) < 1e-8


def test_no_other_spectrum_of_the_colour_is_smoother() -> None:
    """At the least, steps that leave XYZ alone do not change the logit's slope to first order."""
    found = smoothest_spectrum(YELLOW)
    logit = np.log(found / (1 - found))
    rng = np.random.default_rng(5)
    held = WEIGHTS * (found * (1 - found))
    for _ in range(50):
        step = rng.normal(size=31)
        step -= held.T @ np.linalg.solve(held @ held.T, held @ step)
        first_order = 2 * np.diff(logit) @ np.diff(step)
        assert abs(first_order) < 1e-5 * float(np.abs(np.diff(logit)).sum() * np.abs(step).max())


@pytest.mark.parametrize("lab", [(100.0, 0.0, 0.0), (30.0, 40.0, -90.0)])
def test_a_colour_that_no_surface_has_is_refused(lab: tuple[float, float, float]) -> None:
    with pytest.raises(ImpossibleInput, match="no surface"):
        smoothest_spectrum(lab)


@law(old=COLOURS, new=COLOURS)
def test_at_the_ends_a_mixture_is_the_pure_colour(
    old: tuple[float, float, float], new: tuple[float, float, float]
) -> None:
    ends = mixed_lab(old, new, [0.0, 1.0])
    assert float(ciede2000(ends[0], new)) < 1e-5
    assert float(ciede2000(ends[1], old)) < 1e-5


@law(old=COLOURS, new=COLOURS, share=st.floats(0, 1))
def test_the_order_of_the_two_does_not_matter(
    old: tuple[float, float, float], new: tuple[float, float, float], share: float
) -> None:
    one, other = mixed_lab(old, new, share), mixed_lab(new, old, 1 - share)
    assert one == independent(other, way="the two exchanged", rel=1e-9, within=1e-7)


@law(old=COLOURS, new=COLOURS, share=st.floats(0, 1))
def test_k_over_s_of_the_mixture_is_the_mean_by_mass(
    old: tuple[float, float, float], new: tuple[float, float, float], share: float
) -> None:
    k_old, k_new = (absorption_over_scattering(smoothest_spectrum(one)) for one in (old, new))
    by_hand = lab_of_spectrum(reflectance_of(share * k_old + (1 - share) * k_new))
    assert mixed_lab(old, new, share) == independent(by_hand, way="K/S added by hand", within=1e-7)


@law(share=st.floats(0, 1), strength=st.floats(0.2, 5))
def test_the_counted_share_and_the_true_one_are_each_others_way_back(share: float, strength: float) -> None:
    assert float(true_share(counted_share(share, strength), strength)) == pytest.approx(share, abs=1e-12)


@pytest.mark.parametrize(("dark", "light"), [(BLACK, WHITE_LAB), (BROWN, YELLOW), (BLACK, YELLOW)])
def test_dark_in_light_is_seen_long_before_light_in_dark(
    dark: tuple[float, float, float], light: tuple[float, float, float]
) -> None:
    """Nothing says so but the mixing itself."""
    assert share_seen(dark, light, 1.0) < 0.1 * share_seen(light, dark, 1.0)


@law(limit=st.floats(0.3, 4), old=st.sampled_from([BLACK, BROWN]), new=st.sampled_from([WHITE_LAB, YELLOW]))
def test_the_share_that_is_just_seen_is_just_at_the_limit(
    limit: float, old: tuple[float, float, float], new: tuple[float, float, float]
) -> None:
    share = share_seen(old, new, limit)
    assert float(ciede2000(mixed_lab(old, new, share), new)) == pytest.approx(limit, rel=0.01)


@pytest.mark.parametrize(("old", "new"), [(BLACK, WHITE_LAB), (BROWN, YELLOW), (YELLOW, BROWN)])
def test_of_a_dark_and_a_light_the_difference_grows_with_the_share(
    old: tuple[float, float, float], new: tuple[float, float, float]
) -> None:
    shares = np.geomspace(1e-5, 1, 200)
    assert (np.diff(ciede2000(mixed_lab(old, new, shares), new)) > 0).all()
    assert (np.diff(difference_of_share(old, new, shares)) > 0).all()


def test_colours_within_the_limit_need_no_washing_out() -> None:
    assert share_seen((60.0, 0.0, 0.0), (60.4, 0.0, 0.0), 1.0) == 1.0


def test_beside_true_spectra_the_share_that_is_just_seen_is_within_the_factor_that_is_said() -> None:
    """All pairs of the chart that lie apart, mixed by their published reflectances and by those recovered."""
    spectra = list(chart().values())
    labs = [tuple(map(float, lab_of_spectrum(one))) for one in spectra]
    shares = np.geomspace(1e-5, 1, 1500)
    factors = []
    for old, old_lab in zip(spectra, labs, strict=True):
        for new, new_lab in zip(spectra, labs, strict=True):
            if float(ciede2000(old_lab, new_lab)) < 5:
                continue
            k_old, k_new = absorption_over_scattering(old), absorption_over_scattering(new)
            mixed = reflectance_of(np.outer(shares, k_old) + np.outer(1 - shares, k_new))
            seen = ciede2000(lab_of_spectrum(mixed), new_lab) > 1.0
            factors.append(share_seen(old_lab, new_lab, 1.0) / shares[int(np.argmax(seen))])
    off = np.abs(np.log(factors))
    assert len(factors) > 500
    assert np.quantile(off, 0.95) < np.log(1.55)  # said as 1.5 and 2.1
    assert off.max() < np.log(2.15)


def test_the_formula_says_what_a_trace_of_black_does_to_white() -> None:
    black, white = (25.0, 0.0, 0.0), (93.0, 0.0, 2.0)
    found = _mixture(black, white)
    assert found.difference > 3
    assert "outside the limit of 1" in found.words
    assert _mixture(white, black).difference < 0.5


def _mixture(old: tuple[float, float, float], new: tuple[float, float, float]) -> MixedColour:
    return colour_of_mixture(
        0.01,
        lightness_old=old[0],
        a_old=old[1],
        b_old=old[2],
        lightness_new=new[0],
        a_new=new[1],
        b_new=new[2],
    )
