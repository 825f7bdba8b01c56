"""A finding at the press is open over tool states until a trial shows it gone."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from scipy import stats

from offtool.core.values import OfftoolError
from offtool.handbook.defects import AT_THE_PRESS
from offtool.records.models import Defect, Look, Trial
from offtool.records.queries.finding import NotInRecord
from offtool.steps.defect_list import edit_defect
from offtool.steps.look_at_pieces import FlawSeen, PiecesLookedAt, look_at_pieces, take_look_back
from offtool.steps.press_actions import press_actions
from offtool.steps.press_findings import Standing
from tests.labels import independent
from tests.steps.press import NOW, SLUG, TOOL, add_part, followed, found, look, make_tool, seen

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def tool() -> None:
    make_tool()


def test_a_trial_at_which_nobody_looked_says_so_and_warns_of_the_press() -> None:
    nothing = found("T1")
    assert nothing.headline == "Nothing was looked at in T1 yet."
    assert nothing.defects == ()
    assert nothing.next_shot == 1
    assert nothing.cautions == (AT_THE_PRESS,)


def test_a_clean_look_is_evidence_and_no_finding() -> None:
    look("T1", "2", 24)
    assert found("T1").headline == "Nothing wrong on 24 pieces of T1."
    assert found("T1").pieces == 24


def test_a_finding_is_open_in_the_trial_that_saw_it() -> None:
    look("T1", "2", 24, seen("flash", 9))
    one = followed("T1")
    assert one.standing is Standing.OPEN
    assert one.says == "Open since T1 (state a): 9 of 24 in T1."
    low, high = stats.binomtest(9, 24).proportion_ci(0.95, "exact")
    assert one.here is not None
    assert one.here.interval.low == independent(low, way="scipy.stats.binomtest, Clopper and Pearson")
    assert one.here.interval.high == independent(high, way="scipy.stats.binomtest, Clopper and Pearson")


def test_a_finding_stays_open_where_nobody_looks() -> None:
    look("T1", "2", 24, seen("flash", 9))
    look("T3", "1", 50)
    one = followed("T3")
    assert one.standing is Standing.NOT_LOOKED_AT
    assert one.says == "Not looked at since T1 (state a): 9 of 24 there."
    assert one.here is None
    assert found("T3").headline == "Nothing wrong on 50 pieces of T3; 1 earlier finding is open."


def p_gone(seen_before: int, before: int, after: int) -> float:
    """Fisher's exact test, one-sided, as scipy answers it."""
    table = [[seen_before, before - seen_before], [0, after]]
    return float(stats.fisher_exact(table, alternative="greater").pvalue)


def test_too_few_pieces_cannot_show_it_gone_and_so_many_would() -> None:
    look("T1", "2", 24, seen("flash", 9))
    look("T3", "2", 3)
    one = followed("T3")
    assert one.standing is Standing.NOT_SHOWN_GONE
    needed = one.pieces_needed
    assert needed is not None
    assert p_gone(9, 24, needed) <= 0.05
    # Clopper and Pearson: 0 of n bounds the share by 1 - 0.05^(1/n); 11 are the first under a quarter.
    assert 1 - 0.05 ** (1 / needed) <= 0.25 < 1 - 0.05 ** (1 / (needed - 1))
    assert one.says == (
        f"Not shown gone: not seen, but 3 pieces of T3 cannot show it: {needed} in one trial would; "
        "before 9 of 24 in T1, open since T1 (state a)."
    )


def test_so_many_pieces_show_it_gone() -> None:
    look("T1", "2", 24, seen("flash", 9))
    needed = followed("T1").pieces_needed or 0
    look("T3", "2", needed)
    one = followed("T3")
    assert one.standing is Standing.GONE
    assert one.says == f"Shown gone in T3 (state c): 0 of {needed}, before 9 of 24 in T1."
    assert one.pieces_needed is None
    assert not one.is_open
    assert any("one may be called gone by chance" in caution.text for caution in found("T3").cautions)


