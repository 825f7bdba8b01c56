"""What pieces are told apart by: shown as a whole, and each of it entered on a page of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError, nearest
from offtool.records.queries.finding import NotInRecord
from offtool.steps.define_ground import (
    keep_build,
    keep_detail,
    keep_job,
    keep_press,
    keep_run,
    keep_shares,
    keep_stage,
)
from offtool.steps.ground_found import DetailsKnown, GroundFound
from offtool.steps.know_ground import know_ground
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.ground import (
    BuildForm,
    JobForm,
    PressForm,
    RunForm,
    build_typed,
    job_typed,
    press_typed,
    run_typed,
)
from offtool.web.forms.ground_detail import DetailForm, NewDetailForm, detail_typed
from offtool.web.forms.ground_words import SharesForm, StageForm, shares_typed
from offtool.web.pages.ground import GroundFormPage, ground_frame, ground_page
from offtool.web.pages.ground_why import WHY
from offtool.web.your_name import remember_name, remembered_name

edits = require_http_methods(["GET", "HEAD", "POST"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that is entered or changed: its form, filled with what is known, and what keeps it."""

    kind: str
    headline: str
    here: str
    form: Callable[..., Any]
    filled: dict[str, Any]
    keep: Callable[[Any, str], object]
    lead: str = ""
    done: str = "Keep it"
    shown_at: str = ""
    """Where on the page of all it stands."""
    template: str = "ground_form.html"


@require_safe
@in_words
def ground(request: HttpRequest, programme: str) -> HttpResponse:
    """All that the record knows to tell pieces apart."""
    found = know_ground(programme)
    return answer(request, "ground.html", ground_page(found), found)


def _enter(request: HttpRequest, found: GroundFound, entry: Entry) -> HttpResponse:
    """Show the form, keep it, or show it again with what is wrong at its field."""
    filled = {**entry.filled, "made_by": remembered_name(request)}
    form = entry.form(request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid() and _kept(form, entry):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, f"{entry.here} is kept.")
        return redirect(reverse("ground", args=[found.programme]) + entry.shown_at)
    page = GroundFormPage(
        frame=ground_frame(found, here=entry.here),
        headline=entry.headline,
        lead=entry.lead,
        why=WHY[entry.kind],
        form=form,
        done=entry.done,
        back_href=reverse("ground", args=[found.programme]) + entry.shown_at,
    )
    return answer(request, entry.template, page, status=NOT_POSSIBLE if form.errors else 200)


def _kept(form: Any, entry: Entry) -> bool:
    try:
        entry.keep(form, form.cleaned_data["made_by"])
    except OfftoolError as error:
        form.refuse(error)
        return False
    return True


@edits
@in_words
def run(request: HttpRequest, programme: str, tool: str, run: str = "") -> HttpResponse:
    """A run of a tool."""
    found = know_ground(programme)
    of = _named(found.tools, "tool", tool, by="tool")
    now = _named(of.runs, "name", run, by="run") if run else None
    entry = Entry(
        kind="run",
        headline=f"Run {run} of tool {tool}." if run else f"A run of tool {tool}.",
        here=f"Run {run} of {tool}" if run else f"A run of {tool}",
        form=lambda data, **options: RunForm(found, of, data, **options),
        filled=run_typed(now) if now else {},
        keep=lambda form, who: keep_run(programme, form.said(), by=who, now=run),
        shown_at="#runs",
    )
    return _enter(request, found, entry)


@edits
@in_words
def detail(request: HttpRequest, programme: str, part: str, detail: str = "") -> HttpResponse:
    """A detail of a part."""
    found = know_ground(programme)
    known = [one for one in found.details if one.part == part]
    _named(found.details, "part", part, by="part")
    entry = Entry(
        kind="detail",
        headline=f"{_title(known, detail)} on part {part}." if detail else f"A detail of part {part}.",
        here=f"Detail {detail}" if detail else f"A detail of {part}",
        form=lambda data, **options: (DetailForm if detail else NewDetailForm)(known, data, **options),
        filled=detail_typed(known, detail) if detail else {},
        keep=lambda form, who: keep_detail(programme, form.said(), by=who, now=detail),
        shown_at="#details",
    )
    return _enter(request, found, entry)


def _title(known: Sequence[DetailsKnown], code: str) -> str:
    found = _named(known[0].details, "code", code, by="detail")
    said = str(found.name or found.code)
    return said[:1].upper() + said[1:]


