"""Findings that contradict each other, and origins that the findings do not tell apart: they are named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log

import numpy as np

from offtool.core.samples.identify.answers import NONE, Alike, Clash, StateBound
from offtool.core.samples.identify.hypotheses import Finding, PartCase, Weight
from offtool.core.samples.identify.next_look import Look, of_origins
from offtool.core.samples.identify.posterior import Summed

CLASHES = log(10.0)
"""A firm finding that the best explanation makes ten times less likely than another would clashes with it."""
SAME = log(3.0)
"""Findings that count less than three to one between two origins do not tell them apart. Our own."""
WORTH_NAMING = 0.02
"""An origin less probable than this is not compared."""
TELLS = 0.2
"""How far the chances of an outcome must lie apart for a look to tell two origins apart."""
MOST_PAIRS = 6


def part_clashes(part: PartCase) -> tuple[Clash, ...]:
    """Findings of one part, its tag among them, that its best single explanation does not carry."""
    firm = [one for one in part.findings if one.weight is not Weight.SOFT]
    if len(firm) < 2 or not part.makes:
        return ()
    # None of these explains anything, and nothing in particular: it would hide every contradiction.
    of_makes = [one.log_likelihood[:-1] for one in firm]
    best = int(np.argmax(np.sum([one.log_likelihood for one in part.findings], axis=0)[:-1]))
    lost = [float(logs.max() - logs[best]) for logs in of_makes]
    against = [_said(one) for one, much in zip(firm, lost, strict=True) if much > CLASHES]
    if not against:
        return ()
    carried = [_said(one) for one, much in zip(firm, lost, strict=True) if much <= CLASHES]
    return (Clash(part=part.label, against=tuple(against), for_=tuple(carried), log_odds=max(lost)),)


def state_bounds(part: PartCase) -> tuple[StateBound, ...]:
    """Which states of the tool each detail that stays allows."""
    return tuple(_bounds(part))


def _bounds(part: PartCase) -> Iterator[StateBound]:
    for one in part.findings:
        if one.weight is not Weight.STAYS:
            continue
        logs = one.log_likelihood[:-1]
        fits = np.flatnonzero(logs > logs.max(initial=-np.inf) - CLASHES)
        allowed = [part.makes[place] for place in fits]
        if not allowed or len(allowed) == len(part.makes):
            continue
        places = [make.ordinal for make in allowed]
        several = len({make.tool for make in part.makes}) > 1
        states = dict.fromkeys(f"{make.tool} {make.state}" if several else make.state for make in allowed)
        yield StateBound(
            about=one.about, found=one.found, first=min(places), last=max(places), states=tuple(states)
        )


def alike_origins(summed: Summed, looks: Sequence[Look], codes: Sequence[str]) -> tuple[Alike, ...]:
    """The most probable origin beside each other one that the findings do not tell from it."""
    if not summed.case.findings and not any(part.findings for part in summed.case.parts):
        return ()
    posterior = summed.posterior
    order = np.argsort(-posterior, kind="stable")
    top = int(order[0])
    evidence = np.log(np.maximum(posterior, 1e-300)) - np.log(summed.priors)
    found: list[Alike] = []
    for other in order[1:]:
        if posterior[other] < WORTH_NAMING or len(found) == MOST_PAIRS:
            break
        apart = float(evidence[top] - evidence[other])
        if abs(apart) < SAME:
            tells = _what_tells(summed, looks, top, int(other))
            found.append(
                Alike(first=_code(codes, top), second=_code(codes, other), log_odds=apart, tells=tells)
            )
    return tuple(found)


def _what_tells(summed: Summed, looks: Sequence[Look], first: int, second: int) -> str:
    by_part = {part.case.label: part for part in summed.parts}
    best, said = TELLS, ""
    for look in looks:
        chances = of_origins(look, by_part.get(look.part))
        apart = float(np.abs(chances[first] - chances[second]).sum() / 2)
        if apart > best:
            best, said = apart, f"{look.about} of {look.part}" if look.part else look.about
    return said


def _code(codes: Sequence[str], place: int) -> str:
    return codes[place] if place < len(codes) else NONE


def _said(one: Finding) -> str:
    return f"{one.about}: {one.found}"
