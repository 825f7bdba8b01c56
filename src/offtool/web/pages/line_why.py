"""Why a line has no fewer stations or makes no more: bounds in words, evenness, two lines side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.pilot.balance import LineBalance
from offtool.steps.line_found import LineFound
from offtool.steps.line_words import an_hour, people_in_words, span_in_words
from offtool.steps.sentences import per_cent


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundRow:
    """One way to see what no line goes below."""

    words: str
    says: str
    decides: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareRow:
    """One number of the line as adopted beside that of the proposal."""

    what: str
    adopted: str
    proposed: str


def bound_rows(proposal: LineBalance | None) -> Iterator[BoundRow]:
    """The bounds, the one that decides first."""
    if proposal is None:
        return
    is_rate = proposal.goal == "best rate"
    best = max((one.value for one in proposal.bounds), default=0.0)
    for one in sorted(proposal.bounds, key=lambda one: -one.value):
        said = f"{one.value:.4g} s" if is_rate else f"{one.value:.0f}"
        at_least = f"a cycle of {said} at least" if is_rate else f"{said} at least"
        yield BoundRow(words=one.words, says=at_least, decides=one.value == best)


def evenness_in_words(found: LineBalance) -> str:
    """How the work is shared out."""
    even = found.evenness
    slow = f"The slowest station takes {even.largest_s:.4g} s"
    if even.largest_is_proved:
        slow += "; so many stations have none faster"
    elif even.least_s < even.largest_s:
        slow += f"; at best it took {even.least_s:.4g} s"
    spread = f"The loads of the people lie {even.spread_s:.3g} s about their mean"
    proved = (
        ", as close as they can" if even.spread_is_proved else ", or closer: that was not searched to the end"
    )
    return f"{slow}. {spread}{proved}."


def compare_rows(found: LineFound) -> Iterator[CompareRow]:
    """The adopted line and the proposal, number by number."""
    adopted, proposal = found.adopted, found.proposal
    if adopted is None or proposal is None:
        return
    pairs = (
        ("Pieces an hour", an_hour(adopted.rate_per_h), an_hour(proposal.rate_per_h)),
        (
            "By how often it was timed",
            span_in_words(found.adopted_timed),
            span_in_words(found.proposal_timed),
        ),
        ("Slowest station", f"{adopted.slowest.busy_s:.4g} s", f"{proposal.slowest.busy_s:.4g} s"),
        ("Stations", str(len(adopted.stations)), str(len(proposal.stations))),
        ("People", people_in_words(adopted.people), people_in_words(proposal.people)),
        ("Time of the people that is work", _use(adopted), _use(proposal)),
        ("Loads of the people about their mean", _evenness(adopted), _evenness(proposal)),
    )
    for what, was, now in pairs:
        yield CompareRow(what=what, adopted=was or "not known", proposed=now or "not known")


def _use(found: LineBalance) -> str:
    return per_cent(found.efficiency, 0)


def _evenness(found: LineBalance) -> str:
    return f"± {found.evenness.spread_s:.3g} s"
