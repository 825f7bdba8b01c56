"""From which day is planned: today, except where a story stands still."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.records.models import Programme, Trial
from offtool.steps.planning_day import planning_day
from tests.records.example import make_example

TODAY = date(2030, 5, 2)


@pytest.fixture
def programme(db: None) -> Programme:
    return make_example().trial.tool.programme


def test_a_programme_of_ones_own_is_planned_from_today(programme: Programme) -> None:
    assert planning_day(programme.slug, today=TODAY) == TODAY


def test_an_invented_programme_stands_still_on_the_last_day_that_is_told(programme: Programme) -> None:
    Programme.objects.filter(pk=programme.pk).update(note="Invented for a test.")
    Trial.objects.filter(tool__programme=programme).update(shot_on=date(2026, 3, 19))
    assert planning_day(programme.slug, today=TODAY) == date(2026, 3, 19)


def test_an_invented_programme_without_a_day_is_planned_from_today(programme: Programme) -> None:
    Programme.objects.filter(pk=programme.pk).update(note="Invented for a test.")
    Trial.objects.filter(tool__programme=programme).update(shot_on=None)
    assert planning_day(programme.slug, today=TODAY) == TODAY
