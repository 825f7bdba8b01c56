"""Open seams: odds that add up, soft evidence that is capped, and three different ways of seeing nothing."""

from __future__ import annotations

from math import exp, log
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.values import ImpossibleInput
from offtool.core.welding.open_seam import (
    MEASURED_CAP,
    CameApart,
    OpenSeam,
    RidgeSeen,
    SeamEvidence,
    SeamState,
    Seen,
    expected_bits,
    recognise_open_seam,
)
from offtool.handbook.seam_looks import LOOKS
from offtool.handbook.terms import Failure, Ridge
from tests.core.laws import law
from tests.labels import independent, practice

HEIGHTS = {"welded_height_mm": 24.0, "open_height_mm": 24.4, "welded_sd_mm": 0.1, "open_sd_mm": 0.08}


def seam(**found: Any) -> OpenSeam:
    return recognise_open_seam(**{**HEIGHTS, **found})


def evidence(found: OpenSeam, name: str) -> SeamEvidence:
    return next(one for one in found.evidence if one.name == name)


def test_heights_count_by_the_ratio_of_two_normal_densities() -> None:
    found = evidence(seam(height_mm=24.25), "height")
    ratio = stats.norm.pdf(24.25, 24.4, 0.08) / stats.norm.pdf(24.25, 24.0, 0.1)
    assert found.log_odds == independent(log(ratio), way="scipy.stats.norm")
    assert not found.capped


def test_evidence_and_prior_add_up_to_the_posterior() -> None:
    found = seam(height_mm=24.25, flash="absent", horn_mark="seen", prior_open=0.2)
    odds = 0.2 / 0.8
    for one in found.evidence:
        odds *= one.times
    assert found.probability_open == independent(odds / (1 + odds), way="Bayes' rule with odds", rel=1e-9)
    assert found.prior_open == 0.2


def test_the_answer_is_that_of_many_simulated_pieces() -> None:
    """Pieces of both kinds by the same shares; of those that look like this, how many were never welded."""
    rng, pieces = np.random.default_rng(5), 400_000
    is_open = rng.random(pieces) < 0.3
    chance = {
        name: np.where(is_open, LOOKS[name].when_open["absent"], LOOKS[name].when_welded["absent"])
        for name in ("flash", "horn mark")
    }
    alike = (rng.random(pieces) < chance["flash"]) & (rng.random(pieces) < chance["horn mark"])
    share = float(is_open[alike].mean())
    found = recognise_open_seam(flash="absent", horn_mark="absent", prior_open=0.3)
    assert found.probability_open == independent(share, way="simulation, 400,000 pieces", within=0.005)


@law(low=st.floats(23.65, 24.7), more=st.floats(0, 1))
def test_of_heights_that_fit_either_kind_a_higher_one_is_never_less_likely_open(
    low: float, more: float
) -> None:
    high = min(low + more, 24.7)
    assert seam(height_mm=high).probability_open >= seam(height_mm=low).probability_open - 1e-12


@law(height=st.floats(23.7, 24.7), move=st.floats(-10, 10), unit=st.floats(0.1, 30))
def test_neither_the_zero_of_the_gauge_nor_the_unit_matters(height: float, move: float, unit: float) -> None:
    moved = {name: value + (0 if "sd" in name else move) for name, value in HEIGHTS.items()}
    scaled = {name: value * unit for name, value in moved.items()}
    found = recognise_open_seam(height_mm=(height + move) * unit, **scaled)
    assert found.probability_open == pytest.approx(seam(height_mm=height).probability_open, abs=1e-9)


def test_what_is_seen_counts_ten_to_one_at_most() -> None:
    found = recognise_open_seam(ridge="intact")
    ridge = evidence(found, "ridge")
    assert ridge.times == practice("10")
    assert ridge.capped
    assert found.probability_open == independent(10 / 11, way="even odds times ten, by hand")
    assert found.state is SeamState.UNSURE


@law(
    ridge=st.sampled_from(get_args(RidgeSeen)),
    flash=st.sampled_from(get_args(Seen)),
    apart=st.sampled_from(get_args(CameApart)),
    pull=st.none() | st.floats(0, 300),
    height=st.none() | st.floats(1, 50),
)
def test_no_single_finding_passes_its_cap(
    ridge: RidgeSeen, flash: Seen, apart: CameApart, pull: float | None, height: float | None
) -> None:
    found = seam(
        ridge=ridge, flash=flash, came_apart=apart, pull_n=pull, welded_pull_n=100.0, height_mm=height
    )
    for one in found.evidence:
        assert abs(one.log_odds) <= log(MEASURED_CAP if one.name == "height" else 10) + 1e-12
        assert one.observed or one.log_odds == 0
    assert 0 < found.probability_open < 1


def test_seen_absent_and_not_looked_at_are_three_findings() -> None:
    seen, absent, not_looked = (
        evidence(recognise_open_seam(flash=one), "flash") for one in ("seen", "absent", "not looked")
    )
    assert seen.log_odds < 0 < absent.log_odds
    assert (not_looked.log_odds, not_looked.observed) == (0.0, False)
    assert seen.observed
    assert absent.observed


