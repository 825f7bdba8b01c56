"""A law holds for every input drawn; the draws are the same every time, so that it never flickers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import given, settings
from hypothesis.strategies import SearchStrategy


def law(
    *, examples: int = 60, **drawn: SearchStrategy[Any]
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """The test is run with `examples` seeded draws of its arguments."""

    def decorate(test: Callable[..., None]) -> Callable[..., None]:
        seeded = settings(max_examples=examples, derandomize=True, database=None, deadline=None)
        return seeded(given(**drawn)(test))

    return decorate
