"""What a pilot showed as a PDF: the verdict, what to do, yields, times, defects, audits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from offtool.core.values import Caution, Verdict
from offtool.reports import words
from offtool.reports.audit_drawing import draw_audit
from offtool.reports.pilot_bars import (
    cost_scale,
    draw_cost_bar,
    draw_time_bar,
    draw_yield_bar,
    time_scale,
    yield_scale,
)
from offtool.reports.pilot_hours_drawing import draw_pilot_hours
from offtool.reports.pilot_words import (
    against_in_words,
    audit_asked,
    audit_in_words,
    changed,
    defect_in_words,
    good_in_words,
    half_in_words,
    lets_in_words,
    pieces_in_words,
    place_in_words,
    planned_in_words,
    ranking_in_words,
    share_in_words,
    shows_in_words,
    station_yield_in_words,
    time_in_words,
    timed_name,
    verdict_of_time,
)
from offtool.reports.plain_text import printable_rows
from offtool.reports.typeset import typeset
from offtool.steps.pilot_found import AuditSeen, PilotFound

LAYOUT = Path(__file__).with_suffix(".typ")
NARROW = 200.0
MOST_DEFECTS = 8
"""The dearest are listed; the page of the pilot has all."""


def pilot_report(found: PilotFound, *, made_by: str = "") -> bytes:
    """The report on one pilot, a page or two.

    The same findings give the same bytes: nothing in it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, printable_rows(_rows(found, made_by)))


def _rows(found: PilotFound, made_by: str) -> dict[str, Any]:
    on = f", {words.day(found.ran_on)}" if found.ran_on is not None else ""
    told = (
        f"{found.programme_title}, pilot {found.pilot}",
        found.method,
        f"Made by {made_by}" if made_by else "",
    )
    return {
        "title": f"Pilot {found.pilot} of {found.line}{on}, {found.programme_title}",
        "headline": found.headline,
        "word": str(found.verdict),
        "actions": [[one.do, one.because] for one in found.actions],
        "facts": [[one.about, one.says] for one in found.rests_on],
        "cautions": _cautions(found.cautions),
        "hours": draw_pilot_hours(found.hours_seen, found.planned_per_h) if found.hours_seen else "",
        "hours_say": _hours_say(found),
        "yields": _yields(found),
        "times": _times(found),
        "defects": _defects(found),
        "defects_say": _defects_say(found),
        "audits": [_audit(one) for one in found.audits],
        "halves": _halves(found),
        "shows": shows_in_words(found.shows) if found.shows is not None else [],
        "sheets": [
            [f"{one.kind} {one.name}", one.file, f"{one.rows:,}", one.sha256[:16], _state(one.set_aside)]
            for one in found.files
        ],
        "footer": ". ".join(filter(None, told)),
    }


def _cautions(cautions: tuple[Caution, ...]) -> list[str]:
    return [f"{one.text} ({one.source})" if one.source else one.text for one in cautions]


def _state(set_aside: str) -> str:
    return f"set aside: {set_aside}" if set_aside else "counts"


def _hours_say(found: PilotFound) -> list[str]:
    said = [f"{found.rate.words}." if found.rate is not None else "No rate is known."]
    if found.balance is not None:
        said.append(f"{pieces_in_words(found.balance)}.")
    if found.waits:
        waits = words.listed([f"{one.pieces} before {one.station}" for one in found.waits])
        said.append(f"Waiting when it ended: {waits}.")
    return [*said, "Hatched hours do not count for the rate."]


def _yields(found: PilotFound) -> list[list[str]]:
    yields = found.yields
    if yields is None:
        return []
    scale = yield_scale(found, width=NARROW)
    rows = [
        [
            one.station,
            good_in_words(one),
            draw_yield_bar(
                scale, one.first.share, one.first.interval, None, None, station_yield_in_words(one)
            ),
            share_in_words(one.first.share, one.first.interval),
            share_in_words(one.final.share, one.final.interval),
            "",
        ]
        for one in yields.stations
    ]
    for name, line in (("Line, the first time", yields.first), ("Line, in the end", yields.final)):
        bar = draw_yield_bar(scale, line.share, line.interval, line.planned, line.verdict, name)
        word = str(line.verdict) if line.verdict is not None else ""
        share = share_in_words(line.share, line.interval)
        rows.append([name, planned_in_words(line.planned), bar, share, "", word])
    return rows


def _times(found: PilotFound) -> list[list[str]]:
    scale = time_scale(found.times, width=NARROW)
    return [
        [
            timed_name(one),
            draw_time_bar(scale, one, time_in_words(one)),
            time_in_words(one),
            against_in_words(one),
            lets_in_words(one),
            str(verdict_of_time(one)) if one.times is not None else "",
        ]
        for one in found.times
    ]


def _defects(found: PilotFound) -> list[list[str]]:
    ranked = found.defects
    if ranked is None:
        return []
    scale = cost_scale(ranked.ranking.defects, width=NARROW)
    return [
        [
            one.defect,
            draw_cost_bar(scale, one, one.defect),
            defect_in_words(one, by_cost=ranked.by_cost),
            f"{one.count:,}",
            place_in_words(one),
        ]
        for one in ranked.ranking.defects[:MOST_DEFECTS]
    ]


def _defects_say(found: PilotFound) -> str:
    if found.defects is None:
        return ""
    more = len(found.defects.ranking.defects) - MOST_DEFECTS
    return ranking_in_words(found.defects) + (f" {more} that cost less are not listed." if more > 0 else "")


def _halves(found: PilotFound) -> list[list[str]]:
    """The stations that changed; those of which no change is shown in one line."""
    same = [one.station for one in found.halves if not changed(one)]
    rows = [[one.station, half_in_words(one)] for one in found.halves if changed(one)]
    return [*rows, *([["No change shown", words.listed(same)]] if same else [])]


def _audit(one: AuditSeen) -> dict[str, Any]:
    judged = one.judged
    drawn = judged is not None and bool(judged.hours)
    asked = audit_asked(one)
    return {
        "name": f"{one.name}, {one.measure}",
        "word": str(judged.verdict if judged is not None else Verdict.NOT_SHOWN),
        "says": [f"{audit_in_words(one)}.", *([f"Asked: {asked}."] if asked else [])],
        "drawing": draw_audit(one, judged) if judged is not None and drawn else "",
    }
