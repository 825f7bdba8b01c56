"""What a line will make: a short answer at once, a longer one behind the page, with progress and a stop."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from offtool.steps.run_line import line_run_choices, plan_line_run
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, wants_json
from offtool.web.forms.line_run import STOP, LineRunForm
from offtool.web.long_line_run import (
    LineRunAnswer,
    answer_at_once,
    answer_instead_of,
    answer_known,
    start,
    stop,
)
from offtool.web.long_runs import LONG_RUNS
from offtool.web.pages.line_run import line_run_page, nothing_to_run_page
from offtool.web.pages.line_run_progress import progress_as_plain

NOT_ASKED_SO = "Not all that was asked for can be: it is marked at its field. The answer shown leaves it out."


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def run_line(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """What the line makes, what limits it, what more of something gives."""
    choices = line_run_choices(programme, line)
    form = LineRunForm(choices, request.POST if request.method == "POST" else request.GET)
    refusal = _not_asked_so(request, form)
    if request.method == "POST" and not refusal:
        refusal = _act(request, programme, line, form)
        if not refusal:
            return redirect(f"{reverse('run_line', args=[programme, line])}?{form.query()}")
    try:
        found = _answered(programme, line, form, as_json=wants_json(request))
    except NotEnoughData as error:
        if wants_json(request):
            raise
        return answer(request, "line_run.html", nothing_to_run_page(choices, error))
    page = line_run_page(found, form, refusal=refusal)
    return answer(request, "line_run.html", page, found.found, status=NOT_POSSIBLE if refusal else 200)


def _not_asked_so(request: HttpRequest, form: LineRunForm) -> str:
    """What is said where a field cannot be; raises ImpossibleInput where JSON is asked for."""
    if form.is_valid():
        return ""
    if wants_json(request):
        name, errors = next(iter(form.errors.items()))
        raise ImpossibleInput(name, form.data.get(name, ""), "", " ".join(map(str, errors)))
    return NOT_ASKED_SO


def _answered(programme: str, line: str, form: LineRunForm, *, as_json: bool) -> LineRunAnswer:
    """What is known of the run that is asked for, else a short answer."""
    if not form.is_valid():
        return answer_at_once(plan_line_run(programme, line))
    if not form.asks_long:
        return answer_at_once(plan_line_run(programme, line, **form.settings() | {"runs": None}))
    planned = plan_line_run(programme, line, **form.settings())
    return answer_known(planned, as_json=as_json) or answer_instead_of(planned)


def _act(request: HttpRequest, programme: str, line: str, form: LineRunForm) -> str:
    """Begin the run, or stop it; returns why not, or nothing."""
    try:
        planned = plan_line_run(programme, line, **form.settings())
        if request.POST.get("do") == STOP:
            stop(planned)
        else:
            start(planned)
    except OfftoolError as error:
        return str(error)
    return ""


@never_cache
@require_safe
def run_line_progress(request: HttpRequest, programme: str, line: str, key: str) -> JsonResponse:
    """How far a run is, for the page that shows it."""
    return JsonResponse(progress_as_plain(LONG_RUNS.find(key)))
