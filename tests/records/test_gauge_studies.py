"""Gauge studies in the record: whole or not at all, set aside with a reason, and which of them counts."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import StudyKind
from offtool.records.models import GaugeReading, GaugeStudy
from offtool.records.operations import (
    NewGaugeReading,
    NewStudy,
    StudyAlreadyKept,
    set_study_aside,
    store_study,
)
from offtool.records.queries import find_study, studies_of_gauge, studies_of_programme, study_that_counts
from offtool.records.queries.finding import NotInRecord
from tests.records.example import Example, size_of

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def readings(**changed: Any) -> list[NewGaugeReading]:
    given = {
        "part": "1",
        "operator": "A",
        "repeat": 1,
        "reference": None,
        "value": 4.0,
        "row": 2,
        "column": 4,
    }
    return [NewGaugeReading(**(given | changed)), NewGaugeReading(**(given | {"repeat": 2, "row": 3}))]


def keep(example: Example, name: str = "S1", **changed: Any) -> GaugeStudy:
    given = {
        "name": name,
        "kind": StudyKind.CROSSED,
        "characteristic": example.bore,
        "tolerance": None,
        "reference_uncertainty": 0.0,
        "done_on": None,
        "note": "",
        "file_name": f"{name}.csv",
        "content": name.encode(),
    } | changed
    return store_study(example.gauge, NewStudy(**given), readings(), read_at=NOON, read_by="gauge room")


def test_a_study_is_kept_with_its_bytes_and_every_reading(example: Example) -> None:
    kept = keep(example)
    assert bytes(GaugeStudy.objects.get(pk=kept.pk).content) == b"S1"
    assert [(one.part, one.repeat, one.row) for one in kept.readings.order_by("row")] == [
        ("1", 1, 2),
        ("1", 2, 3),
    ]
    assert kept.history.get().history_user_id == "gauge room"


@pytest.mark.parametrize(
    ("changed", "what"),
    [
        ({"name": "  "}, "has no name"),
        ({"tolerance": -1.0}, "tolerance must be above 0"),
        ({"reference_uncertainty": -0.1}, "reference_uncertainty must be at least 0"),
    ],
)
def test_what_the_record_refuses_leaves_nothing_behind(
    example: Example, changed: dict[str, Any], what: str
) -> None:
    with pytest.raises(OfftoolError, match=what):
        keep(example, **changed)
    assert (GaugeStudy.objects.count(), GaugeReading.objects.count()) == (0, 0)


def test_a_reading_that_cannot_be_leaves_nothing_behind(example: Example) -> None:
    new = NewStudy(
        name="S1", kind=StudyKind.CROSSED, characteristic=None, tolerance=None, reference_uncertainty=0.0,
        done_on=None, note="", file_name="a.csv", content=b"a",
    )  # fmt: skip
    with pytest.raises(OfftoolError, match="value must be"):
        store_study(example.gauge, new, readings(value=float("inf")), read_at=NOON, read_by="")
    with pytest.raises(NotEnoughData, match="no readings"):
        store_study(example.gauge, new, [], read_at=NOON, read_by="")
    assert GaugeStudy.objects.count() == 0


def test_a_name_is_taken_once_and_the_same_bytes_are_kept_once(example: Example) -> None:
    first = keep(example)
    with pytest.raises(OfftoolError, match="has a study S1 already"):
        keep(example, content=b"other")
    with pytest.raises(StudyAlreadyKept, match="the same file is study S1"):
        keep(example, "S2", content=b"S1")
    set_study_aside(first, "the peg was worn", made_by="tooling")
    assert keep(example, "S2", content=b"S1").name == "S2"


def test_two_people_at_once_keep_a_file_once(example: Example, on_postgres: bool) -> None:
    """The second waits for the gauge, inside the transaction, before it looks whether the bytes are kept."""
    with CaptureQueriesContext(connection) as made:
        keep(example)
    asked = [one["sql"] for one in made]
    begun, held, looked = (
        next(i for i, sql in enumerate(asked) if all(word in sql for word in words))
        for words in (["SAVEPOINT"], ["SELECT", 'FROM "records_gauge"'], ["SELECT", '"sha256" = '])
    )
    assert begun < held < looked
    assert ("FOR UPDATE" in asked[held]) is on_postgres  # SQLite holds the whole record


def test_a_study_is_set_aside_once_with_a_reason_and_stays(example: Example) -> None:
    kept = keep(example)
    with pytest.raises(OfftoolError, match="no reason"):
        set_study_aside(kept, " ", made_by="")
    set_study_aside(kept, "worn", made_by="tooling")
    with pytest.raises(OfftoolError, match="set aside already: worn"):
        set_study_aside(kept, "again", made_by="")
    (found,) = studies_of_gauge(example.gauge)
    assert found.set_aside == "worn"
    assert found.readings.count() == 2
    assert [one.history_user_id for one in kept.history.order_by("history_id")] == ["gauge room", "tooling"]


def test_what_a_study_measured_is_never_changed(example: Example) -> None:
    kept = keep(example)
    kept.tolerance = 1.0
    with pytest.raises(Exception, match="what a gauge study measured is never changed"):
        kept.save()


def test_the_newest_study_of_the_size_counts_else_of_the_gauge_in_the_same_unit(example: Example) -> None:
    bore, other = example.bore, size_of(example.body, number="77")
    grams = size_of(example.body, number="78", kind="weight", unit="g")
    assert study_that_counts(example.gauge, bore) is None
    keep(example, "old", done_on=date(2026, 1, 1))
    newest = keep(example, "new", done_on=date(2026, 2, 1))
    keep(example, "later of another size", characteristic=other, done_on=date(2026, 2, 20))
    keep(example, "reference", kind=StudyKind.REFERENCE, done_on=date(2026, 2, 25))
    keep(example, "weights", characteristic=grams, done_on=date(2026, 2, 26))
    assert [one.name for one in studies_of_gauge(example.gauge)][:2] == ["weights", "reference"]
    assert study_that_counts(example.gauge, bore) == newest
    set_study_aside(newest, "worn", made_by="")
    counts = study_that_counts(example.gauge, bore)
    assert counts is not None
    assert counts.name == "old"
    third = size_of(example.body, number="79")
    of_the_gauge = study_that_counts(example.gauge, third)
    assert of_the_gauge is not None
    assert of_the_gauge.name == "later of another size"


def test_a_study_without_a_day_is_as_old_as_its_reading(example: Example) -> None:
    keep(example, "read on 2 March")
    keep(example, "measured in April", done_on=date(2026, 4, 1))
    keep(example, "measured in January", done_on=date(2026, 1, 1))
    names = [one.name for one in studies_of_programme(example.programme)[example.gauge.pk]]
    assert names == ["measured in April", "read on 2 March", "measured in January"]


def test_a_name_that_is_not_there_is_answered_with_the_nearest(example: Example) -> None:
    keep(example, "study 1")
    with pytest.raises(NotInRecord, match="did you mean 'study 1'"):
        find_study(example.gauge, "study1")
