"""The correction of a tool: what to cut, keeping it, its sheet, and the steel as measured again."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.reports.steel_change_sheet import steel_change_sheet
from offtool.steps.correct_tool import correct_tool, keep_changes
from offtool.steps.cut_steel import record_cut
from offtool.steps.steel_changes import ToolCorrection
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.download import as_download
from offtool.web.forms.correction import KeepChangesForm, SteelForm
from offtool.web.pages.correction import correction_page, open_changes
from offtool.web.pages.frame import anchor
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def correction(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """What to cut and why; its two forms say which changes are kept, and the steel as measured again."""
    found = correct_tool(programme, tool, trial)
    if request.method == "POST" and "steel-uncertainty_mm" in request.POST:
        return _measured_again(request, found)
    if request.method == "POST":
        return _keep(request, found)
    return _show(request, found)


@require_safe
@in_words
def sheet(request: HttpRequest, programme: str, tool: str, trial: str) -> FileResponse:
    """The steel-change sheet for the toolmaker, as PDF."""
    found = correct_tool(programme, tool, trial)
    return as_download(steel_change_sheet(found), f"{programme}_{tool}_{trial}_steel-change.pdf")


def _show(
    request: HttpRequest,
    found: ToolCorrection,
    form: KeepChangesForm | None = None,
    steel_form: SteelForm | None = None,
) -> HttpResponse:
    form = form or KeepChangesForm(open_changes(found), made_by=remembered_name(request))
    place = find_place(found.programme, found.tool, found.trial)
    page = correction_page(found, place, form, steel_form or SteelForm(found.kept))
    status = NOT_POSSIBLE if form.errors or page.steel_form_errors else 200
    return answer(request, "correction.html", page, found, status=status)


def _keep(request: HttpRequest, found: ToolCorrection) -> HttpResponse:
    """Decide on the ticked changes."""
    form = KeepChangesForm(open_changes(found), request.POST)
    if form.is_valid():
        chosen, name = form.places, form.cleaned_data["made_by"]
        try:
            keep_changes(
                found.programme, found.tool, found.trial, chosen=chosen, made_at=timezone.now(), made_by=name
            )
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            remember_name(request, name)
            messages.success(request, f"{len(chosen)} changes are decided. Hand the sheet to the toolmaker.")
            return redirect("correction", found.programme, found.tool, found.trial)
    return _show(request, found, form=form)


def _measured_again(request: HttpRequest, found: ToolCorrection) -> HttpResponse:
    """Record the steel after the cut: the tool's next state."""
    form = SteelForm(found.kept, request.POST)
    if form.is_valid():
        try:
            state = record_cut(found.programme, found.tool, **form.as_cut())
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            done = f"Tool {found.tool} is in state {state} now. Run the next trial and read its file."
            messages.success(request, done)
            return redirect(reverse("programme", args=[found.programme]) + f"#{anchor('tool', found.tool)}")
    return _show(request, found, steel_form=form)
