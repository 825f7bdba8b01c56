"""What a sampling plan answers: the public tables, both risks, and what must not be read into it."""

from __future__ import annotations

import json
from math import comb
from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.sampling.asked import Severity
from offtool.core.pilot.sampling.standard import Level
from offtool.core.values import ImpossibleInput
from offtool.handbook.sampling_plans import LEVELS, LOT_STEPS, MASTER_TABLES, QUALITY_LEVELS
from offtool.steps.plan_sampling import plan_sampling
from offtool.steps.sampling_asked import (
    Asked,
    FindAsked,
    LotAsked,
    LotsAsked,
    MeasuredAsked,
    OwnAsked,
    ZeroAsked,
    both_shares,
    share_of,
)
from offtool.steps.sampling_sentences import in_per_cent
from tests import published as files
from tests.core.laws import law
from tests.labels import independent, remembered

TABLES: dict[str, Any] = json.loads("\n".join(files.lines("mil_std_105e_single.json")))
MONTGOMERY = "Montgomery, Introduction to Statistical Quality Control, OC table of n 89, c 2"


def test_a_lot_is_answered_by_the_published_table() -> None:
    """Letter K, 0.65 %: the cell of the file, in words and in numbers."""
    found = plan_sampling(LotAsked(lot=2000, aql=0.65))
    cell = TABLES["resolved"]["normal"]["K"]["0.65"]
    assert found.standard is not None
    assert (found.standard.pieces, found.standard.accept) == (cell["n"], cell["ac"])
    assert found.headline == (
        f"Look at {cell['n']} of 2,000, drawn at random: accept with up to {cell['ac']} bad pieces, "
        f"refuse from {cell['re']} on."
    )


def test_a_hand_worked_operating_curve() -> None:
    """5 pieces, accept 1, a tenth bad: 0.9^5 + 5 0.1 0.9^4."""
    found = plan_sampling(OwnAsked(pieces=5, accept=1, good=0.01, bad=0.1))
    assert found.plan is not None
    by_hand = 0.59049 + 0.32805
    assert found.plan.passes_bad == independent(by_hand, way="two terms of the binomial, by hand")


@pytest.mark.parametrize(("bad", "printed"), [(0.02, ".7366"), (0.05, ".1721"), (0.09, ".0109")])
def test_the_printed_operating_curve(bad: float, printed: str) -> None:
    found = plan_sampling(OwnAsked(pieces=89, accept=2, good=0.01, bad=bad))
    assert found.plan is not None
    assert found.plan.passes_bad == remembered(printed, source=MONTGOMERY)
    assert 1 - found.plan.refuses_good == remembered(".9397", source=MONTGOMERY)


def test_a_small_lot_counts_its_own_pieces() -> None:
    """20 of 60 with 7 bad: none drawn, counted as ways to draw."""
    found = plan_sampling(OwnAsked(pieces=20, accept=0, lot=60, good=0.001, bad=7 / 60))
    assert found.plan is not None
    ways = comb(53, 20) / comb(60, 20)
    assert found.plan.passes_bad == independent(ways, way="ways to draw 20 without one of the 7")
    assert "0.1 % is 0, 11.7 % is 7, in whole pieces" in [fact.says for fact in found.rests_on]


@pytest.mark.parametrize("severity", ["normal", "tightened", "reduced"])
def test_every_lot_level_and_limit_of_the_tables_has_an_answer(severity: Severity) -> None:
    """The first lot of every step: 15 lots, 7 levels, 26 limits; the risks are chances, the smaller first."""
    last = 1
    for most, _ in LOT_STEPS:
        for level in LEVELS[::3]:
            for aql in QUALITY_LEVELS:
                asked = LotAsked(lot=last + 1, level=level, aql=aql, severity=severity)  # type: ignore[arg-type]
                plan = plan_sampling(asked).plan
                assert plan is not None
                assert 0 <= plan.refuses_good < 1
                assert 0 <= plan.passes_bad < 1
                assert plan.good < plan.bad
        last = most or last
    assert severity in MASTER_TABLES


def test_a_reduced_plan_passes_between_its_numbers() -> None:
    found = plan_sampling(LotAsked(lot=2000, aql=0.65, severity="reduced"))
    assert found.standard is not None
    assert found.plan is not None
    assert (found.standard.accept, found.standard.refuse) == (1, 3)
    assert found.plan.accept == 2, "a lot with 2 bad pieces passes"
    assert "between the two the lot passes and normal inspection returns" in found.headline


def test_where_nothing_is_said_the_plan_draws_its_own_line() -> None:
    found = plan_sampling(OwnAsked(pieces=89, accept=2)).plan
    assert found is not None
    assert found.refuses_good == pytest.approx(0.05, abs=1e-9)
    assert found.passes_bad == pytest.approx(0.10, abs=1e-9)


def test_above_ten_the_tables_count_flaws() -> None:
    found = plan_sampling(LotAsked(lot=2000, aql=650))
    assert found.plan is not None
    assert found.plan.counted == "flaws"
    assert found.plan.good == independent(6.5, way="650 flaws on 100 pieces")
    assert "44 flaws" in found.headline


