"""The page of the plan of one trial: where it goes, what to run, how long, what it must confirm."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.planning.shots import MinutesFor, PurposeShots
from offtool.core.values import Caution
from offtool.reports.minutes_bar import draw_minutes_bar, draw_minutes_key
from offtool.reports.trial_words import (
    bag_in_words,
    duration,
    duration_span,
    purpose_in_words,
    run_of_shots,
    shots_in_words,
    start_in_words,
    time_in_words,
    weight_in_words,
)
from offtool.reports.words import day
from offtool.steps.findings import Action, Fact
from offtool.steps.plan_found import Missing, SizeToMeasure, ToConfirm, TrialPlanned
from offtool.steps.sentences import sentence
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, anchor
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import MARK, ActionRow

CONFIRMED_SHOWN = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One thing to do at the press."""

    shots: str
    do: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRow:
    """What some of the press time is spent on."""

    key: SafeString
    what: str
    minutes: str
    span: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PurposeRow:
    """What one purpose takes."""

    purpose: str
    pieces: str
    source: str
    wrong: str
    """Said where the colour spoils it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTrialPage:
    """The plan of one trial."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    steps: tuple[StepRow, ...]
    totals: str
    purposes: tuple[PurposeRow, ...]
    press_says: tuple[str, ...]
    press_mark: str
    press_word: str
    other_presses: tuple[str, ...]
    colour_says: tuple[str, ...]
    other_colours: tuple[str, ...]
    bar: SafeString | None
    times: tuple[TimeRow, ...]
    time_says: str
    to_measure: tuple[SizeToMeasure, ...]
    confirm: tuple[ToConfirm, ...]
    confirm_folded: tuple[ToConfirm, ...]
    bring: tuple[str, ...]
    bags: tuple[str, ...]
    missing: tuple[ActionRow, ...]
    request_href: str
    labels_href: str
    change_href: str
    slots_href: str
    fit_href: str
    colour_href: str
    method: str


def plan_trial_page(found: TrialPlanned) -> PlanTrialPage:
    """The page of a plan."""
    return PlanTrialPage(
        frame=_frame(found),
        when=_when(found),
        headline=found.headline,
        actions=tuple(_action(one, found) for one in found.actions),
        facts=found.rests_on,
        cautions=tuple(map(with_capital, found.cautions)),
        steps=tuple(map(_step, _steps(found))),
        totals=_totals(found),
        purposes=tuple(_purpose(one, found) for one in found.shots.purposes) if found.shots else (),
        press_says=tuple(_press(found)),
        press_mark=MARK[found.press.verdict] if found.press else "doubt",
        press_word=str(found.press.verdict) if found.press else "not shown",
        other_presses=found.press.others if found.press else (),
        colour_says=tuple(_colour(found)),
        other_colours=found.colour.others if found.colour else (),
        bar=mark_safe(draw_minutes_bar(found.time)) if found.time else None,  # noqa: S308 our own drawing
        times=tuple(map(_time, found.time.lines)) if found.time else (),
        time_says=time_in_words(found.time) if found.time else "",
        to_measure=found.to_measure,
        confirm=found.confirm[:CONFIRMED_SHOWN],
        confirm_folded=found.confirm[CONFIRMED_SHOWN:],
        bring=found.bring,
        bags=tuple(map(bag_in_words, found.bags)),
        missing=tuple(_missing(one, found) for one in found.missing),
        request_href=_own("trial_request", found),
        labels_href=_own("bag_labels", found),
        change_href=_own("change_trial", found),
        slots_href=reverse("slots", args=[found.programme]),
        fit_href=reverse("fit_tool", args=[found.programme, found.tool]),
        colour_href=_colour_href(found),
        method=found.method,
    )


def _own(page: str, found: TrialPlanned) -> str:
    return reverse(page, args=[found.programme, found.tool, found.trial])


def _colour_href(found: TrialPlanned) -> str:
    """The change of colour on the press of this trial, to this trial, on its day."""
    page, press = reverse("colour", args=[found.programme]), found.press
    if press is None:
        return page
    asked = {"press": press.press, "on": (press.day or found.on).isoformat()}
    if found.asked.colour:
        asked["new"] = f"trial {found.tool} {found.trial}"
    return f"{page}?{urlencode(asked)}"


def _frame(found: TrialPlanned) -> Frame:
    programme = reverse("programme", args=[found.programme])
    return Frame(
        title=f"Plan of {found.tool} {found.trial}, {found.programme_title}",
        crumbs=(
            Crumb(text=found.programme_title, href=programme),
            Crumb(text="Plan", href=reverse("slots", args=[found.programme])),
            Crumb(text=f"Tool {found.tool}", href=f"{programme}#{anchor('tool', found.tool)}"),
            Crumb(text=f"Trial {found.trial}"),
        ),
        invented=found.invented,
        as_json=AS_JSON,
    )


