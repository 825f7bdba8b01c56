"""The fingerprint of a review: what a signature was given on, so that any change since shows."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256

SHORT = 16
"""Characters of a line's own digest: 64 bits, so that two lines that differ are told apart for certain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsItStands:
    """A line without its wording: its standing, and the names, standings and evidence of its facts."""

    standing: str
    facts: Sequence[Sequence[str]]


def digests(lines: Mapping[str, LineAsItStands]) -> dict[str, str]:
    """A short digest of every line; the order of its facts does not count."""
    return {
        code: _digest([one.standing, sorted(map(list, one.facts))])[:SHORT] for code, one in lines.items()
    }


def fingerprint(lines: Mapping[str, LineAsItStands]) -> str:
    """One digest of all lines: SHA-256 of their names and digests, whatever their order."""
    return _digest(sorted(digests(lines).items()))


def changed_since(then: Mapping[str, str], now: Mapping[str, str]) -> tuple[str, ...]:
    """The lines whose digests differ, in the order of now; lines that are gone come last."""
    gone = [code for code in then if code not in now]
    return (*(code for code, digest in now.items() if then.get(code) != digest), *gone)


def _digest(told: object) -> str:
    return sha256(json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()
