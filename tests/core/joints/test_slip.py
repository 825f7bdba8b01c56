"""Slip fits: what the limits leave of the clearance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.response import Materials
from offtool.core.joints.slip import MODEL, Fit, slip_fit
from tests.core.laws import law
from tests.labels import independent, remembered

ISO = "ISO 286-2, limits of 25H7 and 25g6"


def fit(shaft: float, bore: float, shaft_off: float, bore_off: float) -> tuple[float, float, Fit]:
    found = slip_fit(shaft, bore, shaft_plus_minus_mm=shaft_off, bore_plus_minus_mm=bore_off)
    return found.least_mm, found.most_mm, found.fit


def test_a_running_fit_of_the_standard() -> None:
    """25H7: 25.000 to 25.021; 25g6: 24.980 to 24.993."""
    least, most, kind = fit(24.9865, 25.0105, 0.0065, 0.0105)
    assert least == remembered("0.007", source=ISO)
    assert most == remembered("0.041", source=ISO)
    assert kind is Fit.CLEARANCE


@pytest.mark.parametrize(
    ("shaft", "kind", "words"),
    [
        (3.9, Fit.CLEARANCE, ""),
        (4.0, Fit.TRANSITION, "some pairs are tight"),
        (4.1, Fit.INTERFERENCE, "every pair is tight"),
    ],
)
def test_the_three_fits_are_told_apart_with_words(shaft: float, kind: Fit, words: str) -> None:
    found = slip_fit(shaft, 4.0, shaft_plus_minus_mm=0.02, bore_plus_minus_mm=0.03)
    assert found.fit is kind
    assert words in " ".join(map(str, found.cautions))
    assert bool(found.cautions) is bool(words)


def test_the_limits_are_those_of_all_four_corners() -> None:
    corners = [4.02 + b - 3.95 - s for b in (-0.03, 0.03) for s in (-0.02, 0.02)]
    least, most, _ = fit(3.95, 4.02, 0.02, 0.03)
    assert least == independent(min(corners), way="all corners of the limits")
    assert most == independent(max(corners), way="all corners of the limits")


def test_a_tolerance_as_large_as_the_size_asks_for_its_unit() -> None:
    found = slip_fit(4.0, 4.1, shaft_plus_minus_mm=20.0, bore_plus_minus_mm=0.02)
    assert any("check its unit" in str(one) for one in found.cautions)


@law(shaft=st.floats(1, 50), bore=st.floats(1, 50), scale=st.floats(0.04, 25.4))
def test_the_unit_does_not_matter(shaft: float, bore: float, scale: float) -> None:
    one, other = fit(shaft, bore, 0.02, 0.03), fit(shaft * scale, bore * scale, 0.02 * scale, 0.03 * scale)
    assert other[0] == pytest.approx(one[0] * scale, abs=1e-12 * scale * 50)


@law(bore=st.floats(1, 50), wider=st.floats(0.001, 0.5))
def test_wider_limits_contain_the_narrow_ones(bore: float, wider: float) -> None:
    narrow, wide = fit(4.0, bore, 0.02, 0.03), fit(4.0, bore, 0.02 + wider, 0.03)
    assert wide[0] < narrow[0]
    assert wide[1] > narrow[1]


def test_many_pairs_at_once_answer_as_one_by_one() -> None:
    shafts, bores = np.array([3.9, 4.0, 4.1, -1.0]), np.array([4.0, 4.0, 4.0, 4.0])
    found = MODEL.respond({"shaft_diameter": shafts, "bore_diameter": bores}, Materials(), np.array(0.3))
    for i in range(3):
        one = slip_fit(float(shafts[i]), 4.0, shaft_plus_minus_mm=0.0, bore_plus_minus_mm=0.0)
        assert found.measure[i] == one.clearance_mm
    assert np.isnan(found.measure[3])
    assert (found.strain_use == 0).all()
