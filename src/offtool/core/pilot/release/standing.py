"""How a line of a release review stands, from its facts."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from offtool.core.values import Verdict


class Standing(StrEnum):
    """What a review says of a line, the heaviest first."""

    FAILS = "does not hold"
    MISSING = "missing"
    """Nothing shows it yet: not measured, not tested, or too few to say."""
    STALE = "stale"
    """It held, and something has changed since."""
    CONCESSION = "holds under a concession"
    HOLDS = "holds"

    @property
    def is_met(self) -> bool:
        """Whether production may start as far as this line goes."""
        return self in (Standing.HOLDS, Standing.CONCESSION)


_WEIGHT = {one: place for place, one in enumerate(Standing)}


def standing_of(verdict: Verdict | None, *, is_stale: bool = False) -> Standing:
    """How a single fact stands: by its verdict, and whether something has changed since.

    What failed stays failed until something newer shows otherwise: a change alone repairs nothing. What was
    not shown is missing, old or not. Only what held can become stale.
    """
    if verdict is Verdict.FAILS:
        return Standing.FAILS
    if verdict is Verdict.HOLDS:
        return Standing.STALE if is_stale else Standing.HOLDS
    return Standing.MISSING


def worst(standings: Iterable[Standing]) -> Standing:
    """The heaviest of them; a line without a single fact is missing."""
    return min(standings, key=_WEIGHT.__getitem__, default=Standing.MISSING)
