"""How far a programme is from its release: what is still to be done, what decides the day, what is stale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from offtool import __version__
from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.pilot.way import StepOnWay, WayFound, way_to_end
from offtool.core.values import Interval, Verdict
from offtool.handbook.release_list import Fed
from offtool.handbook.release_steps import STEP_BY_CODE
from offtool.records.models import Programme
from offtool.records.queries import find_programme, joints_of, seams_of, step_days_of
from offtool.steps.overview import is_invented
from offtool.steps.review_found import ReleaseReview, ReviewLine
from offtool.steps.review_release import review_release
from offtool.steps.way_days import day_begun, day_done, days_through, days_until
from offtool.steps.way_found import GoneStale, ToolOnWay, WayStep, WayToRelease
from offtool.steps.way_needed import OF_TOOL, StepNeeded, after_of, is_of_tool, size_of, steps_needed
from offtool.steps.way_sentences import (
    DECIDED_BY_PEOPLE,
    HOLIDAYS,
    NOTHING_ELSE,
    actions,
    facts,
    headline,
    tool_words,
)
from offtool.steps.way_tools import ToolAhead, tools_ahead

METHOD = f"offtool {__version__}"
CONFIDENCE = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class WayGiven:
    """All that the way is read from."""

    programme: Programme
    on: date
    review: ReleaseReview
    tools: tuple[ToolAhead, ...]
    needed: tuple[StepNeeded, ...]
    own: Mapping[str, tuple[float, float]]

    def days_of(self, kind: str) -> tuple[float, float]:
        """Working days of a kind of step: as said for the programme, else the handbook's."""
        usual = STEP_BY_CODE[kind]
        return self.own.get(kind, (usual.low_days, usual.high_days))


def way_to_release(programme: str, on: date, review: ReleaseReview | None = None) -> WayToRelease:
    """The way from a day on; a review of that day, where there is one already, is not made again.

    Raises NotInRecord for an unknown programme.
    """
    kept = find_programme(programme)
    seen = review if review is not None else review_release(programme, on)
    tools = tools_ahead(kept)
    return way_from(
        WayGiven(
            programme=kept,
            on=on,
            review=seen,
            tools=tools,
            needed=steps_needed(seen, tools, _parts_of(kept)),
            own={name: (one.low_days, one.high_days) for name, one in step_days_of(kept).items()},
        )
    )


def way_from(given: WayGiven) -> WayToRelease:
    """The way from all that it is read from; nothing is looked up any more."""
    found = _found(given, _way(given))
    return replace(
        found,
        headline=headline(found),
        actions=tuple(actions(found)),
        rests_on=tuple(facts(found)),
    )


def _parts_of(programme: Programme) -> dict[tuple[str, str], frozenset[str]]:
    """The parts of every joint and seam."""
    joints = {
        ("joint", one.code): frozenset(
            size.characteristic.part.code for size in one.sizes.all() if size.characteristic is not None
        )
        for one in joints_of(programme)
    }
    return joints | {
        ("seam", one.code): frozenset({one.top_part.code, one.bottom_part.code})
        for one in seams_of(programme)
    }


def _way(given: WayGiven) -> WayFound | None:
    """The network of the steps, in working days from the day on; None where no step is left."""
    if not given.needed:
        return None
    after = after_of(given.needed)
    spans = [given.days_of(one.kind) for one in given.needed]
    due = given.programme.release_due
    return way_to_end(
        [one.name for one in given.needed],
        [low for low, _ in spans],
        [high for _, high in spans],
        after=[" | ".join(after[one.name]) for one in given.needed],
        not_before=[days_until(given.on, one.not_before) if one.not_before else 0.0 for one in given.needed],
        due=days_through(given.on, due) if due is not None else None,
        confidence=CONFIDENCE,
    )


def _found(given: WayGiven, way: WayFound | None) -> WayToRelease:
    on, review = given.on, given.review
    ends = way.end_days if way is not None else 0.0
    between = way.end_between if way is not None else Interval(low=0.0, high=0.0, confidence=CONFIDENCE)
    chance = way.chance_in_time if way is not None else None
    return WayToRelease(
        programme=given.programme.slug,
        programme_title=given.programme.title,
        invented=is_invented(given.programme),
        on=on,
        due=given.programme.release_due,
        headline="",
        verdict=_in_time(given.programme.release_due, day_done(on, between.low), day_done(on, between.high)),
        chance_in_time=chance,
        ends=day_done(on, ends),
        ends_first=day_done(on, between.low),
        ends_last=day_done(on, between.high),
        even_chance=day_done(on, way.middle_days if way is not None else 0.0),
        weeks=((day_done(on, ends) - on).days + 1) / 7,
        confidence=CONFIDENCE,
        steps=tuple(_steps(given, way)) if way is not None else (),
        path=way.path if way is not None else (),
        actions=(),
        tools=tuple(_tool(one, given) for one in given.tools),
        gone_stale=tuple(_gone_stale(review)),
        line_titles=tuple((one.code, one.title) for one in review.lines),
        lines_met=sum(one.holds for one in _unsigned(review)),
        lines_asked=len(_unsigned(review)),
        rests_on=(),
        missing=tuple(_missing(given)),
        method=METHOD,
        cautions=(NOTHING_ELSE, *(way.cautions if way is not None else ()), HOLIDAYS, DECIDED_BY_PEOPLE),
    )


