"""The lines that the pilot answers: the rate of the line, its yields."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.records.models import Trial
from offtool.records.queries import lines_of
from offtool.steps.pilot_standing import PilotStanding, StandingOf
from offtool.steps.review_found import ReviewFact, ReviewTarget
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine

RUN_ONE = "Run a pilot with the people, tools and instructions of production, and read its counts."


def rate_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """The rate of the newest pilot of every line."""
    for one in ground.pilots:
        yield _fact(ground, asked, one, "rate", one.rate)
    yield from _without_pilot(ground, asked)


def yield_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """The yields of the newest pilot of every line, before rework and after it."""
    for one in ground.pilots:
        yield _fact(ground, asked, one, "yield before rework", one.first_yield)
        yield _fact(ground, asked, one, "yield after rework", one.final_yield)
    yield from _without_pilot(ground, asked)


def _fact(
    ground: ReviewGround, asked: AskedLine, one: PilotStanding, what: str, found: StandingOf
) -> ReviewFact:
    return ground.fact(
        asked,
        f"{one.line} {what}",
        f"{one.line}, {what} in pilot {one.pilot}: {found.words}",
        found.verdict,
        day=one.ran_on,
        trials=tuple(_trials(ground, one)),
        is_whole=True,
        target=ReviewTarget(page="pilot", names=(one.pilot,)),
        again=f"See what pilot {one.pilot} says of it first; then run the next one.",
        redo=f"Run a pilot of {one.line} again: it has changed since {one.pilot}.",
        sources=ground.pilot_files(one.line, one.pilot),
    )


def _trials(ground: ReviewGround, one: PilotStanding) -> Iterator[Trial]:
    for words in one.trials:
        tool, _, trial = words.rpartition(" ")
        found = ground.trial_named(tool, trial)
        if found is not None:
            yield found


def _without_pilot(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Lines that no pilot ran on, or that there is no line at all."""
    seen = {one.line for one in ground.pilots}
    names = [one.name for one in lines_of(ground.programme)]
    for name in names:
        if name not in seen:
            yield ground.fact(
                asked,
                name,
                f"{name}: no pilot has run",
                None,
                target=ReviewTarget(page="pilots"),
                again=RUN_ONE,
            )
    if not names:
        said = "no line is written down yet"
        yield ground.fact(
            asked,
            "line",
            said,
            None,
            target=ReviewTarget(page="line_only"),
            again=f"Write down the line. {RUN_ONE}",
        )
