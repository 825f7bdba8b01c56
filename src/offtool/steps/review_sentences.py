"""The sentences of a release review: may production start, what to do, and how each line stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Verdict
from offtool.handbook.release_list import Fed
from offtool.handbook.terms import ReleaseWord
from offtool.steps.review_found import ReviewAction, ReviewFact, ReviewLine, SignatureSeen
from offtool.steps.sentences import listed, sentence

MOST_NAMED = 3
"""Things that a sentence names; the list below it has all."""
_VERBS = {
    Standing.FAILS: ("does not hold", "do not hold"),
    Standing.MISSING: ("is missing", "are missing"),
    Standing.STALE: ("is stale", "are stale"),
    Standing.CONCESSION: ("is under a concession", "are under a concession"),
    Standing.HOLDS: ("holds", "hold"),
}
_OPEN = (Standing.FAILS, Standing.MISSING, Standing.STALE)


def states(number: int, standing: Standing) -> str:
    """1 does not hold, 5 are stale."""
    return f"{number} {_VERBS[standing][number != 1]}"


def review_verdict(lines: Sequence[ReviewLine], unsaid: Sequence[str]) -> Verdict:
    """Fails while a line fails; holds where every line does or is under a concession, signed or not."""
    standings = {one.standing for one in lines if one.fed_by is not Fed.SIGNATURES}
    if Standing.FAILS in standings:
        return Verdict.FAILS
    is_open = bool(standings & {*_OPEN}) or bool(unsaid) or not standings
    return Verdict.NOT_SHOWN if is_open else Verdict.HOLDS


def headline(
    product: str, lines: Sequence[ReviewLine], unsaid: Sequence[str], signatures: Sequence[SignatureSeen]
) -> str:
    """One sentence: may it start, and how many lines stand against it."""
    asked = [one for one in lines if one.fed_by is not Fed.SIGNATURES]
    counts = [(each, sum(one.standing is each for one in asked)) for each in _OPEN]
    against = [states(number, each) for each, number in counts if number]
    if against:
        first, *rest = against
        number, _, verb = first.partition(" ")
        told = listed([f"{number} of {len(asked)} lines {verb}", *rest])
        return f"{product} may not start: {told}."
    if unsaid:
        return f"{product} may not start: it is not said {listed(unsaid)}."
    if not asked:
        return f"{product} may not start: its review asks nothing."
    return _all_met(asked, lines, signatures)


def _all_met(
    asked: Sequence[ReviewLine], lines: Sequence[ReviewLine], signatures: Sequence[SignatureSeen]
) -> str:
    conceded = sum(one.standing is Standing.CONCESSION for one in asked)
    holds = "Every line holds or is under a concession" if conceded else "Every line holds"
    signed = next((one for one in lines if one.fed_by is Fed.SIGNATURES), None)
    if signed is not None and signed.standing is Standing.HOLDS:
        people = listed([one.person for one in signatures if one.stands])
        return f"{holds}, and {people} have signed."
    against = [one for one in signatures if one.stands and one.states is ReleaseWord.NOT]
    if against:
        return f"{holds}, but {listed([one.person for one in against])} signed that it is not released."
    return f"{holds}: the decision is yours to sign."


def line_words(title: str, standing: Standing, facts: Sequence[ReviewFact]) -> str:
    """How a line stands, with how many of its facts stand against it."""
    against = [one for one in facts if one.standing is standing]
    if standing in (Standing.HOLDS, Standing.CONCESSION) or len(facts) < 2:
        return f"{title}: {standing.value}"
    counts = [(each, sum(one.standing is each for one in facts)) for each in _OPEN]
    told = listed([states(number, each) for each, number in counts if number])
    return f"{title}: {told} of {len(facts)}" if against else f"{title}: {standing.value}"


def because(standing: Standing, facts: Sequence[ReviewFact]) -> str:
    """Why, in a sentence: the first few facts that decide."""
    if not facts:
        return "Nothing in the record speaks of it."
    decide = [one for one in facts if one.standing is standing]
    if standing is Standing.HOLDS:
        return sentence(facts[0].words) if len(facts) == 1 else f"All {len(facts)} hold."
    if standing is Standing.CONCESSION:
        return sentence(decide[0].under)
    first = _why(decide[0])
    if len(decide) == 1:
        return sentence(first)
    names = [one.item for one in decide[1 : 1 + MOST_NAMED]]
    more = len(decide) - 1 - len(names)
    rest = listed([*names, *([f"{more} more"] if more > 0 else [])])
    return f"{sentence(first)} Also {rest}."


def _why(one: ReviewFact) -> str:
    if one.standing is not Standing.STALE:
        return one.words
    return f"{one.words}; stale since {reasons_in_words(one.stale_because)}"


def reasons_in_words(reasons: Sequence[StaleBecause]) -> str:
    """What made it stale, each with its day."""
    told = (f"{one.words} ({one.on:%Y-%m-%d})" if one.change and one.on else one.words for one in reasons)
    return "; ".join(dict.fromkeys(told))


_FIRST = (
    *(Fed.FINDINGS, Fed.SIZES, Fed.CAPABILITY, Fed.TOOL_BOOK, Fed.GAUGE, Fed.WEIGHT),
    *(Fed.MATERIAL, Fed.JOINT_FRESH, Fed.JOINT_AGED, Fed.SEAM, Fed.COLOUR, Fed.DECORATION),
    *(Fed.YIELD, Fed.RATE, Fed.SMALL_PARTS, Fed.TOY_TESTS, Fed.LIMIT_SAMPLES, Fed.PLAN),
    *(Fed.PACKAGING, Fed.CERTIFICATE, Fed.SIGNATURES),
)
"""What must be in order first: steel before joints, joints before paint, paint before the line, own tests
before the laboratory, everything before the signatures. What comes later is stale when something before it
changes."""


def actions(lines: Sequence[ReviewLine], unsaid: Sequence[str]) -> Iterator[ReviewAction]:
    """What to do, in the order in which one thing waits for another."""
    if unsaid:
        yield ReviewAction(
            words=sentence(f"say {listed(unsaid)}"),
            code="",
            because="until then everything is asked that any market and any age may ask",
        )
    open_ = [one for one in lines if not one.holds]
    others = any(one.fed_by is not Fed.SIGNATURES for one in open_)
    for line in sorted(open_, key=lambda one: _FIRST.index(one.fed_by)):
        if line.fed_by is Fed.SIGNATURES and (others or unsaid):
            continue  # what is signed now is stale after the next line that changes
        yield ReviewAction(words=_todo(line), code=line.code, because=_for(line))


def _todo(line: ReviewLine) -> str:
    steps = list(dict.fromkeys(one.again for one in line.facts if one.again))
    if not steps:
        return f"See what {line.title[:1].lower()}{line.title[1:]} lacks."
    more = len(steps) - 1
    return steps[0] if not more else f"{steps[0]} And {more} more on this line."


def _for(line: ReviewLine) -> str:
    return f"{line.words.removesuffix('.')}"


def why_not_released(lines: Sequence[ReviewLine], unsaid: Sequence[str]) -> tuple[str, ...]:
    """What keeps a person from signing that it is released."""
    against = (one for one in lines if not one.holds and one.fed_by is not Fed.SIGNATURES)
    said = (f"it is not said {one}" for one in unsaid)
    return (*said, *(one.words for one in against))
