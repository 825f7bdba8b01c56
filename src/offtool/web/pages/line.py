"""The page of a line: what it makes, what to do, its stations with their load, why not fewer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from offtool.core.pilot.balance import LineBalance
from offtool.core.values import Caution
from offtool.reports.line_drawing import draw_line
from offtool.steps.findings import Action, Fact
from offtool.steps.line_found import LineFound
from offtool.steps.line_sentences import ADOPT, EMPTY, LONGER, NUMBERS, READ, RUN, TASKS
from offtool.steps.line_words import moves_in_words, span_in_words
from offtool.steps.sentences import sentence
from offtool.web.forms.line import AdoptForm, places_typed
from offtool.web.pages.frame import AS_JSON
from offtool.web.pages.line_parts import (
    BreakRow,
    EquipmentRow,
    FeedRow,
    StationRow,
    break_rows,
    equipment_rows,
    feed_rows,
    station_rows,
)
from offtool.web.pages.line_place import LinePlace, line_frame
from offtool.web.pages.line_why import BoundRow, CompareRow, bound_rows, compare_rows, evenness_in_words
from offtool.web.pages.trial import ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePage:
    """One line."""

    frame: Any
    place: LinePlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    drawing: SafeString | None
    drawing_title: str
    stations: tuple[StationRow, ...]
    spread: str
    """What the timed spread means for the rate, in a sentence."""
    bounds: tuple[BoundRow, ...]
    why_title: str
    why_says: tuple[str, ...]
    compare: tuple[CompareRow, ...]
    """As adopted beside what is proposed; empty where there are not both."""
    moves: tuple[str, ...]
    proposal_drawing: SafeString | None
    """Of the proposal, where the adopted line is drawn above."""
    adopt_form: Any
    """None where there is nothing to adopt."""
    ask_form: Any
    equipment: tuple[EquipmentRow, ...]
    feeds: tuple[FeedRow, ...]
    breaks: tuple[BreakRow, ...]
    others: tuple[tuple[str, str], ...]
    """The other lines of the programme, with their addresses."""
    has_tasks: bool
    run_href: str
    refusal: str
    method: str


def line_page(found: LineFound, ask_form: Any, *, adopt_form: Any = None, made_by: str = "") -> LinePage:
    """The page of a line; `adopt_form` with what is wrong, where places were refused."""
    shown, place = found.shown, LinePlace.of(found.known)
    both = found.adopted is not None and found.proposal is not None
    return LinePage(
        frame=line_frame(place, as_json=AS_JSON),
        place=place,
        when=found.programme_title,
        headline=found.headline,
        actions=tuple(_action(one, place, found.known.left_over) for one in found.actions),
        facts=found.rests_on,
        cautions=found.cautions,
        drawing=_drawn(found, shown, is_adopted=found.is_adopted),
        drawing_title="The stations as adopted" if found.is_adopted else "The stations as proposed",
        stations=tuple(station_rows(found, place)),
        spread=_spread(found),
        bounds=tuple(bound_rows(found.proposal)),
        why_title=_why_title(found.proposal),
        why_says=tuple(_why(found)),
        compare=tuple(compare_rows(found)) if both else (),
        moves=tuple(moves_in_words(found)) if found.adopted is not None else (),
        proposal_drawing=_drawn(found, found.proposal, is_adopted=False) if _is_beside(found) else None,
        adopt_form=adopt_form or _adopt(found, made_by),
        ask_form=ask_form,
        equipment=tuple(equipment_rows(found.known, place)),
        feeds=tuple(feed_rows(found.known, place)),
        breaks=tuple(break_rows(found.known)),
        others=tuple((one, place.of_line(one)) for one in found.known.lines if one != found.line),
        has_tasks=bool(found.known.tasks),
        run_href=place.address("run_line"),
        refusal=_refusal(adopt_form),
        method=found.method,
    )


def _refusal(form: Any) -> str:
    """Why places were not adopted; empty where nothing was refused."""
    if form is None or not form.errors:
        return ""
    return " ".join(str(one) for errors in form.errors.values() for one in errors)


def _is_beside(found: LineFound) -> bool:
    """Whether what is proposed is another line than the one drawn first."""
    return found.is_adopted and found.differs


def _drawn(found: LineFound, shown: LineBalance | None, *, is_adopted: bool) -> SafeString | None:
    if shown is None:
        return None
    names = {one.number: one.name for one in found.known.stations if one.name} if found.adopted else {}
    cycle = 3600 / found.needed_per_h if is_adopted and found.needed_per_h else shown.cycle_s
    return mark_safe(draw_line(shown, names, cycle_s=cycle))  # noqa: S308 our own drawing


def _action(one: Action, place: LinePlace, left_over: Sequence[int]) -> ActionRow:
    links = {
        READ: ("read a table", place.address("read_line")),
        TASKS: ("the stations and their tasks", "#stations"),
        NUMBERS: ("the plan of the line", place.address("change_line")),
        ADOPT: ("adopt", "#adopt"),
        RUN: ("run the line", place.address("run_line")),
        LONGER: ("ask again", "#ask"),
    }
    for number in left_over[:1]:
        links[EMPTY] = (f"station {number}", place.address("line_station", number))
    link, href = links.get(one.leads_to, ("", ""))
    return ActionRow(do=one.do, because=one.because, href=href, link=link)


def _spread(found: LineFound) -> str:
    timed = found.shown_timed
    span = span_in_words(timed)
    if timed is None:
        return ""
    if span:
        return sentence(f"by how often its tasks were timed, the line makes {span}, at mean times")
    names = ", ".join(timed.not_timed[:5])
    more = f" and {len(timed.not_timed) - 5} more" if len(timed.not_timed) > 5 else ""
    return f"How sure the rate is cannot be said: {names}{more} were not timed twice at least with a spread."


def _why_title(proposal: LineBalance | None) -> str:
    if proposal is None:
        return ""
    return "Why not fewer stations" if proposal.goal == "fewest stations" else "Why not more an hour"


def _why(found: LineFound) -> Iterator[str]:
    """What is proved, and how even the line is."""
    proposal = found.proposal
    if proposal is None:
        return
    yield sentence(proposal.words)
    if proposal.by_weight is not None:
        thumb = proposal.by_weight
        unit = "stations" if proposal.goal == "fewest stations" else f"s, {3600 / thumb:.4g} an hour"
        yield f"The rule of thumb, the task with the most work behind it first, comes to {thumb:g} {unit}."
    yield evenness_in_words(proposal)


def _adopt(found: LineFound, made_by: str) -> AdoptForm | None:
    proposal = found.proposal
    if proposal is None or (found.adopted is not None and not found.differs):
        return None
    places = {placed.task: load.station for load in proposal.stations for placed in load.tasks}
    people = {one.station: one.now for one in found.manned}
    typed = {"places": places_typed(places), "people": places_typed(people), "made_by": made_by}
    return AdoptForm(initial=typed, auto_id="adopt_%s")
