"""How the newest pilot of each line stands, in the few words that a review of the whole needs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.values import Verdict
from offtool.records.models import Pilot
from offtool.records.queries import find_programme
from offtool.steps.judge_pilot import judged
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.pilot_found import PilotFound
from offtool.steps.pilot_in_record import newest_first
from offtool.steps.pilot_sentences import audits_in_words, rate_in_words, yield_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingOf:
    """One thing that a pilot shows; `verdict` is None where there is nothing to judge by."""

    verdict: Verdict | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotStanding:
    """The newest pilot of one line."""

    line: str
    pilot: str
    ran_on: date | None
    rate: StandingOf
    first_yield: StandingOf
    final_yield: StandingOf
    audits: StandingOf
    trials: tuple[str, ...]
    """The runs that its parts came from, such as M1 T3."""
    missing: tuple[str, ...]
    """Kinds of sheets that were not read."""
    words: str


def pilot_standing(programme: str, measured: SizesMeasured | None = None) -> tuple[PilotStanding, ...]:
    """The newest pilot of each line, by the name of the line; none where none ran. Raises NotInRecord.

    A pilot without a day has not run yet: it stands only where its line has no other.
    """
    newest: dict[str, Pilot] = {}
    for one in sorted(newest_first(find_programme(programme)), key=lambda one: one.ran_on is None):
        newest.setdefault(one.line.name, one)
    return tuple(standing_of(judged(newest[line], measured=measured)) for line in sorted(newest))


def standing_of(found: PilotFound) -> PilotStanding:
    """What a pilot that was judged shows."""
    yields, rate = found.yields, found.rate
    return PilotStanding(
        line=found.line,
        pilot=found.pilot,
        ran_on=found.ran_on,
        rate=StandingOf(verdict=rate.verdict if rate is not None else None, words=rate_in_words(found)),
        first_yield=StandingOf(
            verdict=yields.first.verdict if yields is not None else None,
            words=yield_in_words(found, final=False),
        ),
        final_yield=StandingOf(
            verdict=yields.final.verdict if yields is not None else None,
            words=yield_in_words(found, final=True),
        ),
        audits=StandingOf(verdict=found.audits_verdict, words=audits_in_words(found)),
        trials=tuple(f"{one.tool} {one.trial}" for one in found.trials),
        missing=tuple(one.kind for one in found.missing),
        words=found.headline,
    )
