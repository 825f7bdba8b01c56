"""Fixtures of the record's tests."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.postgres import make_database
from tests.records.example import Example, make_example


@pytest.fixture
def example(db: None) -> Example:
    """A small product in the record."""
    return make_example()


@pytest.fixture
def own_record(tmp_path: Path, on_postgres: bool) -> dict[str, str]:
    """The environment of a program that opens a record of its own, empty as yet, on this database."""
    environment = {**os.environ, "OFFTOOL_RECORD": str(tmp_path / "own.sqlite3")}
    if on_postgres:
        environment["DATABASE_URL"] = make_database(os.environ["DATABASE_URL"])
    return environment
