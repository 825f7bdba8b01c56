"""Let a joint ask the correction for one of the ways that were found: a demand on each size it moves."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from offtool.core.joints.steel import SteelCandidate
from offtool.core.values import OfftoolError
from offtool.steps.ask_of_size import SizeDemanded, ask_of_size
from offtool.steps.judge_joint import judge_joint

DECIMALS = 3
"""A thousandth of a mm: nothing finer is cut or measured."""


def ask_for_steel(
    programme: str, joint: str, way: int, *, made_at: datetime, made_by: str, shown: str = ""
) -> tuple[SizeDemanded, ...]:
    """Ask for a way by its number, 1 for the best: each size is asked to go as far as is meant for now.

    `shown` is what `way_shown` said of it when it was chosen; empty where nobody looked before.

    Raises NotInRecord for names that are not there; OfftoolError for a way that was not found, for one that
    is another by now, and what `ask_of_size` raises. Nothing is asked then.
    """
    chosen = _way(programme, joint, way)
    if shown and shown != way_shown(chosen):
        raise OfftoolError(
            "the ways have changed since", where=f"joint {joint}, way {way}", remedy="look again, then choose"
        )
    reason = "; ".join(chosen.reasons) or "the joint stands better there"
    with transaction.atomic():
        return tuple(
            ask_of_size(
                programme,
                joint,
                one.size,
                target=round(one.after, DECIMALS),
                lower=round(min(one.lower, one.after), DECIMALS) if one.lower is not None else None,
                upper=round(max(one.upper, one.after), DECIMALS) if one.upper is not None else None,
                reason=reason,
                made_at=made_at,
                made_by=made_by,
            )
            for one in chosen.demands
        )


def way_shown(way: SteelCandidate) -> str:
    """The sizes of a way and how far each is to go, in short: HO-02 4=3.995."""
    return "; ".join(f"{one.size}={one.after:.{DECIMALS}f}" for one in way.demands)


def _way(programme: str, joint: str, way: int) -> SteelCandidate:
    found = judge_joint(programme, joint)
    ways = found.steel.candidates if found.steel is not None else ()
    if not 1 <= way <= len(ways):
        remedy = f"there are {len(ways)}" if ways else "no steel is known to mend this joint"
        raise OfftoolError(f"there is no way {way}", where=f"joint {joint}", remedy=remedy)
    return ways[way - 1]
