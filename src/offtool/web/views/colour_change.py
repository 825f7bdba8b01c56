"""A change of colour on a press: how long it takes, and in which colour a trial is shot."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import ColourChange
from offtool.records.queries import find_colour_change, find_press, find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.colour_change import ColourAsked, colour_place, find_change
from offtool.steps.colour_found import ColourFound
from offtool.steps.keep_colour_change import set_change_aside
from offtool.steps.planning_day import planning_day
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.download import as_download
from offtool.web.forms.colour_change import ColourForm
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.colour_change import colour_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def colour(request: HttpRequest, programme: str) -> HttpResponse:
    """What is asked and the answer; a measured change is set aside here."""
    if request.method == "POST":
        return _set_aside(request, programme)
    asked = {name: value for name, value in request.GET.items() if name != "format"}
    place = colour_place(programme, on=_day(request, programme))
    form = ColourForm(place, request.GET if asked else {"on": place.on})
    found, refusal = _found(request, programme, form, place.on)
    page = colour_page(
        place,
        form,
        found,
        refusal=refusal,
        as_json="?" + urlencode({**asked, "format": "json"}) if found else "",
        made_by=remembered_name(request),
    )
    wrong = bool(form.errors) or bool(refusal and asked)
    return answer(request, "colour_change.html", page, found, status=NOT_POSSIBLE if wrong else 200)


def _day(request: HttpRequest, programme: str) -> date:
    """The day that is asked about, else the planning day."""
    with suppress(ValueError):
        return date.fromisoformat(request.GET.get("on", ""))
    return planning_day(programme, today=timezone.localdate())


def _found(
    request: HttpRequest, programme: str, form: ColourForm, on: date
) -> tuple[ColourFound | None, str]:
    """The answer, or why there is none; where JSON is asked for, the error is raised."""
    if not form.is_valid():
        if wants_json(request):
            told = "; ".join(" ".join(map(str, errors)) for errors in form.errors.values())
            raise OfftoolError(told, where=", ".join(form.errors))
        return None, ""
    try:
        return find_change(programme, form.as_asked(), on=on), ""
    except NotInRecord:
        raise
    except OfftoolError as error:
        if wants_json(request):
            raise
        if error.where in form.fields:
            put_at_field(form, error)
            return None, ""
        return None, str(error)


def _set_aside(request: HttpRequest, programme: str) -> HttpResponse:
    """Set a measured change aside and show the page again; what is refused is shown at its form."""
    press, name = request.POST.get("press", ""), request.POST.get("change", "")
    kept = find_colour_change(find_press(find_programme(programme), press), name)
    form = SetAsideForm(request.POST, auto_id=f"change{kept.pk}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_change_aside(programme, press, name, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"{name} of {press} is set aside.")
            return redirect(f"{request.path}?{urlencode({'press': press})}")
    place = colour_place(programme, on=planning_day(programme, today=timezone.localdate()))
    found = find_change(programme, ColourAsked(press=press), on=place.on)
    page = colour_page(
        place, ColourForm(place, {"press": press, "on": place.on}), found, refused={name: form}
    )
    return answer(request, "colour_change.html", page, status=NOT_POSSIBLE)


@require_safe
@in_words
def colour_file(request: HttpRequest, programme: str, press: str, change: int) -> FileResponse:
    """The file of a measured change, byte for byte as it came."""
    found = ColourChange.objects.filter(
        pk=change, press__code=press, press__programme__slug=programme
    ).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.file_name)
