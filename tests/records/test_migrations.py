"""A record of the first version is brought to the newest with nothing lost and every guard up; a new one is
made at once and comes out the same."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from offtool.core.values import OfftoolError
from offtool.records.models import Reading, SourceFile, Trial
from offtool.records.operations import AlreadyRead, ReadFile, store_readings
from offtool.records.refusals import refusals_in_words
from tests.records.example import NOON, Example, make_example
from tests.records.test_guards import expected, in_place, updated

FIRST, WHOLE = "0001_initial", "0001_whole"


def migrate(*to: str) -> None:
    # the web is no part of the record, and its checks are none of ours
    call_command("migrate", *to, verbosity=0, interactive=False, skip_checks=True)


@pytest.fixture
def step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """The steps that earlier records took, without the one that makes a new record at once."""
    load = MigrationLoader.load_disk

    def without_the_whole(self: MigrationLoader) -> None:
        load(self)
        self.disk_migrations.pop(("records", WHOLE))

    monkeypatch.setattr(MigrationLoader, "load_disk", without_the_whole)


@pytest.fixture
def first_version(transactional_db: None, step_by_step: None) -> Iterator[Any]:
    """The record as the first version made it, empty; gives that version's models."""
    try:
        migrate("records", "zero")
        migrate("records", FIRST)
        yield MigrationExecutor(connection).loader.project_state([("records", FIRST)]).apps
    finally:
        migrate()


def shape() -> dict[str, Any]:
    """Every table with its columns and constraints, whatever the order they were made in."""
    with connection.cursor() as cursor:
        ours = [name for name in connection.introspection.table_names(cursor) if name.startswith("records_")]
        found = {}
        for table in ours:
            columns = connection.introspection.get_table_description(cursor, table)
            constraints = connection.introspection.get_constraints(cursor, table)
            found[table] = (
                {column.name: (column.type_code, column.null_ok) for column in columns},
                # of keys, indexes and whole numbers Django makes up the names; the rules have ours
                sorted(
                    (
                        name if one["check"] and not name.startswith("__") else "",
                        sorted(one["columns"] or ()),
                        (one["primary_key"], one["unique"], one["foreign_key"] or (), one["check"]),
                    )
                    for name, one in constraints.items()
                ),
            )
        return found


@pytest.fixture
def made_at_once(transactional_db: None) -> dict[str, Any]:
    """The shape of a new record, taken before the steps are; tests before may have changed columns."""
    migrate("records", "zero")
    migrate()
    made = shape()
    migrate("records", "zero")  # at once too, where the steps would each be undone
    return made


SHEETS: list[tuple[dict[str, Any], str]] = [
    ({"sheet": "Maße"}, "Maße"),
    ({"sheet": "x" * 200}, "x" * 100),
    ({"sheet": None}, ""),
    ({"sheet": 3}, "3"),
    ({"delimiter": ";"}, ""),
]
"""How a file was read in the first version, and the sheet that this names."""


def old_programme(apps: Any) -> list[int]:
    """A trial with a file of one reading for each of SHEETS, entered with the models of the first version."""

    def make(model: str, **values: Any) -> Any:
        return apps.get_model("records", model).objects.create(**values)

    programme = make("Programme", slug="old", title="Old")
    resin = make("Resin", programme=programme, code="ABS", flow_pct=1, cross_pct=1, thickness_pct=1)
    part = make("Part", programme=programme, code="body", resin=resin)
    size = make(
        "Characteristic", part=part, number="1", kind="length", unit="mm", nominal=4, lower=3, upper=5
    )
    tool = make("Tool", programme=programme, code="M1")
    state = make("ToolState", tool=tool, label="a", ordinal=1)
    trial = make("Trial", tool=tool, name="T1", state=state, age_h=24, settled_from=3)
    told = {"programme": programme, "trial": trial, "name": "T1.xlsx", "content": b"book", "size": 4}
    keys = []
    for at, (options, _) in enumerate(SHEETS):
        source = make(
            "SourceFile", **told, sha256=f"{at:064x}", layout="wide", read_options=options, read_at=NOON
        )
        make("Reading", source=source, characteristic=size, value=4.01 + at, row=2, column=3)
        keys.append(int(source.pk))
    return keys


def test_a_record_of_the_first_version_walks_every_step_and_loses_nothing(
    made_at_once: dict[str, Any], first_version: Any
) -> None:
    """One walk, because steps are slow: guards after each, at the end shape, rows and what may be read."""
    keys = old_programme(first_version)
    for name in steps():
        migrate("records", name)
        assert in_place() == expected(set(connection.introspection.table_names())), name
    assert in_place() == expected()
    assert len(made_at_once) > 90
    assert shape() == made_at_once
    old_rows_stand(keys)
    another_sheet_can_be_read()


def steps() -> list[str]:
    """The migrations in their order, without the one that makes a new record at once."""
    disk = MigrationExecutor(connection).loader.disk_migrations
    names = sorted(name for app, name in disk if app == "records")
    assert names[0] == FIRST
    assert len(names) > 2
    return names


def old_rows_stand(keys: list[int]) -> None:
    for key, (options, sheet) in zip(keys, SHEETS, strict=True):
        file = SourceFile.objects.get(pk=key)
        assert (file.sheet, file.read_options, bytes(file.content)) == (sheet, options, b"book")
    trial = Trial.objects.get()
    assert (trial.hours_to_measuring, trial.settled_from, trial.settled_reason) == (24, 3, "")
    assert (trial.moulded_at, trial.measured_at) == (None, None)
    values = Reading.objects.order_by("pk").values_list("value", flat=True)
    assert list(values) == [4.01 + at for at in range(len(SHEETS))]
    for row in (SourceFile.objects.get(pk=keys[0]), Reading.objects.earliest("pk")):
        with pytest.raises(OfftoolError, match="is never changed"), refusals_in_words(), transaction.atomic():
            updated(row, column=9) if isinstance(row, Reading) else updated(row, sheet="other")


def another_sheet_can_be_read() -> None:
    example = make_example()
    store(example, "Maße")
    with pytest.raises(AlreadyRead):
        store(example, "Maße")
    assert store(example, "Gewicht").sheet == "Gewicht"


def store(example: Example, sheet: str) -> SourceFile:
    file = ReadFile(name="T1.xlsx", content=b"book", layout="wide", read_options={"sheet": sheet})
    return store_readings(example.trial, file, example.columns(), read_at=NOON, read_by="Ada")
