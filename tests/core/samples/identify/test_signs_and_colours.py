"""What signs, tags and colours say, how parts that are alike count, and what holds each back."""

from __future__ import annotations

from math import log, pi

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import ciede2000
from offtool.core.samples.colour import NO_COLOUR_LOG_DENSITY
from offtool.core.samples.identify import (
    ColourRecord,
    Weight,
    colour_finding,
    sign_finding,
    tag_finding,
)
from offtool.core.samples.identify.capping import MEASURED_CAP, SOFT_CAP, TAG_CAP
from offtool.core.samples.identify.colours import OTHER_COLOUR
from offtool.core.values import ImpossibleInput
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import Stage
from tests.core.laws import law
from tests.labels import independent

STAGES = tuple(Stage)
RED, BLUE = (45.0, 55.0, 30.0), (40.0, 0.0, -45.0)
signs = st.sampled_from(sorted(SIGNS))


def test_a_sign_counts_by_its_shares() -> None:
    found = sign_finding(SIGNS["resin"], "another", STAGES).log_likelihood
    shares = SIGNS["resin"].chances["another"]
    ratio = found[0] - found[3]
    assert ratio == independent(log(shares[0] / shares[3]), way="the ratio of two shares")
    assert np.ptp(found) <= log(SOFT_CAP) + 1e-12


@law(code=signs, place=st.integers(0, 3), sure=st.booleans(), parts=st.integers(1, 4))
def test_no_sign_passes_its_cap_whatever_number_of_parts_shows_it(
    code: str, place: int, sure: bool, parts: int
) -> None:
    """All parts together count less than twice and a half what one may, for up to four parts."""
    sign = SIGNS[code]
    outcome = sign.outcomes[place % len(sign.outcomes)]
    one = sign_finding(sign, outcome, STAGES, is_sure=sure, parts_looked_at=parts)
    assert one.weight is Weight.SOFT
    together = parts * np.ptp(one.log_likelihood)
    assert together <= (1 + 0.5 * (parts - 1)) * log(SOFT_CAP) + 1e-9


@law(code=signs, place=st.integers(0, 3))
def test_an_unsure_look_never_says_more(code: str, place: int) -> None:
    sign = SIGNS[code]
    outcome = sign.outcomes[place % len(sign.outcomes)]
    sure, unsure = (
        np.ptp(sign_finding(sign, outcome, STAGES, is_sure=one).log_likelihood) for one in (True, False)
    )
    assert unsure <= sure + 1e-12


def test_two_parts_that_are_alike_count_one_and_a_half() -> None:
    alone, shared = (
        sign_finding(SIGNS["flash"], "clean", STAGES, parts_looked_at=n).log_likelihood for n in (1, 2)
    )
    together = 2 * (shared - shared[0])
    assert together == independent(1.5 * (alone - alone[0]), way="one and a half of one", within=1e-12)


def test_a_programmes_own_shares_are_taken_in_place_of_the_handbooks() -> None:
    own = {"clean": dict.fromkeys(STAGES, 0.5), "flash or short": dict.fromkeys(STAGES, 0.5)}
    found = sign_finding(SIGNS["flash"], "clean", STAGES, shares=own).log_likelihood
    assert found == pytest.approx(np.full(9, log(0.5)))


def test_an_outcome_that_the_sign_does_not_have_is_refused_with_the_nearest() -> None:
    with pytest.raises(ImpossibleInput, match="did you mean 'welded'"):
        sign_finding(SIGNS["seam"], "weldet", STAGES)


def test_a_tag_is_right_in_95_of_100_and_counts_thirty_to_one_at_most() -> None:
    few = tag_finding("tag", "T1", [False, True, False], others=2).log_likelihood
    assert few[1] - few[0] == independent(log(30), way="0.95 over 0.025 is more than the cap")
    many = tag_finding("tag", "state b", [True, True, *[False] * 4], others=1).log_likelihood
    assert many[0] - many[2] == independent(log(0.95 / 0.05), way="by hand")
    assert many[0] == many[1] == independent(log(0.95), way="however many runs that state had")
    assert np.ptp(few) <= log(TAG_CAP) + 1e-12


