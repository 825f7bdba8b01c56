"""Cooling by closed forms: printed tables of conduction, quadrature, and the laws of scaling."""

from __future__ import annotations

from math import exp, log, pi
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy.special import j0, j1, jn_zeros

from offtool.core.planning.cycle.closed_form import (
    METHODS,
    Criterion,
    Shape,
    cooling_time_cylinder,
    cooling_time_plate,
)
from offtool.core.planning.cycle.series import (
    EARLIEST,
    cylinder_series,
    left_with_surface,
    plate_roots,
    plate_series,
)
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice, remembered

INCROPERA = "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table 5.1"
CARSLAW = "Carslaw and Jaeger, Conduction of Heat in Solids, chapter III, the series summed"
HOT = {"melt_c": 230.0, "mould_c": 50.0, "eject_c": 90.0, "diffusivity_mm2_s": 0.085}


def plate(wall_mm: float = 2.0, **changed: Any) -> float:
    return cooling_time_plate(wall_mm, **{**HOT, **changed}).time_s


@pytest.mark.parametrize(
    ("biot", "root", "factor"),
    [(0.1, "0.3111", "1.0161"), (1, "0.8603", "1.1191"), (10, "1.4289", "1.2620"), (100, "1.5552", "1.2731")],
)
def test_roots_and_factors_of_a_plate_are_those_of_the_printed_table(
    biot: float, root: str, factor: str
) -> None:
    found = plate_roots(biot)[0]
    assert found[0] == remembered(root, source=INCROPERA)
    assert found[1] == remembered(factor, source=INCROPERA)


@pytest.mark.parametrize(
    ("half_fourier", "middle", "mean"), [(0.2, "0.7723", "0.4959"), (0.5, "0.3708", "0.2360")]
)
def test_what_is_left_of_a_plate_held_at_its_skins(half_fourier: float, middle: str, mean: str) -> None:
    """The books count the Fourier number by half the wall: a quarter of it by the whole."""
    assert plate_series()["centreline"].left(half_fourier / 4) == remembered(middle, source=CARSLAW)
    found = plate_series()["average"].left(half_fourier / 4)
    assert found == pytest.approx(remembered(mean, source=CARSLAW).value, abs=1e-4)


def test_a_surface_that_gives_off_heat_perfectly_is_a_surface_that_is_held() -> None:
    held = plate_series()["centreline"].left(0.3 / 4)
    assert left_with_surface(0.3, biot=1e7) == pytest.approx(held, rel=1e-5)


@pytest.mark.parametrize("criterion", get_args(Criterion))
def test_two_mm_of_abs_by_the_formula_as_it_is_printed(criterion: Criterion) -> None:
    factor = 4 / pi if criterion == "centreline" else 8 / pi**2
    way = "t = s² / (π² a) ln(factor (Tm − Tw) / (Te − Tw)), as polymer texts print it"
    found = cooling_time_plate(2.0, **HOT, criterion=criterion)
    by_hand = 2.0**2 / (pi**2 * 0.085) * log(factor * 180 / 40)
    assert found.one_term_s == independent(by_hand, way=way)
    assert found.time_s == pytest.approx(found.one_term_s, rel=1e-5)


def test_a_wall_of_abs_of_two_and_a_half_mm_cools_about_as_long_as_shops_say() -> None:
    found = plate(2.5, melt_c=235.0, mould_c=55.0, eject_c=88.0)
    assert found == practice("14")


def test_a_cylinder_is_the_first_term_with_the_numbers_of_books() -> None:
    found = cooling_time_cylinder(4.0, **HOT)
    by_hand = 2.0**2 / (5.783 * 0.085) * log(1.602 * 180 / 40)
    assert found.one_term_s == independent(by_hand, way="5.783 and 1.602 as printed", rel=2e-4)
    mean = cooling_time_cylinder(4.0, **HOT, criterion="average")
    assert mean.one_term_s == independent(4 / (5.783 * 0.085) * log(0.692 * 180 / 40), way="0.692", rel=1e-3)


@pytest.mark.parametrize("fourier", [0.01, 0.05, 0.2])
def test_the_mean_of_a_plate_is_the_profile_integrated(fourier: float) -> None:
    place = (np.arange(20_000) + 0.5) / 20_000
    n = 2 * np.arange(200) + 1.0
    profile = (4 / pi / n * np.exp(-((pi * n) ** 2) * fourier)) @ np.sin(pi * np.outer(n, place))
    found = plate_series()["average"].left(fourier)
    assert found == independent(float(profile.mean()), way="midpoint rule over the wall", rel=1e-6)


