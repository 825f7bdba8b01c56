"""How what a pilot showed is worded, once for page, report and command."""

from __future__ import annotations

from math import isfinite

from offtool.core.pilot.yields import FirstAndLast, PilotShows, RankedDefect, StationYield
from offtool.core.values import Interval, Verdict
from offtool.reports import words
from offtool.steps.pilot_found import (
    AuditSeen,
    DefectsRanked,
    PiecesOfPilot,
    PilotFound,
    StationHalves,
    StationTimed,
)
from offtool.steps.pilot_sentences import near_in_words
from offtool.steps.sentences import count, sentence

MONEY = 2
SMALL = {0.001: 1, 0.005: 1}


def share_in_words(share: float, interval: Interval) -> str:
    """85.6 % (78.2 to 91.2 %)."""
    return words.percent_with_interval(share, interval, 1)


def good_in_words(one: StationYield) -> str:
    """107 of 125 the first time, 15 after rework, 3 not."""
    said = [f"{one.good_first} of {one.tried} the first time"]
    if one.reworked_good:
        said.append(f"{one.reworked_good} after rework")
    if one.lost:
        said.append(f"{one.lost} not")
    return ", ".join(said)


def station_yield_in_words(one: StationYield) -> str:
    """paint: 85.6 % the first time, 97.6 % in the end."""
    first, final = (share_in_words(found.share, found.interval) for found in (one.first, one.final))
    return f"{one.station}: {first} the first time, {final} in the end"


def planned_in_words(planned: float | None) -> str:
    """90 % planned; that none is."""
    return f"{words.percent(planned, 1)} planned" if planned is not None else "none planned"


def time_in_words(one: StationTimed) -> str:
    """210.0 s (203.2 to 216.8), one in ten over 221 s."""
    if one.times is None:
        return f"{words.number(one.mean_s, 1)} s over {count(one.cycles, 'cycle')}, nothing planned"
    found = one.times
    mean = words.number(found.mean_s, 1)
    between = f" ({words.span(found.interval_s, 1)})" if isfinite(found.interval_s.high) else ", no interval"
    rest = f"; {words.listed(one.as_planned)} not timed, as planned" if one.as_planned else ""
    return f"{mean} s{between}, one piece in ten over {words.number(found.slow_s, 1)} s{rest}"


def against_in_words(one: StationTimed) -> str:
    """170 s planned, 180 s of takt with 2 people."""
    if one.times is None:
        return "nothing planned"
    said = f"{one.times.plan_s:g} s planned"
    if one.times.takt_s is not None:
        people = f" with {one.people} people" if one.people > 1 else ""
        said += f", {words.number(one.times.takt_s, 1)} s of takt{people}"
    return said


def lets_in_words(one: StationTimed) -> str:
    """34 an hour; empty for a task."""
    return f"{one.per_h:.0f} an hour" if one.per_h is not None else ""


def timed_name(one: StationTimed) -> str:
    """paint; paint, mask where one task was timed."""
    return f"{one.station}, {one.task}" if one.task else one.station


def operators_in_words(one: StationTimed) -> str:
    """B 206.0 s, C 215.2 s; empty where one person was timed."""
    return ", ".join(f"{each.operator} {words.number(each.mean_s, 1)} s" for each in one.operators)


def verdict_of_time(one: StationTimed) -> Verdict:
    """Against the takt where there is one, else against the plan."""
    return Verdict.NOT_SHOWN if one.times is None else one.times.against_takt or one.times.against_plan


def defect_in_words(one: RankedDefect, *, by_cost: bool) -> str:
    """13.00 (7.11 to 21.81), 60 % of all."""
    if not by_cost:
        return f"found {one.count} times ({words.span(one.count_interval, 0)})"
    span = words.span(one.cost_interval, MONEY)
    return f"{words.number(one.cost, MONEY)} ({span}), {words.percent(one.share, 0)} of all"