def test_it_is_gone_in_its_own_cavity_only() -> None:
    look("T1", "2", 24, seen("flash", 9))
    look("T1", "3", 24, seen("flash", 9))
    look("T3", "2", 24)
    assert followed("T3", cavity="2").standing is Standing.GONE
    assert followed("T3", cavity="3").standing is Standing.NOT_LOOKED_AT


def test_two_places_are_two_findings() -> None:
    look("T1", "2", 24, seen("flash", 9, "Left ear"), seen("flash", 6, "tail"))
    look("T3", "2", 24, seen("flash", 5, "left  EAR"))
    assert followed("T3", place="Left ear").standing is Standing.OPEN
    assert followed("T3", place="tail").standing is Standing.GONE


def test_where_a_place_was_left_out_once_the_whole_cavity_is_followed() -> None:
    """It may have been the left ear: that it was seen there no more would be a guess."""
    look("T1", "2", 24, seen("flash", 9, "left ear"))
    look("T2", "2", 24, seen("flash", 2))
    assert followed("T2").says == "Open since T1 (state a): 2 of 24 in T2, fewer than 9 of 24 in T1."
    assert [one.place for one in found("T2").followed] == [""]


def test_what_comes_back_is_open_since_it_came_back() -> None:
    look("T1", "2", 24, seen("flash", 9))
    look("T2", "2", 24)
    look("T3", "2", 24, seen("flash", 1))
    one = followed("T3")
    assert (one.standing, one.since.trial, one.last_seen.seen) == (Standing.OPEN, "T3", 1)
    assert followed("T2").standing is Standing.GONE


def test_the_level_to_beat_is_that_of_the_trial_that_saw_it_last() -> None:
    look("T1", "2", 24, seen("flash", 20))
    look("T2", "2", 24, seen("flash", 1))
    look("T3", "2", 24)
    one = followed("T3")
    assert p_gone(20, 24, 24) < 0.05 < p_gone(1, 24, 24)
    assert (one.standing, one.since.trial, one.last_seen.trial) == (Standing.NOT_SHOWN_GONE, "T1", "T2")


def test_an_unknown_cavity_is_shown_gone_by_all_cavities_together_only() -> None:
    look("T1", None, 24, seen("flash", 12))
    for cavity in "123":
        look("T3", cavity, 24)
    assert followed("T3", cavity="").standing is Standing.NOT_LOOKED_AT
    look("T3", "4", 2)
    assert followed("T3", cavity="").last_looked_at.looked_at == 2
    assert followed("T3", cavity="").standing is Standing.NOT_SHOWN_GONE
    look("T3", "4", 22)
    assert followed("T3", cavity="").standing is Standing.GONE
    assert any("is not recorded" in caution.text for caution in found("T1").cautions)


def test_cavities_are_compared_and_the_worst_is_named() -> None:
    for cavity, pieces in zip("1234", (0, 0, 5, 1), strict=True):
        look("T1", cavity, 16, *([seen("flash", pieces)] if pieces else []))
    (part,) = found("T1").defects[0].compared
    assert part.shares.differ
    assert part.says == f"The cavities differ (p = {part.shares.p_same:.3f}): mostly cavity 3."


def test_cavities_of_different_parts_are_not_compared() -> None:
    from offtool.records.models import Tool

    add_part(Tool.objects.get(), "FL-2", 1)
    look("T1", "FL-1 1", 16, seen("flash", 16))
    look("T1", "FL-2 1", 16)
    assert found("T1").defects[0].compared == ()
    with pytest.raises(OfftoolError, match="2 parts have a cavity '1'; name the part too: FL-1 1, FL-2 1"):
        look("T1", "1", 2)
    look("T1", "2", 2)


def test_what_fades_along_the_trial_is_said_to() -> None:
    for shot in range(1, 21):
        look("T1", "2", 1, *(["flash"] if shot <= 8 else []), shot=shot)
    defect = found("T1").defects[0]
    assert defect.along is not None
    assert defect.along.change == "fades"
    assert "8 of 10 in the first half of the shots, 0 of 10 in the second" in defect.along_says
    assert found("T1").next_shot == 21


