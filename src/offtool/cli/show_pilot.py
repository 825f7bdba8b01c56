"""A pilot on the terminal: what it showed, what to do, why."""

from __future__ import annotations

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.reports.audit_drawing import hour_in_words as audit_hour_in_words
from offtool.reports.pilot_hours_drawing import hour_in_words
from offtool.reports.pilot_words import (
    against_in_words,
    audit_asked,
    audit_in_words,
    defect_in_words,
    defects_title,
    half_in_words,
    lets_in_words,
    pieces_in_words,
    place_in_words,
    planned_in_words,
    share_in_words,
    shows_in_words,
    station_yield_in_words,
    time_in_words,
    timed_name,
    verdict_of_time,
)
from offtool.reports.words import listed, number
from offtool.steps.pilot_found import AuditSeen, FileMissing, PilotFileSeen, PilotFound, PilotsFound


def pilots_lines(found: PilotsFound) -> list[str]:
    """Every pilot, the newest first; below each the first thing to do."""
    if not found.pilots:
        more = (
            f"offtool pilot {found.programme} P1 --define writes one down."
            if found.lines
            else f"offtool line {found.programme} 'main line' --read FILE --keep reads them."
        )
        return [*sentence(found.headline), *sentence(more)]
    lines: list[str] = []
    for one in found.pilots:
        lines += [*sentence(f"{one.line}: {one.headline}")]
        lines += paragraph(one.actions[0].do, width=width(), indent="  ") if one.actions else []
    return lines


def pilot_lines(found: PilotFound) -> list[str]:
    """All lines of a pilot."""
    lines = sentence(found.headline)
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += [*_hours(found), *_yields(found), *_times(found), *_defects(found), *_audits(found.audits)]
    if found.halves:
        lines += heading("First hour against last")
        lines += bullets([f"{one.station}, {half_in_words(one)}" for one in found.halves])
    if found.shows is not None:
        lines += [*heading("What so many pieces can show"), *bullets(shows_in_words(found.shows))]
    lines += _sheets(found.files, found.missing)
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _hours(found: PilotFound) -> list[str]:
    said = [hour_in_words(one) for one in found.hours_seen]
    if found.rate is not None:
        said.insert(0, found.rate.words)
    if found.balance is not None:
        said.append(pieces_in_words(found.balance))
    if found.waits:
        said.append("waiting " + listed([f"{one.pieces} before {one.station}" for one in found.waits]))
    return [*heading("Rate"), *bullets(said)] if said else []


def _yields(found: PilotFound) -> list[str]:
    yields = found.yields
    if yields is None:
        return []
    rows = [
        [
            one.station,
            f"{one.tried:,}",
            f"{one.good_first:,}",
            share_in_words(one.first.share, one.first.interval),
            share_in_words(one.final.share, one.final.interval),
        ]
        for one in yields.stations
    ]
    head = ["", "tried", "good first", "the first time", "in the end"]
    line = [
        f"whole line {when}: {share_in_words(one.share, one.interval)}, {planned_in_words(one.planned)}"
        + (f": {one.verdict}" if one.verdict is not None else "")
        for when, one in (("the first time", yields.first), ("in the end", yields.final))
    ]
    in_words = [station_yield_in_words(one) for one in yields.stations]
    return [
        *heading("Yields"),
        *table_or_bullets([head, *rows], in_words, sides="<>>"),
        *bullets(line),
    ]


def _times(found: PilotFound) -> list[str]:
    if not found.times:
        return []
    rows = [
        [
            timed_name(one),
            f"{number(one.mean_s, 1)} s",
            against_in_words(one),
            lets_in_words(one),
            str(verdict_of_time(one)) if one.times is not None else "",
        ]
        for one in found.times
    ]
    in_words = [
        f"{timed_name(one)}: {time_in_words(one)}; {against_in_words(one)}: {verdict_of_time(one)}"
        for one in found.times
    ]
    head = ["", "mean", "against", "lets through", ""]
    return [*heading("Station times"), *table_or_bullets([head, *rows], in_words, sides="<>")]


def _defects(found: PilotFound) -> list[str]:
    ranked = found.defects
    if ranked is None:
        return []
    rows = [
        [one.defect, f"{one.count:,}", defect_in_words(one, by_cost=ranked.by_cost), place_in_words(one)]
        for one in ranked.ranking.defects
    ]
    in_words = [f"{row[0]}: {row[1]} found, {row[2]}; place {row[3]}" for row in rows]
    return [
        *heading(defects_title(ranked)),
        *table_or_bullets([["", "found", "cost", "place"], *rows], in_words, sides="<>"),
    ]


def _audits(found: tuple[AuditSeen, ...]) -> list[str]:
    lines = heading("Welds and joints while it ran") if found else []
    for one in found:
        verdict = f": {one.judged.verdict}" if one.judged is not None else ""
        asked = f" Asked: {audit_asked(one)}." if audit_asked(one) else ""
        lines += bullets([f"{one.name}, {one.measure}{verdict}. {audit_in_words(one)}.{asked}"])
        hours = one.judged.hours if one.judged is not None else ()
        for hour in hours:
            lines += paragraph(audit_hour_in_words(hour, one), width=width(), indent="      ")
    return lines


def _sheets(files: tuple[PilotFileSeen, ...], missing: tuple[FileMissing, ...]) -> list[str]:
    rows = [
        [
            f"{one.kind} {one.name}",
            one.file,
            f"{one.rows:,} rows",
            one.set_aside and f"set aside: {one.set_aside}",
        ]
        for one in files
    ]
    lines = heading("Sheets") if rows or missing else []
    lines += table(rows, width=width(), indent=2) if rows else []
    said = [f"no sheet of {one.kind}: it shows {one.shows}; columns {one.columns}" for one in missing]
    return [*lines, *bullets(said)]
