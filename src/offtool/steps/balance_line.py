"""Balance a line: what it makes as it was adopted, what it could make, and what no line can do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from offtool import __version__
from offtool.core.pilot.balance import (
    LineBalance,
    LineGiven,
    TimedRate,
    best_rate,
    best_rate_of_people,
    fewest_stations,
    timed_rate,
)
from offtool.core.values import Caution, ImpossibleInput, OfftoolError, Range, Verdict
from offtool.records.models import Line
from offtool.records.queries import find_line, find_programme
from offtool.steps.know_line import known_line, no_line
from offtool.steps.line_found import LineAsked, LineFound, PeopleMoved, TaskMoved
from offtool.steps.line_in_record import (
    SECONDS,
    adopted_places,
    as_placed,
    line_given,
    rate_needed,
    stations_for,
)
from offtool.steps.line_known import LineKnown
from offtool.steps.line_refusals import in_shop_words
from offtool.steps.line_sentences import actions, facts, headline, question_in_words, spread_cautions
from offtool.steps.sentences import count

METHOD = f"offtool {__version__}"
MOST_SECONDS = 60.0
RATE = Range(
    meaning="pieces an hour", unit="1/h", above=0, at_most=1e6, remedy="give the rate in pieces an hour"
)
STATIONS = Range(meaning="stations", at_least=1, at_most=300, remedy="give one at least")
PEOPLE = Range(meaning="people", at_least=1, at_most=1800, remedy="give one at least")
SECONDS_RANGE = Range(
    meaning="how long to search", unit="s", above=0, at_most=MOST_SECONDS, remedy="give a minute at most"
)


def balance_line(
    programme: str,
    line: str | None = None,
    *,
    rate_per_h: float | None = None,
    stations: int | None = None,
    people: int | None = None,
    seconds: float = SECONDS,
) -> LineFound:
    """A line with its balance; without a question, for the rate that is planned.

    `rate_per_h` asks for the fewest stations; `stations`, `people` or both for the best rate. Raises
    NotInRecord; ImpossibleInput for a question that cannot be. What stands in the way of the balance itself
    is said in the answer.
    """
    asked = LineAsked(rate_per_h=rate_per_h, stations=stations, people=people, seconds=seconds)
    refuse_question(asked)
    found = find_programme(programme)
    if line is None and not found.lines.exists():
        return without_line(no_line(found), asked)
    return _Balancing(find_line(found, line), asked).found()


def line_as_adopted(programme: str, line: str | None = None) -> LineFound:
    """A line as it was adopted, against its plan; another is looked for only where none was adopted.

    Raises NotInRecord.
    """
    return _Balancing(find_line(find_programme(programme), line), LineAsked()).found(or_better=False)


def refuse_question(asked: LineAsked) -> None:
    """Raise ImpossibleInput for a rate, stations, people or seconds that cannot be, or do not go together."""
    for name, limits in (("rate_per_h", RATE), ("stations", STATIONS), ("people", PEOPLE)):
        value = getattr(asked, name)
        if value is not None:
            limits.refuse_impossible(name, value)
    SECONDS_RANGE.refuse_impossible("seconds", asked.seconds)
    if asked.rate_per_h is not None and (asked.stations or asked.people) is not None:
        limit = "cannot be asked for together with stations or people"
        remedy = "give the rate and find the stations, or give the people and find the rate"
        raise ImpossibleInput("rate_per_h", asked.rate_per_h, "1/h", limit, remedy)


def without_line(known: LineKnown, asked: LineAsked) -> LineFound:
    """A programme that has no line yet."""
    return _worded(_bare(known, asked, None))


@dataclass(slots=True)
class _Balancing:
    """One line while it is balanced; what cannot be said is kept with its reason."""

    line: Line
    asked: LineAsked

    def found(self, *, or_better: bool = True) -> LineFound:
        """The whole answer; a better line is looked for beside the adopted one only where that is asked."""
        known, given = known_line(self.line), line_given(self.line)
        places, needed = adopted_places(self.line), rate_needed(self.line)
        bare = _bare(known, self.asked, needed)
        if not given.tasks:
            return _worded(bare)
        adopted, why_not = None, ""
        if len(places) == len(given.tasks):
            adopted, why_not = _tried(lambda: as_placed(given, places, needed))
        stand = max(places.values()) if len(places) == len(given.tasks) else None
        proposal, why = None, ""
        if or_better or adopted is None:
            proposal, why = _tried(lambda: propose(given, self.asked, needed, known.people, stand))
        found = replace(
            bare,
            adopted=adopted,
            adopted_timed=timed(adopted),
            why_not_adopted=why_not,
            proposal=proposal,
            proposal_timed=timed(proposal),
            why_no_proposal=why,
            means=question_in_words(given, self.asked, known, needed, proposal),
            moved=tuple(moved(places, proposal)) if proposal is not None else (),
            manned=tuple(manned(given, proposal)) if proposal is not None else (),
        )
        found = replace(found, with_people_at_hand=_with_people(given, found, stand))
        return _worded(found)


def _bare(known: LineKnown, asked: LineAsked, needed: float | None) -> LineFound:
    return LineFound(
        programme=known.programme,
        programme_title=known.programme_title,
        invented=known.invented,
        line=known.line,
        asked=asked,
        known=known,
        needed_per_h=needed,
        headline="",
        verdict=Verdict.NOT_SHOWN,
        actions=(),
        rests_on=(),
        adopted=None,
        adopted_timed=None,
        why_not_adopted="",
        proposal=None,
        proposal_timed=None,
        why_no_proposal="",
        means="",
        with_people_at_hand=None,
        moved=(),
        manned=(),
        method=METHOD,
    )


def _worded(found: LineFound) -> LineFound:
    """The answer with its verdict and its sentences."""
    found = replace(found, verdict=verdict_of(found), cautions=tuple(_cautions(found)))
    return replace(
        found,
        headline=headline(found),
        actions=tuple(actions(found)),
        rests_on=tuple(facts(found)),
    )


def _tried(work: Callable[[], LineBalance | None]) -> tuple[LineBalance | None, str]:
    """The balance, or None with what stands in its way."""
    try:
        return work(), ""
    except OfftoolError as error:
        return None, in_shop_words(error)


def propose(
    given: LineGiven, asked: LineAsked, needed: float | None, at_hand: int | None, stand: int | None
) -> LineBalance | None:
    """The balance for what is asked; without a question for the plan, else for the people at hand.

    `stand` is the number of stations of the line as adopted.
    """
    seconds = asked.seconds
    if asked.stations is not None and asked.people is not None:
        return best_rate_of_people(given, stations=asked.stations, people=asked.people, seconds=seconds)
    if asked.stations is not None:
        return best_rate(given, stations=asked.stations, seconds=seconds)
    if asked.people is not None:
        return _best_of(given, asked.people, seconds, stand)
    rate = asked.rate_per_h or needed
    if rate is not None:
        return fewest_stations(given, rate_per_h=rate, seconds=seconds)
    return _best_of(given, at_hand, seconds, stand) if at_hand else None


def _best_of(given: LineGiven, people: int, seconds: float, stand: int | None) -> LineBalance:
    """The best rate of so many people: more stations, or more people at the stations that stand already.

    Raises ImpossibleInput.
    """
    found = _as_manned(given, people, seconds)
    if stand is None or stand >= len(found.stations):
        return found
    shared, _ = _tried(lambda: best_rate_of_people(given, stations=stand, people=people, seconds=seconds))
    return found if shared is None or shared.rate_per_h <= found.rate_per_h * (1 + HAIR) else shared


def _as_manned(given: LineGiven, people: int, seconds: float) -> LineBalance:
    """The best rate of so many people, each station manned as the line says. Raises ImpossibleInput."""
    stations = stations_for(given, people)
    if not stations:
        limit = f"must be at least {given.people_at(1)}: the first station needs so many"
        raise ImpossibleInput("people", people, "", limit, "ask for more people")
    return best_rate(given, stations=stations, seconds=seconds)


def _with_people(given: LineGiven, found: LineFound, stand: int | None) -> LineBalance | None:
    """What the people at hand make, where the line that is proposed for the plan needs more of them."""
    at_hand, proposal = found.known.people, found.proposal
    if not at_hand or proposal is None or found.asked.is_a_question or proposal.people <= at_hand:
        return None
    return _tried(lambda: _best_of(given, at_hand, found.asked.seconds, stand))[0]


def timed(found: LineBalance | None) -> TimedRate | None:
    """Between which rates a line lies."""
    return timed_rate(found) if found is not None else None


def moved(places: dict[str, int], found: LineBalance) -> Iterator[TaskMoved]:
    """The tasks that a balance does elsewhere than the line as adopted, in its order."""
    for load in found.stations:
        for placed in load.tasks:
            was = places.get(placed.task)
            if was != load.station:
                yield TaskMoved(task=placed.task, was=was, now=load.station)


def manned(given: LineGiven, found: LineBalance) -> Iterator[PeopleMoved]:
    """The stations where a balance has other people than the line says."""
    for load in found.stations:
        was = given.people_at(load.station)
        if load.tasks and load.people != was:
            yield PeopleMoved(station=load.station, was=was, now=load.people)


def verdict_of(found: LineFound) -> Verdict:
    """Whether the line keeps the plan with the people at hand, as sure as its times are known."""
    shown, needed, at_hand = found.shown, found.needed_per_h, found.known.people
    if found.asked.rate_per_h is not None:
        return Verdict.FAILS if shown is None else Verdict.HOLDS
    if shown is None:
        is_refused = bool(found.why_no_proposal) and bool(found.known.tasks)
        return Verdict.FAILS if is_refused else Verdict.NOT_SHOWN
    if at_hand is not None and shown.people > at_hand:
        return Verdict.FAILS
    if needed is None:
        return Verdict.NOT_SHOWN
    timed_ = found.shown_timed
    span = timed_.interval if timed_ is not None else None
    if shown.rate_per_h < needed * (1 - HAIR):
        # an interval that reaches the plan leaves it open, one that does not settles it
        return Verdict.NOT_SHOWN if span is not None and span.high >= needed else Verdict.FAILS
    return Verdict.HOLDS if span is not None and span.low >= needed else Verdict.NOT_SHOWN


HAIR = 1e-9
"""A rate is 3600 over a sum of decimal fractions."""


def _cautions(found: LineFound) -> Iterator[Caution]:
    yield from spread_cautions(found)
    if found.shown is not None:
        yield from found.shown.cautions
    if found.known.people is not None and found.shown is not None:
        spare = found.known.people - found.shown.people
        if spare < 0 and found.is_adopted:
            yield Caution(f"the adopted line needs {count(-spare, 'person', 'people')} more than are at hand")