def _unsigned(review: ReleaseReview) -> list[ReviewLine]:
    """The lines that evidence answers; signatures come when they are met."""
    return [one for one in review.lines if one.fed_by is not Fed.SIGNATURES]


def _in_time(due: date | None, first: date, last: date) -> Verdict | None:
    if due is None:
        return None
    if last <= due:
        return Verdict.HOLDS
    return Verdict.FAILS if first > due else Verdict.NOT_SHOWN


def _steps(given: WayGiven, way: WayFound) -> Iterator[WayStep]:
    for needed, one in zip(given.needed, way.steps, strict=True):
        yield _step(given, needed, one)


def _step(given: WayGiven, needed: StepNeeded, one: StepOnWay) -> WayStep:
    usual, on = STEP_BY_CODE[needed.kind], given.on
    return WayStep(
        step=one.step,
        kind=needed.kind,
        title=f"{usual.title}, {needed.tool}" if needed.tool else usual.title,
        does=usual.does,
        tool=needed.tool,
        because=needed.because,
        lines=needed.lines,
        after=one.after,
        low_days=one.low_days,
        high_days=one.high_days,
        is_own=needed.kind in given.own,
        not_before=needed.not_before if one.not_before > 0 else None,
        starts=day_begun(on, one.starts),
        ends=day_done(on, one.ends),
        ends_first=day_done(on, one.ends_between.low),
        ends_last=day_done(on, one.ends_between.high),
        must_end=day_done(on, one.latest_end),
        float_days=one.float_days,
        decides=one.decides,
        chance_to_decide=one.chance_to_decide,
        sooner_days=one.sooner_days,
    )


def _tool(tool: ToolAhead, given: WayGiven) -> ToolOnWay:
    """The worst of what the review says of its sizes, and its first step."""
    seen = [
        fact
        for line in given.review.lines
        if line.fed_by in OF_TOOL
        for fact in line.facts
        if is_of_tool(fact, tool)
    ]
    standings: dict[str, set[Standing]] = {}
    for fact in seen:
        standings.setdefault(size_of(fact), set()).add(fact.standing)
    worst_of = [next(one for one in Standing if one in found) for found in standings.values()]
    by = {one: worst_of.count(one) for one in Standing}
    worst = next((one for one in Standing if by[one]), Standing.MISSING)
    step = next((one for one in given.needed if one.tool == tool.tool), None)
    return ToolOnWay(
        tool=tool.tool,
        standing=worst,
        words=tool_words(worst, by[Standing.FAILS], by[Standing.STALE], by[Standing.MISSING]),
        next_step=f"{STEP_BY_CODE[step.kind].does}: {step.because}" if step is not None else "",
        trials=tuple(one.trial for one in tool.slots),
    )


def _gone_stale(review: ReleaseReview) -> Iterator[GoneStale]:
    """Each change with the lines that it made stale or that are older than it, the newest change first."""
    gone: dict[StaleBecause, list[tuple[str, str]]] = {}
    older: dict[StaleBecause, list[tuple[str, str]]] = {}
    for line in review.lines:
        named = (line.code, line.title)
        for one in line.stale_because:
            gone.setdefault(one, []).append(named)
        for fact in line.facts:
            told = gone if fact.standing is Standing.STALE else older
            for one in () if fact.is_met else fact.stale_because:
                told.setdefault(one, []).append(named)
    for one in sorted({**gone, **older}, key=lambda each: each.on or date.min, reverse=True):
        lines = tuple(dict.fromkeys(gone.get(one, ())))
        others = (each for each in dict.fromkeys(older.get(one, ())) if each not in lines)
        yield GoneStale(change=one.change, on=one.on, words=one.words, lines=lines, older=tuple(others))


def _missing(given: WayGiven) -> Iterator[str]:
    yield from given.review.unsaid
    if given.programme.release_due is None:
        yield "the day by which release is asked for"
    without = [one.tool for one in given.tools if not one.slots and _needs(given.needed, one.tool)]
    if without:
        yield f"a trial that is asked for: {', '.join(without)}"


def _needs(needed: Sequence[StepNeeded], tool: str) -> bool:
    return any(one.tool == tool and one.kind == "trial" for one in needed)
