"""A station that adopted places left empty is not the end of a line: a pilot ends where the last task is."""

from __future__ import annotations

import pytest

from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line
from offtool.records.operations import define_station
from offtool.steps.judge_pilot import judge_pilot
from tests.labels import independent
from tests.steps import piloted
from tests.web import otter

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def line() -> Line:
    otter.make_programme()
    made = piloted.make_line()
    define_station(made, 4, {"name": "old table"}, made_by="x")
    piloted.make_pilot()
    return made


def test_a_pilot_is_done_at_the_last_station_with_a_task() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    found = judge_pilot(otter.SLUG, piloted.PILOT)
    assert found.rate is not None
    assert found.rate.per_h == independent((28 + 31 + 33) / 3, way="good at pack in its whole hours")
    assert not any("old table" in one.text for one in found.cautions)


def test_a_station_that_was_counted_stays_though_its_tasks_went_elsewhere() -> None:
    last = "".join(f"old table,{hour},{n},{n},0,0\n" for hour, n in ((1, 10), (2, 20), (3, 22), (4, 24)))
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS + last)
    found = judge_pilot(otter.SLUG, piloted.PILOT)
    assert found.rate is not None
    assert found.rate.per_h == independent((20 + 22 + 24) / 3, way="good at old table in its whole hours")
