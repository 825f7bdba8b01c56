"""Readings are left out and taken back in with a reason; the newest word of each counts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Exclusion, Reading, Trial
from offtool.records.operations import leave_out_readings, take_back_in
from offtool.records.queries import left_out_of, load_readings
from tests.records.example import NOON, Example


def keys(example: Example) -> list[int]:
    example.stored()
    return load_readings(example.trial).reading_id.tolist()


def leave_out(trial: Trial, readings: Sequence[int], reason: str = "it fell", at: datetime = NOON) -> Any:
    return leave_out_readings(trial, readings, reason=reason, made_at=at, made_by="Ada")


def take_back(trial: Trial, readings: Sequence[int], reason: str = "found whole", at: datetime = NOON) -> Any:
    return take_back_in(trial, readings, reason=reason, made_at=at, made_by="Bo")


def left_out(trial: Trial) -> list[int]:
    return left_out_of(trial).reading_ids.tolist()


def refusal(*arguments: Any, **given: Any) -> OfftoolError:
    before = Exclusion.objects.count()
    with pytest.raises(OfftoolError) as refused:
        arguments[0](*arguments[1:], **given)
    assert refused.value.remedy
    assert Exclusion.objects.count() == before
    return refused.value


def test_at_first_nothing_is_left_out(example: Example) -> None:
    keys(example)
    assert len(left_out_of(example.trial)) == 0
    assert left_out_of(example.trial).reading_ids.dtype == np.int64


def test_a_reading_is_left_out_with_who_when_and_why(example: Example) -> None:
    first, second, *_ = keys(example)
    leave_out(example.trial, [second, first], " it fell ")
    found = left_out_of(example.trial)
    assert found.reading_ids.tolist() == [first, second]
    assert [(row.reason, row.made_by, row.made_at) for row in found.rows] == [("it fell", "Ada", NOON)] * 2
    assert [row.reading.value for row in found.rows] == [4.01, 4.02]
    assert found.among(load_readings(example.trial).reading_id).tolist() == [True, True, False, False]


def test_the_newest_word_counts_whatever_the_clock_said(example: Example) -> None:
    first, *_ = keys(example)
    leave_out(example.trial, [first])
    take_back(example.trial, [first], at=NOON - timedelta(days=1))
    assert left_out(example.trial) == []
    leave_out(example.trial, [first], "cracked", at=NOON - timedelta(days=2))
    assert left_out(example.trial) == [first]
    assert [row.reason for row in left_out_of(example.trial).rows] == ["cracked"]
    assert Exclusion.objects.count() == 3


def test_the_readings_themselves_stay(example: Example) -> None:
    first, *_ = keys(example)
    before = list(Reading.objects.order_by("pk").values())
    leave_out(example.trial, [first])
    assert list(Reading.objects.order_by("pk").values()) == before
    assert len(load_readings(example.trial)) == 4


def test_a_reading_named_twice_is_left_out_once(example: Example) -> None:
    first, *_ = keys(example)
    leave_out(example.trial, [first, first])
    assert Exclusion.objects.count() == 1


@pytest.mark.parametrize("say", [leave_out, take_back])
@pytest.mark.parametrize("reason", ["", " \n"])
def test_without_a_reason_nothing_is_said(say: Any, reason: str, example: Example) -> None:
    assert refusal(say, example.trial, keys(example)[:1], reason).what == "no reason"


@pytest.mark.parametrize("say", [leave_out, take_back])
def test_without_a_reading_nothing_is_said(say: Any, example: Example) -> None:
    assert refusal(say, example.trial, []).what == "no reading is named"


@pytest.mark.parametrize("say", [leave_out, take_back])
def test_a_reading_of_another_trial_is_refused(say: Any, example: Example) -> None:
    first, *_ = keys(example)
    other = Trial.objects.create(tool=example.tool, name="T2", state=example.state)
    assert refusal(say, other, [first]).what == f"reading {first} is none of trial T2"
    assert refusal(say, example.trial, [first + 10**6]).what.endswith("is none of trial T1")


def test_one_wrong_reading_keeps_the_others_from_being_left_out(example: Example) -> None:
    first, second, *_ = keys(example)
    leave_out(example.trial, [second])
    refused = refusal(leave_out, example.trial, [first, second])
    assert str(refused) == (
        "T1.csv row 3, column 3: the reading is left out already: it fell; take it out of your choice"
    )
    assert left_out(example.trial) == [second]


def test_what_is_not_left_out_cannot_be_taken_back(example: Example) -> None:
    first, *_ = keys(example)
    refused = refusal(take_back, example.trial, [first])
    assert str(refused).startswith("T1.csv row 2, column 3: the reading is not left out; ")
    leave_out(example.trial, [first])
    take_back(example.trial, [first])
    refusal(take_back, example.trial, [first])


def test_other_trials_are_not_touched(example: Example) -> None:
    leave_out(example.trial, keys(example))
    assert left_out(example.trial_2) == []


def test_many_readings_are_left_out_at_once(example: Example) -> None:
    """More than Django puts into one question on SQLite, which is 999."""
    count = 2_000
    at = np.arange(count)
    example.stored(
        characteristic_id=np.full(count, example.bore.pk),
        cavity_id=np.full(count, example.cavities[0].pk),
        shot=at,
        part=np.full(count, -1),
        value=np.full(count, 4.0),
        row=at + 2,
        column=np.full(count, 3),
    )
    given = load_readings(example.trial).reading_id.tolist()
    leave_out(example.trial, given)
    assert left_out(example.trial) == given