def _when(found: TrialPlanned) -> str:
    """Tool M3 arms, steel state c; sizes and assembly; planned for 23 March 2026."""
    tool = f"Tool {found.tool} {found.tool_name}".rstrip()
    state = f", steel state {found.state}" if found.state else ""
    asked = found.asked
    due = f", due {day(asked.due)}" if asked.due else ""
    return f"{tool}{state}; {', '.join(asked.purposes) or 'nothing asked yet'}{due}; as of {day(found.on)}"


def _action(one: Action, found: TrialPlanned) -> ActionRow:
    link, href = _way(one.leads_to, found)
    return ActionRow(do=one.do, because=one.because, href=href, link=link)


def _way(leads_to: str, found: TrialPlanned, name: str = "") -> tuple[str, str]:
    """Where the reader goes on."""
    programme, tool = found.programme, found.tool
    ways: dict[str, Callable[[], tuple[str, str]]] = {
        "trial": lambda: ("the trial", reverse("trial", args=[programme, tool, found.trial])),
        "correction": lambda: (
            "the tool",
            f"{reverse('programme', args=[programme])}#{anchor('tool', tool)}",
        ),
        "new press": lambda: ("a new press", reverse("ground_new_press", args=[programme])),
        "fit": lambda: ("all presses", reverse("fit_tool", args=[programme, tool])),
        "slots": lambda: ("the plan of all trials", reverse("slots", args=[programme])),
        "colour": lambda: ("change of colour", _colour_href(found)),
        "request": lambda: ("the request as a PDF", _own("trial_request", found)),
        "ask": lambda: ("what is asked", _own("change_trial", found)),
        "missing": lambda: ("all that is missing", "#missing"),
        "press": lambda: ("the press", reverse("ground_press", args=[programme, name])),
        "tool": lambda: ("the tool", reverse("tool_numbers", args=[programme, tool])),
        "prices": lambda: ("prices of the resins", reverse("prices", args=[programme])),
        "parts": lambda: ("shapes of the parts", reverse("parts", args=[programme])),
    }
    return ways[leads_to]() if leads_to in ways else ("", "")


def _missing(one: Missing, found: TrialPlanned) -> ActionRow:
    link, href = _way(one.leads_to, found, one.name)
    because = f"{sentence(one.spoils)} {sentence(one.who_knows)}"
    return ActionRow(do=sentence(one.what), because=because, href=href, link=link)


def _steps(found: TrialPlanned) -> Iterator[StepRow]:
    for one in found.steps:
        shots = run_of_shots(one.first, one.last) if one.first is not None and one.last is not None else ""
        yield StepRow(shots=shots, do=one.do, because=one.because)


def _step(one: StepRow) -> StepRow:
    because = sentence(one.because) if one.because else ""
    return StepRow(shots=one.shots, do=sentence(one.do), because=because)


def _totals(found: TrialPlanned) -> str:
    """80 shots (50 to 116), 20 parts measured, 1.8 kg."""
    shots = found.shots
    if shots is None:
        return ""
    said = [shots_in_words(shots), f"{shots.parts_kept:,} parts kept"]
    said += [f"{shots.parts_measured:,} measured" if shots.parts_measured else ""]
    said += [weight_in_words(found.material) if found.material is not None else ""]
    return sentence(", ".join(filter(None, said)))


def _purpose(one: PurposeShots, found: TrialPlanned) -> PurposeRow:
    wrong = found.colour.wrong_for if found.colour is not None else ()
    return PurposeRow(
        purpose=one.purpose.value,
        pieces=purpose_in_words(one),
        source=one.source,
        wrong="not in this colour" if one.purpose.value in wrong else "",
    )


def _press(found: TrialPlanned) -> Iterator[str]:
    press = found.press
    if press is None:
        yield "No press is written down yet."
        return
    yield sentence(f"{press.press} {press.name}".rstrip() + f": {press.says}")
    yield sentence(f"Taken because {press.why}")
    if press.starts_at is not None:
        yield f"It starts {start_in_words(press.starts_at)}."
    yield f"It interrupts {press.job}." if press.job else "Nothing is recorded to run on it then."


def _colour(found: TrialPlanned) -> Iterator[str]:
    colour = found.colour
    if colour is None:
        yield "The colour cannot be decided yet."
        return
    yield sentence(f"{colour.what}{f': {colour.colour}' if colour.colour else ''}")
    yield sentence(colour.says)
    if colour.right_for:
        yield f"It does for {', '.join(colour.right_for)}."
    if colour.wrong_for:
        yield f"It does not do for {', '.join(colour.wrong_for)}."


def _time(one: MinutesFor) -> TimeRow:
    span, said = duration_span(one.least, one.most), duration(one.minutes)
    return TimeRow(
        key=mark_safe(draw_minutes_key(one.what)),  # noqa: S308 our own drawing
        what=one.what.value,
        minutes=said,
        span=span if span != said else "",
        because=one.because,
    )
