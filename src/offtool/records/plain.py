"""Text and JSON that every database can hold: found cells may contain anything."""

from __future__ import annotations

import json
from typing import Any

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LONGEST_NAME


def plain_text(text: str) -> str:
    """The text with what PostgreSQL cannot store shown as a sign: zero bytes and halves of characters."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\0", "\N{SYMBOL FOR NULL}")


def plain_name(text: str, what: str, *, longest: int = LONGEST_NAME) -> str:
    """A name as the record keeps it, whole. Raises OfftoolError, which says what it is, for a longer one."""
    name = plain_text(text.strip())
    if len(name) > longest:
        raise OfftoolError(
            f"{what} has {len(name)} signs, and {longest} are kept",
            where=f"{name[:20]}…",
            remedy="shorten it",
        )
    return name


def plain_json(value: Any) -> Any:
    """The value as it comes back from JSON, with plain text throughout.

    Raises ValueError for NaN and infinity and TypeError for what JSON cannot hold: the caller's mistake.
    """
    if isinstance(value, str):
        return plain_text(value)
    if isinstance(value, dict):
        return {plain_text(str(key)): plain_json(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [plain_json(entry) for entry in value]
    return json.loads(json.dumps(value, allow_nan=False))
