"""The pilots of a line: what one showed, its report, its sheets; writing one down."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import PilotFile
from offtool.steps.define_pilot import define_pilot, place_of_pilot
from offtool.steps.judge_pilot import judge_pilot, pilots_of_programme
from offtool.steps.keep_pilot_file import set_sheet_aside
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.download import as_download
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.pilot import PilotForm
from offtool.web.pages.pilot import pilot_page, pilots_page
from offtool.web.pages.pilot_define import pilot_define_page
from offtool.web.your_name import remember_name, remembered_name

KINDS = tuple(kind.value for kind in PilotFileKind)


@require_safe
@in_words
def pilots(request: HttpRequest, programme: str) -> HttpResponse:
    """All pilots, the newest first."""
    found = pilots_of_programme(programme)
    return answer(request, "pilots.html", pilots_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def pilot(request: HttpRequest, programme: str, pilot: str) -> HttpResponse:
    """What it showed, what to do, why; a sheet is set aside here."""
    if request.method == "POST":
        return _set_aside(request, programme, pilot)
    found = judge_pilot(programme, pilot)
    return answer(request, "pilot.html", pilot_page(found, KINDS, made_by=remembered_name(request)), found)


def _set_aside(request: HttpRequest, programme: str, pilot: str) -> HttpResponse:
    """Set a sheet aside and show the pilot again; what is refused is shown at its form."""
    key = request.POST.get("sheet", "")
    kept = _file_of(programme, pilot, int(key) if key.isdecimal() else 0)
    form = SetAsideForm(request.POST, auto_id=f"sheet{kept.pk}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_sheet_aside(
                programme, pilot, kept.kind, kept.name, reason=given["reason"], made_by=given["made_by"]
            )
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Sheet {kept.kind} {kept.name} is set aside.")
            return redirect("pilot", programme, pilot)
    page = pilot_page(judge_pilot(programme, pilot), KINDS, refused={kept.pk: form})
    return answer(request, "pilot.html", page, status=NOT_POSSIBLE)


def _file_of(programme: str, pilot: str, key: int) -> PilotFile:
    """The sheet of that key, where it is one of this pilot."""
    of_pilot = PilotFile.objects.filter(pilot__name=pilot, pilot__line__programme__slug=programme)
    found = of_pilot.filter(pk=key).first()
    if found is None:
        raise Http404
    return found


@require_safe
@in_words
def pilot_file(request: HttpRequest, programme: str, pilot: str, sheet: int) -> FileResponse:
    """A sheet of a pilot, byte for byte as it came."""
    found = _file_of(programme, pilot, sheet)
    return as_download(bytes(found.content), found.file_name)


@require_safe
@in_words
def pilot_report(request: HttpRequest, programme: str, pilot: str) -> FileResponse:
    """What it showed as a PDF."""
    from offtool.reports.pilot_report import pilot_report as typeset  # typesetting is asked for here alone

    found = judge_pilot(programme, pilot)
    return as_download(typeset(found), f"{programme}_{found.pilot}.pdf")


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def new_pilot(request: HttpRequest, programme: str) -> HttpResponse:
    """Write a pilot down."""
    return _define(request, programme)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def change_pilot(request: HttpRequest, programme: str, pilot: str) -> HttpResponse:
    """Change what is said of a pilot."""
    return _define(request, programme, pilot)


def _define(request: HttpRequest, programme: str, pilot: str = "") -> HttpResponse:
    offered = place_of_pilot(programme, pilot)
    sent = request.POST if request.method == "POST" else None
    form = PilotForm(offered, sent, initial={"made_by": remembered_name(request)})
    if sent is not None and form.is_valid():
        try:
            name = define_pilot(programme, form.as_defined(), made_by=form.cleaned_data["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, form.cleaned_data["made_by"])
            messages.success(request, f"Pilot {name} is written down.")
            return redirect("pilot", programme, name)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "pilot_define.html", pilot_define_page(offered, form), status=status)
