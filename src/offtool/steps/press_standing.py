"""Where a finding stands over the trials of a tool: it is open until one trial shows it gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from offtool.core.inspection.attributes import SharesCompared, compare_shares
from offtool.steps.press_findings import Standing, TrialShare
from offtool.steps.sentences import count

SIGNIFICANCE = 0.05
"""How often chance alone may be taken for a finding that is gone; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A finding's standing after the last of its trials, and what it rests on."""

    standing: Standing
    says: str
    since: TrialShare
    last_seen: TrialShare
    last_looked_at: TrialShare
    pieces_needed: int | None


def stand_of(trials: Sequence[TrialShare], *, is_listed: bool = True) -> Stand:
    """Where a finding stands, from what each trial says of it, in order of time; one of them has seen it."""
    looked = [one for one in trials if one.looked_at]
    since = last_seen = next(one for one in looked if one.seen)
    fewer = compared = None
    gone: TrialShare | None = None
    for one in looked[looked.index(since) + 1 :]:
        compared = _compare(last_seen, one)
        if one.seen:
            since, fewer = (one if gone else since), (last_seen if compared.is_less and not gone else None)
            last_seen, gone = one, None
        elif compared.is_gone and gone is None:
            gone = one
    last = looked[-1]
    needed = _compare(last_seen, last_seen).pieces_needed
    standing = _standing(last_seen, last, gone, trials, is_listed=is_listed)
    return Stand(
        standing=standing,
        says=_says(standing, since, last_seen, gone or last, fewer, needed),
        since=since,
        last_seen=last_seen,
        last_looked_at=last,
        pieces_needed=None if gone else needed,
    )


def _compare(before: TrialShare, after: TrialShare) -> SharesCompared:
    return compare_shares(
        before.seen, before.looked_at, after.seen, after.looked_at, significance=SIGNIFICANCE
    )


def _standing(
    last_seen: TrialShare,
    last: TrialShare,
    gone: TrialShare | None,
    trials: Sequence[TrialShare],
    *,
    is_listed: bool,
) -> Standing:
    if gone is not None:
        return Standing.GONE
    if not is_listed:
        return Standing.NOT_LOOKED_FOR
    if last is not last_seen:
        return Standing.NOT_SHOWN_GONE
    return Standing.OPEN if trials[-1] is last_seen else Standing.NOT_LOOKED_AT


def _says(
    standing: Standing,
    since: TrialShare,
    last_seen: TrialShare,
    last: TrialShare,
    fewer: TrialShare | None,
    needed: int | None,
) -> str:
    """One sentence; it begins with the words of the standing."""
    where, before = f"{since.trial} (state {since.state})", f"{last_seen.seen} of {last_seen.looked_at}"
    if standing is Standing.GONE:
        now = f"0 of {last.looked_at}, before {before} in {last_seen.trial}"
        return f"Shown gone in {last.trial} (state {last.state}): {now}."
    if standing is Standing.NOT_SHOWN_GONE:
        few = f"not seen, but {count(last.looked_at, 'piece')} of {last.trial} cannot show it"
        then = f"before {before} in {last_seen.trial}, open since {where}"
        return f"Not shown gone: {few}{_would(needed)}; {then}."
    if standing is Standing.NOT_LOOKED_FOR:
        return f"Off the list: open since {where} when it was taken off, {before} in {last_seen.trial}."
    if standing is Standing.NOT_LOOKED_AT:
        there = f"{last_seen.trial} (state {last_seen.state}): {before} there"
        return f"Not looked at since {there}" + ("." if last_seen is since else f", open since {where}.")
    less = f", fewer than {fewer}" if fewer else ""
    return f"Open since {where}: {before} in {last_seen.trial}{less}."


def _would(needed: int | None) -> str:
    return f": {needed:,} in one trial would" if needed is not None else ", and no number would"
