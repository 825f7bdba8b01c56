"""The sentences in which findings at the press are said."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.core.inspection.attributes import CavityShares, ShareAlongTrial
from offtool.steps.press_findings import DefectSeen, Standing
from offtool.steps.sentences import count

LEAST_FOR_A_TREND = 3
"""One piece at the end of a trial is no trend, whatever its p; common practice, no source."""
SETTLING = "the press may have been settling"
ALL_ALIKE = 0.5
"""A cavity with less than half the share of the worst is not named beside it."""


def press_headline(trial: str, pieces: int, defects: Sequence[DefectSeen]) -> str:
    """What was seen, and what of earlier trials is open."""
    followed = [one for defect in defects for one in defect.followed]
    seen = sum(1 for defect in defects if defect.here is not None and defect.here.seen)
    waiting = sum(one.standing in (Standing.NOT_LOOKED_AT, Standing.NOT_SHOWN_GONE) for one in followed)
    gone = sum(one.standing is Standing.GONE for one in followed)
    if not pieces:
        start = f"Nothing was looked at in {trial} yet"
    elif seen:
        start = f"{count(seen, 'defect')} seen on {count(pieces, 'piece')} of {trial}"
    else:
        start = f"Nothing wrong on {count(pieces, 'piece')} of {trial}"
    rest = [
        f"{count(waiting, 'earlier finding')} {'is' if waiting == 1 else 'are'} open" if waiting else "",
        f"{count(gone, 'finding')} {'is' if gone == 1 else 'are'} shown gone" if gone else "",
    ]
    return "; ".join([start, *filter(None, rest)]) + "."


def cavities_sentence(shares: CavityShares) -> str:
    """Whether the cavities differ, and which is worst."""
    cavities = len(shares.cavities)
    if not shares.differ:
        return f"The {cavities} cavities do not differ, as far as this shows ({_p(shares.p_same)})."
    most = max(one.found.share for one in shares.cavities)
    worst = [one.cavity for one in shares.cavities if one.found.share >= ALL_ALIKE * most]
    which = f"cavity {worst[0]}" if len(worst) == 1 else f"cavities {', '.join(worst[:-1])} and {worst[-1]}"
    return f"The cavities differ ({_p(shares.p_same)}): mostly {which}."


def along_sentence(along: ShareAlongTrial | None) -> str:
    """Whether it fades or grows along the trial."""
    if along is None or along.change == "not shown" or along.late is None:
        return ""
    if along.early.seen + along.late.seen < LEAST_FOR_A_TREND:
        return ""
    early, late = (f"{one.seen} of {one.looked_at}" for one in (along.early, along.late))
    cause = f": {SETTLING}" if along.change == "fades" else ": look at what drifts"
    halves = f"{early} in the first half of the shots, {late} in the second ({_p(along.p_same)})"
    return f"It {along.change} along the trial, {halves}{cause}."


def _p(p: float) -> str:
    return "p under 0.001" if p < 0.001 else f"p = {p:.3f}"
