"""Why a pilot has its verdict: its yields, times, defects, audits and hours as rows of a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.pilot.yields import YieldOfLine
from offtool.core.values import Verdict
from offtool.reports.audit_drawing import draw_audit
from offtool.reports.pilot_bars import (
    cost_scale,
    draw_cost_bar,
    draw_time_bar,
    draw_yield_bar,
    time_scale,
    yield_scale,
)
from offtool.reports.pilot_words import (
    against_in_words,
    audit_asked,
    audit_in_words,
    defect_in_words,
    good_in_words,
    half_in_words,
    lets_in_words,
    operators_in_words,
    place_in_words,
    planned_in_words,
    share_in_words,
    station_yield_in_words,
    time_in_words,
    timed_name,
    verdict_of_time,
)
from offtool.steps.pilot_found import AuditSeen, PilotFound, StationTimed
from offtool.steps.pilot_sentences import MOST_NAMED, near_in_words
from offtool.steps.sentences import sentence
from offtool.web.pages.trial import MARK

NO_PLAN = "none planned"
SAME = "doubt"
"""The mark of a station of which no change is shown."""
NARROW = 170.0
"""Width of the bars of yields, in pixels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YieldRow:
    """The yield of a station, or of the whole line before or after rework."""

    name: str
    counts: str
    bar: SafeString
    share: str
    final: str
    mark: str
    word: str
    is_line: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectRow:
    """One defect, and what it cost."""

    defect: str
    bar: SafeString
    cost: str
    count: str
    place: str
    near: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRow:
    """The times of a station or a task."""

    name: str
    bar: SafeString
    says: str
    against: str
    lets: str
    cycles: str
    operators: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    """What was pulled or turned of one seam or joint."""

    title: str
    href: str
    mark: str
    word: str
    says: str
    asked: str
    drawing: SafeString | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfRow:
    """A station in its first hour against its last."""

    station: str
    says: str
    word: str
    mark: str


def yield_rows(found: PilotFound) -> Iterator[YieldRow]:
    """The stations in the order of the line, then the line before and after rework."""
    yields = found.yields
    if yields is None:
        return
    scale = yield_scale(found, width=NARROW)
    for one in yields.stations:
        said = station_yield_in_words(one)
        yield YieldRow(
            name=one.station,
            counts=good_in_words(one),
            bar=_safe(draw_yield_bar(scale, one.first.share, one.first.interval, None, None, said)),
            share=share_in_words(one.first.share, one.first.interval),
            final=share_in_words(one.final.share, one.final.interval),
            mark="",
            word="",
            is_line=False,
        )
    for name, line in (("line, the first time", yields.first), ("line, in the end", yields.final)):
        yield _line_row(
            name, line, draw_yield_bar(scale, line.share, line.interval, line.planned, line.verdict, name)
        )


def _line_row(name: str, line: YieldOfLine, bar: str) -> YieldRow:
    return YieldRow(
        name=f"Whole {name}",
        counts=planned_in_words(line.planned),
        bar=_safe(bar),
        share=share_in_words(line.share, line.interval),
        final="",
        mark=MARK[line.verdict] if line.verdict is not None else "",
        word=str(line.verdict) if line.verdict is not None else NO_PLAN,
        is_line=True,
    )


def defect_rows(found: PilotFound) -> Iterator[DefectRow]:
    """The defects in the order of what they cost."""
    ranked = found.defects
    if ranked is None:
        return
    scale = cost_scale(ranked.ranking.defects)
    for one in ranked.ranking.defects:
        said = defect_in_words(one, by_cost=ranked.by_cost)
        yield DefectRow(
            defect=one.defect,
            bar=_safe(draw_cost_bar(scale, one, f"{one.defect}: {said}")),
            cost=said,
            count=f"{one.count:,}",
            place=place_in_words(one),
            near=f"not told from {near_in_words(one)}" if 0 < len(one.not_told_from) <= MOST_NAMED else "",
        )


def time_rows(found: PilotFound) -> Iterator[TimeRow]:
    """The stations in the order of the line, tasks that were timed alone below theirs."""
    scale = time_scale(found.times)
    for one in found.times:
        yield _time_row(one, draw_time_bar(scale, one, f"{timed_name(one)}: {time_in_words(one)}"))


def _time_row(one: StationTimed, bar: str) -> TimeRow:
    planned = one.times is not None
    return TimeRow(
        name=timed_name(one),
        bar=_safe(bar),
        says=time_in_words(one),
        against=against_in_words(one),
        lets=lets_in_words(one),
        cycles=f"{one.cycles:,}",
        operators=operators_in_words(one),
        mark=MARK[verdict_of_time(one)] if planned else "",
        word=str(verdict_of_time(one)) if planned else NO_PLAN,
    )


def audit_rows(found: PilotFound, *, width: float) -> Iterator[AuditRow]:
    """The seams, then the joints."""
    for one in found.audits:
        verdict = one.judged.verdict if one.judged is not None else Verdict.NOT_SHOWN
        drawn = one.judged is not None and bool(one.judged.hours)
        yield AuditRow(
            title=f"{one.name}, {one.measure}",
            href=reverse(one.kind, args=[found.programme, one.code]),
            mark=MARK[verdict],
            word=str(verdict),
            says=sentence(audit_in_words(one)),
            asked=sentence(asked) if (asked := audit_asked(one)) else "",
            drawing=_drawn(one, width) if drawn else None,
        )


def _drawn(one: AuditSeen, width: float) -> SafeString | None:
    return _safe(draw_audit(one, one.judged, width=width)) if one.judged is not None else None


def half_rows(found: PilotFound) -> Iterator[HalfRow]:
    """Each station in its first hour and in its last."""
    marks = {"better": "yes", "worse": "no"}
    for one in found.halves:
        times = one.found.times
        changes = [one.found.change, *([times.change] if times is not None else [])]
        word = next((each for each in ("worse", "better") if each in changes), "no change shown")
        yield HalfRow(
            station=one.station, says=sentence(half_in_words(one)), word=word, mark=marks.get(word, SAME)
        )


def _safe(drawing: str) -> SafeString:
    return mark_safe(drawing)  # noqa: S308 our own drawing
