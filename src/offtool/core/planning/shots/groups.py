"""The shots of a trial one after the other: which are short, thrown away, kept for what, and spare."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.planning.shots.results import ShotGroup, ShotKind
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import PurposeWords

Run = tuple[ShotKind, int, tuple[TrialPurpose, ...], bool]


def shots_in_order(
    wanted: Sequence[tuple[PurposeWords, int]], settle: int, spare: int
) -> Iterator[ShotGroup]:
    """Groups of shots in the order in which they are shot, numbered from 1; empty ones are left out."""
    first = 1
    for kind, shots, purposes, measured in _runs(wanted, settle, spare):
        if shots > 0:
            last = first + shots - 1
            yield ShotGroup(kind=kind, first=first, last=last, purposes=purposes, measured=measured)
            first = last + 1


def _runs(wanted: Sequence[tuple[PurposeWords, int]], settle: int, spare: int) -> Iterator[Run]:
    for words, shots in wanted:
        if words.purpose is TrialPurpose.SHORT_SHOTS:
            yield ShotKind.SHORT, shots, (words.purpose,), False
    yield ShotKind.SETTLE, settle, (), False
    yield from _shared([one for one in wanted if one[0].shared])
    for words, shots in wanted:
        if words.destroyed:
            yield ShotKind.DESTROYED, shots, (words.purpose,), words.measured
    for words, shots in wanted:
        if words.purpose is TrialPurpose.KEEP:
            yield ShotKind.WHOLE, shots, (words.purpose,), False
    yield ShotKind.SPARE, spare, (), False


def _shared(wanted: Sequence[tuple[PurposeWords, int]]) -> Iterator[Run]:
    """The first shots serve all purposes, the last only the one that asks for most."""
    begun = 0
    for end in sorted({shots for _, shots in wanted}):
        served = [words for words, shots in wanted if shots >= end]
        measured = any(words.measured for words in served)
        yield ShotKind.KEEP, end - begun, tuple(words.purpose for words in served), measured
        begun = end
