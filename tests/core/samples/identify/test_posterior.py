"""The probability of every origin: counted out on small pieces, and the laws of Bayes' rule."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.samples.identify import NONE, Identified, Occasion, PartCase, PieceCase, identify
from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import Stage
from tests.core.laws import law
from tests.core.samples.identify.cases import counted_out, finding, one_to_one, random_case, states
from tests.labels import independent

WAY = "every assignment of makes to parts counted out"


def probabilities(found: Identified, case: PieceCase) -> np.ndarray:
    """By occasion, none of these last."""
    return np.array([*(found.probability(one.code) for one in case.occasions), found.probability(NONE)])


@law(seed=st.integers(0, 10_000))
def test_every_origin_is_as_probable_as_its_assignments_together(seed: int) -> None:
    case = random_case(seed)
    found = identify(case)
    counted = np.zeros(len(case.occasions) + 1)
    for (origin, _), share in counted_out(case).items():
        counted[origin] += share
    assert probabilities(found, case) == independent(counted, way=WAY, within=1e-10)
    assert sum(one.probability for one in found.answers) == pytest.approx(1)


@law(seed=st.integers(0, 10_000), examples=30)
def test_every_make_of_a_part_is_as_probable_as_its_assignments_together(seed: int) -> None:
    case = random_case(seed)
    found = identify(case)
    for j, part in enumerate(case.parts):
        counted = np.zeros(len(part.makes) + 1)
        for (_, chosen), share in counted_out(case).items():
            counted[chosen[j][1]] += share
        ours = {one.make.run if one.make else NONE: one.probability for one in found.parts[j].makes}
        said = np.array([*(ours[one.run] for one in part.makes), ours[NONE]])
        assert said == independent(counted, way=WAY, within=1e-10)


@law(seed=st.integers(0, 10_000), examples=30)
def test_a_part_belongs_to_the_best_origin_as_its_assignments_say(seed: int) -> None:
    case = random_case(seed)
    found = identify(case)
    codes = [one.code for one in case.occasions]
    top = codes.index(found.top.code) if found.top.code in codes else len(codes)
    for j, part in enumerate(found.parts):
        of_top = {key: share for key, share in counted_out(case).items() if key[0] == top}
        own = sum(share for (_, chosen), share in of_top.items() if not chosen[j][0])
        assert part.belongs == independent(own / sum(of_top.values()), way=WAY, within=1e-10)


@law(seed=st.integers(0, 10_000))
def test_findings_and_parts_count_the_same_in_any_order(seed: int) -> None:
    case = random_case(seed)
    turned = replace(
        case,
        findings=case.findings[::-1],
        parts=tuple(replace(part, findings=part.findings[::-1]) for part in case.parts[::-1]),
    )
    mixed = probabilities(identify(turned), case)
    assert mixed == pytest.approx(probabilities(identify(case), case), abs=1e-12)


@law(seed=st.integers(0, 10_000))
def test_a_finding_made_twice_adds_its_logarithm_twice(seed: int) -> None:
    case = random_case(seed)
    part = case.parts[0]
    logs = np.random.default_rng(seed).normal(0, 1, len(part.makes) + 1)
    twice, doubled = (
        replace(case, parts=(replace(part, findings=(*part.findings, *more)), *case.parts[1:]))
        for more in ((finding(logs), finding(logs)), (finding(2 * logs),))
    )
    assert probabilities(identify(twice), case) == pytest.approx(
        probabilities(identify(doubled), case), abs=1e-12
    )


@law(seed=st.integers(0, 10_000), by=st.floats(-300, 300))
def test_a_finding_that_is_as_probable_everywhere_says_nothing(seed: int, by: float) -> None:
    case = random_case(seed)
    part = case.parts[0]
    more = finding(np.full(len(part.makes) + 1, by))
    told = replace(case, parts=(replace(part, findings=(*part.findings, more)), *case.parts[1:]))
    assert probabilities(identify(told), case) == pytest.approx(
        probabilities(identify(case), case), abs=1e-10
    )
    assert identify(told).log_evidence - identify(case).log_evidence == pytest.approx(by, abs=1e-8)


@law(seed=st.integers(0, 10_000))
def test_the_numbering_of_makes_and_occasions_does_not_matter(seed: int) -> None:
    case = random_case(seed)
    rng = np.random.default_rng(seed)
    orders = {part.label: rng.permutation(len(part.makes)) for part in case.parts}
    places = {label: np.argsort(order) for label, order in orders.items()}
    parts = tuple(
        PartCase(
            label=part.label,
            makes=tuple(part.makes[k] for k in orders[part.label]),
            findings=tuple(
                replace(one, log_likelihood=one.log_likelihood[[*orders[part.label], -1]])
                for one in part.findings
            ),
        )
        for part in case.parts
    )
    turn = rng.permutation(len(case.occasions))
    occasions = tuple(
        replace(
            case.occasions[o],
            made={
                label: {int(places[label][m]): share for m, share in made.items()}
                for label, made in case.occasions[o].made.items()
            },
        )
        for o in turn
    )
    findings = tuple(replace(one, log_likelihood=one.log_likelihood[[*turn, -1]]) for one in case.findings)
    again = replace(case, parts=parts, occasions=occasions, findings=findings)
    assert probabilities(identify(again), case) == pytest.approx(
        probabilities(identify(case), case), abs=1e-12
    )


def test_nothing_found_leaves_what_usually_turns_up_and_says_so() -> None:
    case = replace(one_to_one(["torso", "arm"], 3), none_of_these=0.1)
    found = identify(case)
    assert probabilities(found, case) == pytest.approx([0.3, 0.3, 0.3, 0.1])
    assert "nothing was looked at" in str(found.cautions[0])
    assert all(answer.probability == pytest.approx(answer.prior) for answer in found.answers)


def test_parts_help_one_another() -> None:
    """Two that each say three to one for T1 say nine to one together, less what may be from elsewhere."""
    says = [0.0, log(3), 0.0, 0.0]
    alone = identify(one_to_one(["torso", "arm"], 3, {"torso": [finding(says)]})).probability("T1")
    both = identify(one_to_one(["torso", "arm"], 3, {"torso": [finding(says)], "arm": [finding(says)]}))
    assert alone < both.probability("T1") < 9 / 11


def test_parts_that_disagree_each_get_their_own_answer() -> None:
    strong = {
        "torso": [finding([0.0, -9.0, -9.0, -9.0])],
        "arm": [finding([-9.0, 0.0, -9.0, -9.0])],
        "cap": [finding([0.0, -9.0, -9.0, -9.0])],
    }
    found = identify(one_to_one(["torso", "arm", "cap"], 3, strong))
    tops = {part.label: part.makes[0].make for part in found.parts}
    assert {label: one.run for label, one in tops.items() if one} == {"torso": "T0", "arm": "T1", "cap": "T0"}
    assert found.top.code == "T0"
    assert found.top.elsewhere == ("arm",)
    belongs = {part.label: part.belongs for part in found.parts}
    assert belongs["arm"] < 0.1
    assert min(belongs["torso"], belongs["cap"]) > 0.9


def test_one_part_from_elsewhere_costs_its_share_and_no_more() -> None:
    """However strongly one part speaks against an origin, it is held back by e: by hand, two makes."""
    found = identify(one_to_one(["torso"], 2, {"torso": [finding([0.0, -700.0, -700.0])]}, elsewhere=0.03))
    prior = np.array([0.475, 0.475, 0.05])
    like = np.array([0.97 + 0.03 * 0.475, 0.03 * 0.475, 0.03 * 0.475])
    expected = prior * like / (prior @ like)
    assert found.probability("T1") == independent(float(expected[1]), way="the equation by hand")


def test_the_evidence_is_that_of_the_whole_sum() -> None:
    case = one_to_one(["torso"], 2, {"torso": [finding([0.0, log(0.5), log(0.25)])], "": []})
    likely = sum(
        prior * (0.97 * own + 0.03 * (0.475 + 0.475 * 0.5 + 0.05 * 0.25))
        for prior, own in ((0.475, 1.0), (0.475, 0.5), (0.05, 0.25))
    )
    assert exp(identify(case).log_evidence) == independent(likely, way="the equation by hand")


def test_stages_add_up_their_occasions() -> None:
    case = one_to_one(["torso"], 2, {"torso": [finding([0.0, 1.0, 0.3])]})
    case = replace(case, occasions=tuple(replace(one, stage=Stage.LATE) for one in case.occasions))
    found = identify(case)
    by_stage = dict(found.stages)
    assert by_stage[Stage.LATE] == pytest.approx(found.probability("T0") + found.probability("T1"))
    assert by_stage[None] == pytest.approx(found.probability(NONE))


def test_what_was_found_is_read_as_log_odds_against_before() -> None:
    case = one_to_one([], 2, {"": [finding([log(0.8), log(0.2), log(0.5)])]})
    count = next(one for one in identify(case).answers if one.code == "T0").evidence[0]
    usual = 0.475 * 0.8 + 0.475 * 0.2 + 0.05 * 0.5
    assert count.times == independent(0.8 / usual, way="its probability over that of any piece, by hand")


@pytest.mark.parametrize("name", ["elsewhere", "none_of_these"])
@pytest.mark.parametrize("share", [0.0, 1.0, -0.1])
def test_a_share_that_shuts_the_door_is_refused(name: str, share: float) -> None:
    with pytest.raises(ImpossibleInput, match="must lie between 0 and 1"):
        one_to_one(["torso"], 2, **{name: share})


def test_a_finding_of_another_length_is_refused_and_named() -> None:
    with pytest.raises(ImpossibleInput, match=r"finding colour of part torso.*must be 4 numbers"):
        one_to_one(["torso"], 3, {"torso": [finding([0.0, 1.0])]})


def test_nowhere_to_come_from_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="occasions = 0"):
        PieceCase(parts=(), occasions=())


def test_an_occasion_that_does_not_say_a_part_leaves_it_open() -> None:
    """Nobody said from which run the caps of one build are: that says nothing for or against it."""
    case = PieceCase(
        parts=(PartCase(label="cap", makes=states(2), findings=()),),
        occasions=(
            Occasion(code="with", stage=Stage.LATE, kept=1.0, made={"cap": {0: 1.0}}),
            Occasion(code="without", stage=Stage.LATE, kept=1.0, made={}),
        ),
    )
    assert identify(case).probability("with") == independent(0.475, way="the prior by hand")
