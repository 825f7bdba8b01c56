"""What all tests share.

The record's tests run on SQLite here, and once more on PostgreSQL: `tests/records/test_on_postgres.py` starts
a server and runs them in a second pytest with DATABASE_URL set. Django's database is settled once for a
process, and so are its constraints, its transactions and pytest-django's test database: two databases side by
side in one process would be two half-tested ones. `DATABASE_URL=postgresql://… pytest tests/records` runs
them on a server of your own.
"""

from __future__ import annotations

import os

import pytest
from django.conf import settings
from django.db import connections
from django.test import TransactionTestCase


def pytest_configure() -> None:
    """No test leaves a key beside a record, and none waits for the start of an asynchronous loop."""
    settings.SECRET_KEY = "for tests only"
    # browsers in tests run an asynchronous loop in the thread that also asks the record
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")


_flush = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]


def _flush_without_guards(case: TransactionTestCase) -> None:
    """Emptying the tables after a test may delete history; flush puts the guards up again itself."""
    from offtool.records.guards import take_down_guards

    for name in case._databases_names(include_mirrors=False):  # type: ignore[attr-defined]
        if connections[name].vendor == "sqlite":
            take_down_guards(using=name)
    _flush(case)


TransactionTestCase._fixture_teardown = _flush_without_guards  # type: ignore[attr-defined]


@pytest.fixture(scope="session")
def on_postgres() -> bool:
    """Whether this process runs its tests on PostgreSQL."""
    return bool(os.environ.get("DATABASE_URL"))