@edits
@in_words
def build(request: HttpRequest, programme: str, build: str = "") -> HttpResponse:
    """A build and the runs its parts came from."""
    found = know_ground(programme)
    now = _named(found.builds, "code", build, by="build") if build else None
    entry = Entry(
        kind="build",
        headline=f"Build {build}." if build else "A build: pieces put together from parts of several runs.",
        here=f"Build {build}" if build else "A build",
        form=lambda data, **options: BuildForm(found, data, **options),
        filled=build_typed(now) if now else {},
        keep=lambda form, who: keep_build(programme, form.said(), by=who, now=build),
        shown_at="#builds",
    )
    return _enter(request, found, entry)


@edits
@in_words
def press(request: HttpRequest, programme: str, press: str = "") -> HttpResponse:
    """A press and the tools it can hold."""
    found = know_ground(programme)
    now = _named(found.presses, "code", press, by="press") if press else None
    entry = Entry(
        kind="press",
        headline=f"Press {press}." if press else "A press, and the tools that it can hold.",
        here=f"Press {press}" if press else "A press",
        form=lambda data, **options: PressForm(found, data, **options),
        filled=press_typed(now) if now else {},
        keep=lambda form, who: keep_press(programme, form.said(), by=who, now=press),
        shown_at="#presses",
    )
    return _enter(request, found, entry)


@edits
@in_words
def job(request: HttpRequest, programme: str, press: str, job: str = "") -> HttpResponse:
    """A job that ran on a press."""
    found = know_ground(programme)
    on = _named(found.presses, "code", press, by="press")
    now = _named(on.jobs, "code", job, by="job") if job else None
    entry = Entry(
        kind="job",
        headline=f"Job {job} on press {press}." if job else f"A job that ran on press {press}.",
        here=f"Job {job}" if job else f"A job on {press}",
        form=lambda data, **options: JobForm(found, data, **options),
        filled=job_typed(on, now) if now else {"press": press},
        keep=lambda form, who: keep_job(programme, form.said(), by=who, now=(press, job) if job else None),
        shown_at="#presses",
    )
    return _enter(request, found, entry)


@edits
@in_words
def stage(request: HttpRequest, programme: str, stage: str) -> HttpResponse:
    """What the programme calls a stage."""
    found = know_ground(programme)
    known = {one.stage.name.lower(): one for one in found.stages}
    if stage not in known:
        raise NotInRecord(f"no stage {stage!r}", remedy=nearest(stage, known))
    now = known[stage]
    own = {"engineer": now.engineer, "archive": now.archive, "kept": f"{100 * now.kept:.6g}"}
    entry = Entry(
        kind="stage",
        headline=f"What is called {now.stage.value} here?",
        here=now.stage.value.capitalize(),
        lead=f"{now.meaning[:1].upper()}{now.meaning[1:]}.",
        form=lambda data, **options: StageForm(now, data, **options),
        filled=own if now.is_own else {},
        keep=lambda form, who: keep_stage(programme, now.stage.value, **form.said(), by=who),
        shown_at="#stages",
    )
    return _enter(request, found, entry)


@edits
@in_words
def sign(request: HttpRequest, programme: str, sign: str) -> HttpResponse:
    """How often the programme meets each outcome of a sign."""
    found = know_ground(programme)
    now = _named(found.signs, "sign", sign, by="sign")
    outcomes = [outcome for outcome, _ in now.shares]
    usual = {outcome: tuple(f"{100 * share:.3g}" for share in shares) for outcome, shares in now.shares}
    entry = Entry(
        kind="sign",
        headline=now.asks,
        here=f"Shares of {sign}",
        lead="How often each is met, in per cent of the pieces of a stage; a row left blank keeps the "
        "handbook's shares.",
        form=lambda data, **options: SharesForm(outcomes, usual, data, **options),
        filled=shares_typed(now.shares, now.own),
        keep=lambda form, who: keep_shares(programme, sign, form.said(), by=who),
        shown_at="#signs",
        template="ground_shares.html",
    )
    return _enter(request, found, entry)


def _named(known: Sequence[Any], field: str, name: str, *, by: str) -> Any:
    """The one of this name. Raises NotInRecord."""
    for one in known:
        if getattr(one, field) == name:
            return one
    raise NotInRecord(f"no {by} {name!r}", remedy=nearest(name, [getattr(one, field) for one in known]))
