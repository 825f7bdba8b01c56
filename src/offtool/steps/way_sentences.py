"""What the way to the release says: its verdict, what to do next, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from offtool.core.pilot.release import Standing
from offtool.core.values import Caution, Verdict
from offtool.handbook.release_steps import STEP_BY_CODE
from offtool.steps.findings import Fact
from offtool.steps.sentences import count, listed, per_cent, sentence
from offtool.steps.way_days import day_in_words
from offtool.steps.way_found import WayAction, WayStep, WayToRelease

MOST_NAMED = 3
"""Deciders that a headline names."""
MOST_ACTIONS = 8
SHORT_DAYS = 21
"""Up to three weeks are told in days."""
SURE = 0.995
LITTLE = 0.1
"""Days below which nothing is gained."""

NOTHING_ELSE = Caution(
    "this is the shortest way: nothing else is found, every tool is right after one more loop, every test "
    "holds the first time"
)
HOLIDAYS = Caution(
    "working days are Monday to Friday: holidays of shop, toolmaker and laboratory are not known"
)
DECIDED_BY_PEOPLE = Caution(
    "evidence is counted here; whether production starts is decided by people who sign"
)


def headline(found: WayToRelease) -> str:
    """How far the release is, and what decides it."""
    if not found.steps:
        return f"{found.programme_title} has no step left to its release: every line is met and signed."
    far = time_in_words(found.on, found.ends)
    deciders = _deciders(found)
    verb = "decides" if len(deciders) == 1 and not deciders[0].startswith("tools") else "decide"
    return (
        f"{found.programme_title} is {far} from release if nothing else is found: "
        f"{listed(deciders)} {verb} it."
    )


def time_in_words(on: date, ends: date) -> str:
    """11 days, 6 weeks."""
    days = (ends - on).days + 1
    return count(days, "day") if days <= SHORT_DAYS else count(round(days / 7), "week")


def band(found: WayToRelease) -> str:
    """The day of the release with its band."""
    sure = per_cent(found.confidence, 0)
    return (
        f"{day_in_words(found.ends)}; {sure} between {day_in_words(found.ends_first)} and "
        f"{day_in_words(found.ends_last)}"
    )


def in_time(found: WayToRelease) -> str:
    """Whether the day that is asked can be kept; empty where none is asked."""
    if found.due is None or found.chance_in_time is None:
        return ""
    said = {
        Verdict.HOLDS: "can be kept",
        Verdict.FAILS: "cannot be kept",
        Verdict.NOT_SHOWN: "may be kept or not",
    }[found.verdict or Verdict.NOT_SHOWN]
    chance = _chance(found.chance_in_time)
    return f"Release is asked for by {day_in_words(found.due)}: it {said}, chance {chance}."


def _chance(share: float) -> str:
    if share >= SURE:
        return "more than 99 %"
    return "less than 1 %" if share < 1 - SURE else per_cent(share, 0)


def _deciders(found: WayToRelease) -> list[str]:
    """The longest stretches of the path in a few words, in its order; tools side by side as one."""
    tools = list(dict.fromkeys(one.tool for one in found.steps if one.tool and one.decides))
    of_tools = f"tool {tools[0]}" if len(tools) == 1 else f"tools {', '.join(tools)}"
    days: dict[str, float] = {}
    for name in found.path:
        step = found.of(name)
        word = of_tools if step.tool else STEP_BY_CODE[step.kind].short
        days[word] = days.get(word, 0.0) + (step.low_days + step.high_days) / 2
    longest = sorted(days, key=lambda word: -days[word])[:MOST_NAMED]
    return [word for word in days if word in longest]


def actions(found: WayToRelease) -> Iterator[WayAction]:
    """Steps that can begin now, those that decide first; then what would make the day surer."""
    now = [one for one in found.steps if one.starts <= _soon(found)]
    now.sort(key=lambda one: (-one.chance_to_decide, -one.sooner_days, one.float_days))
    for one in now[:MOST_ACTIONS]:
        where = f"Tool {one.tool}: " if one.tool else ""
        yield WayAction(
            do=sentence(f"{where}{one.does}"),
            because=sentence(f"{one.because}; {_worth(one)}"),
            step=one.step,
            lines=one.lines,
            tool=one.tool,
        )


def _soon(found: WayToRelease) -> date:
    """The first day on which anything can begin."""
    return min((one.starts for one in found.steps), default=found.on)


def _worth(step: WayStep) -> str:
    """What hurrying a step gives, or how long it may wait."""
    if not step.decides:
        return f"it may end {_days(step.float_days)} later"
    if step.sooner_days < LITTLE:
        return "the end waits for it, and for others beside it"
    return f"the end waits for it: {_days(step.sooner_days)} sooner if it took no time"


def _days(days: float) -> str:
    return count(round(days), "working day") if days >= 1 else "less than a day"


def facts(found: WayToRelease) -> Iterator[Fact]:
    """What the day rests on."""
    yield Fact(about="Lines of the review", says=f"{found.lines_met} of {found.lines_asked} are met")
    yield Fact(about="Counted from", says=day_in_words(found.on))
    if found.steps:
        yield Fact(about="Release", says=band(found))
        yield Fact(about="As likely before as after", says=day_in_words(found.even_chance))
        own = sum(one.is_own for one in found.steps)
        says = f"{len(found.steps)}; days of {own} said for this programme, of the others from the handbook"
        yield Fact(about="Steps left", says=says)
    slots = [one for one in found.steps if one.kind == "trial" and one.not_before is not None]
    if slots:
        says = listed([f"{one.tool} on {day_in_words(one.not_before)}" for one in slots if one.not_before])
        yield Fact(about="Fixed slots", says=says)


def tool_words(standing: Standing, fails: int, stale: int, missing: int) -> str:
    """How a tool stands, in a sentence."""
    if standing.is_met:
        return "Its sizes hold for the release."
    told = [
        f"{fails} {'does' if fails == 1 else 'do'} not hold" if fails else "",
        f"{stale} {'is' if stale == 1 else 'are'} stale" if stale else "",
        f"{missing} {'is' if missing == 1 else 'are'} not shown" if missing else "",
    ]
    return (
        f"Of its sizes, {listed([one for one in told if one])}." if any(told) else "Nothing is measured yet."
    )
