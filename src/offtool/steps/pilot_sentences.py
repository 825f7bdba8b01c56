"""What is said of a pilot: the verdict in a sentence, what to do in order of effect, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.yields import RankedDefect, RolledYield, StationYield
from offtool.core.values import Verdict
from offtool.handbook.terms import PilotFileKind
from offtool.steps.findings import Action, Fact
from offtool.steps.pilot_found import AuditSeen, PilotFound, PilotsFound, StationTimed
from offtool.steps.pilot_layouts import PILOT_SHEETS
from offtool.steps.pilot_timed import slowest
from offtool.steps.sentences import count, listed, per_cent, per_cent_span, sentence

YIELDS, DEFECTS, TIMES, AUDITS, HOURS, SHOWS, READ, RAMP, RUN, CHANGE = (
    *("yields", "defects", "times", "audits", "hours", "shows", "read", "ramp", "run", "change"),
)
"""Where the reader of an action goes on."""
MOST_GAINS = 2
"""Stations that lose pieces which are listed; all stand with the yields."""
MOST_NAMED = 3
WORTH_SAYING = 0.5
"""Good pieces an hour; what gives less is not listed by itself."""


def headline(found: PilotFound) -> str:
    """The verdict in a sentence."""
    made = _made(found)
    if not made:
        return f"{found.pilot} says nothing yet: read its sheet of counts."
    limits = f": {found.limited_by} limits it" if found.limited_by and not _rate_holds(found) else ""
    return f"{found.pilot} made {made}{limits}.{_audits(found)}"


def _made(found: PilotFound) -> str:
    said = []
    if found.balance is not None:
        said.append(f"{found.balance.good} good of {found.balance.started} started")
    elif found.yields is not None:
        said.append(f"{per_cent(found.yields.final.share, 1)} good in the end{_of_those_counted(found)}")
    if found.rate is not None:
        planned = found.planned_per_h
        against = f" of the {planned:g} planned" if planned is not None else ", and no rate is planned"
        said.append(f"{found.rate.per_h:.0f} an hour{against}")
    return " and ".join(said)


def _of_those_counted(found: PilotFound) -> str:
    """At which stations, where others were not counted: the yield of the line is not known then."""
    if found.yields is None or not found.not_counted:
        return ""
    counted, without = len(found.yields.stations), found.not_counted
    names = listed(without) if len(without) <= MOST_NAMED else f"{len(without)}"
    return f" at {counted} of {counted + len(without)} stations, {names} not counted"


def _rate_holds(found: PilotFound) -> bool:
    return found.rate is not None and found.rate.verdict is Verdict.HOLDS


def _audits(found: PilotFound) -> str:
    failing = [one.name for one in found.audits if _verdict(one) is Verdict.FAILS]
    if not failing:
        return ""
    verb = "was" if len(failing) == 1 else "were"
    return f" {sentence(f'{listed(failing)} {verb} outside the limits while it ran')}"


def _verdict(one: AuditSeen) -> Verdict:
    return one.judged.verdict if one.judged is not None else Verdict.NOT_SHOWN


def headline_of_all(found: PilotsFound) -> str:
    """How the newest pilot stands, or what to do first."""
    if found.pilots:
        return found.pilots[0].headline
    if not found.lines:
        return "No line is written down yet: read its tasks from a table first, then run a pilot."
    return "No pilot is written down yet: name the first, its day and its pieces."


@dataclass(frozen=True, slots=True)
class _Gain:
    """A thing to do and what it gives, in good pieces an hour."""

    per_h: float
    action: Action


def actions(found: PilotFound) -> Iterator[Action]:
    """What to do: what is outside its limits or on its way there first, then what gives most pieces."""
    yield from (_outside(one) for one in found.audits if _verdict(one) is Verdict.FAILS)
    yield from (one for audit in found.audits for one in _drifts(audit))
    yield from _disagree(found)
    gains = sorted((*_slow(found), *_yields(found)), key=lambda one: -one.per_h)
    yield from (one.action for one in gains)
    yield from _dearest(found)
    yield from _missing(found)
    yield from _counts(found)
    yield from _further(found)


def _outside(one: AuditSeen) -> Action:
    judged = one.judged
    ends = (judged.smallest, judged.largest) if judged is not None else (0.0, 0.0)
    low, high = (_value(one, end) for end in ends)
    return Action(
        do=f"Stop and find why {one.name} was outside its limits.",
        because=f"{_audit_words(one)}; readings from {low} to {high}.",
        leads_to=AUDITS,
    )


def _audit_words(one: AuditSeen) -> str:
    return one.judged.words[:1].upper() + one.judged.words[1:] if one.judged is not None else one.why_not


def _value(one: AuditSeen, value: float) -> str:
    return f"{value:.{one.decimals}f} {one.unit}"


def _yields(found: PilotFound) -> Iterator[_Gain]:
    """The stations that lose most pieces, and the one that gets fewest right the first time."""
    if found.yields is None or found.rate is None:
        return
    gains = dict(_gains(found, found.yields, found.rate.per_h))
    most = sorted(
        (name for name, gain in gains.items() if gain >= WORTH_SAYING), key=lambda name: -gains[name]
    )
    for one in found.yields.stations:
        if one.station in most[:MOST_GAINS] or (one.station == found.yields.worst and one.station in gains):
            yield _Gain(gains[one.station], _get_right(found, one, gains[one.station]))


def _gains(found: PilotFound, yields: RolledYield, per_h: float) -> Iterator[tuple[str, float]]:
    """What each station that loses pieces takes from the rate; one before the slowest takes nothing."""
    names = [one.station for one in yields.stations]
    paced = found.limited_by if not _rate_holds(found) else ""
    first = names.index(paced) if paced in names else 0
    for place, one in enumerate(yields.stations):
        if one.good_first < one.tried:
            lost = per_h * (1 / one.final.share - 1) if one.final.share else per_h
            yield one.station, lost if place >= first else 0.0


def _get_right(found: PilotFound, station: StationYield, gain: float) -> Action:
    """What a station gets wrong, what of it is lost, and what it is most often."""
    wrong = station.tried - station.good_first
    lost = f", {station.lost} of them not in the end either" if station.lost else ""
    said = f"{wrong} of {station.tried} were not good the first time{lost}"
    gives = f"; all good in the end would give {_pieces(gain)} an hour more" if gain >= WORTH_SAYING else ""
    most = _most_of(found, station.station)
    return Action(
        do=f"Get more pieces right at {station.station}.",
        because=f"{sentence(said + gives)}{most}",
        leads_to=YIELDS,
    )


def _slow(found: PilotFound) -> Iterator[_Gain]:
    """The slowest station where it lets less through than is planned."""
    whole, needed = slowest(found.times), found.needed_per_h
    if not whole or needed is None:
        return
    first = whole[0]
    lets = first.per_h or 0.0
    if lets >= needed:
        return
    second = whole[1].per_h if len(whole) > 1 else None
    then = min(needed, second) if second is not None else needed
    share = found.yields.final.share if found.yields is not None else 1.0
    paces = second is not None and second < needed
    next_ = f"; then {whole[1].station} would set the pace at {second:.0f}" if paces else ""
    yield _Gain(
        max(then - lets, 0.0) * share,
        Action(
            do=f"Bring {first.station} from {first.mean_s:.1f} s to {first.mean_s * lets / needed:.1f} s, "
            "or give it more hands.",
            because=f"It lets {lets:.0f} an hour through, {needed:.0f} are needed{next_}."
            f"{_slow_piece(first)}{_rest(first)}",
            leads_to=TIMES,
        ),
    )


def _slow_piece(one: StationTimed) -> str:
    return f" One piece in ten takes over {one.times.slow_s:.0f} s." if one.times is not None else ""


def _rest(one: StationTimed) -> str:
    return f" {listed(one.as_planned).capitalize()} not timed: taken as planned." if one.as_planned else ""


def _pieces(gain: float) -> str:
    return f"about {gain:.0f} pieces" if gain >= 1.5 else "about 1 piece"


def _most_of(found: PilotFound, station: str) -> str:
    """The defect that was found most often at a station."""
    if found.defects is None:
        return ""
    at = f" at {station}"
    here = [one for one in found.defects.ranking.defects if one.defect.endswith(at) and one.count]
    if not here:
        return ""
    most = max(here, key=lambda one: one.count)
    return f" Most often {most.defect.removesuffix(at)}: {most.count}."


def _dearest(found: PilotFound) -> Iterator[Action]:
    if found.defects is None or not found.defects.by_cost:
        return
    ranking = found.defects.ranking
    first = ranking.defects[0]
    if not first.cost:
        return
    near = "" if ranking.dearest_is_sure else f"; it cannot be told from {near_in_words(first)} yet"
    yield Action(
        do=f"Take on {first.defect} first.",
        because=f"It cost {first.cost:.2f} in the money of the line's piece cost, "
        f"{per_cent(first.share, 0)} of all defects{near}.",
        leads_to=DEFECTS,
    )


def near_in_words(one: RankedDefect) -> str:
    """The defects that one cannot be told from, or how many they are."""
    others = one.not_told_from
    return listed(others) if len(others) <= MOST_NAMED else f"{len(others)} others"


def _drifts(one: AuditSeen) -> Iterator[Action]:
    judged = one.judged
    if judged is None or judged.verdict is not Verdict.NOT_SHOWN:
        return
    drift = judged.drift
    worn = "horn, nest and welder settings" if one.kind == "seam" else "jig and press-in depth"
    if drift is not None and drift.hours_left is not None:
        yield Action(
            do=f"Look at {worn}: {one.name} {drift.change} while the line runs.",
            because=f"{abs(drift.per_hour):.{max(one.decimals, 1)}f} {one.unit} an hour; going on so, its "
            f"mean meets the limit {drift.hours_left:.0f} h after the last audit, single pieces long before.",
            leads_to=AUDITS,
        )
    elif judged.alarms:
        hours = listed([str(alarm.hour) for alarm in judged.alarms])
        yield Action(
            do=f"Find what changed at {one.name} in hour {hours}.",
            because="The mean of its pulls was lower than an unchanged weld gives.",
            leads_to=AUDITS,
        )


def _missing(found: PilotFound) -> Iterator[Action]:
    for one in found.missing:
        yield Action(
            do=f"Read the sheet of {one.kind}.",
            because=f"It shows {one.shows}.",
            leads_to=f"{READ} {one.kind}",
        )


def _disagree(found: PilotFound) -> Iterator[Action]:
    """Counts of two stations that cannot both be true."""
    if found.disagree:
        others = len(found.disagree) - 1
        more = f", and {count(others, 'station')} more" if others else ""
        yield Action(
            do=f"Count again: {found.disagree[0]}{more}.",
            because="No station takes up more than came to it, unless it works on other parts than the one "
            "before: some were counted twice, or not at all. Yields, and what waits, rest on it.",
            leads_to=f"{READ} {PilotFileKind.COUNTS}",
        )


def _counts(found: PilotFound) -> Iterator[Action]:
    """More pieces, where the yield that is planned cannot be shown."""
    shows = found.shows
    open_ = found.yields is not None and Verdict.NOT_SHOWN in (
        found.yields.first.verdict,
        found.yields.final.verdict,
    )
    if shows is not None and open_ and shows.most_bad is None:
        yield Action(
            do=f"Run {shows.pieces_needed} pieces or more next time.",
            because=f"Fewer cannot show {per_cent(shows.planned_yield, 0)}, even without a bad one.",
            leads_to=SHOWS,
        )


def _further(found: PilotFound) -> Iterator[Action]:
    if found.planned_per_h is None:
        yield Action(
            do="Say what rate is planned.", because="Without it no rate can hold or fail.", leads_to="line"
        )
    elif found.rate is not None and not _rate_holds(found):
        yield Action(
            do="See when learning alone would bring the planned rate.",
            because="The ramp goes on from the last hours of this pilot.",
            leads_to=RAMP,
        )
    cut = [one for one in found.trials if one.cut_since]
    if cut:
        tools = listed(list(dict.fromkeys(one.tool for one in cut)))
        yield Action(
            do=f"Run again with parts of the new steel of {tools}.",
            because="Steel was cut since the runs that these parts came from.",
            leads_to="",
        )


def facts(found: PilotFound) -> Iterator[Fact]:
    """What the verdict rests on."""
    yield Fact(about="Ran on", says=day_in_words(found.ran_on))
    yield Fact(about="Line", says=f"{found.line}{_people(found)}")
    if found.trials:
        yield Fact(about="Parts from", says=", ".join(f"{one.tool} {one.trial}" for one in found.trials))
    else:
        yield Fact(about="Parts from", says="not said")
    if found.balance is not None:
        yield Fact(about="Pieces", says=_where(found))
    if found.rate is not None:
        hours = [one.hour for one in found.hours_seen if not one.why_not]
        which = f"hours {hours[0]} to {hours[-1]}" if len(hours) > 1 else "the whole run as one"
        left = [f"hour {one.hour} not ({one.why_not})" for one in found.hours_seen if one.why_not]
        yield Fact(about="Rate by", says=", ".join([which, *left]))
    for one in found.files:
        if not one.set_aside:
            yield Fact(about=f"Sheet of {one.kind}", says=f"{one.file}, {count(one.rows, 'row')}")
    if found.yields is not None:
        yield Fact(
            about="Intervals", says=f"{per_cent(found.yields.confidence, 0)} sure; {found.yields.method}"
        )
    for said in found.said:
        yield Fact(about="Not said", says=said)


def day_in_words(day: date | None) -> str:
    """14 March 2026."""
    return f"{day.day} {day:%B} {day.year}" if day is not None else "day not said"


def _people(found: PilotFound) -> str:
    people = f", {count(found.people, 'person', 'people')}" if found.people else ""
    return people + (f", {found.hours:g} h" if found.hours else "")


def _where(found: PilotFound) -> str:
    pieces = found.balance
    if pieces is None:
        return ""
    said = [f"{pieces.started} started", f"{pieces.good} good"]
    if pieces.scrapped is not None:
        said.append(f"{pieces.scrapped} scrapped")
    if pieces.not_good_yet:
        said.append(f"{pieces.not_good_yet} not good yet")
    return ", ".join([*said, f"{pieces.in_the_line} still in the line"])


def rate_in_words(found: PilotFound) -> str:
    """How the rate stands, or why nothing is known of it."""
    if found.rate is None:
        return "not known: " + next(
            (one for one in found.said if one.startswith("rate")), "nothing was counted"
        )
    return found.rate.words


def yield_in_words(found: PilotFound, *, final: bool) -> str:
    """How a yield of the line stands."""
    if found.yields is None:
        return "not counted"
    one = found.yields.final if final else found.yields.first
    planned = f", {per_cent(one.planned, 0)} planned" if one.planned is not None else ", none planned"
    return f"{per_cent(one.share, 1)} ({per_cent_span(one.interval, 1)}){planned}"


def audits_in_words(found: PilotFound) -> str:
    """How the audits stand, each in a few words."""
    if not found.audits:
        return "nothing was pulled or turned"
    return "; ".join(
        f"{one.name}: {one.judged.words if one.judged is not None else one.why_not}" for one in found.audits
    )


def sheet_words(kind: str) -> str:
    """What a kind of sheet shows."""
    return next((one.shows for one in PILOT_SHEETS.values() if one.kind.value == kind), "")
