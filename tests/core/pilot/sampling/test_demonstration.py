"""Demonstrations: the printed numbers, R's answers, and that they are the intervals read the other way."""

from __future__ import annotations

from math import ceil, log

import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection.attributes import share_interval
from offtool.core.pilot.sampling import demonstrate_reliability
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, remembered

PRINTED = "widely printed table of tests without failure"


@pytest.mark.parametrize(
    ("confidence", "reliability", "printed"),
    [
        (0.95, 0.95, "59"),
        (0.90, 0.90, "22"),
        (0.95, 0.99, "299"),
        (0.90, 0.99, "230"),
        (0.95, 0.90, "29"),
        (0.90, 0.95, "45"),
        (0.99, 0.99, "459"),
    ],
)
def test_the_printed_numbers(confidence: float, reliability: float, printed: str) -> None:
    found = demonstrate_reliability(reliability, confidence=confidence)
    assert found.pieces == remembered(printed, source=PRINTED)
    assert found.pieces == ceil(log(1 - confidence) / log(reliability))


def test_a_lot_needs_fewer() -> None:
    """5 of 100 may not fail: R 4.2.2, phyper(0, 5, 95, c(45, 44)): 0.0462 shows it, 0.0507 does not."""
    found = demonstrate_reliability(0.95, lot=100)
    assert found.pieces == 45
    assert found.succeeds_at_required == independent(0.04620634336209, way="R, phyper")
    assert stats.hypergeom.cdf(0, 100, 5, 44) == independent(0.05073637702504, way="R, phyper")


@law(reliability=st.floats(0.5, 0.999), confidence=st.floats(0.55, 0.99), failures=st.integers(0, 5))
def test_so_many_show_it_and_one_fewer_do_not(reliability: float, confidence: float, failures: int) -> None:
    needed = demonstrate_reliability(reliability, confidence=confidence, failures=failures).pieces
    assert needed is not None
    assert share_interval(failures, needed, confidence=confidence).less_than <= 1 - reliability + 1e-12
    if needed > failures + 1:
        fewer = share_interval(failures, needed - 1, confidence=confidence)
        assert fewer.less_than > 1 - reliability - 1e-12


@law(reliability=st.floats(0.8, 0.999), failures=st.integers(0, 4))
def test_more_failures_allowed_need_more_pieces(reliability: float, failures: int) -> None:
    one, other = (demonstrate_reliability(reliability, failures=k).pieces for k in (failures, failures + 1))
    assert one is not None
    assert other is not None
    assert one < other


def test_how_good_the_pieces_must_be_for_it_to_succeed() -> None:
    """59 without a failure succeed nine times in ten only where 0.9^(1/59) = 0.99822 hold."""
    found = demonstrate_reliability(0.95)
    assert found.succeeds_at == independent(0.9 ** (1 / 59), way="by hand")
    assert found.succeeds_at_required == independent(0.95**59, way="by hand")


def test_a_lot_too_small_to_fail_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must hold more than 3") as refused:
        demonstrate_reliability(0.95, failures=3, lot=20)
    assert refused.value.argument == "lot"


def test_more_than_a_million_are_not_planned() -> None:
    found = demonstrate_reliability(1 - 1e-7)
    assert (found.pieces, found.confidence_reached) == (None, None)
    assert "more than a million" in found.words
