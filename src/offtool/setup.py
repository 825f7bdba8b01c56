"""Opening the record: the first thing that every command, server and script does."""

from __future__ import annotations

import os
from pathlib import Path

import django
from django.apps import apps
from django.conf import settings
from django.db import DatabaseError, connection

from offtool.core.values import OfftoolError


def open_record(path: str | None = None) -> None:
    """Make the record ready for use: Django is set up, and the tables are brought to this version.

    Parameters
    ----------
    path : the SQLite file; made when it is not there. None for DATABASE_URL, else OFFTOOL_RECORD, else
        offtool.sqlite3 in the working folder.

    Raises
    ------
    OfftoolError
        The folder is not there or not writable, the file is no record, the server does not answer, the
        record was made by a newer version, or another record is open in this process.
    """
    if path is not None:
        os.environ.pop("DATABASE_URL", None)
        os.environ["OFFTOOL_RECORD"] = path
    work_without_record()
    if path is not None and _shown_name() != str(Path(path).absolute()):
        raise OfftoolError("another record is open in this process", where=path, remedy="start a new one")
    _refuse_missing_folder()
    try:
        _bring_up_to_date()
    except DatabaseError as error:
        raise OfftoolError(
            f"the record cannot be opened: {error}",
            where=_shown_name(),
            remedy="name a record of offtool or a new file, or see that the server answers",
        ) from error


def work_without_record() -> None:
    """Make the steps ready for use where no record is read or written: none is opened, and none is made."""
    # Matrices here are small: a second thread of the linear algebra doubles the time of a page.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "offtool.settings")
    if not apps.ready:
        django.setup()


def _shown_name() -> str:
    return str(settings.DATABASES["default"]["NAME"])


def _refuse_missing_folder() -> None:
    in_memory = "memory" in _shown_name().partition("?")[2]
    if connection.vendor != "sqlite" or in_memory:
        return
    folder = Path(_shown_name()).parent
    if not folder.is_dir():
        raise OfftoolError("there is no such folder", where=str(folder), remedy="make it, or name another")


def _bring_up_to_date() -> None:
    from django.core.management import call_command
    from django.db.migrations.loader import MigrationLoader

    loader = MigrationLoader(connection)
    ours = {name for app, name in loader.disk_migrations if app == "records"}
    newer = {name for app, name in loader.applied_migrations if app == "records"} - ours
    if newer:
        raise OfftoolError(
            f"the record was made by a newer version ({', '.join(sorted(newer))})",
            where=_shown_name(),
            remedy="update offtool",
        )
    if set(loader.disk_migrations) - set(loader.applied_migrations):
        call_command("migrate", verbosity=0, interactive=False)
