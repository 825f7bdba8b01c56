"""All programmes, one, and how long the steps to its release take."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.steps.overview import list_programmes
from offtool.steps.programme_standing import programme_standing
from offtool.steps.review_day import review_day
from offtool.steps.step_days import ask_release_by, keep_step_days, step_days_known
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.way import StepDaysForm, step_days_typed
from offtool.web.pages.programmes import programme_page, programmes_page
from offtool.web.pages.way import step_days_page
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def programmes(request: HttpRequest) -> HttpResponse:
    """All programmes, a line each; with none, what to do first."""
    found = list_programmes()
    return answer(request, "programmes.html", programmes_page(found), found)


@require_safe
@in_words
def programme(request: HttpRequest, programme: str) -> HttpResponse:
    """How far the release of a programme is, and where every tool stands."""
    standing = programme_standing(programme, review_day(programme, today=timezone.localdate()))
    return answer(request, "programme.html", programme_page(standing), standing)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def step_days(request: HttpRequest, programme: str) -> HttpResponse:
    """Show how many days steps take, and by when release is asked for; keep both."""
    known = step_days_known(programme)
    filled = {**step_days_typed(known), "made_by": remembered_name(request)}
    form = StepDaysForm(known, request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid() and _kept(form, programme):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, "The days of the steps are kept.")
        return redirect("programme", programme)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "step_days.html", step_days_page(known, form), known, status=status)


def _kept(form: StepDaysForm, programme: str) -> bool:
    given = form.cleaned_data
    try:
        keep_step_days(programme, form.said(), by=given["made_by"])
        ask_release_by(programme, given["release_due"], by=given["made_by"])
    except OfftoolError as error:
        form.refuse(error)
        return False
    return True
