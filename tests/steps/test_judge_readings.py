"""A person's word on readings: left out with a reason, taken back in, and when the press had settled."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Exclusion, Programme, Reading, Trial
from offtool.records.operations import leave_out_readings
from offtool.steps.inspect_size import inspect_size
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.judge_readings import (
    NotOneReading,
    find_reading,
    leave_out,
    say_times,
    settle,
    take_back,
)
from offtool.steps.readings_seen import Counts
from tests.steps.clip import NOON, PEG, SLUG, TOOL, csv_of, keep, trial_file

PLACE = {"programme": SLUG, "tool": TOOL, "trial": "T1"}
SAID = {"reason": "the sheet says 3.966", "made_at": NOON, "made_by": "tester"}
SLIP = 4.66
"""Where the peg of cavity 2 in shot 35 was written with its digits crossed."""


@pytest.fixture
def slipped(clip: Programme) -> None:
    """A trial with one slip of the pen."""
    rows = trial_file().decode().splitlines()
    at = next(i for i, row in enumerate(rows) if row.startswith("35,2,"))
    length = rows[at].rsplit(",", 1)[1]
    rows[at] = f"35,2,{SLIP},{length}"
    keep(("\n".join(rows) + "\n").encode())


def test_the_slip_is_pointed_at_and_still_counts(slipped: None) -> None:
    found = inspect_trial(SLUG, TOOL, "T1")
    (pointed,) = found.pointed_at
    assert (pointed.size, pointed.cavity, pointed.shot, pointed.value) == ("P1 1", "2", 35, SLIP)
    assert pointed.counts is Counts.YES
    assert max(cavity.parts for cavity in found.sizes[0].finding.cavities) == 12
    assert found.left_out == ()


def test_a_reading_that_is_left_out_is_seen_and_not_used(slipped: None) -> None:
    reading = find_reading(SLUG, TOOL, "T1", size="P1 1", cavity="2", shot=35)
    after = leave_out(**PLACE, readings=[reading.reading_id], **SAID)
    (left,) = after.left_out
    assert (left.reason, left.said_by, left.value) == ("the sheet says 3.966", "tester", SLIP)
    assert after.pointed_at == ()
    peg = next(size for size in after.sizes if size.number == "1" and size.part == "P1")
    assert [cavity.parts for cavity in peg.finding.cavities] == [12, 11]
    assert peg.left_out_readings == 1
    assert abs(peg.finding.cavities[1].mean - PEG) < 0.01
    assert Reading.objects.count() == 48


def test_a_reading_taken_back_counts_as_before_and_both_words_are_kept(slipped: None) -> None:
    before = inspect_trial(SLUG, TOOL, "T1")
    reading = find_reading(SLUG, TOOL, "T1", size="P1 1", cavity="2", shot=35)
    leave_out(**PLACE, readings=[reading.reading_id], **SAID)
    again = find_reading(SLUG, TOOL, "T1", size="P1 1", is_left_out=True)
    assert again.reading_id == reading.reading_id
    after = take_back(**PLACE, readings=[again.reading_id], **SAID | {"reason": "it was right"})
    assert after == before
    assert list(Exclusion.objects.order_by("pk").values_list("is_left_out", "reason")) == [
        (True, "the sheet says 3.966"),
        (False, "it was right"),
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"reason": "  "}, "no reason"),
        ({"readings": []}, "no reading is named"),
        ({"readings": [10**9]}, "none of trial T1"),
    ],
)
def test_what_cannot_be_left_out_is_refused_and_changes_nothing(
    slipped: None, change: dict[str, object], said: str
) -> None:
    reading = find_reading(SLUG, TOOL, "T1", size="P1 1", cavity="2", shot=35)
    given = PLACE | SAID | {"readings": [reading.reading_id]} | change
    with pytest.raises(OfftoolError, match=said):
        leave_out(**given)  # type: ignore[arg-type]
    assert not Exclusion.objects.exists()


def test_several_readings_that_fit_are_named_and_none_is_chosen(slipped: None) -> None:
    with pytest.raises(NotOneReading, match=r"12 readings of P1 1 fit: .* row 3, column 3"):
        find_reading(SLUG, TOOL, "T1", size="P1 1", cavity="2")
    with pytest.raises(NotOneReading, match="no reading of P1 1 fits"):
        find_reading(SLUG, TOOL, "T1", size="P1 1", shot=99)


def test_the_last_reading_of_a_size_in_a_cavity_cannot_be_left_out(slipped: None) -> None:
    found = inspect_size(SLUG, TOOL, "T1", "P1 2")
    mine = [one.reading_id for one in found.analysis.readings if one.cavity == "1"]
    with pytest.raises(OfftoolError, match="P1 2, cavity 1: no reading would be left"):
        leave_out(**PLACE, readings=mine, **SAID)
    assert not Exclusion.objects.exists()
    after = leave_out(**PLACE, readings=mine[1:], **SAID)
    with pytest.raises(OfftoolError, match="no reading would be left"):
        leave_out(**PLACE, readings=mine[:1], **SAID)
    assert len(after.sizes) == 2


def test_a_size_that_a_folder_says_is_left_out_whole_is_named(slipped: None) -> None:
    trial = Trial.objects.get()
    lengths = [one.reading_id for one in inspect_size(SLUG, TOOL, "T1", "P1 2").analysis.readings]
    leave_out_readings(trial, lengths, **SAID)
    after = inspect_trial(SLUG, TOOL, "T1")
    assert [f"{size.part} {size.number}" for size in after.sizes] == ["P1 1"]
    assert any(one.text == "P1 2: every reading was left out, so nothing judges it" for one in after.cautions)
    back = find_reading(SLUG, TOOL, "T1", size="P1 2", cavity="1", shot=30, is_left_out=True)
    assert len(take_back(**PLACE, readings=[back.reading_id], **SAID).sizes) == 2


def test_a_person_says_when_the_press_settled_and_the_reason_is_kept(slipped: None) -> None:
    after = settle(**PLACE, settled_from=36, reason="hold pressure raised", made_by="tester")
    assert after.settled_from == 36
    assert {cavity.parts for size in after.sizes for cavity in size.finding.cavities} == {6}
    fact = next(fact.says for fact in after.rests_on if fact.about == "Settled")
    assert "hold pressure raised" in fact
    word = Trial.objects.get().history.first()
    assert (word.history_user_id, word.history_change_reason) == ("tester", "hold pressure raised")
    again = settle(**PLACE, settled_from=None, reason="it was shot 30 after all", made_by="tester")
    assert again.settled_from == inspect_trial(SLUG, TOOL, "T1").settled_from != 36


@pytest.mark.parametrize(("settled_from", "reason"), [(36, ""), (99, "too late"), (-1, "too early")])
def test_a_word_on_settling_without_reason_or_shot_is_refused(
    slipped: None, settled_from: int, reason: str
) -> None:
    before = inspect_trial(SLUG, TOOL, "T1")
    with pytest.raises(OfftoolError):
        settle(**PLACE, settled_from=settled_from, reason=reason, made_by="tester")
    assert inspect_trial(SLUG, TOOL, "T1") == before


def test_age_comes_from_the_two_times_and_warns_under_16_hours(slipped: None) -> None:
    moulded = datetime(2026, 3, 1, 8, tzinfo=UTC)
    early = say_times(**PLACE, moulded_at=moulded, measured_at=moulded + timedelta(hours=6), made_by="t")
    assert early.age_h == 6
    assert any("before 16 h" in caution.text for caution in early.cautions)
    later = say_times(**PLACE, moulded_at=moulded, measured_at=moulded + timedelta(hours=20), made_by="t")
    assert not any("before 16 h" in caution.text for caution in later.cautions)
    with pytest.raises(OfftoolError, match="measured after they are moulded"):
        say_times(**PLACE, moulded_at=moulded, measured_at=moulded - timedelta(hours=1), made_by="t")


def test_one_time_given_after_the_other_leaves_the_first_as_it_is(slipped: None) -> None:
    moulded = datetime(2026, 3, 1, 8, tzinfo=UTC)
    say_times(**PLACE, moulded_at=moulded, made_by="t")
    assert say_times(**PLACE, measured_at=moulded + timedelta(hours=18), made_by="t").age_h == 18


def test_a_shot_that_no_press_counts_is_refused_where_no_shot_is_known(clip: Programme) -> None:
    keep(csv_of(["Cavity", "P1 1"], [(1, 3.97), (2, 3.98)]))
    with pytest.raises(OfftoolError, match="must be a shot of trial T1"):
        settle(**PLACE, settled_from=10**30, reason="a slip", made_by="tester")


def test_a_time_of_another_year_than_the_trial_is_refused(slipped: None) -> None:
    Trial.objects.update(shot_on=date(2026, 3, 1))
    with pytest.raises(OfftoolError, match="within 3 days of the trial"):
        say_times(**PLACE, moulded_at=datetime(2036, 3, 1, 8, tzinfo=UTC), made_by="t")
