"""Planned numbers: printed ones, the same found by other libraries, round trips, laws, nothing reasonable."""

from __future__ import annotations

from math import ceil, log, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.power import TTestIndPower

from offtool.core.inspection.capability import parts_to_show, performance_index
from offtool.core.inspection.sample_size import (
    parts_for_mean,
    parts_to_bound_fraction,
    parts_to_find_difference,
    required_observed_index,
)
from offtool.core.inspection.tolerance import tolerance_factor
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.labels import independent, remembered

DEMONSTRATION = "the usual table of zero-failure demonstrations, ln(1 - C) / ln R"


@pytest.mark.parametrize(("parts", "usual"), [(30, 1.71), (50, 1.61), (100, 1.52), (125, 1.49), (300, 1.43)])
def test_the_usual_approximation_is_met_within_a_hundredth(parts: int, usual: float) -> None:
    """Bissell 1990, solved for what shows 1.33."""
    found = required_observed_index(1.33, parts).observed_index
    assert found - 1.6449 * sqrt(1 / (9 * parts) + found**2 / (2 * (parts - 1))) == pytest.approx(
        1.33, abs=0.01
    )
    assert found == pytest.approx(usual, abs=0.011)


@law(required=st.floats(0.3, 3), parts=st.integers(3, 300), cavities=st.integers(1, 16))
def test_what_must_be_seen_has_the_required_index_as_its_bound(
    required: float, parts: int, cavities: int
) -> None:
    found = required_observed_index(required, parts, cavities=cavities)
    shown = performance_index(
        0.0,
        1.0,
        parts,
        upper=3 * found.observed_index,
        degrees_of_freedom=found.degrees_of_freedom,
    )
    assert shown.low == independent(required, way="the bound of performance_index", rel=1e-6)


@law(required=st.floats(0.3, 3), parts=st.integers(3, 300), cavities=st.integers(1, 16))
def test_number_and_index_lead_back_to_each_other(required: float, parts: int, cavities: int) -> None:
    observed = required_observed_index(required, parts, cavities=cavities).observed_index
    assert parts_to_show(observed * (1 + 1e-6), required, cavities=cavities).parts == parts


def test_it_is_a_one_sided_tolerance_factor() -> None:
    """A share below three deviations is an index of 1 (0.99865)."""
    factor = tolerance_factor(30, share=float(stats.norm.cdf(3)), sides="above").factor
    assert required_observed_index(1.0, 30).observed_index == pytest.approx(factor / 3)


@law(required=st.floats(0.3, 3), parts=st.integers(2, 300), confidence=st.floats(0.55, 0.98))
def test_more_parts_need_a_lower_index_and_more_confidence_a_higher(
    required: float, parts: int, confidence: float
) -> None:
    here = required_observed_index(required, parts, confidence=confidence).observed_index
    assert required < required_observed_index(required, 10**8, confidence=confidence).observed_index < here
    surer = required_observed_index(required, parts, confidence=confidence + 0.01).observed_index
    assert surer > here
    if confidence > 0.8:
        assert required_observed_index(required, parts + 1, confidence=confidence).observed_index < here


def test_an_index_that_takes_good_luck_is_cautioned_against() -> None:
    assert "measure more parts" in required_observed_index(1.33, 3).cautions[0].text
    assert required_observed_index(1.33, 10).cautions == ()
    with pytest.raises(NotEnoughData, match="one part shows no spread"):
        required_observed_index(1.33, 1)


def test_one_deviation_between_two_cavities_takes_23_parts_each() -> None:
    # R 4.2.2: power.t.test(power = .90, delta = 1, strict = TRUE)$n gives 22.02109
    assert parts_to_find_difference(1.0, 1.0).parts == ceil(22.02109)


@pytest.mark.parametrize("ratio", [0.3, 0.5, 1.0, 2.0, 4.0])
@pytest.mark.parametrize("power", [0.5, 0.8, 0.95])
def test_for_two_cavities_it_is_the_two_sample_t_test(ratio: float, power: float) -> None:
    found = parts_to_find_difference(0.01, 0.01 * ratio, power=power)
    assert found.parts is not None
    assert found.method == "exact"

    def by_library(parts: int) -> float:
        return float(TTestIndPower().power(ratio, parts, 0.05))

    reached = independent(by_library(found.parts), way="statsmodels TTestIndPower", rel=1e-6)
    assert found.power_reached == reached
    assert by_library(found.parts) >= power
    assert found.parts == 2 or by_library(found.parts - 1) < power


