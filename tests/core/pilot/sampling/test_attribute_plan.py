"""Plans by counting: printed curves, R's answers, every lot drawn piece by piece, every plan tried, laws."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import ceil, exp, floor

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.pilot.sampling import attribute_plan, find_attribute_plan
from offtool.core.pilot.sampling.attribute import times_in_100
from offtool.core.pilot.sampling.chances import bad_in_lot, passes, passes_of_lot
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, remembered

MONTGOMERY = "Montgomery, Introduction to Statistical Quality Control, operating curve of n 89, c 2"


@pytest.mark.parametrize(
    ("share", "printed"),
    [
        (0.005, "0.9897"),
        (0.01, "0.9397"),
        (0.02, "0.7366"),
        (0.03, "0.4985"),
        (0.04, "0.3042"),
        (0.05, "0.1721"),
        (0.06, "0.0919"),
        (0.07, "0.0468"),
        (0.08, "0.0230"),
        (0.09, "0.0109"),
    ],
)
def test_the_printed_curve(share: float, printed: str) -> None:
    assert passes(share, 89, 2) == remembered(printed, source=MONTGOMERY)


def test_pieces_looked_at_with_sorting() -> None:
    found = attribute_plan(89, 2, good=0.01, bad=0.06, lot=10_000)
    whole_lot = attribute_plan(89, 2, good=0.01, bad=0.06)
    # with the binomial, as printed: 89 + (1 - 0.9397)(10000 - 89)
    assert 89 + whole_lot.refuses_good * (10_000 - 89) == remembered("687", source=MONTGOMERY)
    of_lot = 89 + stats.hypergeom.sf(2, 10_000, 100, 89) * (10_000 - 89)
    assert found.looked_at == independent(of_lot, way="scipy.stats.hypergeom", rel=1e-8)
    assert whole_lot.looked_at is None


def test_the_chances_are_those_of_r() -> None:
    # R 4.2.2: pbinom(2, 125, c(.0065, .01, .02, .05))
    r = [0.95133145632335, 0.86931586807200, 0.54251903762355, 0.04770383702038]
    assert passes(np.array([0.0065, 0.01, 0.02, 0.05]), 125, 2) == independent(r, way="R, pbinom")
    # R 4.2.2: phyper(1, 6, 94, 20); phyper(2, 30, 470, 83)
    assert passes_of_lot(6, 20, 1, 100) == independent(0.6554246440844, way="R, phyper")
    assert passes_of_lot(30, 83, 2, 500) == independent(0.09733116082716, way="R, phyper")
    # R 4.2.2: ppois(10, 80 * c(.05, .2))
    flaws = attribute_plan(80, 10, good=0.05, bad=0.2, counted="flaws")
    assert 1 - flaws.refuses_good == independent(0.99716023387949, way="R, ppois")
    assert flaws.passes_bad == independent(0.07739601577036, way="R, ppois")


@pytest.mark.parametrize("lot", [1, 2, 5, 8])
def test_a_lot_is_drawn_in_every_way_there_is(lot: int) -> None:
    for bad in range(lot + 1):
        for pieces in range(1, lot + 1):
            drawn = [sum(piece < bad for piece in one) for one in combinations(range(lot), pieces)]
            for accept in range(pieces + 1):
                share = np.mean(np.array(drawn) <= accept)
                assert passes_of_lot(bad, pieces, accept, lot) == pytest.approx(share, abs=1e-12)


@law(
    lot=st.integers(2, 400),
    part=st.floats(0.01, 1),
    accept=st.integers(0, 10),
    share=st.floats(0, 1),
)
def test_a_lot_is_the_librarys_hypergeometric(lot: int, part: float, accept: int, share: float) -> None:
    pieces, bad = max(1, round(part * lot)), round(share * lot)
    library = stats.hypergeom.cdf(accept, lot, bad, pieces)
    assert passes_of_lot(bad, pieces, accept, lot) == pytest.approx(library, abs=1e-10)


def test_a_large_lot_is_the_binomial() -> None:
    assert passes_of_lot(60_000, 89, 2, 10**6) == pytest.approx(float(passes(0.06, 89, 2)), rel=2e-4)


@law(pieces=st.integers(2, 2000), accept=st.integers(0, 20), counted=st.sampled_from(["pieces", "flaws"]))
def test_the_curve_falls_and_its_named_shares_lie_on_it(pieces: int, accept: int, counted: str) -> None:
    accept = min(accept, pieces - 1)
    found = attribute_plan(pieces, accept, good=0.001, bad=0.5, counted=counted)  # type: ignore[arg-type]
    chances = [point.passes for point in found.curve]
    assert chances[0] == 1.0
    assert all(after <= before + 1e-12 for before, after in pairwise(chances))
    for share, chance in ((found.passes_95, 0.95), (found.passes_50, 0.5), (found.passes_10, 0.1)):
        assert passes(share, pieces, accept, counted) == pytest.approx(chance, rel=1e-9)
    assert found.passes_95 < found.passes_50 < found.passes_10


@pytest.mark.parametrize(("pieces", "accept"), [(2, 0), (89, 2), (125, 0), (500, 10)])
def test_no_share_gets_through_more_than_the_worst(pieces: int, accept: int) -> None:
    found = attribute_plan(pieces, accept, good=0.001, bad=0.5)
    shares = np.linspace(0, 1, 200_001)
    through = shares * stats.binom.cdf(accept, pieces, shares)
    assert found.worst_through == independent(float(through.max()), way="a fine grid", rel=1e-6)
    assert found.worst_at == pytest.approx(float(shares[through.argmax()]), abs=1e-4)


def test_what_was_looked_at_lets_nothing_through() -> None:
    """Bad pieces of the sample are replaced, so that only the rest of the lot, 4 in 5 here, can hold some."""
    whole, lot = (attribute_plan(50, 1, good=0.01, bad=0.1, lot=lot) for lot in (None, 250))
    assert lot.worst_through == pytest.approx(0.8 * whole.worst_through)
    for point in lot.curve:
        assert point.gets_through == pytest.approx(0.8 * point.share * point.passes)


def test_the_worst_without_a_bad_piece_allowed_is_known() -> None:
    """c = 0: p (1 - p)^n is largest at p = 1 / (n + 1)."""
    found = attribute_plan(50, 0, good=0.001, bad=0.5)
    assert found.worst_at == pytest.approx(1 / 51, rel=1e-6)
    assert found.worst_through == independent((50 / 51) ** 50 / 51, way="by hand")


def smallest_by_trying(
    good: float, bad: float, alpha: float, beta: float, lot: int | None
) -> tuple[int, int]:
    """The first plan that keeps both risks, every sample and acceptance number tried with the library."""
    for pieces in range(1, (lot or 3000) + 1):
        accept = np.arange(pieces)
        if lot is None:
            at_good, at_bad = (stats.binom.cdf(accept, pieces, share) for share in (good, bad))
        else:
            few, many = floor(good * lot + 1e-9), ceil(bad * lot - 1e-9)
            at_good, at_bad = (stats.hypergeom.cdf(accept, lot, one, pieces) for one in (few, many))
        kept = (at_good >= 1 - alpha - 1e-12) & (at_bad <= beta + 1e-12)
        if kept.any():
            return pieces, int(accept[kept][0])
    raise AssertionError("none")


@pytest.mark.parametrize(
    ("good", "bad", "alpha", "beta", "lot"),
    [
        (0.01, 0.06, 0.05, 0.10, None),
        (0.01, 0.06, 0.0605, 0.10, None),
        (0.005, 0.03, 0.05, 0.10, None),
        (0.02, 0.20, 0.10, 0.05, None),
        (0.001, 0.5, 0.05, 0.01, None),
        (0.01, 0.06, 0.05, 0.10, 500),
        (0.02, 0.10, 0.05, 0.10, 120),
        (0.10, 0.30, 0.05, 0.05, 60),
        (0.02, 0.10, 0.05, 0.10, 127),  # 2.54 and 12.7 pieces
    ],
)
def test_the_found_plan_is_the_smallest_of_all(
    good: float, bad: float, alpha: float, beta: float, lot: int | None
) -> None:
    found = find_attribute_plan(good, bad, producer_risk=alpha, consumer_risk=beta, lot=lot)
    assert (found.pieces, found.accept) == smallest_by_trying(good, bad, alpha, beta, lot)


@law(
    good=st.floats(0.001, 0.1),
    ratio=st.floats(2.5, 10),
    alpha=st.floats(0.01, 0.2),
    beta=st.floats(0.01, 0.2),
)
def test_the_found_plan_keeps_what_attribute_plan_says(
    good: float, ratio: float, alpha: float, beta: float
) -> None:
    bad = min(good * ratio, 0.9)
    found = find_attribute_plan(good, bad, producer_risk=alpha, consumer_risk=beta)
    assert found.pieces is not None
    assert found.accept is not None
    read = attribute_plan(found.pieces, found.accept, good=good, bad=bad)
    assert (found.refuses_good, found.passes_bad) == (read.refuses_good, read.passes_bad)
    assert read.refuses_good <= alpha
    assert read.passes_bad <= beta


def test_what_no_sample_keeps_is_said() -> None:
    found = find_attribute_plan(0.05, 0.0501)
    assert (found.pieces, found.accept, found.passes_bad) == (None, None, None)
    assert "no sample of up to 100000" in found.words


def test_whole_pieces_favour_neither_side() -> None:
    assert bad_in_lot(0.1, 30, up=True) == bad_in_lot(0.1, 30, up=False) == 3
    assert (bad_in_lot(0.01, 250, up=False), bad_in_lot(0.01, 250, up=True)) == (2, 3)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        ({"pieces": 50, "accept": 50}, "accept"),
        ({"pieces": 50, "accept": 2, "lot": 40}, "pieces"),
        ({"pieces": 50, "accept": 2, "lot": 0}, "lot"),
        ({"pieces": 50, "accept": 2, "lot": 100, "counted": "flaws"}, "lot"),
        ({"pieces": 50, "accept": 2, "good": 0.2}, "good"),
        ({"pieces": 50, "accept": 2, "bad": 1.2}, "bad"),
        ({"pieces": 50, "accept": 2, "good": 1.0, "bad": 1.2}, "good"),
        ({"pieces": 0, "accept": 0}, "pieces"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_by_name(call: dict[str, object], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        attribute_plan(**{"good": 0.01, "bad": 0.1, **call})  # type: ignore[arg-type]
    assert refused.value.argument == argument


def test_a_piece_may_have_more_flaws_than_one() -> None:
    """5 pieces, up to 44 flaws, 6.5 on a piece: summed term by term."""
    found = attribute_plan(5, 44, good=6.5, bad=10.8, counted="flaws")
    mean, term, total = 5 * 6.5, exp(-5 * 6.5), 0.0
    for k in range(45):
        total, term = total + term, term * mean / (k + 1)
    assert 1 - found.refuses_good == independent(total, way="Poisson, summed term by term")
    assert "650 flaws on 100 pieces" in found.words


def test_how_often_is_never_said_as_never_where_it_may_be() -> None:
    assert times_in_100(0.0) == "0 times in 100"
    assert times_in_100(1e-6) == "less than once in 1000"
    assert times_in_100(0.125) == "12.5 times in 100"
    assert times_in_100(0.99999) == "more than 999 times in 1000"
    assert times_in_100(1.0) == "100 times in 100"