def ranking_in_words(found: DefectsRanked) -> str:
    """Which defect costs most and how sure that is, and what of others is not known."""
    left = (
        f" Not ranked, as scrap or rework are not written down: {words.listed(found.left_out)}."
        if found.left_out
        else ""
    )
    if not found.by_cost:
        said = "What a piece and a minute of rework cost is not said with the line"
        return f"{said}: they stand by how often they were found.{left}"
    first = found.ranking.defects[0]
    if not first.cost:
        return f"No defect cost anything.{left}"
    most = sentence(f"{first.defect} costs most, {words.percent(first.share, 0)} of all")
    if not found.ranking.dearest_is_sure:
        most = f"{most.removesuffix('.')}, but it cannot be told from {near_in_words(first)}."
    return most + left


def defects_title(found: DefectsRanked | None) -> str:
    """By what the defects stand, and in what money."""
    if found is not None and not found.by_cost:
        return "Defects by how often they were found"
    return "Defects by cost, in the money of the line's piece cost"


def place_in_words(one: RankedDefect) -> str:
    """1; truly between 1 and 3."""
    if one.best_place == one.worst_place:
        return str(one.place)
    return f"{one.place}; truly between {one.best_place} and {one.worst_place}"


def changed(one: StationHalves) -> bool:
    """Whether yield or time is shown to be better or worse in the last hour."""
    times = one.found.times
    return {one.found.change, times.change if times is not None else ""} & {"better", "worse"} != set()


def half_in_words(one: StationHalves) -> str:
    """hour 1 against hour 4: yield 76.9 %, then 91.2 %: no change is shown (p 0.157)."""
    found: FirstAndLast = one.found
    return f"hour {one.first_hour} against hour {one.last_hour}: {found.words} (p {found.p_same:.3f})"


def pieces_in_words(found: PiecesOfPilot) -> str:
    """Where the pieces are that were started."""
    said = [f"{found.started} started: {found.good} good"]
    said.append(f"{found.scrapped} scrapped" if found.scrapped is not None else "scrap not counted")
    if found.not_good_yet:
        said.append(f"{found.not_good_yet} neither good nor scrapped yet")
    return ", ".join([*said, f"{found.in_the_line} still in the line"])


def shows_in_words(found: PilotShows) -> list[str]:
    """What so many pieces can and cannot show, in sentences."""
    sure, least = words.percent(found.confidence, 0), words.percent(found.least_share_seen, 1)
    first = (
        f"So many pieces show a defect that is on {least} of all or more at least once, {sure} sure. One "
        "that is not seen may still be on fewer."
    )
    said = [first]
    rare = next((one for one in found.chances if one.share == 0.01), None)
    if rare is not None:
        said.append(f"A defect on 1 % of all is seen with {words.chance(rare.chance)}.")
    planned = words.percent(found.planned_yield, 0)
    if found.most_bad is not None:
        said.append(
            f"Up to {count(found.most_bad, 'bad piece')} of {found.pieces} show a yield of {planned}."
        )
    else:
        said.append(f"A yield of {planned} takes {found.pieces_needed} pieces without a bad one to be shown.")
    return said


def audit_in_words(one: AuditSeen) -> str:
    """10 read, mean 109 N (105 to 114); none outside; falls by 3.85 an hour."""
    judged = one.judged
    if judged is None:
        return f"{count(one.readings, 'reading')}: {one.why_not}"
    mean = words.with_interval(judged.mean, judged.interval, one.decimals)
    return f"{count(judged.readings, 'reading')}, mean {mean} {one.unit}; {judged.words}"


def audit_asked(one: AuditSeen) -> str:
    """at least 70 N; as released 117 ± 7 N."""
    judged = one.judged
    if judged is None:
        return ""
    asked = f"{words.between(judged.lower, judged.upper, decimals=one.decimals)} {one.unit}"
    if judged.released_mean is None or judged.released_sd is None:
        return asked
    mean, sd = (words.number(value, one.decimals) for value in (judged.released_mean, judged.released_sd))
    return f"{asked}; released with mean {mean} {one.unit}, standard deviation {sd} {one.unit}"


def rate_fact(found: PilotFound) -> str:
    """The rate in words; that it is not known."""
    return found.rate.words if found.rate is not None else "not known"
