"""Which steps are still to be done: only those, each with its reason, and in an order that can be walked."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Verdict
from offtool.handbook.release_list import RELEASE_LIST, Fed
from offtool.handbook.release_steps import RELEASE_STEPS, REVIEW, STEP_BY_CODE, step_that_answers
from offtool.steps.review_found import ReleaseReview, ReviewLine, ReviewTarget
from offtool.steps.way_needed import after_of, steps_needed
from offtool.steps.way_tools import SlotAhead, ToolAhead
from tests.reports import reviews, ways
from tests.reports.reviews import fact, line, size
from tests.reports.ways import tool

HOLDS, FAILS, STALE, MISSING = Standing.HOLDS, Standing.FAILS, Standing.STALE, Standing.MISSING
SIGNED = line("signatures", HOLDS)
UNSIGNED = line("signatures", MISSING)


def review(*lines: ReviewLine, signed: bool = False) -> ReleaseReview:
    return reviews.review(lines=(*lines, SIGNED if signed else UNSIGNED))


def needed(*lines: ReviewLine, tools: tuple[ToolAhead, ...] = (), signed: bool = False) -> dict[str, str]:
    """The names of the steps with their reasons."""
    found = steps_needed(review(*lines, signed=signed), tools, ways.OF_JOINTS)
    return {one.name: one.because for one in found}


def test_where_all_is_met_and_signed_no_step_is_left() -> None:
    assert needed(line("sizes", HOLDS), signed=True, tools=(tool("M3"),)) == {}


def test_where_all_is_met_the_review_is_left() -> None:
    assert list(needed(line("sizes", HOLDS), tools=(tool("M3"),))) == ["review"]


def test_a_size_that_does_not_hold_asks_for_the_whole_loop_of_its_tool_and_of_no_other() -> None:
    found = needed(
        line("sizes", FAILS, size("M3", "HO-05 6", FAILS), size("M1", "HO-02 4", HOLDS)), tools=ways.TOOLS
    )
    assert list(found) == ["decide M3", "cut M3", "slot M3", "trial M3", "measure M3", "review"]
    assert found["decide M3"] == "HO-05 6 does not hold"
    assert found["slot M3"] == "no trial is asked for yet"


def test_a_size_under_a_concession_asks_for_nothing() -> None:
    under = size("M3", "HO-05 6", Standing.CONCESSION)
    assert list(needed(line("sizes", Standing.CONCESSION, under), tools=ways.TOOLS)) == ["review"]


def test_cuts_that_are_decided_are_cut_and_not_decided_again() -> None:
    found = needed(line("sizes", FAILS, size("M3", "HO-05 6", FAILS)), tools=(tool("M3", decided=4),))
    assert "decide M3" not in found
    assert found["cut M3"] == "4 cuts decided"


def test_steel_that_was_cut_since_the_last_trial_is_tried_and_not_cut() -> None:
    found = needed(line("sizes", HOLDS), tools=(tool("M3", state="d"),))
    assert list(found) == ["slot M3", "trial M3", "measure M3", "review"]
    assert found["trial M3"] == "the steel is in state d; T3 ran with c"


def test_a_size_that_failed_before_its_steel_was_cut_is_tried_before_it_is_cut_again() -> None:
    because = (StaleBecause(change="steel", on=date(2026, 3, 20), words="M3 was cut to state d"),)
    failed = size("M3", "HO-05 6", FAILS, stale_because=because)
    found = needed(line("sizes", FAILS, failed), tools=(tool("M3", state="d"),))
    assert list(found) == ["slot M3", "trial M3", "measure M3", "review"]


def test_what_is_only_not_shown_is_only_measured() -> None:
    found = needed(line("sizes", MISSING, size("M3", "HO-05 6", MISSING)), tools=(tool("M3"),))
    assert list(found) == ["measure M3", "review"]
    assert found["measure M3"] == "not shown: HO-05 6"


def test_a_tool_that_never_ran_is_tried() -> None:
    found = needed(tools=(tool("M3", last_trial="", last_state="", last_is_read=False),))
    assert found["trial M3"] == "the tool was not tried yet"


def test_a_fixed_slot_stands_and_is_not_waited_for_as_a_step() -> None:
    slot = SlotAhead(trial="T4", fixed=date(2026, 4, 1), earliest=None)
    ahead = tool("M3", state="d", slots=(slot,))
    found = steps_needed(review(), (ahead,), {})
    by_name = {one.name: one for one in found}
    assert "slot M3" not in by_name
    assert by_name["trial M3"].not_before == date(2026, 4, 1)
    assert "T4 on 1 April 2026" in by_name["trial M3"].because


def test_a_trial_that_is_asked_for_waits_for_a_press_and_not_before_its_day() -> None:
    slot = SlotAhead(trial="T4", fixed=None, earliest=date(2026, 4, 1))
    by_name = {one.name: one for one in steps_needed(review(), (tool("M3", state="d", slots=(slot,)),), {})}
    assert by_name["slot M3"].not_before == date(2026, 4, 1)
    assert by_name["trial M3"].not_before is None


OF_LINES = {
    one.code: tuple(each.code for each in step_that_answers(one.fed_by) if not each.of_each_tool)
    for one in RELEASE_LIST
}


@pytest.mark.parametrize("code", OF_LINES)
@pytest.mark.parametrize("standing", [FAILS, MISSING, STALE])
def test_every_line_that_is_not_met_asks_for_a_step_that_answers_it(code: str, standing: Standing) -> None:
    because = (StaleBecause(change="mask", on=date(2026, 3, 17), words="a new mask"),)
    one = line(code, standing, stale_because=because if standing is STALE else ())
    found = {step.name: step for step in steps_needed(review(one), (tool("M3", last_is_read=False),), {})}
    answers = {name for name, step in found.items() if code in step.lines}
    wanted = set(OF_LINES[code]) or ({"review"} if one.fed_by is Fed.SIGNATURES else {"measure M3"})
    if code == "line-rate" and standing is STALE:
        wanted = {"pilot"}
    if one.fed_by in (Fed.SIZES, Fed.CAPABILITY, Fed.WEIGHT):
        assert "measure M3" in found
    else:
        assert wanted <= answers


def test_a_certificate_asks_for_the_laboratory() -> None:
    assert list(needed(line("certificate-us", MISSING))) == ["laboratory", "certificate", "review"]


def test_a_coming_cut_makes_stale_what_holds_and_hangs_on_its_parts_and_only_that() -> None:
    fails = line("sizes", FAILS, size("M3", "HO-05 6", FAILS))
    shoulder, tail = (ReviewTarget(page="joint", names=(one,)) for one in ("shoulder", "tail"))
    with_shoulder = line("joints-fresh", HOLDS, fact("shoulder", HOLDS, target=shoulder))
    with_tail = line("joints-fresh", HOLDS, fact("tail", HOLDS, target=tail))
    found = needed(fails, with_shoulder, tools=ways.TOOLS)
    assert "holds today; the steel of M3 that is to be cut makes it stale" in found["joints"]
    assert "joints" not in needed(fails, with_tail, tools=ways.TOOLS), "the tail is of neither part of M3"
    assert "joints" not in needed(with_shoulder, tools=ways.TOOLS), "nothing is to be cut"


def test_what_no_steel_makes_stale_is_not_done_again_for_a_cut() -> None:
    fails = line("sizes", FAILS, size("M3", "HO-05 6", FAILS))
    rate = line("line-rate", HOLDS, fact("P1", HOLDS, target=ReviewTarget(page="pilot", names=("P1",))))
    assert {"pilot", "line"}.isdisjoint(needed(fails, rate, tools=ways.TOOLS))


@pytest.mark.parametrize(
    ("stale", "changed_on", "again"),
    [
        ("steel", date(2026, 3, 1), False),
        ("steel", date(2026, 3, 20), True),
        ("colour", date(2026, 3, 20), False),
    ],
)
def test_masks_are_made_again_only_where_the_steel_was_cut_after_them(
    stale: str, changed_on: date, again: bool
) -> None:
    because = (StaleBecause(change=stale, on=changed_on, words="told"),)
    one = line("decoration", STALE, fact("belly", STALE), stale_because=because)
    assert ("masks" in needed(one)) is again  # the mask of the invented review is of 18 March


def test_a_pilot_that_is_stale_is_run_again_without_setting_the_line_up() -> None:
    because = (StaleBecause(change="mask", on=date(2026, 3, 20), words="a new mask"),)
    assert "line" not in needed(line("line-rate", STALE, stale_because=because))
    assert "line" in needed(line("line-rate", FAILS))


def test_no_step_waits_for_itself_and_the_review_waits_for_all() -> None:
    found = steps_needed(reviews.review(), ways.TOOLS, ways.OF_JOINTS)
    after = after_of(found)
    done: set[str] = set()
    left = dict(after)
    while left:  # each round takes what waits for nothing that is left
        ready = [name for name, waits in left.items() if done.issuperset(waits)]
        assert ready
        done |= set(ready)
        left = {name: waits for name, waits in left.items() if name not in done}

    def before(name: str) -> set[str]:
        return {name}.union(*(before(one) for one in after[name]))

    assert before("review") == set(after)


def test_a_step_of_one_tool_does_not_wait_for_the_other_tool() -> None:
    fails = line("sizes", FAILS, size("M3", "HO-05 6", FAILS), size("M1", "HO-02 4", FAILS))
    after = after_of(steps_needed(review(fails), ways.TOOLS, {}))
    assert after["cut M1"] == ("decide M1",)
    assert set(after["measure M3"]) == {"trial M3"}


def test_the_handbook_names_only_steps_that_are_there_and_in_no_ring() -> None:
    place = {one.code: number for number, one in enumerate(RELEASE_STEPS)}
    for one in RELEASE_STEPS:
        assert all(place[each] < place[one.code] for each in one.after), one.code
        assert 0 < one.low_days < one.high_days
    assert len(STEP_BY_CODE) == len(RELEASE_STEPS)
    assert {fed for fed in Fed if not step_that_answers(fed)} == set()
    assert RELEASE_STEPS[-1].code == REVIEW


def test_facts_without_a_page_are_told_to_a_tool_by_the_part_they_name() -> None:
    named: dict[str, Any] = {"verdict": Verdict.FAILS}
    found = needed(line("sizes", FAILS, fact("HO-05 6", FAILS, **named)), tools=ways.TOOLS)
    assert "cut M3" in found
    assert "cut M1" not in found
