"""One characteristic of a trial in depth; readings are left out and taken back in here."""

from __future__ import annotations

from typing import cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.inspection.distribution import FAMILIES
from offtool.core.inspection.distribution.families import CHOSEN, FamilyChoice
from offtool.core.values import OfftoolError
from offtool.steps.inspect_size import inspect_size
from offtool.steps.judge_readings import leave_out, take_back
from offtool.steps.readings_seen import Counts
from offtool.steps.size_in_depth import SizeInDepth
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.judging import LeaveOutForm, ShownForm
from offtool.web.pages.size import size_page
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def size(request: HttpRequest, programme: str, tool: str, trial: str, part: str, number: str) -> HttpResponse:
    """Verdict, what to do, and why; its forms leave readings out and take them back in."""
    family = request.GET.get("family", CHOSEN)
    found = inspect_size(
        programme,
        tool,
        trial,
        f"{part} {number}",
        cavity=request.GET.get("cavity") or None,
        family=cast(FamilyChoice, family) if family in FAMILIES else CHOSEN,
    )
    if request.method == "POST":
        return _say(request, found)
    return _show(request, found)


def _readings(found: SizeInDepth, *, left_out: bool) -> list[int]:
    return [one.reading_id for one in found.analysis.readings if (one.counts is Counts.LEFT_OUT) == left_out]


def _say(request: HttpRequest, found: SizeInDepth) -> HttpResponse:
    """Leave the ticked readings out, or take them back in."""
    back = "back" in request.POST
    form = LeaveOutForm(_readings(found, left_out=back), request.POST)
    if not form.is_valid():
        return _show(request, found, **{"take_back" if back else "leave_out": form})
    given = form.cleaned_data
    name = given["made_by"]
    try:
        (take_back if back else leave_out)(
            found.programme,
            found.tool,
            found.trial,
            readings=given["readings"],
            reason=given["reason"],
            made_at=timezone.now(),
            made_by=name,
        )
    except OfftoolError as error:
        form.add_error(None, str(error))
        return _show(request, found, **{"take_back" if back else "leave_out": form})
    remember_name(request, name)
    count = len(given["readings"])
    what = "counts again" if back else "is left out"
    said = (
        f"1 reading {what}."
        if count == 1
        else f"{count} readings {what.replace('counts', 'count').replace('is', 'are')}."
    )
    messages.success(request, said)
    if len(given["readings"]) == len(_readings(found, left_out=False)) and not back:
        return redirect("trial", found.programme, found.tool, found.trial)
    return redirect("size", found.programme, found.tool, found.trial, found.size.part, found.size.number)


def _show(
    request: HttpRequest,
    found: SizeInDepth,
    leave_out: LeaveOutForm | None = None,
    take_back: LeaveOutForm | None = None,
) -> HttpResponse:
    name = remembered_name(request)
    forms = [
        given or LeaveOutForm(_readings(found, left_out=left), made_by=name)
        for given, left in ((leave_out, False), (take_back, True))
    ]
    shown = ShownForm(
        [one.finding.cavity for one in found.analysis.cavities],
        {"cavity": found.cavity_shown or "", "family": request.GET.get("family", CHOSEN)},
    )
    place = find_place(found.programme, found.tool, found.trial)
    page = size_page(found, place, shown, *forms)
    status = NOT_POSSIBLE if any(form.errors for form in forms) else 200
    return answer(request, "size_in_depth.html", page, found, status=status)
