"""How many shots are thrown away until the press runs evenly: by practice, or as this tool has shown."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from offtool.handbook.defects import PRACTICE
from offtool.handbook.trial_purposes import SETTLE_MINUTES, SETTLE_SHOTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """Shots to throw away: as planned, from least to most, and the most of them at the slowest cycle."""

    shots: int
    least: int
    most: int
    shots_at_slowest: int
    says: str


def shots_to_settle(
    *,
    cycle_s: float,
    quickest_cycle_s: float,
    slowest_cycle_s: float,
    settles_after: int | None,
    must_settle: bool,
    short_only: bool,
) -> Settling:
    """Shots until it has settled: as before on this tool but never under ten, else by count or clock.

    Short shots alone need none; a look at whether it fills and ejects only the count.
    """
    few, many = SETTLE_SHOTS
    if short_only:
        return Settling(shots=0, least=0, most=0, shots_at_slowest=0, says="short shots need not settle")
    if not must_settle:
        says = f"{many} until it runs evenly: nothing asked of it needs a settled press ({PRACTICE})"
        return Settling(shots=many, least=few, most=many, shots_at_slowest=many, says=says)
    if settles_after is not None:
        learned, most = max(int(settles_after), few), max(int(settles_after), many)
        floor = (
            f"; {few} are the least, for a tool that hangs cold ({PRACTICE})" if settles_after < few else ""
        )
        says = f"earlier trials of this tool had settled after {int(settles_after)}{floor}"
        return Settling(shots=learned, least=learned, most=most, shots_at_slowest=most, says=says)
    soon, late = SETTLE_MINUTES
    return Settling(
        shots=_by_clock(soon, cycle_s),
        least=few,
        most=_by_clock(late, quickest_cycle_s),
        shots_at_slowest=_by_clock(late, slowest_cycle_s),
        says=f"{soon:g} minutes, at least {many} shots ({PRACTICE}); how soon this tool settles is not known",
    )


def _by_clock(minutes: float, cycle_s: float) -> int:
    return max(SETTLE_SHOTS[1], ceil(minutes * 60 / cycle_s - 1e-9))