@pytest.mark.parametrize("cavities", [3, 4, 8])
@pytest.mark.parametrize("ratio", [1.0, 2.0])
def test_for_more_cavities_tukeys_limit_needs_a_few_parts_fewer(cavities: int, ratio: float) -> None:
    def power(parts: int) -> float:
        freedom = cavities * (parts - 1)
        limit = stats.studentized_range.isf(0.05, cavities, freedom) / sqrt(2)
        shift = ratio * sqrt(parts / 2)
        return float(stats.nct.sf(limit, freedom, shift) + stats.nct.cdf(-limit, freedom, shift))

    parts = parts_to_find_difference(1.0, ratio, cavities=cavities).parts
    assert parts is not None
    fewer = parts
    while power(fewer - 1) >= 0.9:
        fewer -= 1
    assert power(parts) >= 0.9
    assert parts <= 1.05 * fewer + 1


@law(ratio=st.floats(0.2, 5), cavities=st.integers(2, 12), scale=st.floats(0.001, 1000))
def test_only_the_difference_in_deviations_counts(ratio: float, cavities: int, scale: float) -> None:
    one = parts_to_find_difference(1.0, ratio, cavities=cavities).parts
    assert parts_to_find_difference(scale, scale * ratio, cavities=cavities).parts == one
    smaller = parts_to_find_difference(1.0, 0.9 * ratio, cavities=cavities).parts
    more = parts_to_find_difference(1.0, ratio, cavities=cavities, power=0.95).parts
    assert one is None or smaller is None or smaller >= one
    assert one is None or more is None or more >= one


def test_a_difference_that_no_sensible_number_finds_is_said_so() -> None:
    found = parts_to_find_difference(1.0, 0.05)
    assert (found.parts, found.power_reached) == (None, None)


@pytest.mark.parametrize(
    ("confidence", "share", "parts"),
    [
        (0.95, 0.05, "59"),
        (0.90, 0.10, "22"),
        (0.95, 0.01, "299"),
        (0.90, 0.01, "230"),
        (0.95, 0.10, "29"),
        (0.90, 0.05, "45"),
        (0.99, 0.01, "459"),
    ],
)
def test_so_many_without_a_bad_one(confidence: float, share: float, parts: str) -> None:
    found = parts_to_bound_fraction(share, confidence=confidence).parts
    assert found == remembered(parts, source=DEMONSTRATION)
    assert found == ceil(log(1 - confidence) / log(1 - share))


def test_with_bad_ones_seen_it_takes_the_usual_numbers() -> None:
    source = "the usual table of 95/95 demonstrations with 0, 1, 2, 3 failures"
    for seen, parts in enumerate(("59", "93", "124", "153")):
        assert parts_to_bound_fraction(0.05, seen=seen).parts == remembered(parts, source=source)


@law(fraction=st.floats(0.001, 0.9), seen=st.integers(0, 20), confidence=st.floats(0.55, 0.999))
def test_the_number_is_the_smallest_by_the_binomial(fraction: float, seen: int, confidence: float) -> None:
    found = parts_to_bound_fraction(fraction, seen=seen, confidence=confidence)
    assert found.parts is not None
    reached = 1 - stats.binom.cdf(seen, found.parts, fraction)
    assert found.confidence_reached == independent(reached, way="scipy.stats.binom", rel=1e-7)
    assert reached >= confidence
    assert 1 - stats.binom.cdf(seen, found.parts - 1, fraction) < confidence


def test_a_fraction_too_small_to_show_is_said_so() -> None:
    assert parts_to_bound_fraction(1e-9).parts is None
    assert parts_to_bound_fraction(1e-6).parts == ceil(log(0.05) / log(1 - 1e-6))


@law(ratio=st.floats(0.1, 3), confidence=st.floats(0.6, 0.99))
def test_the_mean_is_then_as_near_as_wanted(ratio: float, confidence: float) -> None:
    found = parts_for_mean(0.02, 0.02 * ratio, confidence)

    def reached(parts: int) -> float:
        return float(stats.t.ppf((1 + confidence) / 2, parts - 1) / sqrt(parts))

    assert found.parts is not None
    assert found.half_width_reached == independent(0.02 * reached(found.parts), way="scipy.stats.t")
    assert reached(found.parts) <= ratio
    assert found.parts == 2 or reached(found.parts - 1) > ratio


def test_half_a_deviation_takes_eighteen_parts() -> None:
    few = next(n for n in range(2, 99) if stats.t.ppf(0.975, n - 1) / np.sqrt(n) <= 0.5)
    assert parts_for_mean(0.01, 0.005).parts == few == 18
    assert parts_for_mean(1.0, 0.01).parts is None


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: parts_to_find_difference(0.0, 1.0), "sd"),
        (lambda: parts_to_find_difference(1.0, 0.0), "difference"),
        (lambda: parts_to_find_difference(1.0, 1.0, cavities=1), "cavities"),
        (lambda: parts_to_bound_fraction(0.0), "fraction"),
        (lambda: parts_to_bound_fraction(0.1, seen=-1), "seen"),
        (lambda: parts_for_mean(1.0, float("nan")), "half_width"),
        (lambda: required_observed_index(0.0, 5), "required_index"),
    ],
)
def test_the_impossible_is_refused_by_name(call: object, argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        call()  # type: ignore[operator]
    assert refused.value.argument == argument