def test_one_piece_at_the_end_of_a_trial_is_no_trend() -> None:
    for shot in range(1, 31):
        look("T1", "2", 1, *(["flash"] if shot == 30 else []), shot=shot)
    defect = found("T1").defects[0]
    assert defect.along is not None
    assert defect.along.early.seen + (defect.along.late.seen if defect.along.late else 0) == 1
    assert defect.along_says == ""


def test_shots_before_the_press_had_settled_are_listed_and_do_not_count() -> None:
    for shot in range(1, 13):
        look("T1", "2", 1, *(["short-shot"] if shot <= 6 else []), shot=shot)
    assert "say from which shot it had settled" in next(press_actions(found("T1"))).because
    Trial.objects.filter(name="T1").update(settled_from=7)
    after = found("T1")
    assert (after.headline, len(after.looks)) == ("Nothing wrong on 6 pieces of T1.", 12)
    assert any("6 pieces of shots before the press had settled" in caution.text for caution in after.cautions)
    assert after.next_shot == 13


def test_the_next_shot_is_as_far_on_as_the_last_two_lie_apart() -> None:
    for shot in (5, 10, 20):
        look("T1", "2", shot=shot)
    assert found("T1").next_shot == 30


def test_the_same_piece_is_no_two_pieces_of_evidence() -> None:
    look("T1", "2", 1, "flash", shot=12)
    with pytest.raises(OfftoolError, match="shot 12 of cavity 2 was looked at before"):
        look("T1", "2", shot=12)
    look("T1", "3", shot=12)
    look("T2", "2", shot=12)
    look("T1", "2")
    assert Look.objects.count() == 4


def test_a_look_set_aside_counts_no_more_and_stays_to_be_seen() -> None:
    kept = look("T1", "2", 1, "flash", shot=12)
    take_look_back(SLUG, TOOL, "T1", kept.numbers[0], reason="wrong cavity", made_by="tooling")
    after = found("T1")
    assert after.defects == ()
    assert after.pieces == 0
    assert [one.set_aside for one in after.looks] == ["wrong cavity"]
    assert after.looks[0].flaws[0].name == "flash"
    look("T1", "3", 1, "flash", shot=12)
    look("T1", "2", shot=12)
    row = Look.objects.get(pk=kept.numbers[0]).history.latest()
    assert (row.history_user_id, row.history_change_reason) == ("tooling", "wrong cavity")


def test_a_look_is_set_aside_once_and_with_a_reason() -> None:
    number = look("T1", "2").numbers[0]
    with pytest.raises(OfftoolError, match="no reason is given"):
        take_look_back(SLUG, TOOL, "T1", number, reason="  ", made_by="x")
    take_look_back(SLUG, TOOL, "T1", number, reason="wrong tool", made_by="x")
    with pytest.raises(OfftoolError, match="it was set aside before: wrong tool"):
        take_look_back(SLUG, TOOL, "T1", number, reason="again", made_by="x")
    with pytest.raises(NotInRecord, match="no look"):
        take_look_back(SLUG, TOOL, "T2", number, reason="of another trial", made_by="x")


def test_a_defect_off_the_list_is_not_shown_gone_by_those_who_no_longer_look_for_it() -> None:
    look("T1", "2", 24, seen("flash", 9), at=datetime.now(UTC))
    edit_defect(SLUG, "flash", is_listed=False, made_by="tooling", reason="not our job")
    look("T3", "2", 200, at=datetime.now(UTC))
    one = followed("T3")
    assert one.standing is Standing.NOT_LOOKED_FOR
    assert one.says == "Off the list: open since T1 (state a) when it was taken off, 9 of 24 in T1."
    assert list(press_actions(found("T3"))) == []
    with pytest.raises(OfftoolError, match="flash was taken off the list; put it on the list again first"):
        look("T3", "2", 1, "flash")
    edit_defect(SLUG, "flash", is_listed=True, made_by="tooling")
    assert followed("T3").standing is Standing.NOT_LOOKED_AT
    look("T3", "2", 24, at=datetime.now(UTC))
    assert followed("T3").says == "Shown gone in T3 (state c): 0 of 24, before 9 of 24 in T1."


