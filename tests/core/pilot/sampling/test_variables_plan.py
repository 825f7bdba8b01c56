"""Plans by measuring: R's noncentral t, the closed form with known spread, samples drawn, laws."""

from __future__ import annotations

from itertools import pairwise
from math import ceil, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.pilot.sampling import find_attribute_plan, find_variables_plan, variables_plan
from offtool.core.pilot.sampling.variables import passes_both
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

DRAWS = 40_000


def test_the_chance_is_the_noncentral_t_of_r() -> None:
    found = variables_plan(20, 1.8, good=0.01, bad=0.1, spread="unknown")
    # R 4.2.2: 1 - pt(sqrt(20) * 1.8, 19, ncp = sqrt(20) * qnorm(c(.99, .9))), which has ten digits
    assert 1 - found.refuses_good == independent(0.9311678041462, way="R, pt with ncp", rel=2e-9)  # type: ignore[operator]
    assert found.passes_bad == independent(0.0864070606810, way="R, pt with ncp", rel=2e-9)


@law(
    pieces=st.integers(2, 300),
    factor=st.floats(0.5, 3.5),
    good=st.floats(0.0005, 0.05),
    ratio=st.floats(1.5, 8),
)
def test_the_chance_is_the_librarys_noncentral_t(
    pieces: int, factor: float, good: float, ratio: float
) -> None:
    bad = min(good * ratio, 0.45)
    found = variables_plan(pieces, factor, good=good, bad=bad, spread="unknown")
    shift = -sqrt(pieces) * stats.norm.ppf(bad)
    library = stats.nct.sf(sqrt(pieces) * factor, pieces - 1, shift)
    assert found.passes_bad == pytest.approx(library, abs=1e-8)


@law(
    good=st.floats(0.001, 0.05),
    ratio=st.floats(1.5, 8),
    alpha=st.floats(0.01, 0.2),
    beta=st.floats(0.01, 0.2),
)
def test_with_known_spread_the_number_is_the_closed_form(
    good: float, ratio: float, alpha: float, beta: float
) -> None:
    """n = ((z_alpha + z_beta) / (z_good - z_bad))^2, rounded up."""
    bad = min(good * ratio, 0.45)
    z = stats.norm.isf
    exact = ((z(alpha) + z(beta)) / (z(good) - z(bad))) ** 2
    found = find_variables_plan(good, bad, spread="known", producer_risk=alpha, consumer_risk=beta)
    if exact > 1.001 and abs(exact - round(exact)) > 1e-6:
        assert found.pieces == max(2, ceil(exact))


@pytest.mark.parametrize("limits", ["one", "two"])
@pytest.mark.parametrize("spread", ["known", "unknown"])
def test_the_found_plan_keeps_both_risks_and_one_piece_fewer_does_not(spread: str, limits: str) -> None:
    found = find_variables_plan(0.01, 0.10, spread=spread, limits=limits)  # type: ignore[arg-type]
    assert found.pieces is not None
    assert found.factor is not None
    assert found.refuses_good is not None
    assert found.refuses_good <= 0.05
    assert found.passes_bad == pytest.approx(0.10, abs=1e-8)
    kept = []
    for factor in np.linspace(found.factor - 0.3, found.factor + 0.3, 31).tolist():
        fewer = variables_plan(
            found.pieces - 1,
            factor,
            good=0.01,
            bad=0.10,
            spread=spread,
            limits=limits,  # type: ignore[arg-type]
        )
        assert fewer.refuses_good is not None
        assert fewer.passes_bad is not None
        kept.append(fewer.refuses_good <= 0.05 and fewer.passes_bad <= 0.10)
    assert not any(kept)


@pytest.mark.parametrize("spread", ["known", "unknown"])
@pytest.mark.parametrize(
    ("pieces", "factor", "below", "above"),
    [(12, 1.6, 0.02, 0.02), (12, 1.6, 0.04, 0.0), (2, 1.2, 0.05, 0.1), (40, 1.5, 0.01, 0.05)],
)
def test_drawn_samples_pass_as_often_as_said(
    spread: str, pieces: int, factor: float, below: float, above: float
) -> None:
    upper = stats.norm.isf(above) if above else np.inf
    lower = stats.norm.ppf(below)
    drawn = np.random.default_rng(7).standard_normal((DRAWS, pieces))
    sd = 1.0 if spread == "known" else drawn.std(axis=1, ddof=1)
    mean = drawn.mean(axis=1)
    passed = float(np.mean((upper - mean >= factor * sd) & (mean - lower >= factor * sd)))
    said = passes_both(pieces, factor, below, above, spread)
    assert said == independent(passed, way="samples drawn", within=chance(passed, DRAWS))


@law(pieces=st.integers(2, 300), factor=st.floats(0.5, 3.5), share=st.floats(0.0005, 0.4))
def test_two_limits_with_all_on_one_side_are_one_limit(pieces: int, factor: float, share: float) -> None:
    for spread in ("known", "unknown"):
        one = variables_plan(pieces, factor, good=1e-6, bad=share, spread=spread).passes_bad  # type: ignore[arg-type]
        assert passes_both(pieces, factor, share, 0.0, spread) == pytest.approx(one, abs=1e-9)


def test_the_band_holds_every_split() -> None:
    found = variables_plan(12, 1.6, good=0.001, bad=0.04, spread="unknown", limits="two")
    splits = [passes_both(12, 1.6, 0.04 - above, above, "unknown") for above in np.linspace(0, 0.04, 41)]
    assert found.passes_bad == independent(max(splits), way="every split tried", rel=1e-6)


def test_measuring_needs_fewer_than_counting_and_known_spread_fewer_still() -> None:
    counted = find_attribute_plan(0.01, 0.06).pieces
    unknown, known = (find_variables_plan(0.01, 0.06, spread=one).pieces for one in ("unknown", "known"))  # type: ignore[arg-type]
    assert counted is not None
    assert unknown is not None
    assert known is not None
    assert known < unknown < counted


@law(pieces=st.integers(3, 100), factor=st.floats(0.8, 3), spread=st.sampled_from(["known", "unknown"]))
def test_the_curve_falls(pieces: int, factor: float, spread: str) -> None:
    found = variables_plan(pieces, factor, good=0.005, bad=0.2, spread=spread)  # type: ignore[arg-type]
    chances = [point.passes_most for point in found.curve]
    assert all(after <= before + 1e-10 for before, after in pairwise(chances))


def test_what_no_sample_keeps_is_said() -> None:
    found = find_variables_plan(0.0100, 0.0101, spread="unknown")
    assert (found.pieces, found.factor, found.curve) == (None, None, ())
    assert "no sample of up to 20000" in found.words


def test_a_good_share_not_below_the_bad_one_is_refused() -> None:
    with pytest.raises(ImpossibleInput) as refused:
        variables_plan(20, 1.8, good=0.1, bad=0.1, spread="unknown")
    assert refused.value.argument == "good"