def test_a_lot_that_is_looked_at_whole_leaves_nothing_to_chance() -> None:
    found = plan_sampling(LotAsked(lot=9, aql=1.0))
    assert found.headline == "Look at all 9: accept with no bad piece, refuse from 1 on."
    assert found.plan is not None
    assert found.plan.passes_bad == 0
    assert "left to chance" in found.promises_not[0]


@pytest.mark.parametrize(
    ("share", "confidence", "pieces"), [(0.95, 0.95, 59), (0.9, 0.9, 22), (0.99, 0.95, 299), (0.95, 0.9, 45)]
)
def test_the_widely_printed_tests_without_failures(share: float, confidence: float, pieces: int) -> None:
    found = plan_sampling(ZeroAsked(reliability=share, confidence=confidence))
    assert found.demonstration is not None
    assert found.demonstration.pieces == remembered(str(pieces), source="tables of success runs")
    assert found.headline.startswith(f"Test {pieces}: none may fail")


def test_the_smallest_plan_keeps_both_risks_and_one_piece_less_does_not() -> None:
    found = plan_sampling(FindAsked(good=0.01, bad=0.06))
    assert found.plan is not None
    assert found.plan.refuses_good <= 0.05
    assert found.plan.passes_bad <= 0.10
    fewer = plan_sampling(
        OwnAsked(pieces=found.plan.pieces - 1, accept=found.plan.accept, good=0.01, bad=0.06)
    )
    assert fewer.plan is not None
    assert fewer.plan.passes_bad > 0.10


def test_measuring_takes_fewer_pieces_and_says_how_many_fewer() -> None:
    found = plan_sampling(MeasuredAsked(good=0.01, bad=0.10))
    assert found.measured is not None
    assert found.measured.pieces == 21
    counted = plan_sampling(FindAsked(good=0.01, bad=0.10)).plan
    assert counted is not None
    assert f"Counting instead would take {counted.pieces}" in found.says[1]
    assert counted.pieces > found.measured.pieces


def test_two_refused_of_five_tighten_the_next_lot() -> None:
    found = plan_sampling(LotsAsked(lots=(2000,) * 4, found=(1, 3, 0, 4), aql=0.65))
    assert found.headline == "The next lot is looked at under tightened inspection."
    assert found.standard is not None
    assert (found.standard.pieces, found.standard.accept, found.standard.refuse) == (125, 1, 2)


def test_where_inspection_must_stop_no_plan_is_given() -> None:
    found = plan_sampling(LotsAsked(lots=(2000,) * 7, found=(5,) * 7, aql=0.65))
    assert found.switching is not None
    assert found.switching.stopped
    assert found.standard is None
    assert found.actions[0].do.startswith("Stop passing lots by sample")


@law(
    lot=st.integers(2, 10**6),
    level=st.sampled_from(LEVELS),
    aql=st.sampled_from([one for one in QUALITY_LEVELS if one <= 10]),
)
def test_a_tightened_plan_is_never_kinder(lot: int, level: Level, aql: float) -> None:
    normal, tight = (
        plan_sampling(LotAsked(lot=lot, level=level, aql=aql, severity=one, bad=0.3)).plan
        for one in ("normal", "tightened")
    )
    assert normal is not None
    assert tight is not None
    assert tight.passes_bad <= normal.passes_bad + 1e-12


@law(share=st.floats(1e-6, 0.999))
def test_a_share_in_per_cent_reads_back(share: float) -> None:
    said = in_per_cent(share)
    assert said.endswith(" %")
    assert float(said.removesuffix(" %")) == pytest.approx(100 * share, rel=0.006)


@pytest.mark.parametrize(
    ("asked", "argument", "value"),
    [
        (LotAsked(lot=0, aql=0.65), "lot", "0"),
        (LotAsked(lot=1, aql=0.65), "lot", "1"),
        (LotAsked(lot=100, aql=0.7), "aql", "0.7"),
        (OwnAsked(pieces=50, accept=1, lot=40), "pieces", "50"),
        (OwnAsked(pieces=5, accept=5), "accept", "5"),
        (OwnAsked(pieces=89, accept=2, good=0.5), "good", "50"),
        (ZeroAsked(reliability=0.9, lot=5, failures=3), "lot", "5"),
        (MeasuredAsked(good=0.01, bad=0.1, pieces=20), "factor", "nothing"),
        (LotsAsked(lots=(), found=(), aql=0.65), "lots", "none"),
        (LotsAsked(lots=(2000,), found=(126,), aql=0.65), "found", "126"),
    ],
)
def test_what_cannot_be_is_refused_by_name(asked: Asked, argument: str, value: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        plan_sampling(asked)
    assert refused.value.argument == argument
    assert str(refused.value.value) == value


def test_shares_are_refused_in_the_per_cent_in_which_they_were_typed() -> None:
    assert share_of("bad", 5.0) == 0.05
    assert share_of("bad", None) is None
    for per_cent in (0.0, -1.0, 100.0):
        with pytest.raises(ImpossibleInput, match=f"{per_cent:g} %"):
            share_of("bad", per_cent)
    with pytest.raises(ImpossibleInput, match="6 %: must be below that of a bad lot, 1 %"):
        both_shares(6.0, 1.0)
