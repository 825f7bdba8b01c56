"""Entering what is known of a line: its plan, its stations, its tasks, what feeds it, its breaks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from offtool.core.values import OfftoolError, nearest
from offtool.records.queries.finding import NotInRecord
from offtool.steps import define_line as keep
from offtool.steps.define_task import keep_task, remove_task
from offtool.steps.know_line import know_line, know_programme, need_task
from offtool.steps.line_known import LineKnown, StationKnown
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.line import LineForm, StationForm, line_typed, station_typed
from offtool.web.forms.line_task import (
    BreakForm,
    BreakOutForm,
    EquipmentForm,
    FeedForm,
    TaskForm,
    feed_typed,
    task_typed,
)
from offtool.web.pages.line_define import line_form_page
from offtool.web.pages.line_place import LinePlace
from offtool.web.your_name import remember_name, remembered_name

edits = require_http_methods(["GET", "HEAD", "POST"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that is entered or changed: its form, filled with what is known, and what keeps it."""

    kind: str
    headline: str
    here: str
    form: Callable[..., Any]
    keep: Callable[[Any, str], str]
    filled: dict[str, Any]
    shown_at: str = ""
    """Where on the page of the line it stands."""


def _enter(request: HttpRequest, known: LineKnown, entry: Entry) -> HttpResponse:
    """Show the form, keep it, or show it again with what is wrong at its field."""
    filled = {**entry.filled, "made_by": remembered_name(request)}
    form = entry.form(request.POST if request.method == "POST" else None, initial=filled)
    done = _kept(form, entry) if form.is_valid() else ""
    if done:
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, done)
        name = known.line or form.cleaned_data["name"].strip()
        return redirect(LinePlace.of(known).of_line(name) + entry.shown_at)
    page = line_form_page(
        LinePlace.of(known), entry.kind, headline=entry.headline, here=entry.here, form=form
    )
    return answer(request, "line_form.html", page, status=NOT_POSSIBLE if form.errors else 200)


def _kept(form: Any, entry: Entry) -> str:
    """What was done, or nothing where it is refused."""
    try:
        return entry.keep(form, form.cleaned_data["made_by"])
    except OfftoolError as error:
        form.refuse(error)
        return ""


@edits
@in_words
def new_line(request: HttpRequest, programme: str) -> HttpResponse:
    """A line of a programme, with what is planned of it."""
    entry = Entry(
        kind="new",
        headline="A line, with what is planned of it.",
        here="A line",
        form=lambda data, **options: LineForm(None, data, **options),
        keep=lambda form, who: _line_kept(
            keep.keep_line(programme, form.cleaned_data["name"], form.said(), by=who, is_new=True)
        ),
        filled={},
    )
    return _enter(request, know_programme(programme), entry)


def _line_kept(name: str) -> str:
    return f"What is planned of {name} is kept."


@edits
@in_words
def change_line(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """What is planned of the line."""
    known = know_line(programme, line)
    entry = Entry(
        kind="line",
        headline=f"What is planned of {line}.",
        here="The plan",
        form=lambda data, **options: LineForm(known, data, **options),
        keep=lambda form, who: _line_kept(keep.keep_line(programme, line, form.said(), by=who)),
        filled=line_typed(known),
    )
    return _enter(request, known, entry)


@edits
@in_words
def station(request: HttpRequest, programme: str, line: str, number: int | None = None) -> HttpResponse:
    """What is said of a station; one of which nothing is said yet is entered here too."""
    known = know_line(programme, line)
    now = None if number is None else known.station_numbered(number) or StationKnown(number=number)

    def kept(form: StationForm, who: str) -> str:
        if now is not None and form.cleaned_data.get("take_out"):
            return keep.remove_station(programme, line, now.number, by=who)
        return keep.keep_station(programme, line, form.said(), by=who)

    entry = Entry(
        kind="station",
        headline=f"Station {number}." if number is not None else "A station, and what is said of it.",
        here=f"Station {number}" if number is not None else "A station",
        form=lambda data, **options: StationForm(known, now, data, **options),
        keep=kept,
        filled=station_typed(now) if now is not None else {},
        shown_at="#stations",
    )
    return _enter(request, known, entry)


@edits
@in_words
def task(request: HttpRequest, programme: str, line: str, task: str = "") -> HttpResponse:
    """A task of the line."""
    known = know_line(programme, line)
    now = need_task(known, task) if task else None

    def kept(form: TaskForm, who: str) -> str:
        if form.cleaned_data.get("take_out"):
            return remove_task(programme, line, task, by=who)
        return keep_task(programme, line, form.said(), by=who, now=task)

    entry = Entry(
        kind="task",
        headline=f"Task {task}." if task else "A task of the line.",
        here=f"Task {task}" if task else "A task",
        form=lambda data, **options: TaskForm(known, now, data, **options),
        keep=kept,
        filled=task_typed(now) if now is not None else {},
        shown_at="#stations",
    )
    return _enter(request, known, entry)


@edits
@in_words
def equipment(request: HttpRequest, programme: str, line: str, equipment: str) -> HttpResponse:
    """How many of an equipment there are."""
    known = know_line(programme, line)
    now = _named(known.equipment, "name", equipment)
    entry = Entry(
        kind="equipment",
        headline=f"How many of {equipment} there are.",
        here=equipment,
        form=lambda data, **options: EquipmentForm(now, data, **options),
        keep=lambda form, who: keep.keep_equipment(
            programme, line, equipment, form.cleaned_data["at_most"], by=who
        ),
        filled={"at_most": now.at_most},
        shown_at="#equipment",
    )
    return _enter(request, known, entry)


@edits
@in_words
def feed(request: HttpRequest, programme: str, line: str, tool: str = "") -> HttpResponse:
    """A tool that feeds the line."""
    known = know_line(programme, line)
    now = _named(known.presses, "tool", tool) if tool else None

    def kept(form: FeedForm, who: str) -> str:
        if form.cleaned_data.get("take_out"):
            return keep.take_feed_out(programme, line, tool, by=who)
        return keep.keep_feed(programme, line, form.said(), by=who)

    entry = Entry(
        kind="feed",
        headline=f"How tool {tool} feeds the line." if tool else "A tool that feeds the line.",
        here=f"Tool {tool}" if tool else "A tool",
        form=lambda data, **options: FeedForm(known, now, data, **options),
        keep=kept,
        filled=feed_typed(now) if now is not None else {},
        shown_at="#presses",
    )
    return _enter(request, known, entry)


@edits
@in_words
def new_break(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """A break of the line or of a station."""
    known = know_line(programme, line)
    entry = Entry(
        kind="break",
        headline="A time in which the line or a station stands.",
        here="A break",
        form=lambda data, **options: BreakForm(known, data, **options),
        keep=lambda form, who: keep.keep_break(programme, line, form.said(), by=who),
        filled={},
        shown_at="#breaks",
    )
    return _enter(request, known, entry)


@require_POST
@in_words
def break_out(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """Take a break out."""
    form = BreakOutForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        by = remembered_name(request)
        done = keep.take_break_out(programme, line, given["begins_h"], given["station"], by=by)
        messages.success(request, done)
    return redirect("line", programme, line)


def _named(known: Sequence[Any], field: str, name: str) -> Any:
    """The one of this name. Raises NotInRecord."""
    for one in known:
        if getattr(one, field) == name:
            return one
    raise NotInRecord(
        f"the line has no {name!r}", remedy=nearest(name, [getattr(one, field) for one in known])
    )
