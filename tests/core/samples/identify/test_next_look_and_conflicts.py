"""What to look at next, against mutual information; contradictions and twins, each named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.samples.identify import (
    Look,
    SizeRecord,
    Weight,
    detail_finding,
    identify,
    look_at_size,
    look_for_detail,
    look_for_sign,
)
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import DetailKind
from tests.core.laws import law
from tests.core.samples.identify.cases import STAGES, counted_out, finding, one_to_one, random_case, states
from tests.labels import independent


def look(chances: list[list[float]] | np.ndarray, part: str = "", about: str = "gate") -> Look:
    table = np.array(chances)
    names = tuple(f"outcome {k}" for k in range(table.shape[1]))
    return Look(part=part, about=about, where="there", outcomes=names, chances=table)


@law(seed=st.integers(0, 10_000), examples=40)
def test_expected_bits_are_the_mutual_information_of_origin_and_outcome(seed: int) -> None:
    """Joint against product, with every assignment of makes to parts counted out."""
    case = random_case(seed)
    rng = np.random.default_rng(seed)
    part = case.parts[0]
    chances = rng.dirichlet(np.ones(3), len(part.makes) + 1)
    joint = np.zeros((len(case.occasions) + 1, 3))
    for (origin, chosen), share in counted_out(case).items():
        joint[origin] += share * chances[chosen[0][1]]
    apart = np.outer(joint.sum(axis=1), joint.sum(axis=0))
    bits = float(stats.entropy(joint.ravel(), apart.ravel(), base=2))
    (found,) = identify(case, [look(chances, part.label)]).look_next
    assert found.bits == independent(bits, way="Kullback and Leibler, joint against product", within=1e-9)
    assert [one.probability for one in found.outcomes] == pytest.approx(joint.sum(axis=0))
    assert [one.top_probability for one in found.outcomes] == pytest.approx(
        (joint / joint.sum(axis=0)).max(axis=0)
    )


def test_a_look_that_would_be_the_same_everywhere_tells_nothing() -> None:
    case = one_to_one(["torso"], 3)
    (found,) = identify(case, [look([[0.3, 0.7]] * 4, "torso")]).look_next
    assert found.bits == pytest.approx(0, abs=1e-12)


def test_a_look_that_settles_two_even_origins_tells_one_bit_nearly() -> None:
    case = one_to_one([], 2, none_of_these=1e-9)
    (found,) = identify(case, [look([[1.0, 0.0], [0.0, 1.0], [0.5, 0.5]])]).look_next
    assert found.bits == independent(1.0, way="one even choice", within=1e-6)


def test_the_most_telling_comes_first_and_what_destroys_comes_last() -> None:
    case = one_to_one([], 2)
    strong, weak = look([[0.9, 0.1], [0.1, 0.9], [0.5, 0.5]]), look([[0.6, 0.4], [0.4, 0.6], [0.5, 0.5]])
    cuts_open = replace(strong, destroys=True, about="cut open")
    found = identify(case, [cuts_open, replace(weak, about="weak"), strong]).look_next
    assert [one.about for one in found] == ["gate", "weak", "cut open"]


@pytest.mark.parametrize("code", SIGNS)
def test_outcomes_of_a_sign_add_up_to_one_at_every_stage(code: str) -> None:
    chances = look_for_sign("", SIGNS[code], STAGES).chances
    assert chances.sum(axis=1) == pytest.approx(np.ones(9))


def test_a_detail_ahead_is_as_probable_as_its_finding_will_say() -> None:
    four = states(4)
    shows = [False, None, None, True]
    ahead = look_for_detail("torso", "vent", "back", shows, four, DetailKind.STAYS).chances
    for k, is_there in enumerate((True, False)):
        said = np.exp(detail_finding("vent", is_there, shows, four).log_likelihood)
        assert ahead[:, k] == pytest.approx(said)


def test_a_size_ahead_is_told_apart_between_the_states() -> None:
    table = np.array([[10.0], [10.2], [10.4]])
    one = SizeRecord(name="peg", unit="mm", means=table, sds=np.full((3, 1), 0.01))
    found = look_at_size("torso", one, 0.01, states(3))
    assert found is not None
    assert found.chances.sum(axis=1) == pytest.approx(np.ones(4))
    assert found.outcomes == ("below 10.100 mm", "10.100 to 10.300 mm", "above 10.300 mm")
    assert np.argmax(found.chances[:3], axis=1).tolist() == [0, 1, 2]
    assert look_at_size("torso", replace(one, means=np.full((3, 1), np.nan)), 0.01, states(3)) is None


def test_firm_findings_that_contradict_each_other_are_named() -> None:
    """A vent of the last state and no hole that came in the second: no state has both."""
    four = states(4)
    vent = detail_finding("vent", True, [False, False, False, True], four)
    hole = detail_finding("peg hole", False, [False, True, True, True], four)
    case = one_to_one(["torso"], 4, {"torso": [vent, hole]})
    (clash,) = identify(case).clashes
    assert clash.part == "torso"
    assert {*clash.against, *clash.for_} == {"vent: there", "peg hole: missing"}
    assert len(clash.against) == 1
    assert clash.log_odds > np.log(10)


def test_findings_that_agree_clash_with_nothing() -> None:
    four = states(4)
    vent = detail_finding("vent", True, [False, False, True, True], four)
    hole = detail_finding("peg hole", True, [False, True, True, True], four)
    found = identify(one_to_one(["torso"], 4, {"torso": [vent, hole]}))
    assert found.clashes == ()
    bounds = {one.about: (one.first, one.last) for one in found.parts[0].bounds}
    assert bounds == {"vent": (2, 3), "peg hole": (1, 3)}


def test_soft_findings_never_clash() -> None:
    against = [finding([0.0, -3.0, -3.0]), finding([-3.0, 0.0, -3.0])]
    assert identify(one_to_one(["torso"], 2, {"torso": against})).clashes == ()


def test_origins_that_nothing_tells_apart_are_named_with_what_would() -> None:
    says = {"torso": [finding([0.0, 0.0, -4.0, -4.0])]}
    case = one_to_one(["torso"], 3, says)
    tells = look([[0.95, 0.05], [0.05, 0.95], [0.5, 0.5], [0.5, 0.5]], "torso", "vent")
    (pair,) = identify(case, [tells]).alike
    assert {pair.first, pair.second} == {"T0", "T1"}
    assert pair.log_odds == pytest.approx(0)
    assert pair.tells == "vent of torso"
    (pair,) = identify(case).alike
    assert pair.tells == ""


def test_nothing_found_makes_no_twins() -> None:
    assert identify(one_to_one(["torso"], 3)).alike == ()


def test_a_detail_that_stays_bounds_and_a_soft_one_does_not() -> None:
    soft = finding([0.0, -2.0, -2.0], weight=Weight.SOFT)
    assert identify(one_to_one(["torso"], 2, {"torso": [soft]})).parts[0].bounds == ()
