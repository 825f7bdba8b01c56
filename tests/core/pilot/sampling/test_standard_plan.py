"""Plans of the public tables: every cell, every arrow, and what is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.sampling import standard_plan
from offtool.core.pilot.sampling.chances import passes
from offtool.core.pilot.sampling.standard import plan_of
from offtool.core.values import ImpossibleInput
from offtool.handbook.sampling_plans import LETTERS, LEVELS, LOT_STEPS, MASTER_TABLES, QUALITY_LEVELS
from tests import published as files
from tests.core.laws import law

TABLES: dict[str, Any] = json.loads("\n".join(files.lines("mil_std_105e_single.json")))

LETTERS_OF_LOTS = LETTERS[: LETTERS.index("S")]


@pytest.mark.parametrize("severity", MASTER_TABLES)
def test_every_cell_is_the_published_plan_with_its_arrow_followed(severity: str) -> None:
    rows = TABLES["resolved"][severity]
    wrong = [
        (letter, aql)
        for letter in LETTERS_OF_LOTS
        for aql, cell in rows[letter].items()
        if plan_of(letter, float(aql), severity) != (cell["letter"], cell["n"], cell["ac"], cell["re"])
    ]
    assert sum(len(rows[letter]) for letter in LETTERS_OF_LOTS) == 16 * 26
    assert wrong == []


@pytest.mark.parametrize("severity", MASTER_TABLES)
def test_a_cell_with_a_plan_of_its_own_needs_no_arrow(severity: str) -> None:
    for letter, row in TABLES["master"][severity].items():
        if letter not in LETTERS_OF_LOTS:
            continue
        for aql, (accept, refuse) in row["plans"].items():
            assert plan_of(letter, float(aql), severity) == (letter, row["n"], accept, refuse)


def test_every_step_of_lots_has_the_published_letters() -> None:
    assert tuple(TABLES["AQL"]) == QUALITY_LEVELS
    assert len(TABLES["code_letters"]) == len(LOT_STEPS)
    for row in TABLES["code_letters"]:
        for lot in {row["lot_min"], row["lot_max"] or 10**7}:
            for level in LEVELS:
                assert standard_plan(lot, level=level, aql=0.65).letter == row[level]  # type: ignore[arg-type]


def test_the_worked_example() -> None:
    """Lot 2000, level II, 0.65 %: K, 125, 2 and 3; tightened 1 and 2; reduced 50, 1 and 3 (Montgomery,
    Introduction to Statistical Quality Control, from memory; the table file has the same)."""
    normal, tightened, reduced = (
        standard_plan(2000, level="II", aql=0.65, severity=one)  # type: ignore[arg-type]
        for one in ("normal", "tightened", "reduced")
    )
    assert (normal.letter, normal.pieces, normal.accept, normal.refuse) == ("K", 125, 2, 3)
    assert (tightened.pieces, tightened.accept, tightened.refuse) == (125, 1, 2)
    assert (reduced.pieces, reduced.accept, reduced.refuse) == (50, 1, 3)
    assert "from memory" in " ".join(caution.text for caution in reduced.cautions)
    assert "normal inspection returns" in reduced.words


def test_the_usual_plan_of_the_trade() -> None:
    """1201 to 3200 pieces, level II: 125, with 7 at 2.5 and 10 at 4.0; common practice, no source."""
    major, minor = (standard_plan(1500, level="II", aql=aql) for aql in (2.5, 4.0))
    assert (major.letter, major.pieces, major.accept, minor.accept) == ("K", 125, 7, 10)


def test_an_arrow_changes_the_sample_too() -> None:
    found = standard_plan(60, level="II", aql=0.65)
    assert (found.letter, found.plan_letter, found.pieces, found.accept) == ("E", "F", 20, 0)


def test_a_sample_larger_than_the_lot_is_the_whole_lot() -> None:
    found = standard_plan(30, level="II", aql=0.1)
    assert (found.looks_at_all, found.pieces) == (True, 30)
    assert found.words.startswith("look at all 30")


def test_above_ten_flaws_are_counted() -> None:
    found = standard_plan(500, level="II", aql=25)
    assert "flaws" in found.words
    assert any("flaws on 100 pieces" in caution.text for caution in found.cautions)


@pytest.mark.parametrize("lot", [0, 1, -5])
def test_a_lot_of_none_is_refused(lot: int) -> None:
    with pytest.raises(ImpossibleInput, match="lot = ") as refused:
        standard_plan(lot, level="II", aql=1.0)
    assert refused.value.argument == "lot"


def test_a_quality_limit_beside_the_list_is_refused_with_the_nearest() -> None:
    with pytest.raises(ImpossibleInput, match="not on the list") as refused:
        standard_plan(500, level="II", aql=3.0)
    assert (refused.value.argument, refused.value.remedy) == (
        "aql",
        "the nearest on the list is 2.5, the next stricter 2.5",
    )


@law(
    examples=100,
    letter=st.sampled_from(LETTERS_OF_LOTS),
    aql=st.sampled_from([one for one in QUALITY_LEVELS if one <= 10]),
)
def test_about_the_limit_tightened_never_lets_more_pass_than_normal(letter: str, aql: float) -> None:
    shares = [aql / 100 * factor for factor in (0.5, 1.0, 2.0)]
    _, pieces, accept, _ = plan_of(letter, aql, "normal")
    _, tight_pieces, tight_accept, _ = plan_of(letter, aql, "tightened")
    for share in shares:
        assert passes(share, tight_pieces, tight_accept) <= passes(share, pieces, accept) + 1e-12


@law(examples=60, lot=st.integers(2, 10**6), aql=st.sampled_from(QUALITY_LEVELS[:16]))
def test_level_three_never_has_an_earlier_letter_than_two_and_two_than_one(lot: int, aql: float) -> None:
    one, two, three = (
        LETTERS.index(standard_plan(lot, level=level, aql=aql).letter)  # type: ignore[arg-type]
        for level in ("I", "II", "III")
    )
    assert one <= two <= three