@pytest.mark.parametrize("fourier", [0.02, 0.1, 0.4])
def test_the_mean_of_a_cylinder_is_the_profile_integrated(fourier: float) -> None:
    radius = (np.arange(20_000) + 0.5) / 20_000
    zeros = jn_zeros(0, 100)
    profile = (2 / (zeros * j1(zeros)) * np.exp(-(zeros**2) * fourier)) @ j0(np.outer(zeros, radius))
    mean = float(2 * (profile * radius).mean())
    assert cylinder_series()["average"].left(fourier) == independent(mean, way="midpoint rule", rel=1e-5)


@pytest.mark.parametrize("shape", METHODS)
@pytest.mark.parametrize("criterion", get_args(Criterion))
def test_nothing_jumps_where_the_early_answer_passes_into_the_series(
    shape: Shape, criterion: Criterion
) -> None:
    series = METHODS[shape]()[criterion]
    assert series.left(EARLIEST * 0.999) == pytest.approx(series.left(EARLIEST * 1.001), abs=3e-3)


def test_every_shape_and_criterion_has_its_series() -> None:
    assert set(METHODS) == set(get_args(Shape))
    assert all(set(made()) == set(get_args(Criterion)) for made in METHODS.values())


@law(wall=st.floats(0.3, 20), times=st.floats(1.1, 5), criterion=st.sampled_from(get_args(Criterion)))
def test_time_goes_with_the_wall_squared(wall: float, times: float, criterion: Criterion) -> None:
    one, other = plate(wall, criterion=criterion), plate(wall * times, criterion=criterion)
    assert other == pytest.approx(one * times**2, rel=1e-9)


@law(spread=st.floats(0.01, 1), times=st.floats(1.1, 5))
def test_time_goes_against_diffusivity(spread: float, times: float) -> None:
    assert plate(diffusivity_mm2_s=spread * times) == pytest.approx(plate(diffusivity_mm2_s=spread) / times)


@law(up=st.floats(-40, 100))
def test_only_differences_of_temperature_count(up: float) -> None:
    moved = {name: HOT[name] + up for name in ("melt_c", "mould_c", "eject_c")}
    assert plate(**moved) == pytest.approx(plate(), rel=1e-6)


@law(eject=st.floats(51, 228), less=st.floats(0.5, 40))
def test_a_cooler_ejection_is_never_sooner(eject: float, less: float) -> None:
    cooler = max(eject - less, 50.5)
    for criterion in get_args(Criterion):
        assert plate(eject_c=cooler, criterion=criterion) >= plate(eject_c=eject, criterion=criterion)


@law(eject=st.floats(51, 229))
def test_the_mean_is_there_before_the_middle_and_the_pin_before_the_wall(eject: float) -> None:
    middle, mean = plate(eject_c=eject), plate(eject_c=eject, criterion="average")
    assert mean <= middle
    assert cooling_time_cylinder(2.0, **{**HOT, "eject_c": eject}).time_s <= middle


@law(
    eject=st.floats(52, 226),
    shape=st.sampled_from(get_args(Shape)),
    criterion=st.sampled_from(get_args(Criterion)),
)
def test_what_is_left_at_the_time_is_what_was_asked(eject: float, shape: Shape, criterion: Criterion) -> None:
    of = cooling_time_plate if shape == "plate" else cooling_time_cylinder
    found = of(2.0, **{**HOT, "eject_c": eject}, criterion=criterion)
    left = METHODS[shape]()[criterion].left(found.fourier)
    assert left == pytest.approx(found.share_left, rel=1e-3, abs=1e-3)


def test_so_early_that_one_term_is_off_the_series_is_given_and_it_is_said() -> None:
    found = cooling_time_plate(2.0, **{**HOT, "eject_c": 225.0})
    assert found.one_term_s > found.time_s * 1.02
    assert "first term alone is off" in str(found.cautions[0])
    assert exp(-found.fourier) < 1


@pytest.mark.parametrize(
    ("changed", "argument"),
    [({"melt_c": 40.0}, "melt_c"), ({"eject_c": 50.0}, "eject_c"), ({"eject_c": 230.0}, "eject_c")],
)
def test_temperatures_that_cross_are_refused_with_a_remedy(changed: dict[str, float], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        plate(**changed)
    assert refused.value.argument == argument
    assert refused.value.remedy