def density(lab: tuple[float, float, float], reference: tuple[float, float, float], sd: float) -> float:
    """A normal density in three axes, and for a tenth of the pieces one that is twice as wide."""
    apart = float(ciede2000(lab, reference))
    near, far = (
        (2 * pi * one**2) ** -1.5 * float(np.exp(-(apart**2) / (2 * one**2))) for one in (sd, 2 * sd)
    )
    return 0.9 * near + 0.1 * far


def test_a_colour_counts_by_its_density_beside_any_colour() -> None:
    lab = (45.5, 54.0, 30.5)
    found = colour_finding(lab, 1.5, [ColourRecord.of(RED, 0.8), ColourRecord.of(BLUE, 0.8), None])
    flat = np.exp(NO_COLOUR_LOG_DENSITY)
    sd = float(np.hypot(1.5, 0.8))
    expected = np.log(
        [
            *((1 - OTHER_COLOUR) * density(lab, one, sd) + OTHER_COLOUR * flat for one in (RED, BLUE)),
            flat,
            flat,
        ]
    )
    assert found.weight is Weight.MEASURED
    floor = expected.max() - log(MEASURED_CAP)
    assert found.log_likelihood == independent(np.maximum(expected, floor), way="the equation by hand")


def test_a_colour_of_none_of_the_runs_costs_them_fifty_to_one_and_no_more() -> None:
    green = (60.0, -40.0, 30.0)
    found = colour_finding(green, 0.5, [ColourRecord.of(RED, 0.8), None]).log_likelihood
    assert found[1] - found[0] == independent(-log(OTHER_COLOUR), way="the flat share alone", within=1e-6)


def test_a_run_whose_job_is_not_known_has_the_colours_of_all_that_may_have_run() -> None:
    both = ColourRecord(candidates=((RED, 0.5), (BLUE, 0.3)), spread_de=0.8)
    found = colour_finding(RED, 0.5, [both]).log_likelihood[0]
    flat, sd = np.exp(NO_COLOUR_LOG_DENSITY), float(np.hypot(0.5, 0.8))
    named = (1 - OTHER_COLOUR) * (0.5 * density(RED, RED, sd) + 0.3 * density(RED, BLUE, sd))
    rest = (1 - (1 - OTHER_COLOUR) * 0.8) * flat
    assert found == independent(float(np.log(named + rest)), way="the equation by hand")


@law(
    lightness=st.floats(0, 100),
    a=st.floats(-80, 80),
    b=st.floats(-80, 80),
    uncertainty=st.floats(0, 10),
)
def test_a_colour_counts_ten_thousand_to_one_at_most(
    lightness: float, a: float, b: float, uncertainty: float
) -> None:
    given = [ColourRecord.of(RED, 0.8), ColourRecord.of(BLUE, 0.0), None]
    found = colour_finding((lightness, a, b), uncertainty, given)
    assert np.ptp(found.log_likelihood) <= log(MEASURED_CAP) + 1e-9


@pytest.mark.parametrize(
    ("lab", "uncertainty", "shares"),
    [
        ((float("nan"), 0.0, 0.0), 1.0, (1.0, 0.0)),
        (RED, -1.0, (1.0, 0.0)),
        (RED, 1.0, (0.8, 0.4)),
        (RED, 1.0, (-0.1, 0.4)),
    ],
)
def test_a_colour_that_cannot_be_is_refused(
    lab: tuple[float, float, float], uncertainty: float, shares: tuple[float, float]
) -> None:
    given = ColourRecord(candidates=((RED, shares[0]), (BLUE, shares[1])), spread_de=0.8)
    with pytest.raises(ImpossibleInput):
        colour_finding(lab, uncertainty, [given])
