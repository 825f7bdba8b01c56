"""What people know of a trial: when the press had settled, when it was run; kept with who, when and why."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.records.models import Trial
from offtool.records.operations import overrule_settling, set_times
from tests.records.example import NOON, Example


def kept(example: Example) -> Trial:
    return Trial.objects.get(pk=example.trial.pk)


def test_a_person_overrules_the_readings_and_goes_back(example: Example) -> None:
    example.stored()
    overrule_settling(example.trial, settled_from=2, reason=" heater off before ", made_by="Ada")
    assert (kept(example).settled_from, kept(example).settled_reason) == (2, "heater off before")
    overrule_settling(example.trial, settled_from=None, reason="it was on", made_by="Bo")
    assert (kept(example).settled_from, kept(example).settled_reason) == (None, "")
    last, before, _ = Trial.history.filter(id=example.trial.pk)
    assert (last.history_user_id, last.history_change_reason, last.settled_from) == ("Bo", "it was on", None)
    assert (before.history_user_id, before.history_change_reason) == ("Ada", "heater off before")
    assert (before.settled_from, before.settled_reason) == (2, "heater off before")


@pytest.mark.parametrize("settled_from", [2, None])
def test_without_a_reason_nothing_is_overruled(settled_from: int | None, example: Example) -> None:
    with pytest.raises(OfftoolError, match="no reason; say why"):
        overrule_settling(example.trial, settled_from=settled_from, reason=" ", made_by="Ada")
    assert Trial.history.filter(id=example.trial.pk).count() == 1


@pytest.mark.parametrize("shot", [-1, 3])
def test_a_shot_that_the_trial_does_not_have_is_refused(shot: int, example: Example) -> None:
    example.stored()
    with pytest.raises(ImpossibleInput, match="at least 0 and no later than the last, 2"):
        overrule_settling(example.trial, settled_from=shot, reason="x", made_by="Ada")
    assert kept(example).settled_from is None


def test_before_anything_is_measured_any_shot_may_be_named(example: Example) -> None:
    assert overrule_settling(example.trial, settled_from=20, reason="x", made_by="Ada").settled_from == 20


def test_what_another_person_changed_meanwhile_stays(example: Example) -> None:
    Trial.objects.filter(pk=example.trial.pk).update(note="by another")
    overrule_settling(example.trial, settled_from=1, reason="x", made_by="Ada")
    assert kept(example).note == "by another"


def test_the_age_of_the_parts_follows_from_the_two_times(example: Example) -> None:
    trial = set_times(
        example.trial, moulded_at=NOON, measured_at=NOON + timedelta(hours=25, minutes=30), made_by="Ada"
    )
    assert trial.hours_to_measuring == 25.5
    assert kept(example).hours_to_measuring == 25.5
    last = Trial.history.filter(id=trial.pk).first()
    assert (last.history_user_id, last.measured_at - last.moulded_at) == ("Ada", timedelta(hours=25.5))


@pytest.mark.parametrize("missing", ["moulded_at", "measured_at"])
def test_with_one_time_only_the_age_is_the_one_that_was_given(missing: str, example: Example) -> None:
    Trial.objects.filter(pk=example.trial.pk).update(age_h=24)
    times = {"moulded_at": NOON, "measured_at": NOON} | {missing: None}
    assert set_times(example.trial, **times, made_by="Ada").hours_to_measuring == 24


def test_parts_are_measured_after_they_are_moulded(example: Example) -> None:
    with pytest.raises(OfftoolError, match="parts are measured after they are moulded"):
        set_times(example.trial, moulded_at=NOON, measured_at=NOON - timedelta(seconds=1), made_by="Ada")
    assert set_times(example.trial, moulded_at=NOON, measured_at=NOON, made_by="A").hours_to_measuring == 0


def test_a_time_without_its_zone_is_refused_and_one_of_another_zone_is_the_same_time(
    example: Example,
) -> None:
    with pytest.raises(ImpossibleInput, match="measured_at = 2026-03-02 12:00:00: has no offset from UTC"):
        set_times(example.trial, moulded_at=None, measured_at=datetime(2026, 3, 2, 12), made_by="Ada")
    abroad = datetime(2026, 3, 2, 20, tzinfo=timezone(timedelta(hours=8)))
    trial = set_times(example.trial, moulded_at=abroad, measured_at=NOON, made_by="Ada")
    assert trial.hours_to_measuring == 0
    assert kept(example).moulded_at == datetime(2026, 3, 2, 12, tzinfo=UTC)
