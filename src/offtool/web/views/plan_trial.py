"""The plan of one trial, its request on paper and the labels of its bags."""

from __future__ import annotations

from datetime import date

from django.http import FileResponse, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from offtool.core.values import ImpossibleInput
from offtool.steps.plan_found import TrialPlanned
from offtool.steps.plan_trial import plan_trial as planned_trial
from offtool.steps.planning_day import planning_day
from offtool.web.answer import answer, in_words
from offtool.web.download import as_download
from offtool.web.pages.plan_trial import plan_trial_page


@require_safe
@in_words
def plan_trial(request: HttpRequest, programme: str, tool: str, request_name: str) -> HttpResponse:
    """Where it goes, what to run, how long, what it must confirm."""
    found = _planned(request, programme, tool, request_name)
    return answer(request, "plan_trial.html", plan_trial_page(found), found)


@require_safe
@in_words
def trial_request(request: HttpRequest, programme: str, tool: str, request_name: str) -> FileResponse:
    """The request for the trial as a PDF of one page."""
    from offtool.reports.trial_request import trial_request as typeset  # typesetting is asked for here alone

    found = _planned(request, programme, tool, request_name)
    return as_download(typeset(found), f"{programme}_{tool}_{request_name}_request.pdf")


@require_safe
@in_words
def bag_labels(request: HttpRequest, programme: str, tool: str, request_name: str) -> FileResponse:
    """The labels of its bags as a PDF."""
    from offtool.reports.bag_labels import bag_labels as typeset  # as above

    found = _planned(request, programme, tool, request_name)
    single = "single" in request.GET
    return as_download(typeset(found, single=single), f"{programme}_{tool}_{request_name}_labels.pdf")


def _planned(request: HttpRequest, programme: str, tool: str, name: str) -> TrialPlanned:
    return planned_trial(programme, tool, name, on=_day(programme, request.GET.get("on", "")))


def _day(programme: str, typed: str) -> date:
    """The day that is asked about; the planning day where none is."""
    if not typed:
        return planning_day(programme, today=timezone.localdate())
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise ImpossibleInput("on", typed, "", "must be a day", "write it as 2026-03-24") from None
