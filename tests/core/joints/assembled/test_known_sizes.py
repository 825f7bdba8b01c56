"""What is known of sizes: the gauge taken out, thin readings cautioned, impossible ones refused."""

from __future__ import annotations

from dataclasses import replace
from math import nan, sqrt

import pytest

from offtool.core.joints.assembled import assemble_joint
from offtool.core.joints.evidence import JointEvidence, SizeGiven, SizesTogether, Span
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from tests.core.joints.assembled.made import BORES, SHAFTS, cavities, chain, peg, slip
from tests.labels import independent

FEW = 2_000
TOGETHER = SizesTogether(first="shaft_diameter", second="bore_diameter", correlation=0.5)


def said(evidence: JointEvidence) -> str:
    return " | ".join(map(str, assemble_joint(evidence, combinations=FEW).cautions))


def test_the_gauge_is_taken_out_of_the_spread() -> None:
    measured = cavities("a", "arm", (5.0, 5.1), 0.005, gauge_sd=0.003)
    found = assemble_joint(chain((), measured, upper=5.2), combinations=FEW).sizes[0]
    assert found.sd == independent(sqrt(0.005**2 - 0.003**2), way="variances of independent causes")
    assert (found.observed_sd, found.gauge_sd, found.freedom) == (pytest.approx(0.005), 0.003, 18)


def test_a_gauge_that_explains_all_spread_leaves_none_and_says_where() -> None:
    measured = cavities("a", "arm", (5.0, 5.1), 0.005, gauge_sd=0.006)
    evidence = chain((), measured, upper=5.2)
    assert all(size.sd == 0 for size in assemble_joint(evidence, combinations=FEW).sizes)
    assert "no spread is left of a in cavity 2 of arm" in said(evidence)


def test_one_part_borrows_the_spread_of_the_other_cavities() -> None:
    rows = cavities("a", "arm", (5.0, 5.1, 5.2), 0.005)
    evidence = chain((), (*rows[:2], replace(rows[2], parts=1, sd=nan)), upper=5.2)
    found = assemble_joint(evidence, combinations=FEW).sizes
    assert [size.sd for size in found] == pytest.approx([0.005] * 3)
    assert found[2].freedom == 18
    assert "one part only of a in cavity 3" in said(evidence)


def test_cavities_that_spread_unlike_are_kept_apart() -> None:
    rows = (
        *cavities("a", "arm", (5.0,), 0.002),
        *(replace(one, cavity="2") for one in cavities("a", "arm", (5.1,), 0.02)),
    )
    found = assemble_joint(chain((), rows, upper=5.2), combinations=FEW)
    assert [size.sd for size in found.sizes] == pytest.approx([0.002, 0.02])
    assert not found.sizes[0].pooled


@pytest.mark.parametrize(
    ("evidence", "error", "words"),
    [
        (chain((), cavities("a", "arm", (5.0,), 0.1, parts=1)), NotEnoughData, "a: one part in each cavity"),
        (peg(given=()), NotEnoughData, "socket_outer .* is neither measured nor given"),
        (peg(friction=None), NotEnoughData, "no friction is known"),
        (peg(friction=Span(low=0.5, high=0.2)), ImpossibleInput, "must run from 0"),
        (peg(inner=None), OfftoolError, "the inner material is not given"),
        (replace(slip(), lower=0.1, upper=0.1), ImpossibleInput, "below the upper limit"),
        (replace(slip(), upper=nan), ImpossibleInput, "must be a finite number"),
        (
            chain((), (*cavities("a", "arm", (5.0, 5.1), 0.1), *cavities("b", "arm", (1.0,), 0.1))),
            NotEnoughData,
            "b was not measured in cavity 2 of arm",
        ),
        (replace(slip(), measured=(*slip().measured, slip().measured[0])), ImpossibleInput, "twice"),
        (
            replace(slip(), given=(SizeGiven(role="shaft_diameter", value=4.0),)),
            ImpossibleInput,
            "measure it or give it",
        ),
        (replace(slip(), given=(SizeGiven(role="shaft_diametr", value=4.0),)), ImpossibleInput, "did you"),
        (chain((SizeGiven(role="a", value=nan),)), ImpossibleInput, "is no size"),
        (chain((SizeGiven(role="a", value=1.0, plus_minus=-1.0),)), ImpossibleInput, "at least 0"),
        (chain((), cavities("a", "arm", (5.0,), -0.1)), ImpossibleInput, "sd = -0.1"),
        (chain((), cavities("a", "arm", (5.0,), 0.1, parts=0)), ImpossibleInput, "parts = 0"),
        (chain((), cavities("a", "arm", (nan,), 0.1)), ImpossibleInput, "mean = nan"),
        (
            slip(shafts=tuple(4 + i / 1e4 for i in range(65)), bores=tuple(4 + i / 1e4 for i in range(64))),
            OfftoolError,
            "4,160 combinations of cavities are more than 4,096",
        ),
        (
            replace(slip(), correlations=(TOGETHER,)),
            ImpossibleInput,
            "must be of one part",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name(
    evidence: JointEvidence, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        assemble_joint(evidence, combinations=FEW)


def test_a_socket_thinner_than_nothing_is_refused_with_its_cavities() -> None:
    given = (SizeGiven(role="socket_outer", value=3.5), SizeGiven(role="contact_length", value=4.0))
    with pytest.raises(OfftoolError, match=r"make no joint \(arm [12], body [12]\)"):
        assemble_joint(peg(given=given), combinations=FEW)


def test_no_limits_no_spread_and_many_parts_are_answered() -> None:
    assert "nothing is called loose or tight" in said(replace(slip(), lower=None, upper=None))
    fixed = chain((SizeGiven(role="a", value=1.0),), lower=0.5)
    assert "no size varies" in said(fixed)
    assert assemble_joint(fixed, combinations=FEW).mix.good.share == 1
    three = tuple(one for i, part in enumerate("abc") for one in cavities(f"r{i}", part, (1.0, 1.01), 0.01))
    found = assemble_joint(chain((), three, lower=2.9), combinations=FEW)
    assert len(found.pairs) == 8
    assert found.pairing is None


def test_parts_come_in_the_order_of_the_sizes_and_cavities_in_natural_order() -> None:
    found = assemble_joint(slip(shafts=SHAFTS * 4, bores=BORES[:1]), combinations=FEW)
    assert found.parts == ("arm", "body")
    assert [one.cavities[0] for one in found.pairs] == [str(i + 1) for i in range(12)]