def test_nothing_looked_at_leaves_the_prior_and_says_so() -> None:
    found = recognise_open_seam(prior_open=0.37)
    assert found.probability_open == pytest.approx(0.37, rel=1e-12)
    assert found.state is SeamState.UNSURE
    assert "the answer is the prior" in str(found.cautions[0])


@pytest.mark.parametrize(
    ("findings", "state"),
    [
        ({"height_mm": 24.41, "flash": "absent"}, SeamState.OPEN),
        ({"height_mm": 24.02, "flash": "seen"}, SeamState.WELDED),
        ({"height_mm": 24.22}, SeamState.UNSURE),
        ({"height_mm": 24.02, "ridge": "intact", "flash": "absent", "horn_mark": "absent"}, SeamState.UNSURE),
    ],
)
def test_the_three_answers(findings: dict[str, Any], state: SeamState) -> None:
    assert seam(**findings).state is state


def test_findings_that_contradict_each_other_call_nothing_and_are_named() -> None:
    found = seam(height_mm=24.02, ridge="intact", flash="absent", horn_mark="absent")
    assert found.probability_open < 0.05
    said = str(found.cautions[0])
    assert "ridge (intact) speaks for open, height (24.02 mm) for welded" in said


def test_nothing_is_ever_called_certain() -> None:
    assert "over 99.9 %" in seam(height_mm=24.42, flash="absent", ridge="intact").words
    assert "under 0.1 %" in seam(height_mm=24.0, flash="seen", ridge="melted").words


def test_a_pull_goes_against_an_open_seam_as_it_grows() -> None:
    found = [seam(pull_n=one, welded_pull_n=100.0).probability_open for one in (2.0, 30.0, 80.0)]
    assert found[0] > 0.5 > found[2]
    assert found == sorted(found, reverse=True)


def test_a_pull_that_was_stopped_early_shows_nothing() -> None:
    held = seam(pull_n=5.0, welded_pull_n=100.0, came_apart="held")
    assert held.probability_open == pytest.approx(0.5)
    assert seam(pull_n=80.0, welded_pull_n=100.0, came_apart="held").probability_open < 0.05


def test_a_height_that_fits_neither_kind_says_nothing_and_is_told() -> None:
    found = seam(height_mm=26.0)
    assert found.probability_open == pytest.approx(0.5)
    assert "fits neither kind" in str(found.cautions[0])


def test_a_height_or_a_pull_without_anything_to_compare_it_with_says_nothing() -> None:
    found = recognise_open_seam(height_mm=24.2, pull_n=3.0)
    said = " ".join(str(one) for one in found.cautions)
    assert found.probability_open == pytest.approx(0.5)
    assert "a height tells nothing" in said
    assert "a pull tells little" in said


def test_next_comes_what_tells_most_and_spares_the_piece() -> None:
    found = seam(flash="absent").look_next
    assert "flash" not in {one.name for one in found}
    assert found[0].name == "height"
    assert [one.destroys for one in found] == sorted(one.destroys for one in found)
    kept = [one.bits for one in found if not one.destroys]
    assert kept == sorted(kept, reverse=True)
    assert "height" not in {one.name for one in recognise_open_seam().look_next}


@pytest.mark.parametrize("name", LOOKS)
@pytest.mark.parametrize("prior", [0.1, 0.5, 0.93])
def test_expected_bits_are_the_mutual_information(name: str, prior: float) -> None:
    look = LOOKS[name]
    table = np.array(
        [[prior * look.when_open[one], (1 - prior) * look.when_welded[one]] for one in look.when_open]
    )
    apart = np.outer(table.sum(axis=1), table.sum(axis=0))
    bits = float(stats.entropy(table.ravel(), apart.ravel(), base=2))
    assert expected_bits(look, prior) == independent(
        bits, way="Kullback and Leibler, joint against product", within=1e-12
    )


@pytest.mark.parametrize("look", LOOKS.values(), ids=str)
def test_shares_of_each_look_add_up_to_one(look: Any) -> None:
    assert sum(look.when_open.values()) == pytest.approx(1)
    assert sum(look.when_welded.values()) == pytest.approx(1)
    assert set(look.when_open) == set(look.when_welded)


def test_the_choices_are_the_words_of_the_record() -> None:
    assert set(get_args(RidgeSeen)) - {"not looked"} == {one.value for one in Ridge if one.value}
    assert set(get_args(CameApart)) - {"not looked"} == {one.value for one in Failure if one.value}
    assert set(LOOKS["ridge"].when_open) == {one.value for one in Ridge if one.value}


def test_an_open_piece_that_is_not_higher_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="a weld sinks by its ridge"):
        recognise_open_seam(height_mm=24.0, welded_height_mm=24.4, open_height_mm=24.0)


def test_opening_a_piece_is_cautioned_against_before_and_after() -> None:
    assert "uses it up" in " ".join(str(one) for one in seam().cautions)
    assert "throws pieces" in " ".join(str(one) for one in seam(pull_n=10.0).cautions)


def test_log_odds_are_shown_each() -> None:
    found = seam(height_mm=24.25, flash="absent")
    total = log(found.prior_open / (1 - found.prior_open)) + sum(one.log_odds for one in found.evidence)
    assert found.log_odds == pytest.approx(total)
    assert evidence(found, "flash").times == pytest.approx(exp(evidence(found, "flash").log_odds))
