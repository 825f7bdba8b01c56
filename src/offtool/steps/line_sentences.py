"""The sentences of a line: the verdict, what to do in order of effect, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.pilot.balance import LineBalance, LineGiven, StationLoad
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.line_found import LineAsked, LineFound
from offtool.steps.line_in_record import names_in_words, stations_for, stations_named
from offtool.steps.line_known import LineKnown
from offtool.steps.line_words import (
    an_hour,
    asked_an_hour,
    line_in_words,
    manning_in_words,
    people_in_words,
    plan_in_words,
    proof_in_words,
    seconds,
    share_over_in_words,
    span_in_words,
)
from offtool.steps.sentences import count, per_cent, sentence

READ, TASKS, NUMBERS, ADOPT, RUN, LONGER = "read", "tasks", "numbers", "adopt", "run", "longer"
EMPTY = "empty"
"""Where an action leads."""
ENOUGH_READINGS = 10
"""A task is timed over so many pieces before its mean is trusted; common practice, no source."""
OFTEN_OVER = 0.1
"""A station that is over the cycle in more than one piece in ten holds up the next one; common practice."""


def headline(found: LineFound) -> str:
    """What the line makes against what is planned, or what is missing to say so."""
    known, shown = found.known, found.shown
    if not known.line:
        return "No line is written down yet: begin with its tasks."
    if not known.tasks:
        return f"{known.line} has no task yet: list what is done to a piece, with times."
    if shown is None:
        return _without(found)
    start = "As adopted, " if found.is_adopted else ""
    said = f"{start}{line_in_words(shown)} make {an_hour(shown.rate_per_h)}"
    if found.asked.is_a_question:
        rate = found.asked.rate_per_h
        asked = f" where {asked_an_hour(rate).removesuffix(' an hour')} are asked for" if rate else ""
        return f"{said}{asked}; {_proved(shown)}."
    return f"{said}{_against_plan(found, shown)}."


def _without(found: LineFound) -> str:
    known = found.known
    work = sum(one.time_s for one in known.tasks)
    if found.why_no_proposal:
        return sentence(f"there is no line for {_question(found)}: {found.why_no_proposal}")
    tasks = f"{count(len(known.tasks), 'task')}, {seconds(work)} of work"
    return f"{known.line} has {tasks}: say how many pieces an hour are planned."


def _question(found: LineFound) -> str:
    asked = found.asked
    if asked.stations is not None and asked.people is not None:
        return f"{people_in_words(asked.people)} at {count(asked.stations, 'station')}"
    if asked.stations is not None:
        return count(asked.stations, "station")
    if asked.people is not None:
        return people_in_words(asked.people)
    rate = asked.rate_per_h or found.needed_per_h
    return asked_an_hour(rate) if rate is not None else people_in_words(found.known.people or 0)


def _against_plan(found: LineFound, shown: LineBalance) -> str:
    """What the plan says beside it; where it is not kept, what is in the way."""
    known, needed = found.known, found.needed_per_h
    planned = known.planned_per_h
    plan = ""
    if planned is not None and needed is not None:
        good = "" if needed == planned else f" good, {asked_an_hour(needed).removesuffix(' an hour')} started"
        plan = f"; the plan asks for {asked_an_hour(planned).removesuffix(' an hour')}{good}"
        if shown.rate_per_h < needed * (1 - 1e-9):
            slow = shown.slowest
            plan += f", and {known.station_name(slow.station)} takes {seconds(slow.busy_s)}"
    if known.people is not None and shown.people > known.people:
        return f"{plan}; {people_in_words(known.people)} {'is' if known.people == 1 else 'are'} at hand"
    return plan if found.is_adopted else f"{plan}; {_proved(shown)}"


def _proved(shown: LineBalance) -> str:
    """fewer stations cannot; or what is not shown."""
    if not shown.is_proved:
        return proof_in_words(shown).removeprefix("not proved: ")
    return "fewer stations cannot" if shown.goal == "fewest stations" else "so many stations make no more"


def actions(found: LineFound) -> Iterator[Action]:
    """What to do, in order of effect."""
    known = found.known
    if not known.line or not known.tasks:
        because = "A table from a spreadsheet does: task, time, what must be done before."
        yield Action(do="Write down the tasks with their times.", because=because, leads_to=READ)
        return
    yield from _in_the_way(found)
    if found.shown is not None:
        yield from _places(found)
        yield from _people(found)
    if known.planned_per_h is None:
        because = "Without it nobody can say whether the line is enough."
        yield Action(do="Say how many good pieces an hour are planned.", because=because, leads_to=NUMBERS)
    yield from _times(known)
    if found.is_adopted:
        yield from _left_over(found.known.left_over)
    if found.shown is not None:
        yield from _search(found)
        yield from _run(found, found.shown)


def _in_the_way(found: LineFound) -> Iterator[Action]:
    if found.why_no_proposal:
        yield Action(
            do="Mend what stands in the way.", because=sentence(found.why_no_proposal), leads_to=TASKS
        )
    if found.why_not_adopted:
        because = f"{sentence(found.why_not_adopted)} The adopted places cannot be worked so."
        yield Action(do="Adopt other places.", because=because, leads_to=ADOPT)


def _places(found: LineFound) -> Iterator[Action]:
    """Adopt what is proposed, where that is better than what is adopted or where nothing is."""
    adopted, proposal = found.adopted, found.proposal
    if proposal is None:
        return
    if adopted is None:
        if not found.why_not_adopted:
            because = "The simulation and the sheets at the stations follow the line as adopted."
            yield Action(do="Adopt these places, or your own.", because=because, leads_to=ADOPT)
        return
    if not found.differs or found.asked.is_a_question:
        return
    gains = _gains(adopted, proposal, found.needed_per_h)
    if gains:
        gains += _more_people(found, proposal)
        tasks = count(len(found.moved), "task")
        does = "moves" if len(found.moved) == 1 else "move"
        yield Action(do=f"Adopt the proposed places: {tasks} {does}.", because=gains, leads_to=ADOPT)
    elif found.verdict is Verdict.FAILS:
        yield from _relieve(found, adopted.slowest)


def _gains(adopted: LineBalance, proposal: LineBalance, needed: float | None) -> str:
    """What the proposed places give over the adopted ones, in a sentence; empty for nothing."""
    fewer = len(adopted.stations) - len(proposal.stations)
    keeps = needed is None or proposal.rate_per_h >= needed * (1 - 1e-9)
    if keeps and needed is not None and adopted.rate_per_h < needed * (1 - 1e-9):
        return f"They make {an_hour(proposal.rate_per_h)} on {count(len(proposal.stations), 'station')}."
    if keeps and fewer > 0:
        return f"They need {count(fewer, 'station')} fewer for the plan."
    if fewer == 0 and proposal.rate_per_h > adopted.rate_per_h * (1 + 1e-6):
        return f"They make {an_hour(proposal.rate_per_h)} on as many stations."
    return ""


def _more_people(found: LineFound, proposal: LineBalance) -> str:
    """Where the proposal needs more people than are at hand, that is said at once."""
    at_hand = found.known.people
    if at_hand is None or proposal.people <= at_hand:
        return ""
    is_are = "is" if at_hand == 1 else "are"
    return f" They need {people_in_words(proposal.people)}, and {at_hand} {is_are} at hand."


def _relieve(found: LineFound, slow: StationLoad) -> Iterator[Action]:
    name = found.known.station_name(slow.station)
    because = f"It takes {seconds(slow.busy_s)} for a piece: no other place of the tasks is faster."
    yield Action(
        do=f"Relieve {name}: divide a task, or put one more person there.", because=because, leads_to=""
    )


def _people(found: LineFound) -> Iterator[Action]:
    shown, at_hand, less = found.shown, found.known.people, found.with_people_at_hand
    if shown is None or at_hand is None or shown.people <= at_hand:
        return
    more = shown.people - at_hand
    because = f"{people_in_words(at_hand).capitalize()} are at hand."
    if less is not None:
        because += f" They make {an_hour(less.rate_per_h)} on {count(len(less.stations), 'station')}."
    yield Action(do=f"Find {more} more, or plan less.", because=because, leads_to=NUMBERS)


def _times(known: LineKnown) -> Iterator[Action]:
    """Times that are estimates, or rest on few pieces."""
    guessed = [one.task for one in known.tasks if not one.readings]
    few = [one.task for one in known.tasks if 0 < one.readings < ENOUGH_READINGS]
    if guessed:
        what = "Its time is an estimate" if len(guessed) == 1 else "Their times are estimates"
        because = f"{what}; {ENOUGH_READINGS} pieces each are usual."
        yield Action(do=f"Time {names_in_words(guessed)}.", because=because, leads_to=TASKS)
    if few:
        least = min(one.readings for one in known.tasks if one.readings)
        because = f"Timed over {least} pieces or little more; {ENOUGH_READINGS} are usual."
        yield Action(do=f"Time {names_in_words(few)} again.", because=because, leads_to=TASKS)


def _left_over(numbers: Sequence[int]) -> Iterator[Action]:
    """Stations that adopted places left empty."""
    if numbers:
        them = "it" if len(numbers) == 1 else "them"
        because = "Nothing is done there any more."
        yield Action(
            do=f"Take {stations_named(numbers)} out, or give {them} a task.", because=because, leads_to=EMPTY
        )


def _search(found: LineFound) -> Iterator[Action]:
    proposal = found.proposal
    if proposal is not None and not proposal.is_proved:
        because = f"{sentence(proof_in_words(proposal))} The search had {found.asked.seconds:g} s."
        yield Action(do="Search longer.", because=because, leads_to=LONGER)


def _run(found: LineFound, shown: LineBalance) -> Iterator[Action]:
    """Mean times say nothing of waiting: which station is over the cycle most often, then the simulation."""
    often = [one for one in shown.stations if one.over is not None and one.over > OFTEN_OVER]
    if often:
        worst = max(often, key=lambda one: one.over or 0.0)
        name = found.known.station_name(worst.station)
        over = share_over_in_words(worst.over)
        because = f"It is over the cycle {over}; a run shows what that costs."
        yield Action(
            do=f"Let pieces wait before and behind {name}, or relieve it.", because=because, leads_to=RUN
        )
    else:
        because = "A balance knows nothing of waiting, stoppages and rework."
        yield Action(do="Run the line before the pilot does.", because=because, leads_to=RUN)


def facts(found: LineFound) -> Iterator[Fact]:
    """What the verdict rests on."""
    known, shown = found.known, found.shown
    if not known.line:
        return
    plan = plan_in_words(known, found.needed_per_h)
    yield Fact(about="Plan", says=sentence(plan) if plan else "Not said.")
    if found.means:
        yield Fact(about="Asked", says=found.means)
    if known.people is not None:
        yield Fact(about="People at hand", says=str(known.people))
    if not known.tasks:
        return
    work = sum(one.time_s for one in known.tasks)
    yield Fact(about="Work on a piece", says=f"{work:.4g} s in {count(len(known.tasks), 'task')}")
    yield Fact(about="Times", says=_timing(known))
    if shown is not None:
        yield from _of_line(found, shown)


def _timing(known: LineKnown) -> str:
    timed = [one.readings for one in known.tasks if one.readings]
    if not timed:
        return "all estimates"
    guessed = len(known.tasks) - len(timed)
    least, most = min(timed), max(timed)
    over = f"{least} pieces each" if least == most else f"{least} to {most} pieces"
    rest = f"; {count(guessed, 'estimate')}" if guessed else ""
    return f"{len(timed)} timed over {over}{rest}"


def _of_line(found: LineFound, shown: LineBalance) -> Iterator[Fact]:
    yield Fact(about="Cycle", says=f"{shown.cycle_s:.4g} s; the slowest station {shown.slowest.busy_s:.4g} s")
    span = span_in_words(found.shown_timed)
    if span:
        yield Fact(about="Rate, by how often it was timed", says=span)
    yield Fact(about="Use of the people", says=f"{per_cent(shown.efficiency, 0)} of their time is work")
    if found.proposal is not None:
        yield Fact(about="Proposal", says=sentence(proof_in_words(found.proposal)))


def question_in_words(
    given: LineGiven,
    asked: LineAsked,
    known: LineKnown,
    needed: float | None,
    proposal: LineBalance | None = None,
) -> str:
    """How the question was taken."""
    if asked.stations is not None and asked.people is not None:
        said = f"{people_in_words(asked.people)} shared out over {count(asked.stations, 'station')}"
        return f"{said}, one at each at least; what is said of people at a station is left aside."
    if asked.people is not None:
        stations = stations_for(given, asked.people)
        if proposal is not None and len(proposal.stations) < stations:
            there = count(len(proposal.stations), "station")
            return (
                f"{people_in_words(asked.people)} shared out over the {there} that stand: so they make more "
                f"than at {stations}. Other numbers of stations can be asked for."
            )
        return f"{manning_in_words(given, stations, asked.people)}." if stations else ""
    if asked.stations is not None:
        return f"The best rate of {count(asked.stations, 'station')}, each manned as the line says."
    if asked.rate_per_h is not None:
        return f"The fewest stations for {asked_an_hour(asked.rate_per_h)}."
    if needed is None and known.people:
        return "No rate is planned: the best rate of the people at hand."
    return ""


def spread_cautions(found: LineFound) -> Iterator[Caution]:
    """What the spread of the times means for the rate."""
    timed = found.shown_timed
    if timed is None or found.needed_per_h is None or timed.interval is None:
        return
    if timed.interval.low < found.needed_per_h <= timed.rate_per_h:
        yield Caution(
            f"the tasks were timed too little to show {asked_an_hour(found.needed_per_h)}: the line makes "
            f"{span_in_words(timed)}"
        )
