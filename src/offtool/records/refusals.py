"""What the database refuses, said in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import DataError, IntegrityError
from django.db.models import BaseConstraint, Model, UniqueConstraint

from offtool.core.values import OfftoolError


@contextmanager
def refusals_in_words(where: str = "") -> Iterator[None]:
    """A broken constraint inside the block becomes an OfftoolError that says which rule was broken."""
    try:
        yield
    except (IntegrityError, DataError) as error:
        raise OfftoolError(_in_words(str(error)), where=where, remedy="nothing was recorded") from error


def _in_words(said: str) -> str:
    """The message of the constraint that was broken; else what the database says, first line.

    PostgreSQL names every constraint, SQLite names checks, and for a unique one its columns.
    """
    unique = re.match(r"UNIQUE constraint failed: (.+)", said)
    columns = unique[1].split(", ") if unique else []
    named = set(re.findall(r"\w+", said))
    for model, constraint in _constraints():
        if constraint.name in named or (columns and _columns(model, constraint) == columns):
            return str(constraint.get_violation_error_message())
    missing = re.match(r"NOT NULL constraint failed: \w+\.(\w+)", said)
    if missing:
        return f"{missing[1]} must be given, and be a number where it is one"
    return said.splitlines()[0]


def _constraints() -> Iterator[tuple[type[Model], BaseConstraint]]:
    for model in apps.get_app_config("records").get_models():
        for constraint in model._meta.constraints:
            yield model, constraint


def _columns(model: type[Model], constraint: BaseConstraint) -> list[str]:
    """A unique constraint's columns as SQLite names them."""
    if not isinstance(constraint, UniqueConstraint):
        return []
    columns = {field.name: field.column for field in model._meta.concrete_fields}
    return [f"{model._meta.db_table}.{columns[name]}" for name in constraint.fields]