def test_a_word_of_ones_own_was_looked_for_only_since_it_is_on_the_list() -> None:
    look("T1", "2", 50, at=datetime.now(UTC))
    edit_defect(SLUG, "whisker", name="whisker", made_by="tooling")
    look("T1", "2", 2, seen("whisker", 1), at=datetime.now(UTC))
    assert followed("T1", defect="whisker").says == "Open since T1 (state a): 1 of 2 in T1."


def test_a_standard_word_was_looked_for_before_it_was_first_written_down() -> None:
    look("T1", "2", 50, at=datetime.now(UTC))
    look("T1", "2", 2, seen("flash", 1), at=datetime.now(UTC))
    assert followed("T1").says == "Open since T1 (state a): 1 of 52 in T1."


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"pieces": 0}, "pieces = 0: must be 1 to 1,000,000"),
        ({"pieces": 1, "shot": -1}, "shot = -1: must be 0 to"),
        ({"pieces": 1, "shot": 10**30}, "must be 0 to"),
        ({"shot": 7}, "pieces = 2: must be 1: a cavity gives one piece a shot"),
        ({"flaws": (FlawSeen(defect="flash", pieces=3),)}, "must be 1 to the 2 looked at"),
        ({"flaws": (FlawSeen(defect="flash"), FlawSeen(defect="flash"))}, "flash is given twice"),
        ({"flaws": (FlawSeen(defect="flash", place="Ear"), FlawSeen(defect="flash", place=" ear"))}, "twice"),
        ({"flaws": (FlawSeen(defect="flsh"),)}, "no defect 'flsh' on the list; did you mean 'flash'"),
        ({"cavity": "7"}, "no cavity '7' in tool M4"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(given: dict[str, object], said: str) -> None:
    good = PiecesLookedAt(cavity="1", flaws=(FlawSeen(defect="sink"),))
    bad = PiecesLookedAt(**{"cavity": "2", "pieces": 2, **given})  # type: ignore[arg-type]
    with pytest.raises(OfftoolError, match=said):
        look_at_pieces(SLUG, TOOL, "T1", [good, bad], looked_at=NOW)
    assert Look.objects.count() == 0
    assert Defect.objects.count() == 0


def test_nothing_to_keep_is_refused() -> None:
    with pytest.raises(OfftoolError, match="nothing was looked at"):
        look_at_pieces(SLUG, TOOL, "T1", [], looked_at=NOW)


def test_a_trial_is_made_only_when_that_is_asked_for_and_on_the_latest_steel() -> None:
    with pytest.raises(NotInRecord, match="no trial 'T4'"):
        look("T4", "2")
    kept = look("T4", "2", may_be_new=True)
    assert kept.is_new_trial
    assert (Trial.objects.get(name="T4").state.label, kept.state) == ("c", "c")


def test_a_defect_is_known_by_code_by_name_and_by_its_other_names() -> None:
    for word in ("short-shot", "Short shot", "NON-FILL", "burr"):
        look("T1", "2", 1, word)
    assert {one.code for one in found("T1").defects} == {"short-shot", "flash"}


def test_open_findings_are_things_to_do_critical_ones_first() -> None:
    look("T1", "2", 24, seen("flash", 9, "parting line"))
    look("T1", "3", 24, seen("flash", 9, "parting line"))
    look("T3", "3", 3)
    look("T3", "1", 10, seen("crack", 4))
    actions = list(press_actions(found("T3")))
    needed = followed("T3", cavity="2", place="parting line").pieces_needed or 0
    assert [one.do for one in actions] == [
        "Mend crack in cavity 1.",
        f"Look at {needed - 3} more pieces of cavity 3: flash (parting line) is open since T1.",
        "Look again at cavity 2: flash (parting line) is open since T1.",
    ]
    assert "pack less" in actions[0].because
    assert f"{needed} pieces without it, in one trial, would show it gone." in actions[2].because
    assert {one.leads_to for one in actions} == {"look"}


def test_a_trial_says_nothing_of_later_ones() -> None:
    look("T1", "2", 24, seen("flash", 9))
    look("T3", "2", 24)
    assert followed("T1").standing is Standing.OPEN
    assert followed("T2").standing is Standing.NOT_LOOKED_AT
