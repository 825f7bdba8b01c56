"""Who is changing the record: the name that goes into the history beside what was changed and when."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.http import HttpRequest

from offtool.handbook.terms import LONGEST_NAME

_actor: ContextVar[str] = ContextVar("actor", default="")


@contextmanager
def acting_as(name: str) -> Iterator[None]:
    """Every change of a definition inside the block is kept under this name."""
    token = _actor.set(name[:LONGEST_NAME])
    try:
        yield
    finally:
        _actor.reset(token)


def name_of_actor(*, instance: object = None, request: HttpRequest | None = None) -> str:
    """The name from `acting_as`, else of whoever is signed in, else nothing; called by simple-history."""
    signed_in = request.user.get_username() if request is not None and request.user.is_authenticated else ""
    return _actor.get() or signed_in
