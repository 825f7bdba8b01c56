"""How a sample is worded where the steps leave it to the face: evidence, origins, parts, looks."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.samples.identify import Answer
from offtool.core.samples.identify.answers import Counts, PartAnswer
from offtool.core.samples.identify.hypotheses import Weight
from offtool.reports import words
from offtool.reports.odds_bar import odds_in_words
from offtool.steps.sample_found import SampleFound
from offtool.steps.sample_sentences import part_in_words, share

LEAST_NAMED = 0.01
"""Origins below one per cent are not listed in words; the strip shows them all."""
WEIGHTS = {
    Weight.STAYS: "stays once it is cut",
    Weight.MEASURED: "measured",
    Weight.TAG: "what its tag says",
    Weight.SOFT: "can be changed, or is only usual",
}
"""How firm each kind of finding is."""


def finding_in_words(one: Counts) -> str:
    """torso: date mark missing."""
    said = f"{one.about}: {one.found}" if one.about and one.found else one.about or one.found
    return f"{one.part}, {said}" if one.part else said


def counts_in_words(one: Counts) -> str:
    """4.9 to 1 for, capped; 2.2 to 1 against."""
    return f"{odds_in_words(one.log_odds)}{', capped' if one.capped else ''}"


def origins_listed(found: SampleFound) -> list[Answer]:
    """The origins that are worth a line; always at least one."""
    return [one for one in found.identified.answers if one.probability >= LEAST_NAMED] or [
        found.identified.top
    ]


def origin_in_words(one: Answer, found: SampleFound) -> str:
    """What an origin is, in the programme's words for its stage."""
    seen = next((row for row in found.strip if row.code == one.code), None)
    if seen is None:
        return one.code
    return seen.engineer if seen.engineer.startswith(f"{one.code},") else f"{one.code}: {seen.engineer}"


def moved_in_words(one: Answer) -> str:
    """77 %, before anything was looked at 16 %."""
    return f"{share(one.probability)}, before anything was looked at {share(one.prior)}"


def part_lines(one: PartAnswer) -> Iterator[str]:
    """What one part is, what bounds it, and what contradicts the rest."""
    yield part_in_words(one)
    for bound in one.bounds:
        states = f"state{'s' if len(bound.states) > 1 else ''} {words.listed(bound.states)}"
        yield f"{bound.about} {bound.found}: {states if bound.states else 'no state that is recorded'}"
    for clash in one.clashes:
        for_ = words.listed(clash.for_) or "the other findings"
        yield f"{words.listed(clash.against)} contradicts {for_}"
