"""How a toy stands against the law: own tests part by part, what changed since, and small parts."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from offtool.core.values import ImpossibleInput, Verdict
from offtool.handbook.release_list import Change
from offtool.handbook.toy_law import EARS_AND_SPLINTERS, LAW_DECIDES, MAY_NEED_WARNING, TRY_WITH_CARE
from offtool.records.models import Programme, Tool, ToolState
from offtool.records.operations import NewChange, tell_change
from offtool.records.queries import find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.keep_toy_test import toy_test_aside
from offtool.steps.toy_found import SafetyFound
from offtool.steps.toy_safety import know_safety
from offtool.steps.toy_standing import SafetyStanding, TestStanding, safety_standing
from tests.labels import independent, remembered
from tests.steps.clip import NOON, SLUG
from tests.steps.toyed import LAW_NM, TRIED_ON, drop_file, keep, keep_shape, sold, torque_file

TODAY = date(2026, 4, 1)


def found(**more: Any) -> SafetyFound:
    return know_safety(SLUG, TODAY, **more)


def standing(on: date = TODAY) -> SafetyStanding:
    return safety_standing(find_programme(SLUG), on)


def one_test(name: str, market: int = 0) -> TestStanding:
    return next(one for one in standing().by_market[market].tests if one.test == name)


def test_before_market_and_age_are_said_the_page_asks_for_them(clip: Programme) -> None:
    told = found()
    assert (
        told.headline == "Say where it will be sold and for which ages: then the tests of the law are told."
    )
    assert told.verdict is Verdict.NOT_SHOWN
    assert [one.leads_to for one in told.actions] == ["market"]
    assert told.standing.missing[:2] == ("where it will be sold", "the youngest age that it is for")
    assert "accredited laboratory" in told.stands


def test_the_law_is_told_before_anything_is_tried(clip: Programme) -> None:
    sold(clip)
    told = found()
    assert told.headline == "No own test is kept yet: drop, bite, torque, tension and compression are asked."
    (market,) = told.standing.by_market
    torque = next(one for one in market.asked.tests if one.test == "torque")
    assert torque.value == independent(LAW_NM, way="4 in·lbf by definition")
    assert torque.section == "16 CFR 1500.53(e)"
    assert {one.test for one, _ in market.only_where} == {"flexure", "seam"}


def test_pieces_that_all_stand_show_what_so_few_can(clip: Programme) -> None:
    sold(clip)
    keep(torque_file(12))
    one = one_test("torque")
    (part,) = one.judged
    assert part.part == "P1"
    assert part.judged.least_share == independent(0.05 ** (1 / 12), way="(1 - C)^(1/n)")
    assert part.judged.pieces_needed == remembered("29", source="tables of success runs, 90/95")
    assert one.verdict is Verdict.NOT_SHOWN
    assert "torque stood on 12 pieces, too few to show 90 %" in found().headline
    assert found(share=0.75).standing.by_market[0].tests[2].verdict is Verdict.HOLDS


def test_enough_pieces_hold_and_one_failure_does_not(clip: Programme) -> None:
    sold(clip)
    keep(torque_file(29))
    assert one_test("torque").verdict is Verdict.HOLDS
    keep(torque_file(20, 1, part="P2"), "L2")
    assert one_test("torque").verdict is Verdict.FAILS
    told = found()
    assert told.verdict is Verdict.FAILS
    assert told.headline.startswith("Own tests: torque does not hold, 1 of 21 failed")
    assert told.headline.endswith("1 small part came off.")
    assert told.actions[0].do == "Find out why 1 of 21 of P2 failed the torque test."


def test_parts_are_judged_by_their_own_pieces(clip: Programme) -> None:
    """20 of one part and 20 of another are not 40 of one."""
    sold(clip)
    keep(torque_file(20))
    keep(torque_file(20, part="P2"), "L2")
    one = one_test("torque")
    assert [each.part for each in one.judged] == ["P1", "P2"]
    assert one.verdict is Verdict.NOT_SHOWN


def test_pieces_that_fell_too_low_say_nothing_and_are_counted(clip: Programme) -> None:
    sold(clip)
    keep(drop_file(29))
    keep(drop_file(3, 1, height_m=1.5), "L2")
    keep(drop_file(5, drops=2), "L3")
    (each,) = one_test("drop").judged
    assert (each.judged.stood, each.judged.failed, each.judged.unfinished) == (32, 0, 6)
    assert one_test("drop").verdict is Verdict.HOLDS


def test_a_test_by_another_law_counts_there_alone(clip: Programme) -> None:
    sold(clip, "US EU", 12.0)
    keep(torque_file(29), market="EU")
    assert one_test("torque", 1).verdict is Verdict.HOLDS
    assert one_test("torque", 0).runs == ()
    assert "United States" in standing().by_market[0].words


def test_where_nothing_is_known_to_be_asked_no_verdict_is_given(clip: Programme) -> None:
    sold(clip, "EU other")
    assert [one.verdict for one in standing().by_market] == [None, None]
    assert (
        found().headline == "No test is known here for these ages and markets: ask an accredited laboratory."
    )


def test_bite_and_bending_are_judged_by_what_held(clip: Programme) -> None:
    sold(clip)
    keep(b"Piece,Held\n" + b"".join(b"%d,yes\n" % i for i in range(29)), test="bite")
    assert one_test("bite").verdict is Verdict.HOLDS
    keep(b"Piece,Held\n1,no\n", "L2", test="flexure")
    assert one_test("flexure").verdict is Verdict.FAILS


def test_a_test_set_aside_counts_no_more_and_stays_visible(clip: Programme) -> None:
    sold(clip)
    keep(torque_file(3, 1))
    toy_test_aside(SLUG, "L1", reason="the gauge slipped", made_by="tester")
    assert one_test("torque").runs == ()
    (seen,) = standing().runs
    assert seen.set_aside == "the gauge slipped"
    assert standing().small_parts.came_off == ()


def test_changes_after_the_test_are_told_and_earlier_ones_are_not(clip: Programme) -> None:
    sold(clip)
    keep(torque_file(12))
    assert standing().runs[0].changes_since == ()
    ToolState.objects.create(
        tool=Tool.objects.get(code="M1"), label="b", ordinal=2, made_on=date(2026, 3, 20)
    )
    other = Tool.objects.create(programme=clip, code="M9")
    ToolState.objects.create(tool=other, label="b", ordinal=2, made_on=date(2026, 3, 21))
    told = NewChange(what=Change.COLOUR, on=date(2026, 3, 22), words="a new yellow")
    tell_change(clip, told, told_at=NOON, told_by="tester")
    early = NewChange(what=Change.PAINT, on=TRIED_ON, words="another thinner")
    tell_change(clip, early, told_at=NOON, told_by="tester")
    assert standing().runs[0].changes_since == (
        "steel of M1, state b, 2026-03-20",
        "colour: a new yellow, 2026-03-22",
    )
    assert standing(date(2026, 3, 10)).runs[0].changes_since == ()
    assert any(one.do.startswith("Try torque again: L1") for one in found().actions)


def test_a_test_of_a_later_day_is_passed_over(clip: Programme) -> None:
    sold(clip)
    keep(torque_file(29), done_on=date(2026, 5, 1))
    assert standing().runs == ()
    assert len(standing(date(2026, 5, 1)).runs) == 1


def test_parts_are_tried_in_the_cylinder_by_their_shape(clip: Programme) -> None:
    """A block of 20 mm fits, one of 60 mm does not, a part without a shape is named."""
    sold(clip, from_months=18.0)
    keep_shape("P1", 20, 20, 20)
    small = standing().small_parts
    assert small.asked
    assert [(one.part, one.fits) for one in small.parts] == [("P1", True)]
    assert small.without_mesh == ("P2",)
    assert small.verdict is Verdict.FAILS
    assert any(one.do == "See that P1 can never come off and is never loose." for one in found().actions)
    keep_shape("P2", 60, 60, 60)
    assert [one.fits for one in standing().small_parts.parts] == [True, False]


def test_over_three_years_a_small_part_is_told_and_not_held_against_it(clip: Programme) -> None:
    sold(clip)
    keep_shape("P1", 20, 20, 20)
    keep_shape("P2", 60, 60, 60)
    small = standing().small_parts
    assert not small.asked
    assert small.verdict is Verdict.NOT_SHOWN
    assert MAY_NEED_WARNING in found().cautions


def test_no_part_that_fits_holds_and_what_came_off_is_measured(clip: Programme) -> None:
    sold(clip, from_months=18.0)
    keep_shape("P1", 60, 60, 60)
    keep_shape("P2", 60, 60, 60)
    assert standing().small_parts.verdict is Verdict.HOLDS
    keep(torque_file(3, 1))
    (off,) = standing().small_parts.came_off
    assert (off.piece, off.part, off.largest_mm, off.verdict) == ("4", "P1", 22.0, Verdict.FAILS)
    assert standing().small_parts.verdict is Verdict.FAILS


def test_the_cautions_always_stand(clip: Programme) -> None:
    sold(clip)
    for told in (found(), know_safety(SLUG, TODAY, share=0.5)):
        assert {TRY_WITH_CARE, EARS_AND_SPLINTERS, LAW_DECIDES} <= set(told.cautions)
        assert told.actions[-1].do.startswith("Send pieces made as they will be sold")


def test_what_cannot_be_is_refused(clip: Programme) -> None:
    with pytest.raises(NotInRecord):
        know_safety("nowhere", TODAY)
    for share in (0.0, 1.0):
        with pytest.raises(ImpossibleInput, match="share"):
            know_safety(SLUG, TODAY, share=share)
    with pytest.raises(ImpossibleInput) as refused:
        sold(clip, from_months=96.0)
    assert refused.value.argument == "to_months"


def test_the_moment_of_reading_is_kept(clip: Programme) -> None:
    sold(clip)
    kept = keep(torque_file(2))
    run = clip.toy_tests.get(pk=kept.run_id)
    assert (run.read_at, run.done_on, run.test, run.market) == (NOON, TRIED_ON, "torque", "US")
    assert isinstance(run.read_at, datetime)
