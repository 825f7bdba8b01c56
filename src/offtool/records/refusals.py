"""What the database refuses, said in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import DataError, IntegrityError

from offtool.core.values import OfftoolError


@contextmanager
def refusals_in_words(where: str = "") -> Iterator[None]:
    """A broken constraint inside the block becomes an OfftoolError that says which rule was broken."""
    try:
        yield
    except (IntegrityError, DataError) as error:
        raise OfftoolError(_in_words(str(error)), where=where, remedy="nothing was recorded") from error


def _in_words(said: str) -> str:
    """The message of the constraint that the database names; else what the database says, first line."""
    messages = {
        constraint.name: str(constraint.get_violation_error_message())
        for model in apps.get_app_config("records").get_models()
        for constraint in model._meta.constraints
    }
    for name in re.findall(r"\w+", said):
        if name in messages:
            return messages[name]
    first_line = said.splitlines()[0]
    unique = re.match(r"UNIQUE constraint failed: (.+)", first_line)
    if unique:
        return f"{', '.join(column.split('.')[-1] for column in unique[1].split(', '))}: there is one already"
    missing = re.match(r"NOT NULL constraint failed: \w+\.(\w+)", first_line)
    if missing:
        return f"{missing[1]} must be given, and be a number where it is one"
    return first_line
